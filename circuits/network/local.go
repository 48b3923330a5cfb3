package network

import (
	"math/cmplx"
	"slices"
)

// Base is a solved state of a net against which small changes are worked out.
type Base struct {
	net     *Net
	closed  []bool
	live    *Live
	start   []int32 // by supernode, and one more: where its nodes begin in members
	members []Node
	fixed   []bool // by supernode: a live source holds it
	// loose is set where only loads tie two sources together: opening one could part
	// islands that keep their voltages.
	loose bool
}

// NewBase prepares a solved state. The state's slice is kept: it must not change.
func (n *Net) NewBase(st State, live *Live) *Base {
	n.index()
	b := &Base{net: n, closed: st.Closed, live: live}
	size := int(n.nodes) + 1
	b.start = make([]int32, size+1)
	for _, s := range live.super {
		b.start[s+1]++
	}
	for i := range size {
		b.start[i+1] += b.start[i]
	}
	b.members = make([]Node, size)
	fill := slices.Clone(b.start)
	for i, s := range live.super {
		b.members[fill[s]] = Node(i)
		fill[s]++
	}
	b.fixed = make([]bool, size)
	ties := newSets(size)
	for _, s := range n.sources[1:] {
		b.fixed[live.super[s.Hot]] = true
		b.fixed[live.super[s.Return]] = true
		ties.unite(live.super[s.Hot], live.super[s.Return])
	}
	for _, s := range n.sources[1:] {
		for _, o := range n.sources[1:] {
			x, y := live.super[s.Return], live.super[o.Return]
			b.loose = b.loose || live.island[x] == live.island[y] && ties.find(x) != ties.find(y)
		}
	}
	return b
}

// Live is the solution of the base.
func (b *Base) Live() *Live { return b.live }

// Closed tells whether a conductor is closed in the base.
func (b *Base) Closed(c Conductor) bool { return b.closed[c] }

// index makes the lists of what meets at each node, once.
func (n *Net) index() {
	n.once.Do(func() {
		n.conductorsAt = make([][]Conductor, n.nodes+1)
		for i, p := range n.conductors {
			if i > 0 {
				n.conductorsAt[p.a] = append(n.conductorsAt[p.a], Conductor(i))
				n.conductorsAt[p.b] = append(n.conductorsAt[p.b], Conductor(i))
			}
		}
		n.loadsAt = make([][]Load, n.nodes+1)
		for i, p := range n.loads {
			if i > 0 {
				n.loadsAt[p.A] = append(n.loadsAt[p.A], Load(i))
				n.loadsAt[p.B] = append(n.loadsAt[p.B], Load(i))
			}
		}
	})
}

// Change is how a state differs from its base.
type Change struct {
	Opened    []Conductor // closed in the base
	Joins     [][2]Node   // joined now: conductors that closed, shorts, shorted loads
	OpenLoads []Load
}

// Local works out small changes to a solved state: only supernodes that the change
// splits or joins, and those that loads tie to them, are solved again. It holds the
// working space of one goroutine.
//
// Where a conductor opens within a supernode, searches set out from both of its ends
// in step with each other; the one that comes to an end first has found all of its
// piece, however large the other is. So cutting one rung off a rail costs the rung,
// not the rail.
type Local struct {
	net  *Net
	base *Base

	epoch  int32
	seen   []int32 // by node: epoch in which piece is valid
	piece  []int32 // by node: its piece
	pieces []piece
	opened map[Conductor]bool

	labels map[int32]int32   // union-find over labels that a join concerns
	class  map[int32][]int32 // by root: its labels, where there are several

	value map[int32]solved // by root label
	nodes []Node
	loads []Load
}

// piece is a part of a supernode that was cut off. Its label is minus its index less
// one, so that it cannot be taken for a supernode.
type piece struct {
	nodes []Node
}

type solved struct {
	island int32
	volts  [2]complex128
	fixed  bool
}

// NewLocal makes the working space for a net with at most two frequencies; ok is
// false for others.
func (n *Net) NewLocal() (l *Local, ok bool) {
	n.index()
	size := int(n.nodes) + 1
	return &Local{
		net: n, seen: make([]int32, size), piece: make([]int32, size), opened: make(map[Conductor]bool),
	}, len(n.hertz) <= 2
}

// Solve works out a change. It reports false where the change is not a small one: it
// reaches a source itself, shorts one, or ties islands together. The state must then
// be solved as a whole.
func (l *Local) Solve(b *Base, c *Change) bool {
	if b.loose {
		return false
	}
	l.base = b
	l.epoch++
	l.pieces = l.pieces[:0]
	l.nodes, l.loads = l.nodes[:0], l.loads[:0]
	l.labels = make(map[int32]int32)
	l.class = nil
	l.value = make(map[int32]solved)
	clear(l.opened)
	for _, o := range c.Opened {
		l.opened[o] = true
	}
	done := make(map[int32]bool)
	for _, o := range c.Opened {
		s := b.live.super[l.net.conductors[o].a]
		if !done[s] {
			done[s] = true
			l.cut(s, c.Opened)
		}
	}
	for _, j := range c.Joins {
		l.join(l.label(j[0]), l.label(j[1]))
	}
	for _, p := range l.net.sources[1:] {
		if l.label(p.Hot) != b.live.super[p.Hot] || l.label(p.Return) != b.live.super[p.Return] {
			return false
		}
	}
	return l.settle(c, done)
}

// label names the part of the network that a node belongs to: its supernode, or the
// piece that was cut off it.
func (l *Local) label(n Node) int32 {
	if l.seen[n] == l.epoch {
		return -1 - l.piece[n]
	}
	return l.base.live.super[n]
}

func (l *Local) root(x int32) int32 {
	for {
		up, ok := l.labels[x]
		if !ok || up == x {
			return x
		}
		x = up
	}
}

// join ties two labels together; one that a source holds becomes the root.
func (l *Local) join(a, b int32) {
	a, b = l.root(a), l.root(b)
	if a == b {
		return
	}
	if l.isFixed(b) && !l.isFixed(a) {
		a, b = b, a
	}
	l.labels[b] = a
	if l.class == nil {
		l.class = make(map[int32][]int32)
	}
	if l.class[a] == nil {
		l.class[a] = []int32{a}
	}
	more := l.class[b]
	if more == nil {
		more = []int32{b}
	}
	l.class[a] = append(l.class[a], more...)
	delete(l.class, b)
}

func (l *Local) isFixed(label int32) bool { return label >= 0 && l.base.fixed[label] }

// Nodes are those whose island or voltage may have changed, without order.
func (l *Local) Nodes() []Node { return l.nodes }

// Loads are those whose voltage may have changed, in rising order.
func (l *Local) Loads() []Load { return l.loads }

// At gives the island of a node and its voltage by frequency.
func (l *Local) At(n Node) (island Node, volts [2]complex128) {
	label := l.label(n)
	root := l.root(label)
	if v, ok := l.value[root]; ok {
		return Node(v.island), v.volts
	}
	v := l.fixedValue(l.base.live.super[n])
	return Node(v.island), v.volts
}

// Between gives the voltage between two nodes; zero if they are on two islands.
func (l *Local) Between(a, b Node) float64 {
	ia, va := l.At(a)
	ib, vb := l.At(b)
	if ia != ib {
		return 0
	}
	var most float64
	for s := range va {
		most = max(most, cmplx.Abs(va[s]-vb[s]))
	}
	return most
}
