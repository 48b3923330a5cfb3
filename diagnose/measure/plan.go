// Package measure finds the few ohms readings of a panel in order that are worth having in its
// circuit file, and writes them there. What a file does not give of a coil or a lamp decides
// nothing later; what was measured on this very part while it was good does.
package measure

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// Reading is one ohms reading worth having.
type Reading struct {
	Check log.Check
	// Of is the device that is measured, and after it its twins: parts of the same type for the
	// same volts, whose ohms are written too.
	Of []*circuits.Device
	// Low and High are between which ohms real parts lie; High is +Inf where a good one may
	// read open.
	Low, High float64
	// Dark is the kind of part that reads open when it is good; empty where there is none.
	Dark string
}

// Within tells whether so many ohms are those of a part such as the table has.
func (r Reading) Within(ohms float64) bool { return ohms >= r.Low && ohms <= r.High }

// Left is a device that is not measured, and why.
type Left struct {
	Device *circuits.Device
	Why    string
}

// WindingLow and WindingHigh are between which factors of the table the winding of a
// transformer lies: it falls with the size, from some ohms to a few tenths. Common practice,
// no source.
const WindingLow, WindingHigh = 0.05, 10

// Plan gives the readings worth having on a panel in order, in the order of the circuit file,
// and what an ohmmeter tells nothing of. All are made with the power locked off and nobody at
// an operator; a wire is lifted only where something lies beside the part. With each, twins
// are measured one by one.
func Plan(p *work.Panel, each bool) (readings []Reading, left []Left) {
	st := p.LockedOut(&work.Overlay{}, 0)
	for _, d := range p.Circuit.Devices {
		x, ok := assumed(p, d)
		if !ok {
			continue
		}
		twin := func(r Reading) bool { return !each && twins(p, r.Of[0], d) }
		if i := slices.IndexFunc(readings, twin); i >= 0 {
			readings[i].Of = append(readings[i].Of, d)
			continue
		}
		if d.Type.Kind != circuits.SourceKind && d.Load().Dark() {
			left = append(left, Left{d, "a meter drives no current through it"})
			continue
		}
		c, alone := x.check(p, st)
		if !alone {
			left = append(left, Left{d, "something lies beside it, and no lifted wire parts the two"})
			continue
		}
		readings = append(readings,
			Reading{Check: c, Of: []*circuits.Device{d}, Low: x.low, High: x.high, Dark: x.dark})
	}
	return readings, left
}

// part is a coil, a lamp or a winding of which the file does not give the ohms.
type part struct {
	a, b            network.Node
	ohms, low, high float64
	dark            string
}

// assumed gives what the file does not give of a device; false where it gives it, or where
// there is nothing to give.
func assumed(p *work.Panel, d *circuits.Device) (x part, ok bool) {
	if !slices.Contains(d.Type.Keys, "ohms") || work.Given(d) {
		return x, false
	}
	if d.Type.Kind == circuits.SourceKind {
		s := p.Net.Source(p.Source(d))
		return part{s.Hot, s.Return, s.WindingOhms, WindingLow * s.WindingOhms, WindingHigh * s.WindingOhms,
			""}, true
	}
	l := p.Net.Load(p.Load(d))
	x = part{l.A, l.B, l.Ohms, l.Ohms * d.Load().Low, l.Ohms * d.Load().High, ""}
	for _, other := range d.Type.Loads {
		if d.LoadKind == "" && other.Dark() {
			x.dark, x.high = other.Kind, math.Inf(1)
		}
	}
	return x, true
}

// check gives the check that reads a part by itself, with as little lifted as may be; false
// where there is none.
func (x part) check(p *work.Panel, st network.State) (log.Check, bool) {
	c := log.Check{Ohms: []circuits.Terminal{p.Terminal(x.a), p.Terminal(x.b)}}
	if x.alone(p, st, &network.Overlay{}) {
		return c, true
	}
	for _, n := range []network.Node{x.a, x.b} {
		lifted := []circuits.Terminal{p.Terminal(n)}
		o, err := p.Lift(work.Overlay{}, lifted)
		if err != nil || p.OpensSecondary(o) != nil {
			continue
		}
		if x.alone(p, st, &o.Overlay) {
			c.Lifted = lifted
			return c, true
		}
	}
	return c, false
}

// alone tells whether a meter reads a part by itself, whatever semiconductors do.
func (x part) alone(p *work.Panel, st network.State, o *network.Overlay) bool {
	for _, conduct := range []bool{false, true} {
		ohms, firm := p.Net.Off(p.Semiconductors(st, conduct), o).Ohms(x.a, x.b)
		if !firm || !network.SameOhms(ohms, x.ohms) {
			return false
		}
		if len(p.Electronic()) == 0 {
			return true
		}
	}
	return true
}

// twins tells whether two devices are parts of one kind for the same volts.
func twins(p *work.Panel, a, b *circuits.Device) bool {
	if a.Type != b.Type || a.LoadKind != b.LoadKind {
		return false
	}
	if a.Type.Kind == circuits.SourceKind {
		return a.Volts == b.Volts && a.PrimaryVolts == b.PrimaryVolts && a.Amps == b.Amps
	}
	x, y := p.Values(a), p.Values(b)
	return x.Volts == y.Volts && x.DC == y.DC && a.Amps == b.Amps
}
