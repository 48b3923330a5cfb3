// Package diagnose turns checks and readings into what is still possible, and says
// what to check next.
//
// A panel (circuits) and its faults (faultmodel) go in once, to make a [Model]: the
// good circuit's condition at the end of every step, and for each fault only what
// differs from it. A log of checks with their answers goes in at every turn; out come
// the belief, the next check and in the end a verdict ([Model.Turn]). The choosing
// itself is done by package split, which knows no circuits.
//
//	log line ──► locate ──► foretell for every fault ──► agree? ──► disagreements ──► rank
//	                              ▲                                                    │
//	   trace of each fault ───────┘                 table of checks ──► split ◄────────┘
package diagnose

import (
	"math"
	"math/cmplx"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose/split"
	"deadrung/faultmodel"
)

// Good in place of a fault's index means the good circuit.
const Good = -1

// Model is a panel with all of its faults worked through. It does not change once it
// is made, but for what it remembers of answers computed before.
type Model struct {
	panel   *circuits.Panel
	faults  []faultmodel.Fault
	options Options
	good    []*condition         // by step
	traces  [][]change           // by fault, by step
	blown   [][]*circuits.Device // by fault: what it makes open in the course of the steps
	bolted  []bolts              // by fault
	known   *conditions
	beside  []course         // what the traces depart from; the first is the good circuit
	follows []int32          // by fault: index into beside
	locked  []network.State  // by step: the power locked off; only where held names it
	held    []int            // by step: the first step with the operators in the same positions
	hands   [][]int          // by step, by operator: its position
	works   []float64        // by step: the minutes that it takes
	moves   [][]float64      // minutes to put the operators, by step before (one higher, 0 is rest) and step
	own     []network.Source // by node: the source it belongs to

	checks   []located // all that may be proposed
	cells    [][]cell  // by check: the faults that read otherwise than the course they follow
	usual    []Reading // by check: the good circuit's reading
	ohmsFrom int32     // index into checks: ohms checks come last
	table    table
	index    map[checkKey]int32 // index into checks

	visible map[*circuits.Device]int // index into Panel.Visible
	done    chan struct{}            // closed when the faults have been worked through
	worked  atomic.Int64             // faults, by each pass over them

	basing sync.Mutex
	bases  map[string]*network.OffBase

	costing sync.Once
	priced  costs

	looking  sync.Mutex
	policies [2]split.Policy       // by By
	looked   map[string]split.Test // what they answered
}

// condition is the good circuit at the end of a step, or the good circuit with a
// protective device open.
type condition struct {
	island []int32        // by node; unsure where the node's voltage is not steady
	volts  [][]complex128 // by frequency, by node
	on     []bool         // by visible device
	firm   []bool
}

// In place of an island: unsure marks a node whose voltage nobody can foretell since its
// relay chatters, down one whose supply has collapsed.
const (
	unsure = -1
	down   = -2
)

// change is what a fault changes at the end of a step.
type change struct {
	from  *condition
	nodes []nodeChange // by rising node
	looks []lookChange
}

// course is a way through the operation that faults share, but for what each changes by
// itself: that of the good circuit, or of the good circuit with a fuse blown on the way.
// Where one fuse feeds a whole panel one fault in six blows it, and each then differs
// from the good circuit everywhere.
type course struct {
	conditions []*condition // by step
	blown      []*circuits.Device
	bolted     bolts
	// alike is, by step and last for ohms, the first course on which everything reads as on
	// this one.
	alike []int32
	ohms  []Reading // by check, from Model.ohmsFrom on
}

type nodeChange struct {
	node   network.Node
	island int32
	volts  [2]complex64 // by frequency; a third and further ones are not kept
}

type lookChange struct {
	visible  int
	on, firm bool
}

// Options say what there is to work with.
type Options struct {
	// LowImpedance: the meter has a low-impedance mode, which reads a floating
	// conductor as 0 V.
	LowImpedance bool
}

// New makes the model of a panel with the faults of the list. The faults are worked
// through meanwhile: whatever needs them waits for it, and a first question can be
// asked before.
func New(p *circuits.Panel, faults []faultmodel.Fault, o Options) *Model {
	m, course := newModel(p, faults, o)
	m.done = make(chan struct{})
	go func() {
		defer close(m.done)
		m.workThrough(course)
	}()
	return m
}

// Bare is a model that only reads checks: the faults' readings are not worked out, so
// nothing can be diagnosed with it.
func Bare(p *circuits.Panel, faults []faultmodel.Fault) *Model {
	m, _ := newModel(p, faults, Options{})
	return m
}

// newModel makes all of a model that needs the good circuit alone.
func newModel(p *circuits.Panel, faults []faultmodel.Fault, o Options) (*Model, *circuits.Course) {
	m := &Model{panel: p, faults: faults, options: o, looked: make(map[string]split.Test), bases: make(map[string]*network.OffBase), blown: make([][]*circuits.Device, len(faults))}
	m.hold()
	m.timeSteps()
	m.zones()
	course := p.Course()
	m.good = make([]*condition, len(p.Circuit.Steps))
	m.locked = make([]network.State, len(p.Circuit.Steps))
	for i := range m.good {
		m.good[i] = m.condition(course.End(i))
		if m.held[i] == i {
			m.locked[i] = p.LockedOut(&circuits.Overlay{}, i)
		}
	}
	m.list()
	return m, course
}

// workThrough works every fault along the good circuit's course and makes the table of
// checks out of it.
func (m *Model) workThrough(c *circuits.Course) {
	m.traces = make([][]change, len(m.faults))
	m.known = &conditions{of: make(map[*circuits.End]*condition)}
	for i, g := range m.good {
		m.known.of[c.End(i)] = g
	}
	share(len(m.faults), c.Follower, func(f *circuits.Follower, i int) {
		m.traces[i], m.blown[i] = m.trace(f, &m.faults[i].Overlay)
		m.worked.Add(1)
	})
	m.departFromNearest()
	m.findCourses()
	m.index = make(map[checkKey]int32, len(m.checks))
	for i, l := range m.checks {
		m.index[m.key(l)] = int32(i)
	}
	m.fill()
	m.table = m.build()
}

// Progress tells how far the faults have been worked through, from 0 to 1.
func (m *Model) Progress() float64 {
	if m.done == nil {
		return 1 // nothing to work through
	}
	select {
	case <-m.done:
		return 1
	default:
	}
	// Two passes over the faults take nearly all of the time.
	return min(0.99, float64(m.worked.Load())/float64(2*max(1, len(m.faults))))
}

// wait returns when the faults have been worked through.
func (m *Model) wait() {
	if m.done != nil {
		<-m.done
	}
}

// share does n pieces of work on all cores, each core with a space of its own to work
// in. Each piece writes only to its own place, so the result does not depend on the
// number of cores.
func share[Space any](n int, space func() Space, do func(s Space, i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			s := space()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(s, i)
			}
		})
	}
	wg.Wait()
}

// nothing is the space of work that needs none.
func nothing() struct{} { return struct{}{} }

// Panel is the panel of the model.
func (m *Model) Panel() *circuits.Panel { return m.panel }

// Faults are the faults of the model.
func (m *Model) Faults() []faultmodel.Fault { return m.faults }

// hold finds, for each step, the first one with the operators in the same positions:
// with the power off the two are the same condition.
func (m *Model) hold() {
	m.visible = make(map[*circuits.Device]int)
	for i, d := range m.panel.Visible() {
		m.visible[d] = i
	}
	pos := make(map[*circuits.Device]int)
	for _, s := range m.panel.Circuit.Steps {
		for _, set := range s.Set {
			pos[set.Device] = set.Position
		}
		var row []int
		for _, d := range m.panel.Operators() {
			p, ok := pos[d]
			if !ok {
				p = d.Rest
			}
			row = append(row, p)
		}
		first := slices.IndexFunc(m.hands, func(r []int) bool { return slices.Equal(r, row) })
		if first < 0 {
			first = len(m.hands)
		}
		m.hands = append(m.hands, row)
		m.held = append(m.held, first)
	}
}

// zones finds the source that each node belongs to: one that conductors could join it
// to, its hot side before its return, else one on the far side of the loads there.
func (m *Model) zones() {
	net := m.panel.Net
	joined := net.Live(network.State{Closed: net.NewState().Closed}, &network.Overlay{
		OpenLoads: allLoads(net), OpenSources: allSources(net)})
	behind := net.Live(network.State{Closed: net.NewState().Closed}, &network.Overlay{OpenSources: allSources(net)})
	m.own = make([]network.Source, net.Nodes()+1)
	for n := range m.own {
		best := 0
		for i := 1; i <= net.Sources(); i++ {
			p := net.Source(network.Source(i))
			node, score := network.Node(n), 0
			switch {
			case joined.Joined(node, p.Hot):
				score = 4
			case joined.Joined(node, p.Return):
				score = 3
			case behind.Island(node) == behind.Island(p.Hot):
				score = 2
			case i == 1:
				score = 1
			}
			if score > best {
				best, m.own[n] = score, network.Source(i)
			}
		}
	}
}

func allLoads(n *network.Net) []network.Load {
	var all []network.Load
	for i := 1; i <= n.Loads(); i++ {
		all = append(all, network.Load(i))
	}
	return all
}

func allSources(n *network.Net) []network.Source {
	var all []network.Source
	for i := 1; i <= n.Sources(); i++ {
		all = append(all, network.Source(i))
	}
	return all
}

// nominal is the supply voltage that readings between two nodes are held against.
func (m *Model) nominal(a, b network.Node) float64 {
	net := m.panel.Net
	sa, sb := net.Source(m.own[a]), net.Source(m.own[b])
	// A point on a return that two supplies share takes the other lead's supply.
	switch {
	case a == sb.Return || a == sa.Return && b != sb.Return:
		return sb.Volts
	case b == sa.Return || b == sb.Return:
		return sa.Volts
	}
	return math.Max(sa.Volts, sb.Volts)
}

// conditions are those that traces depart from, each worked out once.
type conditions struct {
	mu sync.Mutex
	of map[*circuits.End]*condition
}

func (c *conditions) at(m *Model, e *circuits.End) *condition {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of[e] == nil {
		c.of[e] = m.condition(e)
	}
	return c.of[e]
}

// departFromNearest lets traces that were worked in full depart from whichever condition
// is nearest to them: a blown fuse, or a dead supply, leaves the panel as any other fault
// does that blows the fuse.
func (m *Model) departFromNearest() {
	if len(m.good) == 0 {
		return
	}
	far := len(m.good[0].island) / 4 // nodes that differ
	for step := range m.good {
		// The conditions of the step, in the order of the faults.
		known := []*condition{m.good[step]}
		var all []int
		for f, trace := range m.traces {
			if !slices.Contains(known, trace[step].from) {
				known = append(known, trace[step].from)
			}
			if len(trace[step].nodes) > far {
				all = append(all, f)
			}
		}
		room := func() *[]nodeChange { return new([]nodeChange) }
		share(len(all), room, func(room *[]nodeChange, i int) {
			m.traces[all[i]][step] = m.traces[all[i]][step].against(known, room)
		})
	}
}

// against is a change as departing from the nearest of several conditions. Room is to
// collect in.
func (c change) against(known []*condition, room *[]nodeChange) change {
	best := c
	for _, from := range known {
		if from == c.from {
			continue
		}
		other := change{from: from, nodes: (*room)[:0]}
		k := 0
		for n := 1; n < len(from.island); n++ {
			node := network.Node(n)
			island, volts := c.from.at(node)
			if k < len(c.nodes) && c.nodes[k].node == node {
				island, volts = c.nodes[k].island, c.nodes[k].volts
				k++
			}
			other.note(node, island, [2]complex128{complex128(volts[0]), complex128(volts[1])})
		}
		*room = other.nodes
		if len(other.nodes) >= len(best.nodes) {
			continue
		}
		other.nodes = slices.Clone(other.nodes)
		seen := slices.Clone(c.looks)
		for v := range from.on {
			look := c.from.look(v)
			if i := slices.IndexFunc(seen, func(l lookChange) bool { return l.visible == v }); i >= 0 {
				look.On, look.Firm = seen[i].on, seen[i].firm
			}
			other.look(v, look.On, look.Firm)
		}
		best = other
	}
	return best
}

// findCourses numbers the courses that faults follow, in the order of the faults.
func (m *Model) findCourses() {
	m.beside = []course{{conditions: m.good}}
	m.follows = make([]int32, len(m.faults))
	m.bolted = make([]bolts, len(m.faults))
	share(len(m.faults), nothing, func(_ struct{}, f int) { m.bolted[f] = m.boltsOf(f) })
	for f, trace := range m.traces {
		m.follows[f] = int32(slices.IndexFunc(m.beside, func(c course) bool {
			return m.bolted[f] == c.bolted && slices.Equal(m.blown[f], c.blown) &&
				slices.EqualFunc(c.conditions, trace, func(c *condition, t change) bool { return c == t.from })
		}))
		if m.follows[f] < 0 {
			c := course{blown: m.blown[f], bolted: m.bolted[f]}
			for _, t := range trace {
				c.conditions = append(c.conditions, t.from)
			}
			m.follows[f] = int32(len(m.beside))
			m.beside = append(m.beside, c)
		}
	}
	for q := range m.beside {
		c := &m.beside[q]
		first := func(same func(other *course) bool) int32 {
			return int32(slices.IndexFunc(m.beside[:q+1], func(other course) bool { return same(&other) }))
		}
		for step := range m.good {
			c.alike = append(c.alike, first(func(other *course) bool { return other.conditions[step] == c.conditions[step] }))
		}
		c.alike = append(c.alike, first(func(other *course) bool {
			return slices.Equal(other.blown, c.blown) && other.bolted == c.bolted
		}))
	}
}

// condition works out the good circuit's condition at an end, with what has opened there.
func (m *Model) condition(e *circuits.End) *condition {
	o := &circuits.Overlay{}
	n := m.panel.Net.Nodes() + 1
	c := &condition{island: make([]int32, n)}
	for s := range e.Live.Systems() {
		v := make([]complex128, n)
		for i := 1; i < n; i++ {
			v[i] = e.Live.Potential(network.Node(i), s)
		}
		c.volts = append(c.volts, v)
	}
	for i := 1; i < n; i++ {
		c.island[i] = islandOf(e, network.Node(i))
	}
	for _, d := range m.panel.Visible() {
		on, firm := m.panel.Look(o, e, d)
		c.on = append(c.on, on)
		c.firm = append(c.firm, firm)
	}
	return c
}

// islandOf gives the island of a node at the end of a step, unsure or down where its
// voltage is not one to rely on.
func islandOf(e *circuits.End, n network.Node) int32 {
	if e.Down(n) {
		return down
	}
	for _, other := range e.Phases {
		if other.Island(n) != e.Live.Island(n) {
			return unsure
		}
		for s := range e.Live.Systems() {
			if cmplx.Abs(other.Potential(n, s)-e.Live.Potential(n, s)) > 1e-6 {
				return unsure
			}
		}
	}
	return int32(e.Live.Island(n))
}

// trace works a fault through the operation and keeps what differs, and what it blew.
func (m *Model) trace(f *circuits.Follower, o *circuits.Overlay) (changes []change, blown []*circuits.Device) {
	changes = make([]change, len(m.good))
	var room []nodeChange // collected here, and kept no larger than need be
	f.Work(o, func(step int, d *circuits.Departure) {
		c := &changes[step]
		blown = d.From().Blown
		c.from = m.known.at(m, d.From())
		c.nodes = room[:0]
		for _, node := range d.Nodes() {
			island, volts := d.At(node)
			c.note(node, int32(island), volts)
		}
		room = c.nodes
		c.nodes = slices.Clone(c.nodes)
		slices.SortFunc(c.nodes, func(a, b nodeChange) int { return int(a.node) - int(b.node) })
		d.Looks(func(dev *circuits.Device, on, firm bool) { c.look(m.visible[dev], on, firm) })
		slices.SortFunc(c.looks, func(a, b lookChange) int { return a.visible - b.visible })
		c.looks = slices.Compact(c.looks)
	}, func(step int, e, beside *circuits.End) {
		c := &changes[step]
		blown = e.Blown
		c.from = m.known.at(m, beside)
		c.nodes = room[:0]
		for n := 1; n < len(m.good[step].island); n++ {
			node := network.Node(n)
			var volts [2]complex128
			for s := range min(e.Live.Systems(), len(volts)) {
				volts[s] = e.Live.Potential(node, s)
			}
			c.note(node, islandOf(e, node), volts)
		}
		room = c.nodes
		c.nodes = slices.Clone(c.nodes)
		for i, d := range m.panel.Visible() {
			on, firm := m.panel.Look(o, e, d)
			c.look(i, on, firm)
		}
	})
	return changes, blown
}

// note keeps the island and voltage of a node if they are not those of the course.
func (c *change) note(n network.Node, island int32, volts [2]complex128) {
	differs := island != c.from.island[n]
	nc := nodeChange{node: n, island: island}
	for s := range min(len(c.from.volts), len(volts)) {
		nc.volts[s] = complex64(volts[s])
		differs = differs || cmplx.Abs(volts[s]-c.from.volts[s][n]) > 1e-4
	}
	if differs {
		c.nodes = append(c.nodes, nc)
	}
}

// look keeps what is seen of a device if it is not as on the course.
func (c *change) look(visible int, on, firm bool) {
	if on != c.from.on[visible] || firm != c.from.firm[visible] {
		c.looks = append(c.looks, lookChange{visible, on, firm})
	}
}

// foretell gives the reading of a check with a fault, or of the good circuit. It
// leaves the meter's own current out, which is far within what agrees.
func (m *Model) foretell(fault int, l located) Reading {
	if fault != Good {
		m.wait()
	}
	switch l.kind {
	case Look:
		return m.lookAt(fault, l.step, m.visible[l.device])
	case Volts:
		if l.low {
			return m.meter(fault).read(l)
		}
		return m.between(fault, l.step, l.a, l.b)
	}
	return m.offs(fault).read(l)
}

func (m *Model) lookAt(fault, step, visible int) Reading {
	from := m.good[step]
	if fault != Good {
		trace := &m.traces[fault][step]
		from = trace.from
		for _, c := range trace.looks {
			if c.visible == visible {
				return Reading{Kind: Look, On: c.on, Firm: c.firm}
			}
		}
	}
	return from.look(visible)
}

// look is what is seen of a device.
func (c *condition) look(visible int) Reading {
	return Reading{Kind: Look, On: c.on[visible], Firm: c.firm[visible]}
}

func (m *Model) between(fault, step int, a, b network.Node) Reading {
	return between(func(n network.Node) (int32, [2]complex64) { return m.at(fault, step, n) }, a, b)
}

// between is the reading between two nodes, whose islands and voltages at gives.
func between(at func(network.Node) (int32, [2]complex64), a, b network.Node) Reading {
	r := Reading{Kind: Volts}
	if a == b {
		r.Firm = true
		return r
	}
	ia, va := at(a)
	ib, vb := at(b)
	if ia != ib || ia < 0 {
		r.Floats = ia != unsure && ib != unsure
		return r
	}
	r.Firm = true
	for s := range va {
		if d := va[s] - vb[s]; d != 0 {
			r.Value = math.Max(r.Value, cmplx.Abs(complex128(d)))
		}
	}
	if r.Value < 1e-4 {
		r.Value = 0
	}
	return r
}

// at gives the island and the voltage of a node.
func (m *Model) at(fault, step int, n network.Node) (int32, [2]complex64) {
	if fault == Good {
		return m.good[step].at(n)
	}
	trace := &m.traces[fault][step]
	if i, ok := slices.BinarySearchFunc(trace.nodes, n, func(c nodeChange, n network.Node) int { return int(c.node) - int(n) }); ok {
		return trace.nodes[i].island, trace.nodes[i].volts
	}
	return trace.from.at(n)
}

func (c *condition) at(n network.Node) (int32, [2]complex64) {
	var v [2]complex64
	for s := range min(len(c.volts), len(v)) {
		v[s] = complex64(c.volts[s][n])
	}
	return c.island[n], v
}

// overlay is that of a fault, or of the good circuit.
func (m *Model) overlay(fault int) circuits.Overlay {
	if fault == Good {
		return circuits.Overlay{}
	}
	return m.faults[fault].Overlay
}
