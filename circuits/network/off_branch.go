package network

import (
	"encoding/binary"
	"slices"
	"sync"
)

// OffBranch is a base for changes that are not small, in two parts: what cuts a source off its
// rail, or joins two rails, makes another base, in which the ends of what was cut are rails as
// well; what is left is small against that one. Many changes have the large part in common: with
// the wires lifted off a source, every fault is small again.
//
//	X1 ──/ ── H1 ── H2 ── …   the wire X1–H1 lifted: X1 and H1 are rails now
//	           │     │
//	          coil  coil
//
// Branches are made when they are asked for, and those of changes that are asked for again and
// again are kept.
type OffBranch struct {
	*OffBase
	closed []bool
	opened []Conductor // against the base that all come from, as joins
	joins  [][2]Node

	mu   sync.Mutex
	kept map[string]*OffBranch
}

// NewOffBranch makes a base from which others branch off. The state's slice is kept: it must not
// change.
func (n *Net) NewOffBranch(st State) *OffBranch {
	return &OffBranch{OffBase: n.NewOffBase(st), closed: st.Closed, kept: make(map[string]*OffBranch)}
}

// mostBranches bounds how far a change is from the base that it begins at.
const mostBranches = 6

// Own are the branches of one change, which go with it.
type Own map[*OffBranch]map[string]*OffBranch

// SolveFrom works out a change against the base, or one that branches off it, which it gives. New
// branches go into own; where that is nil, they are kept for all. It reports false where the
// change is not small against any. Other than with Solve, a meter may show a change between two rails:
// then Spread tells so.
func (l *LocalOff) SolveFrom(b *OffBranch, c *Change, own Own) (*OffBranch, bool) {
	if l.net.Rectifies() { // what is between their sides is no rail
		return nil, false
	}
	for range mostBranches {
		l.rest = *c
		rest := &l.rest
		if len(b.opened)+len(b.joins) > 0 {
			l.restOpened = appendOthers(l.restOpened[:0], c.Opened, b.opened)
			l.restJoins = appendOthers(l.restJoins[:0], c.Joins, b.joins)
			rest.Opened, rest.Joins = l.restOpened, l.restJoins
		}
		l.of = b.OffBase
		l.relabel(b.base, rest)
		if l.cutRail() {
			cut := l.boundary(rest.Opened)
			if len(cut) == 0 {
				return nil, false
			}
			b = b.branch(l.net, cut, nil, own)
			continue
		}
		if !l.findRegion(rest) {
			b = b.branch(l.net, nil, l.meeting(rest.Joins), own)
			continue
		}
		if !l.notCore() || !l.findLinks(rest) || !l.hang() {
			return nil, false
		}
		l.spread = !l.negligible(l.rails)
		return b, true
	}
	return nil, false
}

// Spread tells whether a meter shows the last change also between two rails, so that the nodes
// that it reaches are not all that stand otherwise.
func (l *LocalOff) Spread() bool { return l.spread }

// RingsLeft is Rings for the last change that SolveFrom worked out, against the base that it gave.
func (l *LocalOff) RingsLeft(visit func(super Node)) { l.Rings(&l.rest, visit) }

// appendOthers appends what is in all and not in known.
func appendOthers[T comparable](to, all, known []T) []T {
	for _, x := range all {
		if !slices.Contains(known, x) {
			to = append(to, x)
		}
	}
	return to
}

// cutRail tells whether a side of a source, or another rail, lies in a piece that was cut off.
func (l *LocalOff) cutRail() bool {
	return l.cutSource() || slices.ContainsFunc(l.of.rails, func(n Node) bool { return l.label(n) < 0 })
}

// boundary gives what opened around the pieces in which rails lie.
func (l *LocalOff) boundary(opened []Conductor) []Conductor {
	pieces := make(map[int32]bool)
	add := func(n Node) {
		if p := l.label(n); p < 0 {
			pieces[p] = true
		}
	}
	for _, p := range l.net.sources[1:] {
		add(p.Hot)
		add(p.Return)
	}
	for _, n := range l.of.rails {
		add(n)
	}
	var cut []Conductor
	for _, o := range opened {
		if a, b := l.ends(o); a != b && (pieces[a] || pieces[b]) {
			cut = append(cut, o)
		}
	}
	return cut
}

// meeting gives the joins by which rails have met.
func (l *LocalOff) meeting(joins [][2]Node) [][2]Node {
	held := make(map[int32]int)
	for _, root := range l.joined {
		if _, done := held[root]; done {
			continue
		}
		l.eachOf(root, func(x int32) {
			if l.isFixed(x) {
				held[root]++
			}
		})
	}
	var met [][2]Node
	for _, j := range joins {
		if held[l.root(l.label(j[0]))] > 1 {
			met = append(met, j)
		}
	}
	return met
}

// branch gives the base with more opened and joined.
func (b *OffBranch) branch(n *Net, opened []Conductor, joins [][2]Node, own Own) *OffBranch {
	opened = slices.Clone(opened)
	slices.Sort(opened)
	var key []byte
	for _, o := range opened {
		key = binary.AppendVarint(key, int64(o))
	}
	for _, j := range joins {
		key = binary.AppendVarint(binary.AppendVarint(key, -int64(j[0])), -int64(j[1]))
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if to := b.kept[string(key)]; to != nil {
		return to
	}
	if to := own[b][string(key)]; to != nil {
		return to
	}
	to := &OffBranch{closed: slices.Clone(b.closed), opened: slices.Concat(b.opened, opened), joins: slices.Concat(b.joins, joins),
		kept: make(map[string]*OffBranch)}
	rails := slices.Clone(b.rails)
	for _, o := range opened {
		to.closed[o] = false
		rails = append(rails, n.conductors[o].a, n.conductors[o].b)
	}
	to.OffBase = n.newOffBase(State{Closed: to.closed}, to.joins, rails)
	if own == nil {
		b.kept[string(key)] = to
		return to
	}
	if own[b] == nil {
		own[b] = make(map[string]*OffBranch)
	}
	own[b][string(key)] = to
	return to
}
