package diagnose

import (
	"math/cmplx"
	"slices"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// traceFault works a fault through the operation. Of one that comes and goes only what it
// leaves alone is firm, and how its own device looks. Where it leaves timers running it is also
// told how it stands at the end of each step, and whether it is apart from what stirs after it.
func (m *Model) traceFault(f *work.Follower, fault int, known *conditions, stirs []*work.Stir) traced {
	t, ends := m.standing(f, fault, known, stirs)
	m.blown[fault], m.blows[fault] = t.blown, t.blows
	if !slices.ContainsFunc(t.changes, func(c change) bool { return c.left > 0 }) {
		ends = traced{}
	}
	ends.changes, ends.depends = m.whetherOrNot(f, fault, known, t.changes), t.depends
	return ends
}

// traced is a fault as it was worked through the operation.
type traced struct {
	changes []change
	stands  []work.Stand // by step
	apart   []bool       // by step: from what stirs in the good circuit while it waits there
	depends bool
}

// standing works a fault through the operation, and tells how it stands at the end of each step.
func (m *Model) standing(f *work.Follower, fault int, known *conditions, stirs []*work.Stir) (*tracing, traced) {
	t := m.tracing(&m.faults[fault].Overlay, known)
	ends := traced{stands: make([]work.Stand, len(m.good)), apart: make([]bool, len(m.good))}
	f.Work(t.o, func(step int, d *work.Departure) {
		t.small(step, d)
		ends.stands[step] = d.Stand()
		ends.apart[step] = stirs != nil && m.faults[fault].Or == nil && d.Apart(stirs[step])
	}, func(step int, e, beside *work.End) {
		t.whole(step, e, beside)
		ends.stands[step], ends.apart[step] = e.Stand(), false
	})
	return t, ends
}

// whetherOrNot adds to the changes of a fault that comes and goes those with its other side.
func (m *Model) whetherOrNot(f *work.Follower, fault int, known *conditions, changes []change) []change {
	of := &m.faults[fault]
	if of.Or == nil {
		return changes
	}
	other, _, _, _ := m.trace(f, of.Or, known)
	own := make(map[int]bool)
	for s, v := range m.visible {
		own[v] = s.Device.Name == of.Devices[0]
	}
	for step := range changes {
		if other[step].from != nil { // worked so far
			changes[step] = changes[step].byTurns(&other[step], own)
		}
	}
	return changes
}

// traceFrom works a fault once more from a step on, with time going otherwise from there, where
// it stood so at the end of each step. Of the steps from that one on it gives those in which that
// makes a difference.
func (m *Model) traceFrom(f *work.Follower, fault, step int, stands []work.Stand, known *conditions) []change {
	of := &m.faults[fault]
	if of.Or == nil {
		t := m.tracing(&of.Overlay, known)
		until := step // one beyond the last that was worked
		if f.WorkFrom(t.o, step, stands, func(k int, d *work.Departure) {
			t.small(k, d)
			until = k + 1
		}, func(k int, e, beside *work.End) {
			t.whole(k, e, beside)
			until = k + 1
		}) {
			return slices.Clone(t.changes[step:until])
		}
	}
	trace, _, _, _ := m.trace(f, &of.Overlay, known)
	return m.whetherOrNot(f, fault, known, trace)[step:]
}

// byTurns is a change that is now this and now the other, but for the looks at one device.
func (c *change) byTurns(other *change, own map[int]bool) change {
	both := change{from: c.from, left: sooner(c.left, other.left)}
	for _, n := range c.concerned(other) {
		island, volts := c.at(n)
		island2, volts2 := other.at(n)
		for s := range volts {
			if island != island2 || cmplx.Abs(complex128(volts[s]-volts2[s])) > 1e-4 {
				island = unsure
			}
		}
		both.note(n, island, volts.wide())
	}
	for v := range c.from.on {
		on, firm := c.seen(v).On, c.seen(v).Firm
		if on2, firm2 := other.seen(v).On, other.seen(v).Firm; !own[v] {
			firm = firm && firm2 && on == on2
		}
		both.look(v, on, firm)
	}
	return both
}

// concerned are the nodes that two changes may have otherwise, in rising order.
func (c *change) concerned(other *change) []network.Node {
	var nodes []network.Node
	if c.from != other.from {
		for n := 1; n < len(c.from.island); n++ {
			nodes = append(nodes, network.Node(n))
		}
		return nodes
	}
	for _, x := range slices.Concat(c.nodes, other.nodes) {
		nodes = append(nodes, x.node)
	}
	slices.Sort(nodes)
	return slices.Compact(nodes)
}
