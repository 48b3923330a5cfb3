package diagnose

import (
	"context"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// cell is a fault whose reading at a check differs from that of the course it follows.
type cell struct {
	fault   int32
	reading log.Reading
}

// pair is two points for the leads.
type pair struct {
	a, b   network.Node
	lifted []circuits.Terminal
}

// list makes the list of all checks that may be proposed. What is not on it is never
// proposed: it holds nothing that needs a contactor pushed in by hand, a protective
// device bridged, or an ohmmeter on a live circuit; and nothing that one person cannot do
// there ([log.Book.Within]).
//
//   - every look at every device that can be seen, at every step;
//   - volts from every terminal to either side of a source, or to a point on the same wire
//     number or the metalwork where that side is out of reach; across every wire,
//     contact, load and link, and between neighbours on a strip or plug, at every step;
//   - with the power locked off, for each way in which the steps hold the operators:
//     ohms across the same parts, from every terminal to either side of a source, and
//     across contacts and loads with the wires lifted off one of their terminals;
//   - where a source is bonded on neither side, ohms from its wire numbers to the metalwork;
//   - across each diode, one of its wires lifted, the diode test of the meter either way round.
//
// A panel with more than ManyChecks of these does without those that tell little that
// others do not: leads on the hot side, volts across wires, ohms in more than one way of
// holding the operators, and volts in steps in the midst of several through which the
// good circuit's reading stays as it is.
func (m *Model) list() {
	live, off := m.pairs(false)
	steps := len(m.panel.Circuit.Steps)
	sparing := steps*(len(live)+len(off)) > ManyChecks
	if sparing {
		live, off = m.pairs(true)
	}
	list := func(l log.Located) {
		if m.book.Within(l) {
			m.checks = append(m.checks, l)
		}
	}
	for step := range steps {
		for _, s := range m.panel.Sights() {
			list(log.Located{Kind: log.Look, Step: step, Device: s.Device, Look: s.Look})
		}
		for _, p := range live {
			l := log.Located{Kind: log.Volts, Step: step, A: p.a, B: p.b}
			if !sparing || m.turns(l) {
				list(l)
			}
		}
	}
	// A low-impedance meter is put between a point and the grounded side only: across
	// an open contact it could nearly pull a small relay in.
	for step := 0; step < steps && m.options.LowImpedance && !sparing; step++ {
		for _, p := range live {
			if p.b == m.panel.Net.Source(m.own[p.a]).Return {
				list(log.Located{Kind: log.Volts, Step: step, A: p.a, B: p.b, Low: true})
			}
		}
	}
	for step := range steps {
		if m.book.Held(step) != step || sparing && step > 0 {
			continue
		}
		for _, p := range off {
			list(log.Located{Kind: log.Ohms, Step: step, A: p.a, B: p.b, Lifted: p.lifted})
		}
	}
	m.listDiodes(list)
}

// turns tells whether the good circuit reads otherwise at a volts check in the step
// before or after.
func (m *Model) turns(l log.Located) bool {
	now := m.between(Good, l.Step, l.A, l.B)
	return l.Step == 0 || now != m.between(Good, l.Step-1, l.A, l.B) ||
		l.Step == len(m.good)-1 || now != m.between(Good, l.Step+1, l.A, l.B)
}

// ManyChecks is the number of checks above which a panel's list is kept short.
const ManyChecks = 30000

// pairs gives the points where leads are put, live and with the power off; sparing
// leaves out those that a large panel does without.
func (m *Model) pairs(sparing bool) (live, off []pair) {
	p, net := m.panel, m.panel.Net
	have := make(map[[2]network.Node]bool)
	listed := func(a, b network.Node) bool { return have[[2]network.Node{min(a, b), max(a, b)}] }
	add := func(a, b network.Node) {
		if a != b && m.reachable(a) && m.reachable(b) && !listed(a, b) {
			have[[2]network.Node{min(a, b), max(a, b)}] = true
			live = append(live, pair{a: a, b: b})
		}
	}
	// The black lead goes to the return of the point's own source, which most checks
	// share, or to its hot side.
	for n := 1; n <= net.Nodes(); n++ {
		n := network.Node(n)
		m.references(n, net.Source(m.own[n]).Return, true, add)
	}
	for n := 1; n <= net.Nodes() && !sparing; n++ {
		n := network.Node(n)
		m.references(n, net.Source(m.own[n]).Hot, false, add)
	}
	for i := 1; i <= net.Conductors(); i++ {
		if !sparing || p.Part(network.Conductor(i)).Kind != work.WirePart {
			add(p.Ends(network.Conductor(i)))
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		l := net.Load(network.Load(i))
		add(l.A, l.B)
	}
	// Side by side on one strip or plug, for a two-wire line.
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind == circuits.BlockKind || d.Type.Kind == circuits.ConnectorKind {
			for i := range len(d.Terminals) - 1 {
				add(p.Node(d.Terminal(d.Terminals[i])), p.Node(d.Terminal(d.Terminals[i+1])))
			}
		}
	}
	off = slices.Clone(live)
	for _, p := range m.toMetalwork() {
		if !listed(p.a, p.b) {
			off = append(off, p)
		}
	}
	// A second point on the number that is bonded tells whether the first is good.
	if g := m.book.Ground(); g != 0 && !sparing {
		for _, to := range m.onNumber[p.Number(g)] {
			if to != g && !m.isSide(to) && !listed(g, to) &&
				!m.book.Across(log.Located{Kind: log.Ohms, A: g, B: to}) {
				off = append(off, pair{a: g, b: to})
				break
			}
		}
	}
	// Wires are lifted at an end with nothing else of the device behind it, so that the
	// part alone is left between the leads; by choice not at the side of a source.
	behind := make([]int, net.Nodes()+1)
	for i := 1; i <= net.Conductors(); i++ {
		if c := network.Conductor(i); p.Part(c).Kind != work.WirePart && p.Part(c).Kind != work.KeptPart {
			a, b := p.Ends(c)
			behind[a]++
			behind[b]++
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		l := net.Load(network.Load(i))
		if p.Leaks(network.Load(i)) {
			continue // no ohmmeter sees it
		}
		behind[l.A]++
		behind[l.B]++
	}
	lift := func(a, b network.Node) {
		at := a
		if behind[a] > 1 || behind[b] == 1 && m.isSide(a) {
			at = b
		}
		if m.reachable(a) && m.reachable(b) && behind[at] == 1 {
			off = append(off, pair{a: a, b: b, lifted: []circuits.Terminal{p.Terminal(at)}})
		}
	}
	for i := 1; i <= net.Conductors(); i++ {
		c := network.Conductor(i)
		if kind := p.Part(c).Kind; kind == work.LinkPart ||
			kind == work.ContactPart && !slices.Contains(p.Electronic(), c) {
			lift(net.Ends(c))
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		if l := net.Load(network.Load(i)); !p.Leaks(network.Load(i)) {
			lift(l.A, l.B)
		}
	}
	return live, off
}

// MostReferences is how many points of one wire number at a place stand for a side of the
// source there. Common practice, no source: a second one tells whether the first is good.
const MostReferences = 2

// references adds the checks from a point to a side of its source: to the source itself where
// the other lead reaches it, else to what is at the place of that wire number, and for the
// grounded side to the metalwork.
func (m *Model) references(n, side network.Node, grounded bool, add func(a, b network.Node)) {
	reaches := func(to network.Node) bool {
		return !m.book.Across(log.Located{Kind: log.Volts, A: n, B: to})
	}
	if reaches(side) || m.options.Rules.LongLead {
		add(n, side)
		return
	}
	points := 0
	for _, to := range m.onNumber[m.panel.Number(side)] {
		if points < MostReferences && to != n && reaches(to) {
			points++
			add(n, to)
		}
	}
	if g := m.book.Ground(); grounded && g != 0 && reaches(g) {
		add(n, g)
	}
}

// toMetalwork gives, where neither side of a source is bonded, its wire numbers against the
// metalwork: what is grounded there shows nowhere else. Common practice, no source: with the power
// off a ground on an ungrounded supply is looked for from each number to ground.
func (m *Model) toMetalwork() (off []pair) {
	g := m.book.Ground()
	if g == 0 {
		return nil
	}
	bonded := func(number int) bool {
		return number >= 0 && slices.ContainsFunc(m.panel.Circuit.Numbers[number].Wires, func(w circuits.Wire) bool {
			return m.panel.Node(w.From) == g || m.panel.Node(w.To) == g
		})
	}
	for number := range m.panel.Circuit.Numbers {
		nodes := m.onNumber[number]
		if bonded(number) {
			continue
		}
		s := m.panel.Net.Source(m.own[nodes[0]])
		if bonded(m.panel.Number(s.Hot)) || bonded(m.panel.Number(s.Return)) {
			continue
		}
		i := slices.IndexFunc(nodes, func(n network.Node) bool {
			return m.reachable(n) && !m.book.Across(log.Located{Kind: log.Ohms, A: n, B: g})
		})
		if i >= 0 {
			off = append(off, pair{a: nodes[i], b: g})
		}
	}
	return off
}

// isSide tells whether a node is a terminal of a source.
func (m *Model) isSide(n network.Node) bool {
	p := m.panel.Net.Source(m.own[n])
	return n == p.Hot || n == p.Return
}

// reachable tells whether a lead is put on a node: a wire lands there.
func (m *Model) reachable(n network.Node) bool { return len(m.panel.Landings(n)) > 0 }

// along is the reading of a check on a course, with nothing else wrong. In low-impedance
// mode it is that of the good circuit, whatever the course.
func (m *Model) along(course int32, check int32) log.Reading {
	l := m.checks[check]
	if course == 0 || l.Low {
		return m.usual[check]
	}
	c := &m.beside[course]
	switch l.Kind {
	case log.Look:
		return c.conditions[l.Step].look(m.visible[l.Sight()])
	case log.Volts:
		return m.volts(c.conditions[l.Step].at, l.A, l.B, false)
	}
	return c.ohms[check-m.ohmsFrom]
}

// onCourses gives the readings of a check by course, and whether all are the same. It may use the room
// that it is given.
func (m *Model) onCourses(check int32, room []log.Reading) (along []log.Reading, same bool) {
	along, same = slices.Grow(room[:0], len(m.beside))[:len(m.beside)], true
	slot := m.slot(m.checks[check])
	for q := range along {
		if first := m.beside[q].alike[slot]; int(first) < q {
			along[q] = along[first]
		} else {
			along[q] = m.along(int32(q), check)
		}
		same = same && along[q] == along[0]
	}
	return along, same
}

// slot is where a check stands in course.alike.
func (m *Model) slot(l log.Located) int {
	if l.Kind.Off() {
		return len(m.good)
	}
	return l.Step
}

// readOhms reads the ohms checks on every course; courses that blow the same, and on which
// the short is there in the same steps, read alike.
func (m *Model) readOhms(ctx context.Context) {
	space := m.offSpace()
	m.ohmsFrom = int32(slices.IndexFunc(m.checks, func(l log.Located) bool { return l.Kind.Off() }))
	if m.ohmsFrom < 0 {
		return
	}
	for q := range m.beside {
		if ctx.Err() != nil {
			return
		}
		c := &m.beside[q]
		if first := c.alike[len(m.good)]; int(first) < q {
			c.ohms = m.beside[first].ohms
			continue
		}
		offs := m.offsBlown(work.Overlay{}, c.blown, int(c.blows), c.bolted).in(space)
		for _, l := range m.checks[m.ohmsFrom:] {
			c.ohms = append(c.ohms, offs.read(l))
		}
	}
}

// fill works out the readings of all checks: those on the courses, and those of the
// faults that read otherwise than the course they follow. Only checks that a change
// touches are looked at.
func (m *Model) fill(ctx context.Context) {
	m.usual = make([]log.Reading, len(m.checks))
	m.cells = make([][]cell, len(m.checks))
	m.readOhms(ctx)
	steps, nodes := len(m.panel.Circuit.Steps), m.panel.Net.Nodes()+1
	touches := make([][]int32, steps*nodes)      // live checks by step and node
	looks := make([]int32, steps*len(m.visible)) // -1 where nobody can look
	for i := range looks {
		looks[i] = -1
	}
	var off offChecks
	live := make([][]int32, steps)
	var low []int32 // checks in low-impedance mode, which load the circuit
	for i, l := range m.checks {
		switch l.Kind {
		case log.Look:
			m.usual[i] = m.foretell(Good, l)
			looks[l.Step*len(m.visible)+m.visible[l.Sight()]] = int32(i)
			live[l.Step] = append(live[l.Step], int32(i))
		case log.Volts:
			m.usual[i] = m.foretell(Good, l)
			if l.Low {
				low = append(low, int32(i))
				continue
			}
			live[l.Step] = append(live[l.Step], int32(i))
			for _, n := range [2]network.Node{l.A, l.B} {
				k := l.Step*nodes + int(n)
				touches[k] = append(touches[k], int32(i))
			}
		case log.Ohms, log.Diode:
			m.usual[i] = m.beside[0].ohms[int32(i)-m.ohmsFrom]
			off.add(m, int32(i), l)
		}
	}
	many := m.manyWays(ctx, live)
	rows := make([][]found, len(m.faults))
	type space struct {
		stamp []int32      // by check: the last fault that it was looked at for
		at    []nodeChange // by node, where moved is the step at hand
		row   []found      // collected here, and kept no larger than need be
		moved []int32
		offs  *offSpace
	}
	spaces := func() *space {
		return &space{
			stamp: make([]int32, len(m.checks)), at: make([]nodeChange, nodes), moved: make([]int32, nodes), offs: m.offSpace(),
		}
	}
	share(ctx, len(m.faults), spaces, func(s *space, f int) {
		row := s.row[:0]
		mark, stamp := int32(f+1), s.stamp
		course, degree := m.follows[f], m.degree(f)
		note := func(i int32, r log.Reading) {
			if !sameReading(r, m.along(course, i)) {
				row = append(row, found{i, r})
			}
		}
		for step := range m.traces[f] {
			v := m.views(f, step)
			if v.several() || len(m.later[len(m.faults)].after(step)) > 0 {
				many.note(&v, course, func(n network.Node) {
					for _, i := range touches[step*nodes+int(n)] {
						if stamp[i] != mark {
							stamp[i] = mark
							note(i, v.foretell(m.checks[i], many.brisk[i]))
						}
					}
				}, func(visible int) {
					if i := looks[step*len(m.visible)+visible]; i >= 0 && stamp[i] != mark {
						stamp[i] = mark
						note(i, v.foretell(m.checks[i], many.brisk[i]))
					}
				}, func(found found) {
					if stamp[found.check] != mark {
						row = append(row, found)
					}
				})
				continue
			}
			c := v.main
			for _, lc := range c.looks {
				if i := looks[step*len(m.visible)+lc.visible]; i >= 0 {
					note(i, log.Reading{Kind: log.Look, On: lc.on, Firm: lc.firm})
				}
			}
			now := int32(f*steps + step + 1)
			for _, nc := range c.nodes {
				s.at[nc.node], s.moved[nc.node] = nc, now
			}
			at := func(n network.Node) (int32, phasors) {
				if s.moved[n] == now {
					return s.at[n].island, s.at[n].volts
				}
				return c.from.at(n)
			}
			for _, nc := range c.nodes {
				for _, i := range touches[step*nodes+int(nc.node)] {
					if stamp[i] != mark {
						stamp[i] = mark
						note(i, m.volts(at, m.checks[i].A, m.checks[i].B, degree))
					}
				}
			}
		}
		if len(low) > 0 {
			meter := m.meter(f)
			for _, i := range low {
				note(i, meter.read(m.checks[i]))
			}
		}
		own := m.offs(f).in(s.offs)
		off.touched(m, own, stamp, mark, func(i int32) { note(i, own.read(m.checks[i])) })
		s.row, rows[f] = row, slices.Clone(row)
		m.options.Progress.on()
	})
	m.keep(rows)
}

// found is a reading that a fault gives otherwise than the course it follows.
type found struct {
	check   int32
	reading log.Reading
}

// keep turns what was found by fault into cells by check, all in one piece.
func (m *Model) keep(rows [][]found) {
	size := make([]int, len(m.checks)+1)
	for _, row := range rows {
		for _, r := range row {
			size[r.check+1]++
		}
	}
	for i := range m.checks {
		size[i+1] += size[i]
	}
	all := make([]cell, size[len(m.checks)])
	for i := range m.checks {
		m.cells[i] = all[size[i]:size[i]:size[i+1]]
	}
	for f, row := range rows {
		for _, r := range row {
			m.cells[r.check] = append(m.cells[r.check], cell{int32(f), r.reading})
		}
		rows[f] = nil
	}
}
