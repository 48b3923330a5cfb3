package read

import (
	"slices"

	"deadrung/circuits"
)

// secondaries refuses what can open in the secondary of a current transformer: a fuse, a breaker, a
// contact or a plug. What it shares with a source or the metalwork is not looked at.
func (r *reader) secondaries() {
	if r.mistakes > 0 {
		return
	}
	for _, d := range r.circuit.Devices {
		if !d.Measures() {
			continue
		}
		opens := r.openers([]circuits.Terminal{d.Terminal(d.Ends[0]), d.Terminal(d.Ends[1])})
		for _, t := range opens {
			r.wrong(r.drawn[d.Name].at, "coils and meters for current, and terminal blocks", "%s can open the secondary of %s", t, d.Name)
		}
	}
}

// openers follows wires, bridges and what current goes through from some terminals on, and gives the
// terminals of what opens there, one a device.
func (r *reader) openers(at []circuits.Terminal) (opens []circuits.Terminal) {
	number := r.circuit.NumberOf()
	for i := 0; i < len(at); i++ {
		name, terminal := at[i].Split()
		d := r.drawn[name].Device
		add := func(t circuits.Terminal) {
			if !slices.Contains(at, t) {
				at = append(at, t)
			}
		}
		through := func(pairs [][2]string) {
			for _, pair := range pairs {
				if k := slices.Index(pair[:], terminal); k >= 0 {
					add(d.Terminal(pair[1-k]))
				}
			}
		}
		through(d.Bridges)
		if d.Load().Curve == circuits.CurrentCurve {
			through(d.Coils())
		}
		of := func(c circuits.Contact) bool { return c.A == terminal || c.B == terminal }
		if d.Type.Kind == circuits.LinkKind || d.Type.Kind == circuits.ConnectorKind || slices.ContainsFunc(d.Contacts, of) {
			if !slices.ContainsFunc(opens, func(t circuits.Terminal) bool { n, _ := t.Split(); return n == name }) {
				opens = append(opens, at[i])
			}
			continue
		}
		if n := number[at[i]]; n != "" && !r.sharedNumber(n) {
			for _, t := range r.onNumber(n) {
				add(t)
			}
		}
	}
	return opens
}

// onNumber gives the terminals that a wire number joins.
func (r *reader) onNumber(name string) (all []circuits.Terminal) {
	for _, n := range r.circuit.Numbers {
		if n.Name == name {
			for _, w := range n.Wires {
				all = append(all, w.From, w.To)
			}
		}
	}
	return all
}

// sharedNumber tells whether a source or the metalwork is on a wire number.
func (r *reader) sharedNumber(name string) bool {
	return slices.ContainsFunc(r.onNumber(name), func(t circuits.Terminal) bool {
		device, _ := t.Split()
		kind := r.drawn[device].Type.Kind
		return kind == circuits.SourceKind || kind == circuits.GroundKind
	})
}
