package network

import (
	"math"
	"math/cmplx"
	"slices"
)

// Through gives, after Solve, the current through a conductor that is closed and bears no
// resistance, as Live.Through does.
func (l *Local) Through(c Conductor, ch *Change) (amps float64, ok bool) {
	w := walk{l: l, c: c, ch: ch, on: make(map[Node]int)}
	for i, end := range [2]Node{l.net.conductors[c].a, l.net.conductors[c].b} {
		if _, met := w.on[end]; met {
			return 0, true
		}
		w.add(i, end)
	}
	for next := [2]int{}; ; {
		for i := range w.sides {
			if next[i] == len(w.sides[i]) {
				if !w.fed[i] {
					return w.taken(i), true
				}
				if w.fed[1-i] {
					return 0, false
				}
				continue // what the other side takes comes from here
			}
			met := false
			w.beside(w.sides[i][next[i]], func(n Node) {
				if on, seen := w.on[n]; seen {
					met = met || on != i
				} else {
					w.add(i, n)
				}
			})
			if next[i]++; met {
				return 0, true
			}
		}
	}
}

// walk is what is found on the two sides of a conductor.
type walk struct {
	l     *Local
	c     Conductor
	ch    *Change
	on    map[Node]int
	sides [2][]Node
	fed   [2]bool // a source is there
}

func (w *walk) add(side int, n Node) {
	w.on[n] = side
	w.sides[side] = append(w.sides[side], n)
	w.fed[side] = w.fed[side] ||
		slices.ContainsFunc(w.l.net.sources[1:], func(s SourceParts) bool { return s.Hot == n || s.Return == n })
}

// beside visits the nodes that something of no resistance joins to one.
func (w *walk) beside(at Node, visit func(Node)) {
	l := w.l
	for _, x := range l.net.conductorsAt[at] {
		if x != w.c && l.base.closed[x] && !l.isOpened(x) {
			visit(l.net.Other(x, at))
		}
	}
	for _, joins := range [2][][2]Node{l.base.joins, w.ch.Joins} {
		for _, j := range joins {
			switch at {
			case j[0]:
				visit(j[1])
			case j[1]:
				visit(j[0])
			}
		}
	}
}

// taken is the current that loads and resistances take from one side.
func (w *walk) taken(side int) (most float64) {
	l := w.l
	for s, system := range l.base.live.systems {
		var sum complex128
		take := func(from, to Node, z complex128) {
			if on, here := w.on[to]; (here && on == side) || cmplx.IsInf(z) {
				return
			}
			_, a := l.At(from)
			_, b := l.At(to)
			sum += (a[s] - b[s]) / z
		}
		for _, n := range w.sides[side] {
			for _, x := range l.net.loadsAt[n] {
				if slices.Contains(w.ch.OpenLoads, x) {
					continue
				}
				p := scaled(l.net.loads[x], x, w.ch.LoadScale)
				far := p.A
				if far == n {
					far = p.B
				}
				take(n, far, p.impedance(system.hertz))
			}
		}
		for _, k := range w.ch.Leaks {
			for _, way := range [2][2]Node{{k.A, k.B}, {k.B, k.A}} {
				if on, here := w.on[way[0]]; here && on == side && leads(k.Ohms) {
					take(way[0], way[1], complex(k.Ohms, 0))
				}
			}
		}
		most = math.Max(most, cmplx.Abs(sum))
	}
	return most
}
