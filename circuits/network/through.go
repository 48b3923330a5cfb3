package network

import (
	"math"
	"math/cmplx"
)

// Through gives the current through a closed conductor in amperes, where it is the only
// way between what lies on its two sides: as much as the loads take from one of the sides
// (Kirchhoff's current law). It reports false where there is another way, or a source on
// either side. The net is solved with no overlay that changes conductors or loads.
func (l *Live) Through(c Conductor, closed []bool) (amps float64, ok bool) {
	n := l.net
	n.index()
	source := make(map[Node]bool, 2*len(n.sources))
	for _, s := range n.sources[1:] {
		source[s.Hot], source[s.Return] = true, true
	}
	type side struct {
		nodes []Node
		next  int
		fed   bool
	}
	of := make(map[Node]int) // the side that a node is on
	var sides [2]side
	for i, end := range [2]Node{n.conductors[c].a, n.conductors[c].b} {
		if _, met := of[end]; met {
			return 0, false
		}
		of[end] = i
		sides[i] = side{nodes: []Node{end}, fed: source[end]}
	}
	for {
		for i := range sides {
			s := &sides[i]
			if s.next == len(s.nodes) {
				if !s.fed {
					return l.taken(s.nodes, of, i), true
				}
				if sides[1-i].fed {
					return 0, false
				}
				continue // what the other side takes comes from here
			}
			node := s.nodes[s.next]
			s.next++
			for _, x := range n.conductorsAt[node] {
				if x == c || !closed[x] {
					continue
				}
				other := n.Other(x, node)
				if on, seen := of[other]; seen {
					if on != i {
						return 0, false
					}
					continue
				}
				of[other] = i
				s.nodes = append(s.nodes, other)
				s.fed = s.fed || source[other]
			}
		}
	}
}

// taken is the current that loads take from one side.
func (l *Live) taken(nodes []Node, of map[Node]int, side int) float64 {
	var most float64
	for s := range l.systems {
		var sum complex128
		for _, node := range nodes {
			for _, x := range l.net.loadsAt[node] {
				p := &l.net.loads[x]
				other := p.A
				if other == node {
					other = p.B
				}
				z := p.impedance(l.systems[s].hertz)
				if on, here := of[other]; here && on == side || cmplx.IsInf(z) {
					continue
				}
				sum += (l.systems[s].volts[node] - l.systems[s].volts[other]) / z
			}
		}
		most = math.Max(most, cmplx.Abs(sum))
	}
	return most
}
