package network

import (
	"math"
	"math/cmplx"
	"slices"
)

// Through gives the current through a closed conductor in amperes, where it is the only
// way between what lies on its two sides: as much as the loads take from one of the sides
// (Kirchhoff's current law). Where there is another way it is none. It reports false where
// there is a source on either side, or an overlay lands the conductor elsewhere. The net is
// solved as closed and the overlay say.
func (l *Live) Through(c Conductor, closed []bool, o *Overlay) (amps float64, ok bool) {
	if slices.ContainsFunc(o.Landings, func(m Landing) bool { return m.Conductor == c }) {
		return 0, false
	}
	n := l.net
	n.index()
	source := func(at Node) bool {
		for i, s := range n.sources {
			if i > 0 && (s.Hot == at || s.Return == at) && !slices.Contains(o.OpenSources, Source(i)) {
				return true
			}
		}
		return false
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
			return 0, true
		}
		of[end] = i
		sides[i] = side{nodes: []Node{end}, fed: source(end)}
	}
	for {
		for i := range sides {
			s := &sides[i]
			if s.next == len(s.nodes) {
				if !s.fed {
					return l.taken(s.nodes, of, i, closed, o), true
				}
				if sides[1-i].fed {
					return 0, false
				}
				continue // what the other side takes comes from here
			}
			node := s.nodes[s.next]
			s.next++
			met := false
			o.beside(n, node, closed, func(x Conductor, other Node) {
				on, seen := of[other]
				switch {
				case x == c:
				case seen:
					met = met || on != i
				default:
					of[other] = i
					s.nodes = append(s.nodes, other)
					s.fed = s.fed || source(other)
				}
			})
			if met {
				return 0, true
			}
		}
	}
}

// beside visits the nodes that something of no resistance joins to one: conductors that are
// closed, and conductor 0 for what else the overlay joins.
func (o *Overlay) beside(n *Net, at Node, closed []bool, visit func(Conductor, Node)) {
	if int(at) < len(n.conductorsAt) {
		for _, x := range n.conductorsAt[at] {
			moved := slices.ContainsFunc(o.Landings, func(l Landing) bool { return l.Conductor == x })
			if !moved && o.conducts(x, closed) {
				visit(x, n.Other(x, at))
			}
		}
	}
	join := func(a, b Node, x Conductor) {
		switch at {
		case a:
			visit(x, b)
		case b:
			visit(x, a)
		}
	}
	for _, l := range o.Landings {
		if o.conducts(l.Conductor, closed) {
			a, b := o.ends(n, l.Conductor)
			join(a, b, l.Conductor)
		}
	}
	for _, x := range o.ShortedLoads {
		join(n.loads[x].A, n.loads[x].B, 0)
	}
	for _, j := range o.Joins {
		join(j[0], j[1], 0)
	}
}

// conducts tells whether a conductor joins its ends.
func (o *Overlay) conducts(c Conductor, closed []bool) bool {
	if _, bad := o.Joint(c); bad || slices.Contains(o.Open, c) {
		return false
	}
	return closed[c] || slices.Contains(o.Closed, c)
}

// taken is the current that loads and resistances take from one side.
func (l *Live) taken(nodes []Node, of map[Node]int, side int, closed []bool, o *Overlay) float64 {
	var most float64
	resistances := o.resistances(l.net, closed)
	for i := range l.systems {
		s := &l.systems[i]
		var sum complex128
		take := func(from, to Node, z complex128) {
			if on, here := of[to]; (!here || on != side) && !cmplx.IsInf(z) {
				sum += (s.volts[from] - s.volts[to]) / z
			}
		}
		for _, node := range nodes {
			if int(node) >= len(l.net.loadsAt) {
				continue // an end that was lifted off
			}
			for _, x := range l.net.loadsAt[node] {
				if slices.Contains(o.OpenLoads, x) {
					continue
				}
				p := o.Parts(l.net, x)
				if p.A == node {
					take(node, p.B, p.impedance(s.hertz))
				} else {
					take(node, p.A, p.impedance(s.hertz))
				}
			}
		}
		for _, r := range resistances {
			if on, here := of[r.A]; here && on == side {
				take(r.A, r.B, complex(r.Ohms, 0))
			}
			if on, here := of[r.B]; here && on == side {
				take(r.B, r.A, complex(r.Ohms, 0))
			}
		}
		most = math.Max(most, cmplx.Abs(sum))
	}
	return most
}
