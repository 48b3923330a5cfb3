package work

import (
	"math"
	"math/cmplx"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// snubberAngle is by how much the current through a snubber leads, in radians: some tenth of its
// impedance is resistance. Common practice, no source.
const snubberAngle = 1.47

// addLeaks adds what passes through open contacts that are semiconductors: a load across each,
// which an ohmmeter does not see. A closed one bridges it.
func (p *Panel) addLeaks() {
	for _, d := range slices.Concat(p.operators, p.relays) {
		if d.Leakage == 0 && d.Type.Leakage == 0 {
			continue
		}
		for _, c := range p.contacts[d] {
			a, b := p.Ends(c)
			feed := p.feed(a, b, nil)
			mA := d.Leakage
			if mA == 0 && !feed.DC {
				mA = d.Type.Leakage
			}
			if mA == 0 {
				continue
			}
			const amperes = 1e-3 // of a milliampere
			ohms := p.feeds(feed, d, a, b) / (mA * amperes)
			running := complex(ohms, 0)
			if !feed.DC { // through the capacitor of its snubber, in series with a resistor
				running = cmplx.Rect(ohms, -snubberAngle)
			}
			l := p.Net.AddLoad(network.LoadParts{A: a, B: b, Running: running, Ohms: math.Inf(1)})
			p.loads = append(p.loads, d)
			p.leaks[l] = true
		}
	}
}

// keepVolts lets sensors of two wires, which are fed through what they switch, keep some volts of direct
// current for themselves while they conduct, whichever way round they are wired: behind the contact stand
// two diodes head to tail. What they keep of alternating current is within what counts as nothing, but for
// sources of few volts; see Kept.
func (p *Panel) keepVolts() {
	for _, d := range p.operators {
		if !d.Type.TwoWire {
			continue
		}
		for _, c := range p.contacts[d] {
			if !p.direct(c) {
				continue
			}
			inner, end := p.Net.Within(c)
			p.terminals = append(p.terminals, p.terminals[end])
			p.zone = append(p.zone, p.zone[end])
			for _, ends := range [2][2]network.Node{{inner, end}, {end, inner}} {
				p.parts = append(p.parts, Part{Kind: KeptPart, Device: d})
				p.electronic = append(p.electronic, p.Net.AddDiode(ends[0], ends[1], circuits.SensorDrop))
			}
			if p.keepers == nil {
				p.keepers = make(map[network.Conductor]network.Node)
			}
			p.keepers[c] = end
		}
	}
}

// direct tells whether a conductor could be joined to a source of direct current and to no other; where it
// is joined to none, whether the circuit has no other.
func (p *Panel) direct(c network.Conductor) bool {
	a, b := p.Net.Ends(c)
	joined, alternating := false, false
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind {
			continue
		}
		alternating = alternating || !d.DC
		for _, ends := range p.sourceEnds(d) {
			for _, side := range ends {
				if z := p.zone[side]; z == p.zone[a] || z == p.zone[b] {
					if !d.DC {
						return false
					}
					joined = true
				}
			}
		}
	}
	return joined || !alternating
}

// Kept are the most volts that sensors of two wires keep of direct current, several in series; none where
// the panel has no such sensor on it.
func (p *Panel) Kept() float64 {
	return float64(min(len(p.keepers), circuits.SensorsInSeries)) * circuits.SensorDrop
}

// Ends gives the terminals of a conductor: of one that ends within a device those behind it.
func (p *Panel) Ends(c network.Conductor) (a, b network.Node) {
	a, b = p.Net.Ends(c)
	if end := p.keepers[c]; end != 0 {
		b = end
	}
	return a, b
}

// Leaks tells whether a load is an open contact that leaks.
func (p *Panel) Leaks(l network.Load) bool { return p.leaks[l] }

// Electronic gives the contacts that are semiconductors, and diodes: with the power off they
// neither conduct nor stand open for certain, whatever is put before the device. What a meter in
// ohms puts across them may open a diode or not.
func (p *Panel) Electronic() []network.Conductor { return p.electronic }

// DiodeConductors gives the diodes that are parts of their own.
func (p *Panel) DiodeConductors() []network.Conductor { return p.diodes }

// Semiconductors gives a state with the contacts that are semiconductors, and diodes, all
// conducting or none. What an ohmmeter finds lies between the two, since a resistance between two points
// never falls when another one rises.
func (p *Panel) Semiconductors(st network.State, conduct bool) network.State {
	if len(p.electronic) == 0 {
		return st
	}
	st.Closed = slices.Clone(st.Closed)
	for _, c := range p.electronic {
		st.Closed[c] = conduct
	}
	return st
}

// Dead takes out of an overlay what is wrong inside of electronic devices, which an ohmmeter
// does not see; but for diodes, which are nothing beside what is wrong with them.
func (p *Panel) Dead(o Overlay) Overlay {
	if len(p.electronic) == 0 {
		return o
	}
	is := func(c network.Conductor) bool {
		return p.parts[c].Kind != DiodePart && p.parts[c].Kind != KeptPart && slices.Contains(p.electronic, c)
	}
	without := func(all []network.Conductor) []network.Conductor {
		return slices.DeleteFunc(slices.Clone(all), is)
	}
	o.Open, o.Closed = without(o.Open), without(o.Closed)
	o.Joints = slices.DeleteFunc(slices.Clone(o.Joints), func(j network.Joint) bool { return is(j.Conductor) })
	o.Stuck = slices.DeleteFunc(slices.Clone(o.Stuck), func(s Stuck) bool { return s.Device.Type.Electronic })
	o.Leaks = slices.DeleteFunc(slices.Clone(o.Leaks), func(l network.Leak) bool {
		name, _ := p.terminals[l.A].Split()
		d := p.devices[name]
		return l.Inside && d.Type.Electronic
	})
	return o
}
