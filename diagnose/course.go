package diagnose

import (
	"context"
	"math/cmplx"
	"slices"
	"sync"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// condition is the good circuit at the end of a step, or the good circuit with a
// protective device open.
type condition struct {
	island []int32        // by node; unsure where the node's voltage is not steady
	volts  [][]complex128 // by frequency, by node
	on     []bool         // by work.Panel.Sights
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
	left  float64 // seconds until the first timer that it leaves running may time out; zero for none
}

// course is a way through the operation that faults share, but for what each changes by
// itself: that of the good circuit, or of the good circuit with a fuse blown on the way.
// Where one fuse feeds a whole panel one fault in six blows it, and each then differs
// from the good circuit everywhere.
type course struct {
	conditions []*condition // by step
	blown      []*circuits.Device
	blows      int32
	bolted     bolts
	// alike is, by step and last for ohms, the first course on which everything reads as on
	// this one.
	alike []int32
	ohms  []log.Reading // by check, from Model.ohmsFrom on
}

type nodeChange struct {
	node   network.Node
	island int32
	volts  phasors // by tone
}

type lookChange struct {
	visible  int // index into work.Panel.Sights
	on, firm bool
}

// at gives the island and the voltage of a node.
func (c *condition) at(n network.Node) (int32, phasors) {
	var v phasors
	for s := range min(len(c.volts), len(v)) {
		v[s] = complex64(c.volts[s][n])
	}
	return c.island[n], v
}

// look is what is seen of a device.
func (c *condition) look(visible int) log.Reading {
	return log.Reading{Kind: log.Look, On: c.on[visible], Firm: c.firm[visible]}
}

// at gives the island and the voltage of a node.
func (c *change) at(n network.Node) (int32, phasors) {
	i, ok := slices.BinarySearchFunc(c.nodes, n, func(c nodeChange, n network.Node) int { return int(c.node) - int(n) })
	if ok {
		return c.nodes[i].island, c.nodes[i].volts
	}
	return c.from.at(n)
}

// seen is what is seen of a device.
func (c *change) seen(visible int) log.Reading {
	for _, l := range c.looks {
		if l.visible == visible {
			return log.Reading{Kind: log.Look, On: l.on, Firm: l.firm}
		}
	}
	return c.from.look(visible)
}

// conditions are those that traces depart from, each worked out once.
type conditions struct {
	mu sync.Mutex
	of map[*work.End]*condition
}

func (c *conditions) at(m *Model, e *work.End) *condition {
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
func (m *Model) departFromNearest(ctx context.Context) {
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
		share(ctx, len(all), room, func(room *[]nodeChange, i int) {
			trace := slices.Clone(m.traces[all[i]]) // longer waits keep the other one
			trace[step] = trace[step].against(known, room)
			m.traces[all[i]] = trace
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
		other := change{from: from, nodes: (*room)[:0], left: c.left}
		k := 0
		for n := 1; n < len(from.island); n++ {
			node := network.Node(n)
			island, volts := c.from.at(node)
			if k < len(c.nodes) && c.nodes[k].node == node {
				island, volts = c.nodes[k].island, c.nodes[k].volts
				k++
			}
			other.note(node, island, volts.wide())
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
func (m *Model) findCourses(ctx context.Context) {
	m.beside = []course{{conditions: m.good}}
	m.follows = make([]int32, len(m.faults))
	m.bolted = make([]bolts, len(m.faults))
	share(ctx, len(m.faults), nothing, func(_ struct{}, f int) { m.bolted[f] = m.boltsOf(f) })
	for f, trace := range m.traces {
		m.follows[f] = int32(slices.IndexFunc(m.beside, func(c course) bool {
			return m.bolted[f] == c.bolted && m.blows[f] == c.blows && slices.Equal(m.blown[f], c.blown) &&
				slices.EqualFunc(c.conditions, trace, func(c *condition, t change) bool { return c == t.from })
		}))
		if m.follows[f] < 0 {
			c := course{blown: m.blown[f], blows: m.blows[f], bolted: m.bolted[f]}
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
			return slices.Equal(other.blown, c.blown) && other.blows == c.blows && other.bolted == c.bolted
		}))
	}
}

// condition works out the good circuit's condition at an end, with what has opened there.
func (m *Model) condition(e *work.End) *condition {
	o := &work.Overlay{}
	e = e.Now()
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
	for _, s := range m.panel.Sights() {
		on, firm := m.panel.See(o, e, s)
		c.on = append(c.on, on)
		c.firm = append(c.firm, firm)
	}
	return c
}

// islandOf gives the island of a node at the end of a step, unsure or down where its
// voltage is not one to rely on.
func islandOf(e *work.End, n network.Node) int32 {
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

// tracing is a fault while it is worked through the operation.
type tracing struct {
	m       *Model
	o       *work.Overlay
	known   *conditions
	room    []nodeChange // collected here, and kept no larger than need be
	changes []change     // by step
	blown   []*circuits.Device
	blows   int32
	depends bool
}

func (m *Model) tracing(o *work.Overlay, known *conditions) *tracing {
	return &tracing{m: m, o: o, known: known, changes: make([]change, len(m.good))}
}

// trace works a fault through the operation and keeps what differs, what it blew, in which
// step the last of that, and whether any of it depends on what the parts of the panel are like.
func (m *Model) trace(f *work.Follower, o *work.Overlay, known *conditions) (changes []change, blown []*circuits.Device, blows int32, depends bool) {
	t := m.tracing(o, known)
	f.Work(o, t.small, t.whole)
	return t.changes, t.blown, t.blows, t.depends
}

func (t *tracing) opened(step int, devices []*circuits.Device) {
	if len(devices) > len(t.blown) {
		t.blows = int32(step)
	}
	t.blown = devices
}

// small keeps a step in which the fault is followed along a course.
func (t *tracing) small(step int, d *work.Departure) {
	c := &t.changes[step]
	t.opened(step, d.From().Blown)
	c.from, c.left = t.known.at(t.m, d.From()), soonest(d.Running())
	// What the file expects of the good circuit is so, whatever its parts; not what follows a blown fuse.
	t.depends = d.Depends() || c.from != t.m.good[step] && d.From().Depends
	c.nodes = t.room[:0]
	resting := d.Resting()
	for _, node := range d.Nodes() {
		island, volts := d.At(node)
		if !resting && d.Unsure(node) {
			island = unsure
		}
		c.note(node, int32(island), volts)
	}
	t.keep(c)
	slices.SortFunc(c.nodes, func(a, b nodeChange) int { return int(a.node) - int(b.node) })
	d.Looks(func(s work.Sight, on, firm bool) { c.look(t.m.visible[s], on, firm) })
	slices.SortFunc(c.looks, func(a, b lookChange) int { return a.visible - b.visible })
	c.looks = slices.Compact(c.looks)
}

// whole keeps a step in which it is worked in full.
func (t *tracing) whole(step int, e, beside *work.End) {
	c := &t.changes[step]
	*c = change{} // small may have had it
	e = e.Now()
	t.opened(step, e.Blown)
	t.depends = e.Depends
	c.from, c.left = t.known.at(t.m, beside), soonest(e.Running)
	c.nodes = t.room[:0]
	for n := 1; n < len(t.m.good[step].island); n++ {
		node := network.Node(n)
		c.note(node, islandOf(e, node), e.Live.Phasors(node))
	}
	t.keep(c)
	for i, s := range t.m.panel.Sights() {
		on, firm := t.m.panel.See(t.o, e, s)
		c.look(i, on, firm)
	}
}

// keep moves what was collected to a place of its own.
func (t *tracing) keep(c *change) {
	t.room = c.nodes
	if c.nodes = nil; len(t.room) > 0 {
		c.nodes = slices.Clone(t.room)
	}
}

// note keeps the island and voltage of a node if they are not those of the course.
func (c *change) note(n network.Node, island int32, volts network.Phasors) {
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
