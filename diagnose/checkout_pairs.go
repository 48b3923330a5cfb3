package diagnose

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// ohmsAt makes ohms checks of pairs of points.
func (m *Model) ohmsAt(step int, pairs []pair) []log.Located {
	out := make([]log.Located, len(pairs))
	for i, p := range pairs {
		out[i] = log.Located{Kind: log.Ohms, Step: step, A: p.a, B: p.b}
	}
	return out
}

// outPairs gives the pairs of points that are considered, in the order of the file. On a
// panel of many points these are: each point and either side of its source, each point and
// the first of its wire number, the ends of a number two by two, both sides of every part,
// and any two numbers.
func (m *Model) outPairs() []pair {
	var points []network.Node
	for n := 1; n <= m.panel.Net.Nodes(); n++ {
		if m.reachable(network.Node(n)) {
			points = append(points, network.Node(n))
		}
	}
	var pairs []pair
	if len(points) <= manyPoints {
		for i, a := range points {
			for _, b := range points[i+1:] {
				pairs = append(pairs, m.leads(a, b))
			}
		}
		return pairs
	}
	have := make(map[[2]network.Node]bool)
	add := func(a, b network.Node) {
		k := [2]network.Node{min(a, b), max(a, b)}
		if a != b && !have[k] && m.reachable(a) && m.reachable(b) {
			have[k] = true
			pairs = append(pairs, m.leads(a, b))
		}
	}
	live, _ := m.pairs(false)
	for _, p := range live {
		add(p.a, p.b)
	}
	var first []network.Node
	for i := range m.panel.Circuit.Numbers {
		on := m.pointsOn(i)
		first = append(first, on[0])
		for _, p := range on[1:] {
			add(on[0], p)
		}
		var ends []network.Node
		for _, p := range on {
			if len(m.panel.Landings(p)) == 1 {
				ends = append(ends, p)
			}
		}
		for k := range len(ends) / 2 {
			add(ends[k], ends[k+(len(ends)+1)/2])
		}
	}
	for i, a := range first {
		for _, b := range first[i+1:] {
			add(a, b)
		}
	}
	return pairs
}

// leads puts the side of a source second, where the black lead is.
func (m *Model) leads(a, b network.Node) pair {
	if m.isSide(a) && !m.isSide(b) {
		a, b = b, a
	}
	return pair{a: a, b: b}
}

// pointsOn gives the points of a wire number, in the order of the file.
func (m *Model) pointsOn(number int) []network.Node {
	var on []network.Node
	for _, w := range m.panel.Circuit.Numbers[number].Wires {
		for _, t := range []circuits.Terminal{w.From, w.To} {
			if n := m.panel.Node(t); !slices.Contains(on, n) {
				on = append(on, n)
			}
		}
	}
	return on
}

// liftable tells whether wires may be lifted off a point: there are some, and none of them
// is a bond to the metalwork, which stays where it is.
func (m *Model) liftable(at network.Node) bool {
	grounded := func(n network.Node) bool {
		name, _ := m.panel.Terminal(n).Split()
		return m.panel.Device(name).Type.Kind == circuits.GroundKind
	}
	for _, c := range m.panel.Landings(at) {
		if a, b := m.panel.Net.Ends(c); grounded(a) || grounded(b) {
			return false
		}
	}
	return m.reachable(at)
}

// endsFirst gives the points of a wire number, those where its wires end before those on
// their way.
func (m *Model) endsFirst(number int) []network.Node {
	on := m.pointsOn(number)
	slices.SortStableFunc(on, func(a, b network.Node) int {
		return cmp.Compare(min(2, len(m.panel.Landings(a))), min(2, len(m.panel.Landings(b))))
	})
	return on
}

// liftedPairs gives checks with the wires lifted off one side of a closed contact, a link
// or a load: from its other side to where the lifted wires lead. What touches past the part
// shows so.
func (m *Model) liftedPairs() []log.Located {
	net := m.panel.Net
	closed := m.locked[0].Closed
	var out []log.Located
	lift := func(a, b network.Node, link bool) {
		for _, x := range [2][2]network.Node{{a, b}, {b, a}} {
			at, other := x[0], x[1]
			if !m.liftable(at) {
				continue // the other one may have no wire: a lead reaches it all the same
			}
			add := func(points []network.Node) {
				far := 0
				for _, n := range points {
					if n != at && n != other && far < farPoints {
						far++
						out = append(out, log.Located{Kind: log.Ohms, A: n, B: other, Lifted: []circuits.Terminal{m.panel.Terminal(at)}})
					}
				}
			}
			add(m.endsFirst(m.panel.Number(at)))
			if link && m.reachable(other) {
				add(m.endsFirst(m.panel.Number(other))) // the wires before a pulled fuse, with nothing behind it
			}
		}
	}
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		if kind := m.panel.Part(c).Kind; (kind == work.ContactPart || kind == work.LinkPart) && closed[c] {
			a, b := net.Ends(c)
			lift(a, b, kind == work.LinkPart)
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		l := net.Load(network.Load(i))
		lift(l.A, l.B, false)
	}
	for i := 1; i <= net.Sources(); i++ {
		s := net.Source(network.Source(i))
		lift(s.Hot, s.Return, false)
	}
	return out
}

// withoutSupply gives checks once more with the wires lifted off either side of an
// electronic supply as well, whose output reads what nobody can foretell.
func (m *Model) withoutSupply(checks []log.Located) []log.Located {
	var out []log.Located
	for i := 1; i <= m.panel.Net.Sources(); i++ {
		s := m.panel.Net.Source(network.Source(i))
		for _, at := range []network.Node{s.Hot, s.Return} {
			if !s.Unknown || !m.liftable(at) {
				continue
			}
			t := m.panel.Terminal(at)
			for _, l := range checks {
				if l.A != at && l.B != at && !slices.Contains(l.Lifted, t) {
					l.Lifted = append(slices.Clone(l.Lifted), t)
					slices.Sort(l.Lifted)
					out = append(out, l)
				}
			}
		}
	}
	return out
}
