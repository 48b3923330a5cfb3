package work

import (
	"slices"
	"sync"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Stir is what moves in a circuit from one moment of a course to another, or while it waits longer
// at the end of a step: where that is, for however long it waits. A fault that has nothing to do
// with it stays as it is meanwhile, and what moves goes on as without the fault.
type Stir struct {
	of      *Course // that waits; nil where it is from a moment to another
	before  *network.Base
	nodes   bits      // that stand otherwise, or at which a conductor opens or closes
	opens   bits      // supernodes, by their least nodes before, in which a conductor opens
	relays  bits      // that run, time out or move
	current []float64 // the most by then, by fuse that could be overloaded
}

// bits are a set of numbers.
type bits []uint64

func newBits(n int) bits { return make(bits, (n+63)/64) }

func (b bits) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }

func (b bits) add(i int) { b[i>>6] |= 1 << (i & 63) }

func newStir(p *Panel, before *network.Base) *Stir {
	nodes := p.Net.Nodes() + 1
	return &Stir{before: before, nodes: newBits(nodes), opens: newBits(nodes), relays: newBits(len(p.relays))}
}

// stirs are what moves up to a moment, by the moment before: a course goes through it once, and
// courses that come together at the end of a step go on in common.
type stirs struct {
	mu    sync.Mutex
	since map[*moment]*Stir
}

// since gives what moves from one moment to this.
func (m *moment) since(was *moment, p *Panel) *Stir {
	m.stirs.mu.Lock()
	defer m.stirs.mu.Unlock()
	s := m.stirs.since[was]
	if s == nil {
		s = newStir(p, was.base)
		s.note(p, was, m)
		if m.stirs.since == nil {
			m.stirs.since = make(map[*moment]*Stir)
		}
		m.stirs.since[was] = s
	}
	return s
}

// Stir gives what moves on any of the courses with a longer wait at the end of a step; nil where
// that cannot be told.
func (c *Course) Stir(step int, waiting []*Course) *Stir {
	before, since := c.last(step + 1)
	s := newStir(c.p, before.base)
	s.of, s.current = c, slices.Clone(before.current)
	for r, law := range c.p.good {
		if law.running(law.later(before.stand[r], since)) {
			s.relays.add(r)
		}
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
				s.note(c.p, before, m)
			}
		}
	}
	return s
}

// note adds what stands otherwise at a moment than it did before.
func (s *Stir) note(p *Panel, before, now *moment) {
	was, is := before.base.Live(), now.base.Live()
	for n := network.Node(1); int(n) <= p.Net.Nodes(); n++ {
		// What only a load ties to a side keeps its voltage, but is not held there any more.
		differs := was.Island(n) != is.Island(n) || before.base.Held(n) != now.base.Held(n)
		for i := range is.Systems() {
			differs = differs || abs2(was.Potential(n, i)-is.Potential(n, i)) > 1e-18
		}
		if differs {
			s.nodes.add(int(n))
		}
	}
	for c := network.Conductor(1); int(c) <= p.Net.Conductors(); c++ {
		if before.base.Closed(c) != now.base.Closed(c) {
			a, b := p.Net.Ends(c)
			s.nodes.add(int(a))
			s.nodes.add(int(b))
			if before.base.Closed(c) {
				s.opens.add(int(was.Super(a)))
			}
		}
	}
	for r, a := range now.stand {
		if !a.standsAs(before.stand[r]) {
			s.relays.add(r)
		}
	}
	if s.of == nil {
		return
	}
	for i, amps := range now.current {
		s.current[i] = max(s.current[i], amps)
	}
}

// at tells whether something moves at one of some nodes.
func (s *Stir) at(nodes ...network.Node) bool {
	for _, n := range nodes {
		if int(n)>>6 >= len(s.nodes) || s.nodes.has(int(n)) {
			return true
		}
	}
	return false
}

// Apart tells whether a fault has nothing to do with what moves after the end of the step: it
// changes nothing there, is nowhere near it, and hangs on nothing that does.
func (d *Departure) Apart(s *Stir) bool {
	f := d.f
	if s == nil || f.c != s.of || f.rival != nil || len(f.chatter) > 0 || f.base != f.at.base || f.o.Temper != AsTable {
		return false
	}
	for r, a := range f.apart {
		if f.relay(r).running(a) {
			return false
		}
	}
	if f.near(s) {
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

// near tells whether a fault, as it is solved, has to do with what moves: with what it moves
// itself, with where that stands, or with what would part there.
func (f *Follower) near(s *Stir) bool {
	if f.moves(s) || s.at(f.own...) || s.at(f.local.Nodes()...) {
		return true
	}
	for _, l := range f.local.Loads() {
		if s.atLoad(f.p, l) {
			return true
		}
	}
	if s.changed(f.p, &f.change.Change) {
		return true
	}
	if !f.ringed {
		f.ringed, f.rings = true, f.rings[:0]
		f.local.Rings(&f.change.Change, func(super network.Node) { f.rings = append(f.rings, super) })
	}
	return slices.ContainsFunc(f.rings, func(n network.Node) bool { return s.opens.has(int(s.before.Super(n))) })
}

// moves tells whether a relay moves on the course that a fault moves, or may, or whether something
// moves at any of its coils.
func (f *Follower) moves(s *Stir) bool {
	for r := range f.apart {
		if s.atRelay(f.p, r) {
			return true
		}
	}
	for _, l := range f.local.Loads() {
		if r := f.p.relayOf[l]; r >= 0 && s.atRelay(f.p, r) {
			return true
		}
	}
	return false
}

func (s *Stir) atRelay(p *Panel, r int) bool {
	return s.relays.has(r) ||
		slices.ContainsFunc(p.good[r].coils, func(c coil) bool { return s.atLoad(p, c.load) })
}

// quiet tells whether a fault stands at a moment as it was solved at the one before, where all its
// relays were at rest, and has them stay so up to the next. It then goes by this moment.
func (f *Follower) quiet(was, g, next *moment) bool {
	if !f.settled || f.base != was.base || g.base.Loose() || f.near(g.since(was, f.p)) ||
		g != next && f.moves(next.since(g, f.p)) || f.bolts(g) || !f.bears(g, f.added) {
		return false
	}
	f.base = g.base
	f.local.Rebase(g.base)
	return true
}

// atLoad tells whether something moves at a side of a load.
func (s *Stir) atLoad(p *Panel, l network.Load) bool {
	load := p.Net.Load(l)
	return s.at(load.A, load.B)
}

// changed tells whether something moves where a change is.
func (s *Stir) changed(p *Panel, ch *network.Change) bool {
	net := p.Net
	return slices.ContainsFunc(ch.Opened, func(c network.Conductor) bool { return s.at(net.Ends(c)) }) ||
		slices.ContainsFunc(ch.Joins, func(j [2]network.Node) bool { return s.at(j[:]...) }) ||
		slices.ContainsFunc(ch.Leaks, func(l network.Leak) bool { return s.at(l.A, l.B) }) ||
		slices.ContainsFunc(ch.OpenLoads, func(l network.Load) bool { return s.atLoad(p, l) }) ||
		slices.ContainsFunc(ch.LoadScale, func(l network.LoadScale) bool { return s.atLoad(p, l.Load) })
}

// ownNodes are those of the parts of a fault.
func (p *Panel) ownNodes(o *Overlay) (nodes []network.Node) {
	load := func(l network.Load) { nodes = append(nodes, p.Net.Load(l).A, p.Net.Load(l).B) }
	device := func(d *circuits.Device) {
		for _, t := range d.Terminals {
			nodes = append(nodes, p.Node(d.Terminal(t)))
		}
	}
	for _, c := range slices.Concat(o.Open, o.Closed) {
		nodes = append(nodes, p.ends(c)...)
	}
	for _, j := range o.Joints {
		nodes = append(nodes, p.ends(j.Conductor)...)
	}
	for _, j := range o.Joins {
		nodes = append(nodes, j[:]...)
	}
	for _, l := range o.Leaks {
		nodes = append(nodes, l.A, l.B)
	}
	for _, l := range o.Landings {
		nodes = append(append(nodes, p.ends(l.Conductor)...), l.From, l.To)
	}
	for _, l := range o.ShortedLoads {
		load(l)
	}
	for _, st := range o.Stuck {
		device(st.Device)
	}
	for _, t := range o.Timers {
		device(t.Device)
	}
	return nodes
}
