package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Electronic gives the contacts that are semiconductors, and diodes: with the power off they
// neither conduct nor stand open for certain, whatever is put before the device. What a meter in
// ohms puts across them may open a diode or not.
func (p *Panel) Electronic() []network.Conductor { return p.electronic }

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
		return p.parts[c].Kind != DiodePart && slices.Contains(p.electronic, c)
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
		return l.Inside && d.Type.Kind == circuits.OperatorKind && d.Type.Electronic
	})
	return o
}
