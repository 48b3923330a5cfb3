package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Stir is what moves in a circuit while it waits longer at the end of a step: where that is, for
// however long it waits. A fault that has nothing to do with it stays as it is meanwhile, and what
// moves goes on as without the fault.
type Stir struct {
	of      *Course
	nodes   []bool    // that stand otherwise, or at which a conductor opens or closes
	opens   []bool    // supernodes, by their least nodes, in which a conductor opens
	relays  []bool    // that run, time out or move
	current []float64 // the most by then, by fuse that could be overloaded
}

// Stir gives what moves on any of the courses with a longer wait at the end of a step; nil where
// that cannot be told.
func (c *Course) Stir(step int, waiting []*Course) *Stir {
	s := &Stir{of: c, nodes: make([]bool, c.p.Net.Nodes()+1), opens: make([]bool, c.p.Net.Nodes()+1),
		relays: make([]bool, len(c.p.relays))}
	before, since := c.last(step + 1)
	s.current = slices.Clone(before.current)
	for r, law := range c.p.good {
		s.relays[r] = law.running(law.later(before.stand[r], since))
	}
	for _, w := range waiting {
		if !w.whole {
			return nil
		}
		phases, known := w.steps[step+1].phases, len(c.steps[step+1].phases)
		if len(phases) < known || phases[known-1].at > c.Waits(step) || before.base.Loose() {
			return nil
		}
		for i := range phases[known:] {
			for k := range phases[known+i].moments {
				m := &phases[known+i].moments[k]
				if m.base.Loose() {
					return nil
				}
				s.note(before, m)
			}
		}
	}
	return s
}

// note adds what stands otherwise at a moment than it did before.
func (s *Stir) note(before, now *moment) {
	p := s.of.p
	was, is := before.base.Live(), now.base.Live()
	for n := network.Node(1); int(n) <= p.Net.Nodes(); n++ {
		differs := was.Island(n) != is.Island(n)
		for i := range is.Systems() {
			differs = differs || abs2(was.Potential(n, i)-is.Potential(n, i)) > 1e-18
		}
		s.nodes[n] = s.nodes[n] || differs
	}
	for c := network.Conductor(1); int(c) <= p.Net.Conductors(); c++ {
		if before.base.Closed(c) != now.base.Closed(c) {
			a, b := p.Net.Ends(c)
			s.nodes[a], s.nodes[b] = true, true
			s.opens[was.Super(a)] = s.opens[was.Super(a)] || before.base.Closed(c)
		}
	}
	for r, a := range now.stand {
		b := before.stand[r]
		s.relays[r] = s.relays[r] || a.in != b.in || a.timed != b.timed
	}
	for i, amps := range now.current {
		s.current[i] = max(s.current[i], amps)
	}
}

// at tells whether something moves at one of some nodes.
func (s *Stir) at(nodes ...network.Node) bool {
	return slices.ContainsFunc(nodes, func(n network.Node) bool { return int(n) >= len(s.nodes) || s.nodes[n] })
}

// Apart tells whether a fault has nothing to do with what moves after the end of the step: it
// changes nothing there, is nowhere near it, and hangs on nothing that does.
func (d *Departure) Apart(s *Stir) bool {
	f := d.f
	if s == nil || f.c != s.of || f.rival != nil || len(f.chatter) > 0 || f.base != f.at.base || f.o.Temper != AsTable {
		return false
	}
	for r, a := range f.apart {
		if s.relays[r] || f.relay(r).running(a) {
			return false
		}
	}
	if s.at(f.local.Nodes()...) || s.touches(f.o) || s.changed(&f.change.Change) {
		return false
	}
	for _, l := range f.local.Loads() {
		if s.atLoad(l) {
			return false
		}
	}
	parts := false
	f.local.Rings(&f.change.Change, func(super network.Node) { parts = parts || s.opens[super] })
	if parts {
		return false
	}
	more := f.more()
	i := 0
	for _, fu := range f.p.fuses {
		if fu.amps == 0 || fu.amps >= f.p.most {
			continue
		}
		if (s.current[i]+more)*currentSpan > fu.amps {
			return false
		}
		i++
	}
	return true
}

// atLoad tells whether something moves at a side of a load.
func (s *Stir) atLoad(l network.Load) bool {
	load := s.of.p.Net.Load(l)
	return s.at(load.A, load.B)
}

// changed tells whether something moves where a change is.
func (s *Stir) changed(ch *network.Change) bool {
	net := s.of.p.Net
	return slices.ContainsFunc(ch.Opened, func(c network.Conductor) bool { return s.at(net.Ends(c)) }) ||
		slices.ContainsFunc(ch.Joins, func(j [2]network.Node) bool { return s.at(j[:]...) }) ||
		slices.ContainsFunc(ch.Leaks, func(l network.Leak) bool { return s.at(l.A, l.B) }) ||
		slices.ContainsFunc(ch.OpenLoads, s.atLoad) ||
		slices.ContainsFunc(ch.LoadScale, func(l network.LoadScale) bool { return s.atLoad(l.Load) })
}

// touches tells whether something moves at the parts of a fault.
func (s *Stir) touches(o *Overlay) bool {
	p := s.of.p
	conductor := func(c network.Conductor) bool { return s.at(p.Net.Ends(c)) }
	device := func(d *circuits.Device) bool {
		return slices.ContainsFunc(d.Terminals, func(t string) bool { return s.at(p.Node(d.Terminal(t))) })
	}
	return slices.ContainsFunc(o.Open, conductor) || slices.ContainsFunc(o.Closed, conductor) ||
		slices.ContainsFunc(o.Joints, func(j network.Joint) bool { return conductor(j.Conductor) }) ||
		slices.ContainsFunc(o.Joins, func(j [2]network.Node) bool { return s.at(j[:]...) }) ||
		slices.ContainsFunc(o.Leaks, func(l network.Leak) bool { return s.at(l.A, l.B) }) ||
		slices.ContainsFunc(o.Landings, func(l network.Landing) bool {
			return conductor(l.Conductor) || s.at(l.From, l.To)
		}) ||
		slices.ContainsFunc(o.ShortedLoads, s.atLoad) ||
		slices.ContainsFunc(o.Stuck, func(st Stuck) bool { return device(st.Device) }) ||
		slices.ContainsFunc(o.Timers, func(t Timing) bool { return device(t.Device) })
}
