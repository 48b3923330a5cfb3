package network

import (
	"math/cmplx"
	"slices"

	"deadrung/circuits/joined"
)

// Short gives, after Solve has reported false, one way that the current of a dead short
// takes between the two sides of a source, over joins and perhaps through other sources, as far
// as it goes through conductors that are closed in the base, not through what is joined. It
// reports false where Solve failed for another reason.
func (l *Local) Short(c *Change) (way []Conductor, ok bool) {
	if l.base.loose || l.cutSource() {
		return nil, false
	}
	for i, p := range l.net.sources[1:] {
		hops, found := l.over(c.Joins, Source(i+1))
		if !found || !l.base.drives(p, hops) {
			continue
		}
		at := p.Hot
		for _, k := range hops {
			way = append(way, l.within(at, k.from)...)
			at = k.to
		}
		return append(way, l.within(at, p.Return)...), true
	}
	return nil, false
}

// hop leads from one label to another: a join, or another source.
type hop struct {
	from, to Node
	source   bool
}

// over gives the hops by which the hot side of a source hangs together with its return, if not
// through the source itself.
func (l *Local) over(joins [][2]Node, s Source) (hops []hop, ok bool) {
	search := joined.Search[int32, hop]{Beside: func(at int32, lead func(int32, hop, int)) {
		both := func(x, y Node, source bool) {
			switch a, b := l.label(x), l.label(y); at {
			case a:
				lead(b, hop{x, y, source}, 1)
			case b:
				lead(a, hop{y, x, source}, 1)
			}
		}
		for _, j := range joins {
			both(j[0], j[1], false)
		}
		for i, p := range l.net.sources[1:] {
			if Source(i+1) != s {
				both(p.Hot, p.Return, true)
			}
		}
	}}
	p := l.net.sources[s]
	search.From(l.label(p.Hot), 0)
	return search.Way(l.label(p.Return))
}

// drives tells whether a source drives a current through hops from its hot side to its return:
// it does not where the other sources on the way hold against it.
func (b *Base) drives(p SourceParts, hops []hop) bool {
	for _, s := range b.live.systems {
		left := s.volts[p.Hot] - s.volts[p.Return]
		for _, k := range hops {
			if k.source {
				left -= s.volts[k.from] - s.volts[k.to]
			}
		}
		if cmplx.Abs(left) > 1e-6 {
			return true
		}
	}
	return false
}

// within gives conductors that lead from one node of a label to another.
func (l *Local) within(from, to Node) []Conductor {
	if l.isFixed(l.label(from)) {
		if way := l.base.way(from, to); !slices.ContainsFunc(way, l.isOpened) {
			return way
		}
	}
	search := l.base.conducting(func(c Conductor) bool { return l.isOpened(c) })
	search.From(from, 0)
	way, _ := search.Way(to)
	return slices.DeleteFunc(way, func(c Conductor) bool { return c == 0 })
}

// Cut gives, after Solve has reported false because a source was cut off, the conductor that
// leads from that source to what opened and is the nearest to it of those that stand for the cut:
// with it alone open the source is cut off as well. It is zero where there is none.
func (l *Local) Cut(c *Change, stands func(Conductor) bool) Conductor {
	b := l.base
	if b.loose || len(b.joins) > 0 {
		return 0
	}
	for _, p := range l.net.sources[1:] {
		for _, side := range [2]Node{p.Hot, p.Return} {
			piece := l.label(side)
			if piece >= 0 {
				continue
			}
			for _, opened := range c.Opened {
				from, to := l.net.Ends(opened)
				if l.label(to) == piece {
					from, to = to, from
				}
				if l.label(from) != piece || l.label(to) == piece {
					continue
				}
				for _, near := range append(slices.Clone(b.way(side, from)), opened) {
					if stands(near) && b.parts(side, near) {
						return near
					}
				}
			}
		}
	}
	return 0
}

// parts tells whether with a conductor open a node is apart from what it leads to.
func (b *Base) parts(from Node, c Conductor) bool {
	search := b.conducting(func(x Conductor) bool { return x == c })
	search.From(from, 0)
	near, far := b.net.Ends(c)
	_, reached := search.Long(near)
	_, both := search.Long(far)
	return reached != both
}

// Super gives the least node that conductors join a node to in the base.
func (b *Base) Super(n Node) Node { return b.live.Super(n) }

// way gives conductors that lead from one node to another of a supernode that a source
// holds, as far as what is joined in the base does not lead there.
func (b *Base) way(from, to Node) []Conductor {
	b.grown.Do(b.grow)
	there, _ := b.fromSource.Way(from)
	back, _ := b.fromSource.Way(to)
	for len(there) > 0 && len(back) > 0 && there[0] == back[0] {
		there, back = there[1:], back[1:]
	}
	return slices.DeleteFunc(append(there, back...), func(c Conductor) bool { return c == 0 })
}

// grow makes a tree of what leads to each source's sides: closed conductors and joins.
func (b *Base) grow() {
	b.fromSource = b.conducting(func(Conductor) bool { return false })
	for _, p := range b.net.sources[1:] {
		for _, root := range [2]Node{p.Hot, p.Return} {
			if _, reached := b.fromSource.Long(root); !reached {
				b.fromSource.From(root, 0)
			}
		}
	}
}

// conducting searches what closed conductors and joins lead to, but for conductors that are open.
func (b *Base) conducting(open func(Conductor) bool) joined.Search[Node, Conductor] {
	joinsAt := make(map[Node][]Node)
	for _, j := range b.joins {
		joinsAt[j[0]] = append(joinsAt[j[0]], j[1])
		joinsAt[j[1]] = append(joinsAt[j[1]], j[0])
	}
	return joined.Search[Node, Conductor]{Beside: func(at Node, lead func(Node, Conductor, int)) {
		for _, c := range b.net.At(at) {
			if b.closed[c] && !open(c) {
				lead(b.net.Other(c, at), c, 1)
			}
		}
		for _, n := range joinsAt[at] {
			lead(n, 0, 1)
		}
	}}
}
