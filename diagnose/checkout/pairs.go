package checkout

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// ohmsAt makes ohms checks of pairs of points.
func (pl *planner) ohmsAt(step int, pairs [][2]network.Node) []log.Located {
	out := make([]log.Located, len(pairs))
	for i, p := range pairs {
		out[i] = log.Located{Kind: log.Ohms, Step: step, A: p[0], B: p[1]}
	}
	return out
}

// outPairs gives the pairs of points that are considered, in the order of the file. On a
// panel of many points these are: each point and either side of its source, each point and
// the first of its wire number, the ends of a number two by two, both sides of every part,
// and any two numbers.
func (pl *planner) outPairs() [][2]network.Node {
	var points []network.Node
	for n := 1; n <= pl.panel.Net.Nodes(); n++ {
		if pl.reachable(network.Node(n)) {
			points = append(points, network.Node(n))
		}
	}
	var pairs [][2]network.Node
	if len(points) <= manyPoints {
		for i, a := range points {
			for _, b := range points[i+1:] {
				pairs = append(pairs, pl.leads(a, b))
			}
		}
		return pairs
	}
	have := make(map[[2]network.Node]bool)
	add := func(a, b network.Node) {
		k := [2]network.Node{min(a, b), max(a, b)}
		if a != b && !have[k] && pl.reachable(a) && pl.reachable(b) {
			have[k] = true
			pairs = append(pairs, pl.leads(a, b))
		}
	}
	for _, p := range pl.model.LeadPairs() {
		add(p[0], p[1])
	}
	var first []network.Node
	for i := range pl.panel.Circuit.Numbers {
		on := pl.pointsOn(i)
		first = append(first, on[0])
		for _, p := range on[1:] {
			add(on[0], p)
		}
		var ends []network.Node
		for _, p := range on {
			if len(pl.panel.Landings(p)) == 1 {
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
func (pl *planner) leads(a, b network.Node) [2]network.Node {
	if pl.isSide(a) && !pl.isSide(b) {
		a, b = b, a
	}
	return [2]network.Node{a, b}
}

// isSide tells whether a node is one side of its source.
func (pl *planner) isSide(n network.Node) bool {
	s := pl.panel.Net.Source(pl.own[n])
	return n == s.Hot || n == s.Return
}

// reachable tells whether a lead is put on a node: a wire lands there.
func (pl *planner) reachable(n network.Node) bool { return len(pl.panel.Landings(n)) > 0 }

// closed gives the conductors that are closed with the power locked off and the operators as
// in a step.
func (pl *planner) closed(step int) []bool {
	return pl.panel.LockedOut(&work.Overlay{}, pl.book.Held(step)).Closed
}

// pointsOn gives the points of a wire number, in the order of the file.
func (pl *planner) pointsOn(number int) []network.Node {
	var on []network.Node
	for _, w := range pl.panel.Circuit.Numbers[number].Wires {
		for _, t := range []circuits.Terminal{w.From, w.To} {
			if n := pl.panel.Node(t); !slices.Contains(on, n) {
				on = append(on, n)
			}
		}
	}
	return on
}

// liftable tells whether wires may be lifted off a point: there are some, none of them
// is a bond to the metalwork, which stays where it is, and none closes the secondary of a current
// transformer.
func (pl *planner) liftable(at network.Node) bool {
	grounded := func(n network.Node) bool {
		name, _ := pl.panel.Terminal(n).Split()
		return pl.panel.Device(name).Type.Kind == circuits.GroundKind
	}
	for _, c := range pl.panel.Landings(at) {
		if a, b := pl.panel.Net.Ends(c); grounded(a) || grounded(b) {
			return false
		}
	}
	if pl.panel.HasMeasuring() {
		if o, err := pl.panel.Lift(work.Overlay{}, []circuits.Terminal{pl.panel.Terminal(at)}); err != nil || pl.panel.OpensSecondary(o) != nil {
			return false
		}
	}
	return pl.reachable(at)
}

// endsFirst gives the points of a wire number, those where its wires end before those on
// their way.
func (pl *planner) endsFirst(number int) []network.Node {
	on := pl.pointsOn(number)
	slices.SortStableFunc(on, func(a, b network.Node) int {
		return cmp.Compare(min(2, len(pl.panel.Landings(a))), min(2, len(pl.panel.Landings(b))))
	})
	return on
}

// liftedPairs gives checks with the wires lifted off one side of a closed contact, a link
// or a load: from its other side to where the lifted wires lead. What touches past the part
// shows so.
func (pl *planner) liftedPairs() []log.Located {
	net := pl.panel.Net
	closed := pl.closed(0)
	var out []log.Located
	lift := func(a, b network.Node, link bool) {
		for _, x := range [2][2]network.Node{{a, b}, {b, a}} {
			at, other := x[0], x[1]
			if !pl.liftable(at) {
				continue // the other one may have no wire: a lead reaches it all the same
			}
			add := func(points []network.Node) {
				far := 0
				for _, n := range points {
					if n != at && n != other && far < farPoints {
						far++
						out = append(out,
							log.Located{Kind: log.Ohms, A: n, B: other, Lifted: []circuits.Terminal{pl.panel.Terminal(at)}})
					}
				}
			}
			add(pl.endsFirst(pl.panel.Number(at)))
			if link && pl.reachable(other) {
				add(pl.endsFirst(pl.panel.Number(other))) // the wires before a pulled fuse, with nothing behind it
			}
		}
	}
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		if kind := pl.panel.Part(c).Kind; (kind == work.ContactPart || kind == work.LinkPart) && closed[c] {
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

// withoutElectronics gives checks once more with the wires lifted off either side of an
// electronic supply or contact as well, which read what nobody can foretell.
func (pl *planner) withoutElectronics(checks []log.Located) []log.Located {
	var out []log.Located
	for _, at := range pl.electronic() {
		t := pl.panel.Terminal(at)
		for _, l := range checks {
			if l.A != at && l.B != at && !slices.Contains(l.Lifted, t) {
				l.Lifted = append(slices.Clone(l.Lifted), t)
				slices.Sort(l.Lifted)
				out = append(out, l)
			}
		}
	}
	return out
}

// electronic gives the two sides of each electronic supply and contact that a wire can be
// lifted off.
func (pl *planner) electronic() []network.Node {
	var sides []network.Node
	add := func(a, b network.Node) {
		for _, at := range []network.Node{a, b} {
			if pl.liftable(at) && !slices.Contains(sides, at) {
				sides = append(sides, at)
			}
		}
	}
	for i := 1; i <= pl.panel.Net.Sources(); i++ {
		if s := pl.panel.Net.Source(network.Source(i)); s.Unknown {
			add(s.Hot, s.Return)
		}
	}
	for _, c := range pl.panel.Electronic() {
		add(pl.panel.Ends(c))
	}
	return sides
}
