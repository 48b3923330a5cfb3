package network

import (
	"math/cmplx"
	"slices"
)

// Short gives, after Solve has reported false, the source that a dead short joins from side
// to side, and one way that its current takes, as far as it goes through conductors that
// are closed in the base. It reports false where Solve failed for another reason, or where
// the short is not a single join from side to side.
func (l *Local) Short(c *Change) (of Source, way []Conductor, ok bool) {
	b := l.base
	if b.loose {
		return 0, nil, false
	}
	for i, p := range l.net.sources[1:] {
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
			return Source(i + 1), way, !slices.ContainsFunc(way, func(c Conductor) bool { return l.opened[c] })
		}
	}
	return 0, nil, false
}

// Without tells whether no way is left from one end of a conductor to another node with
// that conductor open.
func (b *Base) Without(c Conductor, end, to Node) bool {
	reached := map[Node]bool{end: true}
	for queue := []Node{end}; len(queue) > 0; queue = queue[1:] {
		if queue[0] == to {
			return false
		}
		for _, x := range b.net.conductorsAt[queue[0]] {
			if n := b.net.other(x, queue[0]); x != c && b.closed[x] && !reached[n] {
				reached[n] = true
				queue = append(queue, n)
			}
		}
	}
	return true
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
