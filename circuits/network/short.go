package network

import (
	"math/cmplx"
	"slices"
)

// Short gives, after Solve has reported false, one way that the current of a dead short
// takes between the two sides of a source, as far as it goes through conductors that are
// closed in the base, not through what is joined there. It reports false where Solve failed for
// another reason, or where the short is not a single join from side to side.
func (l *Local) Short(c *Change) (way []Conductor, ok bool) {
	b := l.base
	if b.loose {
		return nil, false
	}
	for _, p := range l.net.sources[1:] {
		hot, ret := b.live.super[p.Hot], b.live.super[p.Return]
		if hot == ret || b.sameVolts(p.Hot, p.Return) || l.label(p.Hot) != hot || l.label(p.Return) != ret {
			continue
		}
		for _, j := range c.Joins {
			x, y := j[0], j[1]
			if l.label(x) == ret {
				x, y = y, x
			}
			if l.label(x) != hot || l.label(y) != ret {
				continue
			}
			way = append(b.way(x, p.Hot), b.way(y, p.Return)...)
			return way, !slices.ContainsFunc(way, func(c Conductor) bool { return l.opened[c] })
		}
	}
	return nil, false
}

// Super gives the least node that conductors join a node to in the base.
func (b *Base) Super(n Node) Node { return b.live.Super(n) }

// sameVolts tells whether two nodes of one island have the same voltage.
func (b *Base) sameVolts(a, c Node) bool {
	for _, s := range b.live.systems {
		if cmplx.Abs(s.volts[a]-s.volts[c]) > 1e-6 {
			return false
		}
	}
	return true
}

// way gives conductors that lead from one node to another of a supernode that a source
// holds, as far as what is joined in the base does not lead there.
func (b *Base) way(from, to Node) (way []Conductor) {
	b.grown.Do(b.grow)
	climb := func(n Node) (path []Node) {
		for ; b.toRoot[n].next != 0; n = b.toRoot[n].next {
			path = append(path, n)
		}
		return path
	}
	up, down := climb(from), climb(to)
	for len(up) > 0 && len(down) > 0 && up[len(up)-1] == down[len(down)-1] {
		up, down = up[:len(up)-1], down[:len(down)-1]
	}
	for _, n := range append(up, down...) {
		if c := b.toRoot[n].by; c != 0 {
			way = append(way, c)
		}
	}
	return way
}

// hop leads from a node to the next by a conductor, or by a join where that is 0.
type hop struct {
	by   Conductor
	next Node // 0 at the end
}

// grow makes a tree of what leads to each source's sides: closed conductors and joins.
func (b *Base) grow() {
	size := int(b.net.nodes) + 1
	b.toRoot = make([]hop, size)
	joinsAt := make(map[Node][]Node)
	for _, j := range b.joins {
		joinsAt[j[0]] = append(joinsAt[j[0]], j[1])
		joinsAt[j[1]] = append(joinsAt[j[1]], j[0])
	}
	reached := make([]bool, size)
	var queue []Node
	reach := func(n Node, by hop) {
		if !reached[n] {
			reached[n], b.toRoot[n] = true, by
			queue = append(queue, n)
		}
	}
	for _, p := range b.net.sources[1:] {
		for _, root := range [2]Node{p.Hot, p.Return} {
			for reach(root, hop{}); len(queue) > 0; queue = queue[1:] {
				at := queue[0]
				for _, c := range b.net.conductorsAt[at] {
					if b.closed[c] {
						reach(b.net.other(c, at), hop{c, at})
					}
				}
				for _, n := range joinsAt[at] {
					reach(n, hop{0, at})
				}
			}
		}
	}
}
