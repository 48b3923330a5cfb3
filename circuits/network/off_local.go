package network

import (
	"math"
	"slices"
)

// OffBase is a net with the power locked off, solved, against which small changes are
// worked out.
type OffBase struct {
	base  *Base
	off   *Off
	core  []bool // by supernode: part of the core of resistors, but not a rail
	rails []Node // beside the sides of the sources
}

// NewOffBase prepares a state with the power locked off, with nodes joined beside what
// conductors join. The state's slice is kept: it must not change.
func (n *Net) NewOffBase(st State, joins ...[2]Node) *OffBase { return n.newOffBase(st, joins, nil) }

func (n *Net) newOffBase(st State, joins [][2]Node, rails []Node) *OffBase {
	st.EMF = nil
	o := &Overlay{Joins: joins}
	off := n.offWith(st, o, rails)
	// Nothing is asked of the base but what hangs together.
	live := &Live{net: n, super: off.open.super, island: make([]int32, len(off.open.super))}
	b := &OffBase{base: n.NewBase(st, live, joins...), off: off, rails: rails}
	for _, x := range rails {
		b.base.fixed[b.base.live.super[x]] = true
	}
	b.core = make([]bool, len(b.off.open.super))
	for _, x := range b.off.open.core {
		b.core[x] = !b.base.fixed[x]
	}
	return b
}

// Closed tells whether a conductor is closed in the base.
func (b *OffBase) Closed(c Conductor) bool { return b.base.closed[c] }

// Super gives the least node that a node is joined to in the base.
func (b *OffBase) Super(n Node) Node { return b.base.live.Super(n) }

// Off is the solution of the base.
func (b *OffBase) Off() *Off { return b.off }

// LocalOff works out small changes to a net with the power off. Between the sides of the
// sources, the rails of a panel, hang the rungs; a change to some of them leaves every
// resistance between others as it was. It holds the working space of one goroutine.
type LocalOff struct {
	*Local
	of    *OffBase
	hangs []hanging // by row of the region

	links  []link
	rails  link // what comes between two rails, or goes from there
	ring   ring
	gone   []bool
	degree []int32
	leaves []int32

	spread     bool
	rest       Change      // what the last change is against its branch
	restOpened []Conductor // room
	restJoins  [][2]Node
}

// hanging is a label of the region: what it hangs on, and where its tree ends.
type hanging struct {
	on   int32 // a label
	ohms float64
	ok   bool  // else it stands by itself
	top  int32 // the label at the end of its tree
}

// link is resistance between two labels.
type link struct {
	a, b int32
	g    float64
}

// NewLocalOff makes the working space for a net.
func (n *Net) NewLocalOff() *LocalOff {
	l, _ := n.NewLocal()
	return &LocalOff{Local: l}
}

// Solve works out a change. It reports false where the change is not a small one: it
// reaches a source itself, joins two rails, or changes what lies between them.
func (l *LocalOff) Solve(b *OffBase, c *Change) bool {
	l.of = b
	if l.net.Rectifies() { // what is between their sides is no rail
		return false
	}
	l.relabel(b.base, c)
	return !l.cutSource() && l.findRegion(c) && l.notCore() && l.findLinks(c) && l.hang() &&
		l.negligible(l.rails)
}

// Met tells, after Solve has reported false, whether that was because the change joins two
// rails.
func (l *LocalOff) Met() bool { return l.met }

// notCore tells whether none of the region is part of the core.
func (l *LocalOff) notCore() bool {
	for _, n := range l.nodes {
		if l.of.core[l.base.live.super[n]] {
			return false
		}
	}
	return true
}

// findLinks collects what resistance ties the region together and to the rails, and what
// the change is from rail to rail. It reports false where that concerns three rails.
func (l *LocalOff) findLinks(c *Change) bool {
	l.links, l.rails = l.links[:0], link{}
	rails := &l.rails
	between := func(a, b int32, g float64) bool {
		x, y := min(a, b), max(a, b)
		if rails.a != 0 && (rails.a != x || rails.b != y) {
			return false
		}
		rails.a, rails.b = x, y
		rails.g += g
		return true
	}
	for _, x := range l.loads { // as they were
		p := &l.net.loads[x]
		a, b := l.base.live.super[p.A], l.base.live.super[p.B]
		if leads(p.Ohms) && l.base.fixed[a] && l.base.fixed[b] && a != b && !between(a, b, -1/p.Ohms) {
			return false
		}
	}
	l.findTies(c)
	for _, t := range l.ties {
		a, b, g := t.a, t.b, 1/t.parts.Ohms
		switch {
		case !leads(t.parts.Ohms):
			continue
		case l.isFixed(a) && l.isFixed(b):
			if !between(a, b, g) {
				return false
			}
			continue
		}
		i := slices.IndexFunc(l.links, func(k link) bool { return k.a == a && k.b == b || k.a == b && k.b == a })
		if i < 0 {
			l.links = append(l.links, link{a, b, 0})
			i = len(l.links) - 1
		}
		l.links[i].g += g
	}
	return true
}

// A meter shows two resistances as one if they differ by no more than half of its last
// digit and a small share of them.
const (
	shows      = 0.05  // ohms; handheld meter manuals: 0.1 ohm is a digit of the lowest range
	showsShare = 0.002 // common practice, no source
	nothing    = 1e-12 // siemens; what is left of loads that were taken away and put back
)

// negligible tells whether so much more conductance between two rails changes no
// resistance in the panel by as much as a meter shows: a coil more or less across the
// winding of a transformer is nothing. None changes by more than that
// between the two rails themselves (by the rank-one update of the inverse: a current
// between any two nodes sets no more across the rails than one between the rails).
func (l *LocalOff) negligible(more link) bool {
	if math.Abs(more.g) < nothing {
		return true
	}
	f := l.of.off
	between := func(r *resistors) (is, will float64) {
		is = r.between(more.a, more.b)
		return is, 1 / (1/is + more.g)
	}
	is, will := between(f.open)
	if f.short == nil {
		return math.Abs(is-will) < shows
	}
	// Behind an unknown output no reading across the rails is firm, with the change or
	// without, unless something else joins them.
	known, same := between(f.short)
	return math.Abs(known-same) < shows && (math.Abs(is-will) < shows ||
		len(l.net.sources) == 2 && math.Min(is, will) > 2*shows && !sameOhms(is, known) &&
			!sameOhms(will, same))
}

// hang strips the labels of the region leaf by leaf, as resistors.reduce does, and solves
// what is left.
func (l *LocalOff) hang() bool {
	n := len(l.region)
	l.hangs = slices.Grow(l.hangs[:0], n)[:n]
	clear(l.hangs)
	l.degree = slices.Grow(l.degree[:0], n)[:n]
	clear(l.degree)
	l.gone = slices.Grow(l.gone[:0], len(l.links))[:len(l.links)]
	clear(l.gone)
	l.leaves = l.leaves[:0]
	for _, k := range l.links {
		for _, x := range [2]int32{k.a, k.b} {
			if i := l.row(x); i >= 0 {
				l.degree[i]++
			}
		}
	}
	for i, d := range l.degree {
		if d == 1 {
			l.leaves = append(l.leaves, int32(i))
		}
	}
	left := len(l.links)
	for len(l.leaves) > 0 {
		i := l.leaves[len(l.leaves)-1]
		l.leaves = l.leaves[:len(l.leaves)-1]
		if l.degree[i] != 1 {
			continue // the last of its tree
		}
		x := l.region[i]
		at := 0
		for l.gone[at] || l.links[at].a != x && l.links[at].b != x {
			at++
		}
		k := l.links[at]
		l.gone[at] = true
		left--
		other := k.a + k.b - x
		l.hangs[i] = hanging{on: other, ohms: 1 / k.g, ok: true}
		l.degree[i]--
		if r := l.row(other); r >= 0 {
			if l.degree[r]--; l.degree[r] == 1 {
				l.leaves = append(l.leaves, r)
			}
		}
	}
	for i, x := range l.region {
		top := x
		for r := l.row(top); r >= 0 && l.hangs[r].ok; r = l.row(top) {
			top = l.hangs[r].on
		}
		l.hangs[i].top = top
	}
	l.ring = ring{}
	return left == 0 || l.findRing()
}

// Ohms gives what an ohmmeter reads between two nodes, as Off.Ohms does.
func (l *LocalOff) Ohms(a, b Node) (ohms float64, firm bool) {
	f := l.of.off
	ohms = l.between(f.open, a, b)
	if ohms >= OpenOhms {
		ohms = math.Inf(1)
	}
	if f.short == nil {
		return ohms, true
	}
	return ohms, sameOhms(ohms, l.between(f.short, a, b))
}

// Least gives the ohms between two nodes with every electronic output taken as joined, as Off.Least
// does.
func (l *LocalOff) Least(a, b Node) float64 {
	if f := l.of.off; f.short != nil {
		return l.between(f.short, a, b)
	}
	return l.between(l.of.off.open, a, b)
}

// hung gives what a label hangs on, and by how many ohms; false for one that stands by
// itself.
func (l *LocalOff) hung(r *resistors, label int32) (on int32, ohms float64, ok bool) {
	if i := l.row(label); i >= 0 {
		h := &l.hangs[i]
		return h.on, h.ohms, h.ok
	}
	h := r.up[label]
	return h.on, h.ohms, h.on != 0
}

// component names what hangs together, by a supernode or by a label of the region.
func (l *LocalOff) component(r *resistors, label int32) (supernode, own int32) {
	if i := l.row(label); i >= 0 {
		if label = l.hangs[i].top; l.row(label) >= 0 {
			p := l.place(label)
			switch {
			case p < 0:
				return 0, label
			case l.ring.alone[p] != 0:
				return 0, l.ring.alone[p]
			case l.ring.share[p] == 1:
				label = l.ring.b
			default:
				label = l.ring.a
			}
		}
	}
	supernode = r.comp.Read(label)
	if l.rails.g > nothing && supernode == r.comp.Read(l.rails.b) {
		supernode = r.comp.Read(l.rails.a) // they may not have hung together before
	}
	return supernode, 0
}

// between is resistors.between along the trees as they hang now.
func (l *LocalOff) between(r *resistors, na, nb Node) float64 {
	a, b := l.root(l.label(na)), l.root(l.label(nb))
	if a == b {
		return 0
	}
	sa, oa := l.component(r, a)
	if sb, ob := l.component(r, b); sa != sb || oa != ob {
		return math.Inf(1)
	}
	var sum float64
	top := a
	for x := a; ; {
		if x == b {
			return sum
		}
		on, ohms, ok := l.hung(r, x)
		if !ok {
			top = x
			break
		}
		sum += ohms
		x = on
	}
	var way float64
	for y := b; ; {
		var d float64
		for x := a; ; {
			if x == y {
				return way + d
			}
			on, ohms, ok := l.hung(r, x)
			if !ok {
				break
			}
			d += ohms
			x = on
		}
		on, ohms, ok := l.hung(r, y)
		if !ok {
			return way + sum + l.within(r, top, y)
		}
		way += ohms
		y = on
	}
}
