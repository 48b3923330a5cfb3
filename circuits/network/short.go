package network

import (
	"math/cmplx"
	"slices"
)

// Short gives, after Solve has reported false, one way that the current of a dead short
// takes between the two sides of a source, as far as it goes through conductors that are
// closed in the base. It reports false where Solve failed for another reason, or where
// the short is not a single join from side to side.
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
// holds.
func (b *Base) way(from, to Node) []Conductor {
	b.grown.Do(b.grow)
	climb := func(n Node) (path []Conductor) {
		for c := b.toRoot[n]; c != 0; c = b.toRoot[n] {
			path = append(path, c)
			n = b.net.other(c, n)
		}
		return path
	}
	up, down := climb(from), climb(to)
	for len(up) > 0 && len(down) > 0 && up[len(up)-1] == down[len(down)-1] {
		up, down = up[:len(up)-1], down[:len(down)-1]
	}
	return append(up, down...)
}

// grow makes a tree of the conductors that are closed around each source's sides.
func (b *Base) grow() {
	b.toRoot = make([]Conductor, int(b.net.nodes)+1)
	reached := make([]bool, int(b.net.nodes)+1)
	for _, p := range b.net.sources[1:] {
		for _, root := range [2]Node{p.Hot, p.Return} {
			if reached[root] {
				continue
			}
			reached[root] = true
			for queue := []Node{root}; len(queue) > 0; queue = queue[1:] {
				for _, c := range b.net.conductorsAt[queue[0]] {
					if n := b.net.other(c, queue[0]); b.closed[c] && !reached[n] {
						reached[n] = true
						b.toRoot[n] = c
						queue = append(queue, n)
					}
				}
			}
		}
	}
}
