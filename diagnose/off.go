package diagnose

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// offs reads ohms checks with one fault. What the fault changes is worked out against the
// panel locked off, with the protective devices whole or as the fault leaves them, where
// it is small; else the network is solved once for each way of holding
// the operators, and again for each lifted lead.
//
// A fault that blows a fuse when the circuit is worked leaves open whether the fuse is
// whole when the ohmmeter comes: it depends on how far the circuit was worked before, and
// whether the fuse was replaced since. The reading foretold is that of a panel that was
// worked to the step, as found: from the step on that blows it the fuse is open. The other
// one fits as well, so a blown fuse never speaks against what blew it; a check that says
// that the fuse was replaced has one reading only.
//
// Two numbers that touch on a device may do so at its screws or in the duct: where wires
// are lifted there both readings fit. Three that differ make a reading that is not firm.
type offs struct {
	m       *worked
	overlay work.Overlay
	locking *work.Locking // with the overlay
	blown   []*circuits.Device
	from    int // the step by whose end all of them are open
	bolted  bolts
	bolt    [][2]network.Node // once asked for
	net     *network.Net      // the panel's, or one of those by which ohms are believed
	whole   fuses
	open    fuses
	// otherwise reads with all that is assumed otherwise; nil where nothing is known.
	otherwise *offs
	// through reads with every semiconductor contact conducting, where the others have none
	// do; nil where there is none. A reading that the two do not share decides nothing.
	through  *offs
	conducts bool

	branches bool        // with wires lifted, changes that are not small are worked out as well
	own      network.Own // the bases for that; nil to keep them for all
}

// fuses is the panel locked off with the protective devices as they are: all whole, or
// the blown ones open.
type fuses struct {
	blown  []*circuits.Device
	locked map[int]network.State // by step; where that is not the good circuit's
	solved map[int]*network.Off  // by step

	local *work.OffLocal     // nil to solve everything as a whole
	bases []fuseBase         // for local; few
	at    *network.OffBase   // what local stands at, with nothing lifted; nil for none
	large []*network.OffBase // where what the fault changes is not small
}

// fuseBase is what changes are worked out against in a step.
type fuseBase struct {
	step   int
	bolted bool
	base   *network.OffBase
}

// offSpace is what offs need to work in: one goroutine uses it for fault after fault.
type offSpace struct {
	whole, open *work.OffLocal
	otherwise   *offSpace
	through     *offSpace
}

func (m *Model) offSpace() *offSpace {
	of := func(n *network.Net) *offSpace {
		return &offSpace{whole: m.panel.OffLocal(n), open: m.panel.OffLocal(n)}
	}
	s := of(m.panel.Judged())
	if n := m.panel.Otherwise(); n != nil {
		s.otherwise = of(n)
	}
	if len(m.panel.Electronic()) > 0 {
		s.through = of(m.panel.Judged())
	}
	return s
}

// in gives offs a space to work in.
func (o *offs) in(s *offSpace) *offs {
	o.whole.local, o.open.local = s.whole, s.open
	if o.otherwise != nil {
		o.otherwise.in(s.otherwise)
	}
	if o.through != nil && s.through != nil {
		o.through.in(s.through)
	}
	return o
}

// offs reads with a fault, or in the good circuit, what is believed of it.
func (m *worked) offs(fault int) *offs {
	var blown []*circuits.Device
	var from int
	var bolted bolts
	if fault != Good {
		blown, from = m.blown[fault], int(m.blows[fault])
		if m.bolted != nil {
			bolted = m.bolted[fault]
		}
	}
	return m.offsBlown(m.overlay(fault), blown, from, bolted)
}

// offsBlown reads with an overlay what is believed of it, where that blows and bolts something.
func (m *worked) offsBlown(overlay work.Overlay, blown []*circuits.Device, from int, bolted bolts) *offs {
	o := m.offsIn(m.panel.Judged(), overlay, blown, from, bolted)
	if n := m.panel.Otherwise(); n != nil {
		o.otherwise = m.offsIn(n, overlay, blown, from, bolted)
	}
	return o
}

// metered reads with a fault as an ohmmeter does in the panel as the table has it.
func (m *worked) metered(fault int) *offs {
	believed := m.offs(fault)
	return m.offsIn(m.panel.Net, believed.overlay, believed.blown, believed.from, believed.bolted)
}

func (m *worked) offsIn(n *network.Net, overlay work.Overlay, blown []*circuits.Device, from int, bolted bolts) *offs {
	dead := m.panel.Dead(overlay)
	locking := m.panel.Locking(&dead)
	of := func() *offs {
		return &offs{m: m, net: n, overlay: dead, locking: locking, blown: blown, from: from, bolted: bolted,
			whole: fuses{solved: make(map[int]*network.Off)},
			open:  fuses{blown: blown, solved: make(map[int]*network.Off)}}
	}
	o := of()
	if len(m.panel.Electronic()) > 0 {
		o.through = of()
		o.through.conducts = true
	}
	return o
}

func (o *offs) read(l log.Located) log.Reading {
	if len(l.Replaced) > 0 {
		return o.replaced(l.Replaced).readEither(l)
	}
	return o.readEither(l)
}

// readEither gives the reading foretold, with the other one that fits as well.
func (o *offs) readEither(l log.Located) log.Reading {
	if len(o.blown) == 0 && len(l.Lifted) == 0 {
		return o.readWith(l, &o.whole)
	}
	ways := []*fuses{&o.whole}
	if len(o.blown) > 0 {
		ways = append(ways, &o.open)
		if l.Step >= o.from {
			slices.Reverse(ways)
		}
	}
	var r log.Reading
	for i, f := range ways {
		if x := o.readWith(l, f); i == 0 {
			r = x
		} else {
			r = orElse(r, x)
		}
	}
	for _, t := range l.Lifted {
		overlay, ok := o.m.panel.AtScrews(o.overlay, t)
		if !ok {
			continue
		}
		screws := *o
		screws.overlay, screws.locking, screws.otherwise = overlay, o.m.panel.Locking(&overlay), nil
		if o.through != nil {
			through := *o.through
			through.overlay, through.locking = overlay, screws.locking
			screws.through = &through
		}
		for _, f := range []*fuses{&screws.whole, &screws.open}[:len(ways)] {
			r = orElse(r, screws.readWith(l, f))
		}
	}
	return r
}

// orElse is a reading with another one that fits as well; with a third, nothing is firm.
func orElse(r, x log.Reading) log.Reading {
	parts := noContact(r) && noContact(x)
	x.Else, x.Either = r.Else, r.Either
	other := log.Reading{Kind: r.Kind, Value: r.Else, Firm: true, Known: r.Kind == log.Diode && r.Known}
	switch {
	case r.Firm && sameReading(r, x):
		return r
	case !r.Firm:
		r.Parts = parts
		return r
	case !x.Firm:
		return log.Reading{Kind: r.Kind, Parts: parts}
	case !r.Either:
		r.Else, r.Either = x.Value, true
		return r
	}
	if x.Either = false; sameReading(other, x) {
		return r
	}
	return log.Reading{Kind: r.Kind, Parts: parts}
}

// noContact tells whether foretold ohms are never those of a closed contact.
func noContact(r log.Reading) bool {
	return r.Parts || r.Firm && r.Value >= UnsureBelow && (!r.Either || r.Else >= UnsureBelow)
}

// replaced reads with protective devices replaced and the power off since.
func (o *offs) replaced(devices []*circuits.Device) *offs {
	blown := slices.DeleteFunc(slices.Clone(o.blown), func(d *circuits.Device) bool { return slices.Contains(devices, d) })
	return o.m.offsIn(o.net, o.m.panel.Replaced(o.overlay, devices), blown, o.from, 0)
}

// sameReading tells whether two foretold readings of a check are the same but for less
// than a meter shows. What nobody can foretell is the same whatever was worked out for it.
func sameReading(a, b log.Reading) bool {
	if a.Kind != b.Kind || a.On != b.On || a.Seems != b.Seems || a.Firm != b.Firm || a.Either != b.Either || a.Floats != b.Floats || a.Parts != b.Parts ||
		a.Divided != b.Divided || a.Degree != b.Degree || a.Known != b.Known {
		return false
	}
	same := func(x, y float64) bool { return x == y }
	if a.Kind == log.Ohms {
		same = network.SameOhms
	}
	return (!a.Firm && a.Kind.Off() || same(a.Value, b.Value)) && (!a.Either || same(a.Else, b.Else))
}

func (o *offs) readWith(l log.Located, f *fuses) log.Reading {
	if l.Kind == log.Diode {
		return o.diodeWith(l, f)
	}
	r := log.Reading{Kind: log.Ohms}
	locked := o.locked(l.Step, l.Lifted, f)
	r.Value, r.Firm = locked.Ohms(l.A, l.B)
	if !r.Firm {
		r.Parts = locked.least(l.A, l.B) >= UnsureBelow
	}
	if o.otherwise != nil && inBetween(r.Value) {
		other, _ := o.otherwise.ohms(l, o.otherwise.like(o, f))
		r.Known = network.SameOhms(r.Value, other)
	}
	return r
}

// like gives the fuses that stand as those of another do.
func (o *offs) like(other *offs, f *fuses) *fuses {
	if f == &other.open {
		return &o.open
	}
	return &o.whole
}

// ohms is what an ohmmeter reads, and whether that is firm, no semiconductor conducting or all.
func (o *offs) ohms(l log.Located, f *fuses) (float64, bool) {
	return o.lock(l.Step, l.Lifted, f).Ohms(l.A, l.B)
}

// small works out what the fault changes in the panel locked off; it reports false where
// that is not small.
func (o *offs) small(step int, lifted []circuits.Terminal, f *fuses) bool {
	if f.local == nil {
		return false
	}
	bolt := o.boltAt(step)
	if len(lifted) > 0 {
		// With wires the short may be lifted off as well.
		f.at = nil
		return f.local.Solve(o.base(step, f), &o.overlay, lifted, o.locking.Kept(step)) ||
			len(bolt) > 0 && f.local.Met() && f.local.Solve(o.base(step, f, bolt...), &o.overlay, lifted, o.locking.Kept(step))
	}
	base := o.base(step, f, bolt...)
	switch {
	case f.at == base:
		return true
	case slices.Contains(f.large, base):
		return false
	}
	f.at = nil
	if !f.local.Solve(base, &o.overlay, nil, o.locking.Kept(step)) {
		f.large = append(f.large, base)
		return false
	}
	f.at = base
	return true
}

// base is what changes are worked out against.
func (o *offs) base(step int, f *fuses, bolt ...[2]network.Node) *network.OffBase {
	bolted := len(bolt) > 0
	for i := range f.bases {
		if b := &f.bases[i]; b.step == step && b.bolted == bolted {
			return b.base
		}
	}
	base := o.m.lockedBase(o.net, step, o.conducts, f.blown, bolt...)
	f.bases = append(f.bases, fuseBase{step, bolted, base})
	return base
}

// solve solves the network with the operators held as in a step.
func (o *offs) solve(step int, lifted []circuits.Terminal, f *fuses) *network.Off {
	off := f.solved[step]
	if off != nil && len(lifted) == 0 {
		return off
	}
	st := o.m.locked[step]
	if len(o.overlay.Stuck) > 0 || len(f.blown) > 0 || st.Closed == nil || o.m.panel.Keeps() {
		st = o.lockedOut(step, f)
	}
	st = o.m.panel.Semiconductors(st, o.conducts)
	overlay := o.overlay
	if len(lifted) == 0 {
		overlay.Joins = append(slices.Clone(overlay.Joins), o.boltAt(step)...)
	}
	if l, err := o.m.panel.Lift(overlay, lifted); err == nil {
		overlay = l // a miswired end can leave nothing to lift there
	}
	off = o.net.Off(st, &overlay.Overlay)
	if len(lifted) == 0 {
		f.solved[step] = off
	}
	return off
}

// lockedOut is the panel locked off with the fault, worked out once a step: it may have to be worked
// from the beginning.
func (o *offs) lockedOut(step int, f *fuses) network.State {
	st, ok := f.locked[step]
	if !ok {
		if f.locked == nil {
			f.locked = make(map[int]network.State)
		}
		st = o.locking.At(step, f.blown...)
		f.locked[step] = st
	}
	return st
}

// lockedBase is the good circuit locked off, with the operators held as in a step,
// protective devices open and nodes that touch. Each is made once.
func (m *worked) lockedBase(n *network.Net, step int, conducts bool, blown []*circuits.Device,
	joins ...[2]network.Node) *network.OffBase {
	key := baseOf{net: n, held: m.book.Held(step), conducts: conducts}
	if len(joins) > 0 {
		key.joins = fmt.Sprint(joins)
	}
	for _, d := range blown {
		key.blown += " " + d.Name
	}
	m.basing.Lock()
	defer m.basing.Unlock()
	if m.bases[key] == nil {
		m.bases[key] = m.panel.LockedBase(n, step, conducts, blown, joins...)
	}
	return m.bases[key]
}

// lockedRoot is lockedBase for changes that are not small as well, every protective device whole.
func (m *worked) lockedRoot(n *network.Net, step int, conducts bool) *network.OffBranch {
	key := baseOf{net: n, held: m.book.Held(step), conducts: conducts}
	m.basing.Lock()
	defer m.basing.Unlock()
	if m.roots == nil {
		m.roots = make(map[baseOf]*network.OffBranch)
	}
	if m.roots[key] == nil {
		m.roots[key] = m.panel.LockedBranch(n, step, conducts)
	}
	return m.roots[key]
}

// baseOf names a locked base.
type baseOf struct {
	net          *network.Net
	held         int // the step in which the operators stand so
	conducts     bool
	joins, blown string
}

// bolts are the steps in which a fault that blows a fuse shorts what is behind it also with
// the power off, the operators held as they are there: a bit for each. Such faults read
// alike wherever a lead is on the hot side.
type bolts uint64

// boltsOf finds the bolts of a fault. Where several devices open it looks for none.
func (m *Model) boltsOf(fault int) (b bolts) {
	if len(m.blown[fault]) != 1 {
		return 0
	}
	for step := range m.good {
		if m.book.Held(step) != step || step >= 64 {
			continue
		}
		base := m.lockedBase(m.panel.Judged(), step, false, m.blown[fault])
		if bolt, ok := m.panel.Bolt(base, m.blown[fault][0]); ok && m.panel.Bolts(&m.faults[fault].Overlay, base, bolt) {
			b |= 1 << step
		}
	}
	return b
}

// boltAt gives the nodes that touch in a step; none where the fault bolts nothing there.
func (o *offs) boltAt(step int) [][2]network.Node {
	if step = o.m.book.Held(step); step >= 64 || o.bolted&(1<<step) == 0 {
		return nil
	}
	if o.bolt == nil {
		bolt, _ := o.m.panel.Bolt(o.m.lockedBase(o.net, step, false, o.blown), o.blown[0])
		o.bolt = [][2]network.Node{bolt}
	}
	return o.bolt
}

// differing gives the nodes that stand otherwise than in the good circuit, with the protective
// devices whole or as the fault leaves them; false where that may be all of them.
func (o *offs) differing(step int) (nodes []network.Node, ok bool) {
	with := []*fuses{&o.whole}
	if len(o.blown) > 0 {
		with = append(with, &o.open)
	}
	for _, f := range with {
		if o.small(step, nil, f) {
			nodes = append(nodes, f.local.Nodes()...)
			continue
		}
		more, ok := o.base(step, f, o.boltAt(step)...).Off().Differing(o.solve(step, nil, f))
		if !ok {
			return nil, false
		}
		nodes = append(nodes, more...)
	}
	return nodes, true
}

// offChecks are the ohms checks by what can touch them.
type offChecks struct {
	steps  []int     // the different ways of holding the operators
	plain  [][]int32 // by way: all checks without lifted wires
	byNode []map[network.Node][]int32
	lifted map[string][]int32 // by device: checks with wires lifted off it
}

func (c *offChecks) add(m *Model, i int32, l log.Located) {
	if len(l.Lifted) > 0 {
		if c.lifted == nil {
			c.lifted = make(map[string][]int32)
		}
		for _, d := range m.devicesAt(l) {
			c.lifted[d] = append(c.lifted[d], i)
		}
		return
	}
	w := slices.Index(c.steps, l.Step)
	if w < 0 {
		w = len(c.steps)
		c.steps = append(c.steps, l.Step)
		c.plain = append(c.plain, nil)
		c.byNode = append(c.byNode, make(map[network.Node][]int32))
	}
	c.plain[w] = append(c.plain[w], i)
	c.byNode[w][l.A] = append(c.byNode[w][l.A], i)
	c.byNode[w][l.B] = append(c.byNode[w][l.B], i)
}

// devicesAt names the devices at the two points of a check.
func (m *Model) devicesAt(l log.Located) []string {
	a, _ := m.panel.Terminal(l.A).Split()
	b, _ := m.panel.Terminal(l.B).Split()
	if a == b {
		return []string{a}
	}
	return []string{a, b}
}

// touched visits the ohms checks that a fault can make read otherwise than its course:
// those at nodes that stand otherwise in its network, and those with wires lifted off a
// device of which a part itself is faulty: with one end lifted, that part alone is between
// the leads, and whatever else touches a wire was lifted with it.
func (c *offChecks) touched(m *Model, own *offs, stamp []int32, mark int32, visit func(int32)) {
	once := func(checks []int32) {
		for _, i := range checks {
			if stamp[i] != mark {
				stamp[i] = mark
				visit(i)
			}
		}
	}
	for w, step := range c.steps {
		differing, ok := own.differing(step)
		if own.through != nil && ok {
			var more []network.Node
			more, ok = own.through.differing(step)
			differing = append(differing, more...)
		}
		if !ok {
			once(c.plain[w])
		}
		for _, n := range differing {
			once(c.byNode[w][n])
		}
	}
	for _, d := range m.panel.Concerns(&own.overlay) {
		once(c.lifted[d.Name])
	}
	for _, d := range m.panel.ScrewDevices(&own.overlay) { // it may touch at the screws there
		if len(c.lifted[d.Name]) > 0 && slices.ContainsFunc(d.Terminals, func(name string) bool {
			_, ok := m.panel.AtScrews(own.overlay, d.Terminal(name))
			return ok
		}) {
			once(c.lifted[d.Name])
		}
	}
	if !m.panel.Keeps() {
		return
	}
	for _, d := range m.panel.Relays() { // it may have kept another position
		if d.Type.Armature.Keeps() {
			once(c.lifted[d.Name])
		}
	}
}
