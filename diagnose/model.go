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
	good    []condition          // by step
	traces  [][]change           // by fault, by step
	blown   [][]*circuits.Device // by fault: what it makes open in the course of the steps
	locked  []network.State      // by step: the power locked off; only where held names it
	held    []int                // by step: the first step with the operators in the same positions
	hands   [][]int              // by step, by operator: its position
	own     []network.Source     // by node: the source it belongs to

	checks []located // all that may be proposed
	cells  [][]cell  // by check: the faults that read otherwise than the good circuit
	usual  []Reading // by check: the good circuit's reading
	table  table
	index  map[checkKey]int32 // index into checks

	visible map[*circuits.Device]int // index into Panel.Visible
	done    chan struct{}            // closed when the faults have been worked through

	costing sync.Once
	priced  costs

	looking  sync.Mutex
	policies [2]split.Policy       // by By
	looked   map[string]split.Test // what they answered
}

// condition is the good circuit at the end of a step.
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
	nodes []nodeChange // by rising node
	looks []lookChange
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
	m := &Model{panel: p, faults: faults, options: o, looked: make(map[string]split.Test), blown: make([][]*circuits.Device, len(faults))}
	m.hold()
	m.zones()
	course := p.Course()
	m.good = make([]condition, len(p.Circuit.Steps))
	m.locked = make([]network.State, len(p.Circuit.Steps))
	for i := range m.good {
		m.good[i] = m.condition(&circuits.Overlay{}, course.End(i))
		if m.held[i] == i {
			m.locked[i] = p.LockedOut(&circuits.Overlay{}, i)
		}
	}
	m.list()
	return m, course
}

// workThrough works every fault along the good circuit's course and makes the table of
// checks out of it.
func (m *Model) workThrough(course *circuits.Course) {
	m.traces = make([][]change, len(m.faults))
	share(len(m.faults), course.Follower, func(f *circuits.Follower, i int) {
		m.traces[i], m.blown[i] = m.trace(f, &m.faults[i].Overlay)
	})
	m.index = make(map[checkKey]int32, len(m.checks))
	for i, l := range m.checks {
		m.index[m.key(l)] = int32(i)
	}
	m.fill()
	m.table = m.build()
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

func (m *Model) condition(o *circuits.Overlay, e *circuits.End) condition {
	n := m.panel.Net.Nodes() + 1
	c := condition{island: make([]int32, n)}
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
		c.nodes = room[:0]
		for _, node := range d.Nodes() {
			island, volts := d.At(node)
			c.note(&m.good[step], node, int32(island), volts)
		}
		room = c.nodes
		c.nodes = slices.Clone(c.nodes)
		slices.SortFunc(c.nodes, func(a, b nodeChange) int { return int(a.node) - int(b.node) })
		d.Looks(func(dev *circuits.Device, on, firm bool) { c.look(&m.good[step], m.visible[dev], on, firm) })
		slices.SortFunc(c.looks, func(a, b lookChange) int { return a.visible - b.visible })
		c.looks = slices.Compact(c.looks)
	}, func(step int, e *circuits.End) {
		c := &changes[step]
		c.nodes = room[:0]
		blown = e.Blown
		for n := 1; n < len(m.good[step].island); n++ {
			node := network.Node(n)
			var volts [2]complex128
			for s := range min(e.Live.Systems(), len(volts)) {
				volts[s] = e.Live.Potential(node, s)
			}
			c.note(&m.good[step], node, islandOf(e, node), volts)
		}
		room = c.nodes
		c.nodes = slices.Clone(c.nodes)
		for i, d := range m.panel.Visible() {
			on, firm := m.panel.Look(o, e, d)
			c.look(&m.good[step], i, on, firm)
		}
	})
	return changes, blown
}

// note keeps the island and voltage of a node if they are not the good circuit's.
func (c *change) note(good *condition, n network.Node, island int32, volts [2]complex128) {
	differs := island != good.island[n]
	nc := nodeChange{node: n, island: island}
	for s := range min(len(good.volts), len(volts)) {
		nc.volts[s] = complex64(volts[s])
		differs = differs || cmplx.Abs(volts[s]-good.volts[s][n]) > 1e-4
	}
	if differs {
		c.nodes = append(c.nodes, nc)
	}
}

// look keeps what is seen of a device if it is not the good circuit's.
func (c *change) look(good *condition, visible int, on, firm bool) {
	if on != good.on[visible] || firm != good.firm[visible] {
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
	r := Reading{Kind: Look, On: m.good[step].on[visible], Firm: m.good[step].firm[visible]}
	if fault != Good {
		for _, c := range m.traces[fault][step].looks {
			if c.visible == visible {
				r.On, r.Firm = c.on, c.firm
			}
		}
	}
	return r
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
	if fault != Good {
		nodes := m.traces[fault][step].nodes
		if i, ok := slices.BinarySearchFunc(nodes, n, func(c nodeChange, n network.Node) int { return int(c.node) - int(n) }); ok {
			return nodes[i].island, nodes[i].volts
		}
	}
	g := &m.good[step]
	var v [2]complex64
	for s := range min(len(g.volts), len(v)) {
		v[s] = complex64(g.volts[s][n])
	}
	return g.island[n], v
}

// overlay is that of a fault, or of the good circuit.
func (m *Model) overlay(fault int) circuits.Overlay {
	if fault == Good {
		return circuits.Overlay{}
	}
	return m.faults[fault].Overlay
}
