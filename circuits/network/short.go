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
			return way, !slices.ContainsFunc(way, func(c Conductor) bool { return l.isOpened(c) })
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
	joinsAt := make(map[Node][]Node)
	for _, j := range b.joins {
		joinsAt[j[0]] = append(joinsAt[j[0]], j[1])
		joinsAt[j[1]] = append(joinsAt[j[1]], j[0])
	}
	b.fromSource.Beside = func(at Node, lead func(Node, Conductor, int)) {
		for _, c := range b.net.At(at) {
			if b.closed[c] {
				lead(b.net.Other(c, at), c, 1)
			}
		}
		for _, n := range joinsAt[at] {
			lead(n, 0, 1)
		}
	}
	for _, p := range b.net.sources[1:] {
		for _, root := range [2]Node{p.Hot, p.Return} {
			if _, reached := b.fromSource.Long(root); !reached {
				b.fromSource.From(root, 0)
			}
		}
	}
}
