package network

import (
	"math/cmplx"
	"slices"
	"sync"

	"deadrung/circuits/joined"
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
	joins [][2]Node // beside the conductors

	grown      sync.Once
	fromSource joined.Search[Node, Conductor] // once grown; a join is conductor 0
}

// NewBase prepares a solved state, in which nodes are joined beside what conductors join.
// The state's slice is kept: it must not change.
func (n *Net) NewBase(st State, live *Live, joins ...[2]Node) *Base {
	n.index()
	b := &Base{net: n, closed: st.Closed, live: live, joins: joins}
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
	ties := joined.New(size)
	for _, s := range n.sources[1:] {
		b.fixed[live.super[s.Hot]] = true
		b.fixed[live.super[s.Return]] = true
		ties.Join(live.super[s.Hot], live.super[s.Return])
	}
	for _, s := range n.sources[1:] {
		for _, o := range n.sources[1:] {
			x, y := live.super[s.Return], live.super[o.Return]
			b.loose = b.loose || live.island[x] == live.island[y] && ties.Of(x) != ties.Of(y)
		}
	}
	return b
}

// Live is the solution of the base.
func (b *Base) Live() *Live { return b.live }

// Loose tells whether only loads tie two sources together, so that no change to it is a small one.
func (b *Base) Loose() bool { return b.loose }

// Held tells whether a source holds a node, with no load in between.
func (b *Base) Held(n Node) bool { return b.fixed[b.live.super[n]] }

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
	LoadScale []LoadScale
	Leaks     []Leak // resistances that are there now: leaks, and bad joints that are closed
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
	opened []int32 // by conductor: epoch in which it is open

	slots  []slot  // by supernode, then by piece
	joined []int32 // labels that others were joined to
	cuts   []int32 // supernodes that something was cut in

	region []int32 // root labels that may stand otherwise
	nodes  []Node
	loads  []Load
	ties   []tie // of the region, by loads and leaks
	met    bool  // two supernodes that sources hold were joined

	searches    searches // room
	lists, free [][]Node // those in use until the next change, and others
	edge, at    []int32
	volts       []Phasors
}

// list gives an empty list of nodes, which is kept by keepList.
func (l *Local) list() []Node {
	if n := len(l.free); n > 0 {
		list := l.free[n-1]
		l.free = l.free[:n-1]
		return list[:0]
	}
	return nil
}

// keepList has a list used again from the next change on.
func (l *Local) keepList(list []Node) {
	if cap(list) > 0 {
		l.lists = append(l.lists, list)
	}
}

// isOpened tells whether a change opens a conductor.
func (l *Local) isOpened(c Conductor) bool { return l.opened[c] == l.epoch }

// piece is a part of a supernode that was cut off. Its label is minus its index less
// one, so that it cannot be taken for a supernode.
type piece struct {
	nodes []Node
}

// slot is what is known of a label. It is void where its epoch is not the present one.
type slot struct {
	epoch int32
	up    int32 // union-find over labels
	next  int32 // the next of those that are one now, in a ring
	row   int32 // index into region, less than zero for none
	known bool  // value counts
	value solved
}

// solved is what the nodes of a label have in common.
type solved struct {
	island int32
	volts  Phasors
}

// NewLocal makes the working space for a net with at most two frequencies, all phases
// known; ok is false for others.
func (n *Net) NewLocal() (l *Local, ok bool) {
	n.index()
	size := int(n.nodes) + 1
	return &Local{
		net: n, seen: make([]int32, size), piece: make([]int32, size), opened: make([]int32, len(n.conductors)),
		slots: make([]slot, size),
	}, len(n.tones) < 2 || len(n.tones) == 2 && n.tones[0].hertz != n.tones[1].hertz
}

// slot gives that of a label.
func (l *Local) slot(label int32) *slot {
	i := int(label)
	if label < 0 {
		i = len(l.seen) - 1 - int(label)
		for i >= len(l.slots) {
			l.slots = append(l.slots, slot{})
		}
	}
	s := &l.slots[i]
	if s.epoch != l.epoch {
		*s = slot{epoch: l.epoch, up: label, next: label, row: -1}
	}
	return s
}

// Solve works out a change. It reports false where the change is not a small one: it
// reaches a source itself, shorts one, or ties islands together. The state must then
// be solved as a whole.
func (l *Local) Solve(b *Base, c *Change) bool {
	if l.base = b; b.loose || len(l.net.rectifiers)+len(l.net.machines) > 0 {
		return false
	}
	l.relabel(b, c)
	return !l.cutSource() && l.settle(c)
}

// cutSource tells whether a terminal of a source lies in a piece that was cut off.
func (l *Local) cutSource() bool {
	return slices.ContainsFunc(l.net.sources[1:],
		func(p SourceParts) bool { return l.label(p.Hot) < 0 || l.label(p.Return) < 0 })
}

// relabel labels anew what a change cuts off supernodes or joins to others.
func (l *Local) relabel(b *Base, c *Change) {
	l.base = b
	l.epoch++
	l.pieces = l.pieces[:0]
	l.nodes, l.loads, l.region = l.nodes[:0], l.loads[:0], l.region[:0]
	l.joined, l.cuts = l.joined[:0], l.cuts[:0]
	l.free, l.lists = append(l.free, l.lists...), l.lists[:0]
	for _, o := range c.Opened {
		l.opened[o] = l.epoch
	}
	for _, o := range c.Opened {
		s := b.live.super[l.net.conductors[o].a]
		if !slices.Contains(l.cuts, s) {
			l.cuts = append(l.cuts, s)
			l.cut(s, c.Opened)
		}
	}
	slices.Sort(l.cuts)
	for _, j := range c.Joins {
		l.join(l.label(j[0]), l.label(j[1]))
	}
}

// label names the part of the network that a node belongs to: its supernode, or the
// piece that was cut off it.
func (l *Local) label(n Node) int32 {
	if l.seen[n] == l.epoch {
		return -1 - l.piece[n]
	}
	return l.base.live.super[n]
}

// root gives the label that stands for all that a label is joined to.
func (l *Local) root(x int32) int32 {
	for {
		up := l.slot(x).up
		if up == x {
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
	l.slot(b) // which may move all slots
	x, y := l.slot(a), l.slot(b)
	y.up = a
	x.next, y.next = y.next, x.next
	l.joined = append(l.joined, a)
}

// isFixed tells whether a source holds a label.
func (l *Local) isFixed(label int32) bool { return label >= 0 && l.base.fixed[label] }

// Rebase goes over to another base in which nothing has changed that the change has to do with.
func (l *Local) Rebase(b *Base) { l.base = b }

// Nodes are those whose island or voltage may have changed, without order.
func (l *Local) Nodes() []Node { return l.nodes }

// Loads are those whose voltage may have changed, in rising order.
func (l *Local) Loads() []Load { return l.loads }

// At gives the island of a node and its voltage by frequency.
func (l *Local) At(n Node) (island Node, volts Phasors) {
	if s := l.slot(l.root(l.label(n))); s.known {
		return Node(s.value.island), s.value.volts
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
