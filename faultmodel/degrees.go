package faultmodel

import (
	"fmt"
	"math"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// What comes in degrees is worked with one value that stands for all of them (Fault.Degree).
// Common practice, no source, all of these.
const (
	// DegreeLow and DegreeHigh are between which shares of the supply a voltage may be that
	// such a fault pulls down or brings up: with less it would be open, with more nobody
	// would have called.
	DegreeLow, DegreeHigh = 0.05, 0.85
	// lowShare is what a low supply gives of its volts: below what pulls a coil in, above
	// what lets it go.
	lowShare = 0.6
	// leakOhms is the resistance of a leak at 120 V, a wet box or a snubber, which is as much
	// as a small relay has. At other volts it is in proportion to their square, as the
	// loads are, but no less than leastLeakOhms.
	leakOhms, leastLeakOhms = 5000.0, 1000.0
)

// joints: bad joints in what carries a load's current, of so many ohms that half of the volts
// are left for it.
func (l *lister) joints() {
	most := loading(l.p)
	overlay := func(c network.Conductor) (work.Overlay, bool) {
		m := most[c]
		if m.load == 0 || m.amps == 0 {
			return work.Overlay{}, false
		}
		return work.Overlay{Overlay: network.Overlay{Joints: []network.Joint{{Conductor: c,
			Ohms: rounded(m.halving())}}}}, true
	}
	for i, n := range l.p.Circuit.Numbers {
		for k, w := range n.Wires {
			o, carries := overlay(l.p.Wire(i, k))
			if !carries {
				continue
			}
			from, to := l.device(w.From), l.device(w.To)
			l.add(Fault{
				ID: ID(fmt.Sprintf("resistive-%s-%s", w.From, w.To)),
				Text: fmt.Sprintf("wire %s has a bad joint between %s and %s that takes up about half of "+
					"the volts", n.Name, w.From, w.To),
				Where: fmt.Sprintf("wire %s, from %s to %s: either screw, or the crimp behind it", n.Name,
					l.at(w.From), l.at(w.To)),
				Key:     WireResistive,
				Effect:  Effect{ResistiveWire: &OpenWire{n.Name, w.From, w.To}},
				Overlay: o, Degree: true,
				Devices: []string{from.Name, to.Name},
			}, l.wireFactor(from, to))
		}
	}
	for _, d := range l.p.Circuit.Devices {
		add := func(c network.Conductor, name, text, where string, e Effect, key Key) {
			if o, carries := overlay(c); carries {
				l.add(Fault{
					ID: ID("resistive-" + name), Text: text + " takes up about half of the volts",
					Where: fmt.Sprintf("%s%s, %s", d.Called(), where, d.Whereabouts()), Key: key,
					Effect: e, Overlay: o, Degree: true, Devices: []string{d.Name},
				}, l.odds(d))
			}
		}
		for i, c := range d.Contacts {
			a, b := d.Terminal(c.A), d.Terminal(c.B)
			key := ContactResistive
			if d.Type.Moved == circuits.ByMachine {
				key = SwitchResistive
			}
			name := fmt.Sprintf("%s:%s-%s", d.Name, c.A, c.B)
			add(l.p.Contact(d, i), name, fmt.Sprintf("contact %s closes badly and", name),
				fmt.Sprintf(", contact %s-%s", c.A, c.B),
				Effect{ResistiveContact: []circuits.Terminal{a, b}}, key)
		}
		l.eachLink(d, func(i int, name, part string) {
			what := d.Called()
			if part != "" {
				what = fmt.Sprintf("%s of %s", part, what)
			}
			add(l.p.Link(d, i), name, fmt.Sprintf("a bad joint in %s", what), "", Effect{ResistiveLink: name},
				LinkResistive)
		})
	}
}

// rounded is a resistance to three figures, so that no fault hangs on the last digit.
func rounded(ohms float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(ohms))-2)
	return math.Round(ohms/unit) * unit
}

// lowSources: a wrong tap, a supply or transformer that is overloaded or tired, a feed that
// sags.
func (l *lister) lowSources() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind || d.Rectifier() { // which is as low as what feeds it
			continue
		}
		key := SupplyLow
		if d.Transformer() {
			key = TransformerLow
		}
		l.add(Fault{
			ID:    ID("low-" + d.Name),
			Text:  fmt.Sprintf("%s is low: it gives about half to three quarters of its volts", d.Called()),
			Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: key,
			Effect:  Effect{LowSource: d.Name},
			Overlay: work.Overlay{Overlay: network.Overlay{Scale: l.scaled(d, lowShare)}},
			Degree:  true, Devices: []string{d.Name},
		}, l.odds(d))
	}
}

// scaled scales all sources of a device.
func (l *lister) scaled(d *circuits.Device, factor float64) []network.SourceScale {
	var scale []network.SourceScale
	for _, s := range l.p.Sources(d) {
		scale = append(scale, network.SourceScale{Source: s, Factor: factor})
	}
	return scale
}

// leaks: to the metalwork from wire numbers that leave the panel, and across contacts in the
// field.
func (l *lister) leaks() {
	volts := 0.0
	for s := network.Source(1); int(s) <= l.p.Net.Sources(); s++ {
		volts = math.Max(volts, l.p.Net.Source(s).Volts)
	}
	ohms := math.Max(leastLeakOhms, leakOhms*volts*volts/(work.ReferenceVolts*work.ReferenceVolts))
	ground := l.ground()
	for i, n := range l.p.Circuit.Numbers {
		leaving, bonded := 0.0, false
		for _, w := range n.Wires {
			bonded = bonded || l.p.Node(w.From) == ground || l.p.Node(w.To) == ground
			if outside(l.device(w.From)) || outside(l.device(w.To)) {
				leaving++
			}
		}
		if ground == 0 || bonded || leaving == 0 {
			continue
		}
		l.add(Fault{
			ID: ID("leak-" + n.Name), Text: fmt.Sprintf("wire %s leaks to ground", n.Name),
			Where: fmt.Sprintf("wire %s, in a wet box or cable along %s", n.Name, l.along(i)), Key: GroundLeak,
			Effect: Effect{LeakToGround: n.Name},
			Overlay: work.Overlay{Overlay: network.Overlay{Leaks: []network.Leak{{A: l.p.Node(n.Wires[0].From),
				B: ground, Ohms: ohms}}}},
			Degree: true, Devices: l.devicesOn(i),
		}, leaving)
	}
	for _, d := range l.p.Circuit.Devices {
		if !outside(d) {
			continue
		}
		for _, c := range d.Contacts {
			a, b := d.Terminal(c.A), d.Terminal(c.B)
			if !l.p.Wired(a) || !l.p.Wired(b) {
				continue
			}
			name := fmt.Sprintf("%s:%s-%s", d.Name, c.A, c.B)
			l.add(Fault{
				ID: ID("leaky-" + name), Text: fmt.Sprintf("contact %s leaks while it is open", name),
				Where: fmt.Sprintf("%s, contact %s-%s, %s", d.Called(), c.A, c.B, d.Whereabouts()), Key: ContactLeak,
				Effect: Effect{LeakyContact: []circuits.Terminal{a, b}},
				Overlay: work.Overlay{Overlay: network.Overlay{Leaks: []network.Leak{{A: l.p.Node(a),
					B: l.p.Node(b), Ohms: ohms, Inside: true}}}},
				Degree: true, Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
}
