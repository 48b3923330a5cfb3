package diagnose

import (
	"cmp"
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/network"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// CheckOut is what proves a new build before power is first put on: ohms checks that
// together read otherwise for every wiring fault that ohms can show.
type CheckOut struct {
	// Parts are made in their order. Those for which a wire is lifted come first: what
	// follows proves that it is landed again.
	Parts []CheckOutPart
	// Faults is the number of wiring faults that were thought of.
	Faults int
	// Unseen are those that none of the checks considered shows for certain.
	Unseen []UnseenFault
	// Ungrounded is set where the circuit has no bonded metalwork, so that nothing is
	// proved against it.
	Ungrounded bool
}

// CheckOutOptions say what checks there may be.
type CheckOutOptions struct {
	// NoLifting leaves out those for which a wire is lifted. What they alone show is then
	// among the unseen.
	NoLifting bool
}

// Checks gives all checks in the order in which they are made.
func (c CheckOut) Checks() []OutCheck {
	var all []OutCheck
	for _, p := range c.Parts {
		all = append(all, p.Checks...)
	}
	return all
}

// Agrees tells whether a reading of the check is that of a good circuit.
func (c OutCheck) Agrees(r Reading) bool { return r.Value >= c.Low && r.Value <= c.High }

// CheckOutPart is a set of checks of one sort. Each part shows the faults that those sorts
// which are less trouble cannot show.
type CheckOutPart struct {
	Sort   CheckOutSort
	Checks []OutCheck // in rung order
	Faults int        // that it is there for
	// Bound is a proved lower bound on how many checks of the sort show these; they are
	// the fewest where it is their number.
	Bound int
}

// CheckOutSort is how much trouble a check is.
type CheckOutSort int

const (
	LiftedOut CheckOutSort = iota // wires lifted off a terminal
	PlainOut                      // operators as in the first step, nothing lifted
	HeldOut                       // operators held as in another step
)

// OutCheck is one check of a check-out.
type OutCheck struct {
	Check     Check
	Usual     Reading
	Low, High float64  // the readings that agree; High is OL where OL agrees
	Through   []string // devices between the leads, from red to black
	Rung      int      // the later one of the two leads' rungs; 0 if they are on none
	Shows     int      // how many of the faults it shows
}

// UnseenFault is a wiring fault that the checks do not show.
type UnseenFault struct {
	Text string
	// Near is set where a reading changes, but by no more than coils differ from their
	// rated ohms.
	Near bool
}

// outFault is one wiring fault.
type outFault struct {
	text    string
	overlay circuits.Overlay
}

// Limits of the search.
const (
	// manyPoints is the number of landed terminals above which not every pair of them is
	// considered, but those that a check-out mostly uses.
	manyPoints = 100
	// coverPositions bounds the search for the fewest checks.
	coverPositions = 300000
	// farPoints is how many points of a wire number whose wire is lifted are considered.
	farPoints = 12
)

// CheckOut chooses the checks. It considers every fault of the model that is a mistake of
// wiring: an open wire or bridge, a wire end on another terminal, exchanged wires, a wire
// number to ground; and any two wire numbers that touch, wherever they run. A fault counts
// as shown where no reading that agrees with the good circuit agrees with it, whatever its
// coils are within their tolerance.
func (m *Model) CheckOut(o CheckOutOptions) CheckOut {
	faults, ungrounded := m.wiringFaults()
	out := CheckOut{Faults: len(faults), Ungrounded: ungrounded}
	rungs := drawing.New(m.panel.Circuit)
	left := make([]int, len(faults))
	for i := range left {
		left[i] = i
	}
	part := func(sort CheckOutSort, tries []located) {
		if len(left) == 0 || len(tries) == 0 {
			return
		}
		shows := m.showing(tries, faults, left)
		cover := split.FewestTests(shows, coverPositions)
		p := CheckOutPart{Sort: sort, Bound: cover.Bound}
		count := make([]int, len(tries))
		for _, s := range shows {
			for _, t := range s {
				count[t]++
			}
		}
		for _, t := range cover.Tests {
			c := m.outCheck(tries[t], rungs)
			c.Shows = count[t]
			p.Checks = append(p.Checks, c)
		}
		var still []int
		for i, s := range shows {
			if len(s) == 0 {
				still = append(still, left[i])
			}
		}
		p.Faults = len(left) - len(still)
		left = still
		slices.SortStableFunc(p.Checks, func(a, b OutCheck) int {
			return cmp.Or(cmp.Compare(m.panel.Circuit.Step(a.Check.Step), m.panel.Circuit.Step(b.Check.Step)), cmp.Compare(a.Rung, b.Rung))
		})
		if len(p.Checks) > 0 {
			out.Parts = append(out.Parts, p)
		}
	}
	pairs := m.outPairs()
	part(PlainOut, m.ohmsAt(0, pairs))
	var held []located
	for step := range m.held {
		if step > 0 && m.held[step] == step {
			held = append(held, m.ohmsAt(step, pairs)...)
		}
	}
	part(HeldOut, held)
	if !o.NoLifting {
		lifted := m.liftedPairs()
		part(LiftedOut, slices.Concat(lifted, m.withoutSupply(m.ohmsAt(0, pairs)), m.withoutSupply(lifted)))
	}
	slices.SortStableFunc(out.Parts, func(a, b CheckOutPart) int { return cmp.Compare(a.Sort, b.Sort) })
	for _, i := range left {
		out.Unseen = append(out.Unseen, UnseenFault{Text: faults[i].text, Near: m.near(pairs, faults[i])})
	}
	return out
}

// wiringFaults gives the faults that are mistakes of wiring.
func (m *Model) wiringFaults() (faults []outFault, ungrounded bool) {
	ungrounded = !slices.ContainsFunc(m.panel.Circuit.Devices, func(d *circuits.Device) bool { return d.Type.Kind == circuits.GroundKind })
	one := m.alwaysJoined()
	for i := range m.faults {
		f := &m.faults[i]
		if m.isWiring(f) && !m.nothing(f, one) {
			faults = append(faults, outFault{f.Text, f.Overlay})
		}
	}
	numbers := m.panel.Circuit.Numbers
	for i := range numbers {
		for k := i + 1; k < len(numbers); k++ {
			a, b := m.panel.Node(numbers[i].Wires[0].From), m.panel.Node(numbers[k].Wires[0].From)
			if one.Joined(a, b) {
				continue // by a plug, or both are bonded: they are one
			}
			faults = append(faults, outFault{fmt.Sprintf("wires %s and %s touch", numbers[i].Name, numbers[k].Name),
				circuits.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{a, b}}}}})
		}
	}
	return faults, ungrounded
}

// isWiring tells whether a fault is a mistake of wiring. Two numbers that touch are listed
// apart, for any two.
func (m *Model) isWiring(f *faultmodel.Fault) bool {
	e := f.Effect
	if e.OpenLink != "" {
		return slices.ContainsFunc(f.Overlay.Open, func(c network.Conductor) bool { return m.panel.Part(c).Kind == circuits.BridgePart })
	}
	return e.OpenWire != nil || e.Miswired != nil || e.Exchanged != nil || e.Ground != ""
}

// nothing tells whether a fault only joins what is one already, or moves wires from one
// terminal to another of the same node: by a mated plug, or where both are bonded.
func (m *Model) nothing(f *faultmodel.Fault, one *network.Live) bool {
	changes := len(f.Overlay.Open) > 0
	for _, j := range f.Overlay.Joins {
		changes = changes || !one.Joined(j[0], j[1])
	}
	for _, l := range f.Overlay.Landings {
		// Moved along a wire of its own number it may still leave another one open.
		changes = changes || !one.Joined(l.From, l.To)
	}
	return !changes
}

// alwaysJoined is the network of what nobody opens: wires, bridges, mated plugs, metalwork.
func (m *Model) alwaysJoined() *network.Live {
	net := m.panel.Net
	o := network.Overlay{OpenLoads: allLoads(net), OpenSources: allSources(net)}
	for i := 1; i <= net.Conductors(); i++ {
		switch c := network.Conductor(i); m.panel.Part(c).Kind {
		case circuits.ContactPart, circuits.LinkPart:
			o.Open = append(o.Open, c)
		}
	}
	return net.Live(network.State{Closed: net.NewState().Closed}, &o)
}

// ohmsAt makes ohms checks of pairs of points.
func (m *Model) ohmsAt(step int, pairs []pair) []located {
	out := make([]located, len(pairs))
	for i, p := range pairs {
		out[i] = located{kind: Ohms, step: step, a: p.a, b: p.b}
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
		return m.panel.Circuit.Device(name).Type.Kind == circuits.GroundKind
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
func (m *Model) liftedPairs() []located {
	net := m.panel.Net
	closed := m.locked[0].Closed
	var out []located
	lift := func(a, b network.Node) {
		for _, x := range [2][2]network.Node{{a, b}, {b, a}} {
			at, other := x[0], x[1]
			if !m.liftable(at) {
				continue // the other one may have no wire: a lead reaches it all the same
			}
			far := 0
			for _, n := range m.endsFirst(m.panel.Number(at)) {
				if n != at && n != other && far < farPoints {
					far++
					out = append(out, located{kind: Ohms, a: n, b: other, lifted: []circuits.Terminal{m.panel.Terminal(at)}})
				}
			}
		}
	}
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		if kind := m.panel.Part(c).Kind; (kind == circuits.ContactPart || kind == circuits.LinkPart) && closed[c] {
			lift(net.Ends(c))
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		l := net.Load(network.Load(i))
		lift(l.A, l.B)
	}
	for i := 1; i <= net.Sources(); i++ {
		s := net.Source(network.Source(i))
		lift(s.Hot, s.Return)
	}
	return out
}

// withoutSupply gives checks once more with the wires lifted off either side of an
// electronic supply as well, whose output reads what nobody can foretell.
func (m *Model) withoutSupply(checks []located) []located {
	var out []located
	for i := 1; i <= m.panel.Net.Sources(); i++ {
		s := m.panel.Net.Source(network.Source(i))
		for _, at := range []network.Node{s.Hot, s.Return} {
			if !s.Unknown || !m.liftable(at) {
				continue
			}
			t := m.panel.Terminal(at)
			for _, l := range checks {
				if l.a != at && l.b != at && !slices.Contains(l.lifted, t) {
					l.lifted = append(slices.Clone(l.lifted), t)
					slices.Sort(l.lifted)
					out = append(out, l)
				}
			}
		}
	}
	return out
}

// showing gives, for each of some faults, the checks that show it: indices into tries,
// rising. Only checks at points that a fault moves are looked at.
func (m *Model) showing(tries []located, faults []outFault, which []int) [][]int32 {
	type way struct { // checks in one condition
		step   int
		lifted []circuits.Terminal
		good   *network.Off
		all    []int32
		byNode map[network.Node][]int32
	}
	var ways []*way
	index := make(map[string]*way)
	usual := make([]band, len(tries)) // what agrees with the good circuit
	good := m.offs(Good)
	for i, l := range tries {
		key := fmt.Sprint(l.step, l.lifted)
		w := index[key]
		if w == nil {
			w = &way{step: l.step, lifted: l.lifted, byNode: make(map[network.Node][]int32)}
			w.good = good.solve(l.step, l.lifted, good.whole, nil)
			index[key] = w
			ways = append(ways, w)
		}
		ohms, firm := w.good.Ohms(l.a, l.b)
		usual[i] = ohmsBand(ohms)
		if firm {
			w.all = append(w.all, int32(i))
			w.byNode[l.a] = append(w.byNode[l.a], int32(i))
			w.byNode[l.b] = append(w.byNode[l.b], int32(i))
		}
	}
	out := make([][]int32, len(which))
	stamps := func() []int32 { return make([]int32, len(tries)) }
	share(len(which), stamps, func(stamp []int32, k int) {
		f := &faults[which[k]]
		own := &offs{m: m, overlay: f.overlay, whole: make(map[int]*network.Off)}
		for _, w := range ways {
			off := own.solve(w.step, w.lifted, own.whole, nil)
			look := func(checks []int32) {
				for _, i := range checks {
					if stamp[i] == int32(k+1) {
						continue
					}
					stamp[i] = int32(k + 1)
					ohms, firm := off.Ohms(tries[i].a, tries[i].b)
					if b := ohmsBand(ohms); firm && (b.high < usual[i].low || usual[i].high < b.low) {
						out[k] = append(out[k], i)
					}
				}
			}
			nodes, ok := w.good.Differing(off)
			if !ok {
				look(w.all)
				continue
			}
			for _, n := range nodes {
				look(w.byNode[n])
			}
		}
		slices.Sort(out[k])
	})
	return out
}

// near tells whether a fault changes a reading so that it does not agree with the good
// circuit at rated ohms.
func (m *Model) near(pairs []pair, f outFault) bool {
	good := m.offs(Good)
	own := &offs{m: m, overlay: f.overlay, whole: make(map[int]*network.Off)}
	for _, p := range pairs {
		l := located{kind: Ohms, a: p.a, b: p.b}
		a, b := good.readWith(l, good.whole, nil), own.readWith(l, own.whole, nil)
		if a.Firm && b.Firm && !ohmsBand(a.Value).holds(b.Value) {
			return true
		}
	}
	return false
}

// outCheck gives a check with all that a sheet says of it.
func (m *Model) outCheck(l located, rungs *drawing.Drawing) OutCheck {
	r := m.offs(Good).read(l)
	b := ohmsBand(r.Value)
	c := OutCheck{Check: m.check(l), Usual: r, Low: b.low, High: b.high,
		Rung: max(rungs.Of(m.panel.Terminal(l.a)), rungs.Of(m.panel.Terminal(l.b)))}
	if r.Value < OpenFrom {
		c.Through = m.through(l)
	}
	return c
}

// through names the parts on the way between the leads of a check that has one: the way
// through the fewest loads, and of these the one through the fewest parts.
func (m *Model) through(l located) []string {
	net := m.panel.Net
	closed := m.locked[m.held[l.step]].Closed
	type hop struct {
		to   network.Node
		name string
		cost int
	}
	hops := make(map[network.Node][]hop)
	join := func(a, b network.Node, name string, cost int) {
		hops[a] = append(hops[a], hop{b, name, cost})
		hops[b] = append(hops[b], hop{a, name, cost})
	}
	lifted := make(map[network.Node]bool)
	for _, t := range l.lifted {
		lifted[m.panel.Node(t)] = true
	}
	const aLoad = 1000
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		a, b := net.Ends(c)
		part := m.panel.Part(c)
		switch {
		case !closed[c]:
		case part.Kind == circuits.WirePart:
			if lifted[a] {
				a = -a // the wires that are lifted off, still joined to each other
			}
			if lifted[b] {
				b = -b
			}
			join(a, b, "", 0)
		default:
			join(a, b, m.panel.Name(c), 1)
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		p := net.Load(network.Load(i))
		if p.Ohms < OpenFrom {
			join(p.A, p.B, m.panel.LoadDevice(network.Load(i)).Name, aLoad)
		}
	}
	for i := 1; i <= net.Sources(); i++ {
		if p := net.Source(network.Source(i)); !p.Unknown && p.WindingOhms < OpenFrom {
			join(p.Hot, p.Return, m.panel.SourceDevice(network.Source(i)).Name, aLoad)
		}
	}
	// Costs are small whole numbers: buckets in place of a heap.
	from := map[network.Node]hop{l.a: {}}
	cost := map[network.Node]int{l.a: 0}
	buckets := map[int][]network.Node{0: {l.a}}
	for at := 0; len(buckets) > 0; {
		row := buckets[at]
		if len(row) == 0 {
			delete(buckets, at)
			next := -1
			for k := range buckets {
				if next < 0 || k < next {
					next = k
				}
			}
			at = next
			continue
		}
		n := row[0]
		buckets[at] = row[1:]
		if cost[n] != at {
			continue
		}
		for _, h := range hops[n] {
			if c, seen := cost[h.to]; !seen || at+h.cost < c {
				cost[h.to], from[h.to] = at+h.cost, hop{n, h.name, h.cost}
				buckets[at+h.cost] = append(buckets[at+h.cost], h.to)
			}
		}
	}
	var names []string
	for n := l.b; n != l.a; {
		h, ok := from[n]
		if !ok {
			return nil
		}
		if h.name != "" {
			names = append(names, h.name)
		}
		n = h.to
	}
	slices.Reverse(names)
	return names
}
