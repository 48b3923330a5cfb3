package work

import (
	"math"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// relay is the law by which one relay or timer moves under an overlay: what its coil does at a
// voltage, what its timed contacts do with time. Whoever works a circuit, in full or along a
// course, keeps an armature for each and asks its relay.
type relay struct {
	device  *circuits.Device
	coils   []coil
	seconds float64 // its delay; of one that repeats, how long it is on
	off     float64 // of one that repeats, how long it is off
	jammed  int     // the position that its contacts are held in, -1 for none
	never   bool    // it never times out
	atOnce  bool    // it times out at once
	temper  Temper
	bend    float64
}

// coil is a coil in the network.
type coil struct {
	load   network.Load
	values Electrical
	spare  bool // no wire is on it, and it counts as made
}

// armature is how a relay stands.
type armature struct {
	in      bool    // the coil is pulled in; of one that latches, it is set
	timed   bool    // the timed contacts are operated; of one that alternates, it has changed over; else see inputs.go
	fed     bool    // of one with a trigger, it has its supply
	turns   uint8   // of one that repeats, how often it has changed over; two stands for more
	elapsed float64 // of a timer, seconds since the coil, or what repeats, last changed
}

// goodRelays gives the law of every relay of the good circuit.
func (p *Panel) goodRelays() []*relay {
	laws := make([]*relay, len(p.relays))
	for i, d := range p.relays {
		laws[i] = &relay{device: d, coils: p.coils[d], seconds: d.Seconds, off: d.OffSeconds, jammed: -1}
	}
	return laws
}

// setLaws gives the relays their laws, those of the table.
func (p *Panel) setLaws(good []*relay) {
	p.good = good
	for i, temper := range [...]Temper{Eager, Reluctant} {
		p.tempered[i] = make([]*relay, len(good))
		for k, of := range good {
			r := *of
			r.temper, r.bend = temper, p.bend
			p.tempered[i][k] = &r
		}
	}
}

// laws gives the law of every relay where parts are of a temper.
func (p *Panel) laws(t Temper) []*relay {
	switch t {
	case Eager:
		return p.tempered[0]
	case Reluctant:
		return p.tempered[1]
	case AsTable:
	}
	return p.good
}

// heldRelays gives, by index into Panel.relays, the law of those that an overlay holds or
// mistimes; nil where it does so with none.
func (p *Panel) heldRelays(o *Overlay) map[int]*relay {
	if len(o.Stuck)+len(o.Timers) == 0 {
		return nil
	}
	held := make(map[int]*relay)
	of := func(d *circuits.Device) *relay {
		for i, good := range p.laws(o.Temper) {
			if good.device != d {
				continue
			}
			if held[i] == nil {
				r := *good
				held[i] = &r
			}
			return held[i]
		}
		return nil // an operator
	}
	for _, s := range o.Stuck {
		if r := of(s.Device); r != nil {
			r.jammed = s.Position
		}
	}
	for _, t := range o.Timers {
		if r := of(t.Device); r != nil {
			r.never, r.atOnce = t.Never(), t.AtOnce
			if t.Factor > 0 {
				r.seconds *= t.Factor
				r.off *= t.Factor
			}
		}
	}
	return held
}

// follow lets an armature follow its coils at the volts across them, and the timed contacts
// as far as they move at once. It reports whether the armature moved.
func (r *relay) follow(a armature, across func(network.Load) float64) (armature, bool) {
	pulls := func(coil int, in bool) bool {
		c := r.coils[coil]
		return c.spare || c.values.with(r.temper, r.bend, across(c.load), in)
	}
	in, fed := a.in, a.fed
	switch r.device.Type.Armature {
	case circuits.Follows, circuits.Alternates:
		in = pulls(0, a.in)
	case circuits.Watches:
		in = true
		for i := range r.coils {
			in = in && pulls(i, a.in)
		}
	case circuits.Latches:
		if set := pulls(0, false); set != pulls(1, false) {
			in = set
		}
	case circuits.Triggered:
		fed = pulls(0, a.fed)
		in = fed && pulls(1, a.in)
	case circuits.Guards:
		now := guards(a, pulls)
		return now, now != a
	case circuits.Drives:
		now := drives(a, pulls)
		return now, now != a
	case circuits.Zones:
		line := r.coils[lineInput]
		now := zones(pulls(supplyInput, a.in || a.timed), line.values.share(across(line.load)))
		return now, now != a
	}
	if in == a.in && fed == a.fed {
		return a, false
	}
	a.fed = fed
	if in != a.in {
		a = r.move(a, in)
	}
	if r.device.Type.Armature == circuits.Triggered && !fed {
		a = armature{}
	}
	return a, true
}

// move lets the armature move.
func (r *relay) move(a armature, in bool) armature {
	a.in = in
	if r.device.Type.Armature == circuits.Alternates {
		a.elapsed, a.timed = 0, a.timed != !in // over or back as the coil lets go
		return a
	}
	takes := !r.atOnce && (r.seconds > 0 || r.never)
	switch r.device.Type.Times {
	case circuits.ByDelay, circuits.OffDelay:
		a.elapsed = 0
		if delayed := r.device.Timer() && in != r.device.OffDelay; !delayed || !takes {
			a.timed = in
		}
	case circuits.Interval, circuits.Repeats:
		a.elapsed, a.turns, a.timed = 0, 0, in && takes
	case circuits.Pulses:
		if in && !a.timed { // a trigger that comes meanwhile does nothing
			a.elapsed, a.timed = 0, takes
		}
	}
	return a
}

// unpowered gives how a relay stands once the power is off.
func (r *relay) unpowered(a armature) armature {
	switch r.device.Type.Armature {
	case circuits.Latches:
		return a
	case circuits.Alternates:
		if a.in {
			a = r.move(a, false)
		}
		return a
	case circuits.Follows, circuits.Watches, circuits.Triggered, circuits.Guards, circuits.Drives, circuits.Zones:
	}
	return armature{}
}

// running reports whether a timer is on its way to time out.
func (r *relay) running(a armature) bool {
	if !r.device.Timer() || r.never {
		return false
	}
	switch r.device.Type.Times {
	case circuits.ByDelay, circuits.OffDelay:
		return a.timed != a.in
	case circuits.Interval:
		return a.in && a.timed
	case circuits.Repeats:
		return a.in && !r.atOnce
	case circuits.Pulses:
	}
	return a.timed
}

// left is how many seconds a running timer still has to go.
func (r *relay) left(a armature) float64 {
	if r.device.Type.Times == circuits.Repeats && !a.timed {
		return r.off - a.elapsed
	}
	return r.seconds - a.elapsed
}

// byTurns reports whether nobody knows how the contacts of a timer that repeats stand when
// somebody comes to look: it flashes, or its time has added up over more than one round.
func (r *relay) byTurns(a armature) bool {
	return r.device.Type.Times == circuits.Repeats && r.running(a) && (r.device.Flashes() || a.turns > 1)
}

// over is a timer that repeats as it stands by its next turn.
func (r *relay) over(a armature) armature {
	a.timed, a.elapsed, a.turns = !a.timed, 0, min(a.turns+1, 2)
	return a
}

// again is how a relay stands as a step begins. One that flashes begins with its first turn, so
// that how long a step lasted makes no difference to the next.
func (r *relay) again(a armature) armature {
	if r.device.Flashes() && r.running(a) {
		a.timed, a.elapsed, a.turns = true, 0, 0
	}
	return a
}

// later lets seconds pass without timing out.
func (r *relay) later(a armature, seconds float64) armature {
	if r.running(a) {
		a.elapsed += seconds
	}
	return a
}

// pass lets seconds pass, and reports whether the timer timed out.
func (r *relay) pass(a armature, seconds float64) (armature, bool) {
	if !r.running(a) {
		return a, false
	}
	a.elapsed += seconds
	if r.left(a) > 1e-9 {
		return a, false
	}
	switch r.device.Type.Times {
	case circuits.ByDelay, circuits.OffDelay:
		a.timed = a.in
	case circuits.Interval, circuits.Pulses:
		a.timed = false
	case circuits.Repeats:
		a = r.over(a)
	}
	return a, true
}

// positions are those of the contacts and of the timed contacts.
func (r *relay) positions(a armature) (contacts, timed int) {
	if r.jammed >= 0 {
		return r.jammed, r.jammed
	}
	if r.device.Type.Armature == circuits.Alternates {
		return b2i(a.timed), b2i(a.timed)
	}
	if r.device.Type.Armature.FaultRelay() {
		return b2i(a.in && a.timed), b2i(a.timed)
	}
	return b2i(a.in), b2i(a.timed)
}

// seen tells whether it is seen to be pulled in, set or changed over. Of a timer whose output is
// another thing than its coil that is the output.
func (r *relay) seen(a armature) bool {
	contacts, timed := r.positions(a)
	if r.device.Type.SeenTimed() {
		return timed == 1
	}
	return contacts == 1
}

// standsAs tells whether two stand alike, for however long.
func (a armature) standsAs(b armature) bool {
	a.elapsed, b.elapsed = 0, 0
	return a == b
}

// same tells whether two ways to stand make no difference from here on.
func (r *relay) same(a, b armature) bool {
	return a.in == b.in && a.timed == b.timed && a.fed == b.fed && a.turns == b.turns &&
		(!r.running(a) || math.Abs(a.elapsed-b.elapsed) < 1e-9)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
