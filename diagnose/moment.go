package diagnose

import (
	"context"
	"math"
	"math/cmplx"
	"slices"
	"sync"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// A step at whose end a timer runs does not stand still: what is read there depends on how soon
// it is read, and so does what is read in later steps that are reached from there. The good
// circuit, and each fault that leaves a timer running, is worked once more with a longer wait
// at the end of each such step. What then reads otherwise is not firm. Only a look that the good
// circuit itself does not hold is foretold for the moment: it is said how many seconds there are
// for it, and the circuit is begun anew for it.

// LookSeconds is how long it takes to look at a thing once the circuit stands in its step:
// what moves sooner cannot be held. Common practice, no source.
const LookSeconds = 5.0

// LeadsSeconds is how long it takes at the most to come to the next check, and to put the leads
// there. Common practice, no source.
const LeadsSeconds = 60.0

// laterOn is what time makes of a fault, or of the good circuit.
type laterOn struct {
	waits []waited
	// paces are the traces with timers at the ends of their tolerance, where those matter.
	paces [][]change
}

// waited is the operation with a longer wait at a step's end.
type waited struct {
	step    int
	longer  float64  // seconds
	turn    bool     // to the next turn of what flashes
	changes []change // by step from that one on, as far as they differ or are known
	rest    []change // by step: without the wait
	// of a fault the changes are known at the end of the step itself; those after are worked out
	// when a session asks for them.
	on    *goingOn // nil for the good circuit
	stage int
	fault int
}

// at gives what is changed at the end of a step.
func (w *waited) at(step int) *change {
	changes := w.changes
	if step > w.step && w.on != nil {
		changes = w.on.changes(w.stage, w.fault)
	}
	if k := step - w.step; k >= 0 && k < len(changes) {
		return &changes[k]
	}
	return &w.rest[step]
}

// goingOn is how faults go on after a longer wait at the end of a step: worked out once, when it is
// first asked for.
type goingOn struct {
	m          *Model
	step       int
	who, apart []int      // see Model.whoRuns
	traces     [][]change // by fault, as they depart where the timers' part of the panel is seen

	once   sync.Once
	worked []map[int][]change // by stage, by fault, by step from the one with the wait on
}

// changes gives those of a fault after a wait of a stage.
func (g *goingOn) changes(stage, fault int) []change {
	g.once.Do(g.work)
	return g.worked[stage][fault]
}

func (g *goingOn) work() {
	m, ctx := g.m, context.Background()
	c, known := m.panel.Course(), &conditions{of: make(map[*work.End]*condition)}
	m.asGood(c, known)
	stands := make([][]work.Stand, len(g.who))
	share(ctx, len(g.who), c.Follower, func(f *work.Follower, i int) {
		_, ends := m.standing(f, g.who[i], known, nil)
		stands[i] = ends.stands
	})
	for _, stage := range c.Stages(g.step) {
		m.asGood(stage, known)
		traces := make([][]change, len(g.who))
		share(ctx, len(g.who), stage.Follower, func(f *work.Follower, i int) {
			traces[i] = m.traceFrom(f, g.who[i], g.step, stands[i], known)
		})
		worked := make(map[int][]change, len(g.who)+len(g.apart))
		for i, f := range g.who {
			worked[f] = traces[i]
		}
		if len(g.apart) > 0 {
			trace := m.unmoved(g.step, m.goodLater(stage, g.step, known), g.traces)
			for _, f := range g.apart {
				worked[f] = trace(f)
			}
		}
		g.worked = append(g.worked, worked)
	}
}

// soonest is how many seconds the first of the running timers has left at the least; zero
// where none runs. One that flashes is waited for by nobody, and counts where it runs alone.
func soonest(running []work.Running) float64 {
	least, flashes := 0.0, false
	for _, r := range running {
		if r.Device.Flashes() {
			flashes = true
			continue
		}
		least = sooner(least, math.Max(atOnce, r.Left-work.TimerTolerance*r.Device.Seconds))
	}
	if least == 0 && flashes {
		return atOnce
	}
	return least
}

// atOnce stands for no time at all, in seconds.
const atOnce = 1e-3

// sooner is the lesser of two times, of which zero is none.
func sooner(a, b float64) float64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}

// letTimePass works the good circuit and the faults with longer waits, and with timers at the
// ends of their tolerance.
func (m *Model) letTimePass(ctx context.Context, c *work.Course, ends []traced, known *conditions) {
	m.later = make([]laterOn, m.hypotheses())
	far, traces := m.apartFromTimers(ctx, c), slices.Clone(m.traces)
	for step := range m.good {
		who, apart := m.whoRuns(step, far)
		if m.left[step] == 0 && len(who) == 0 {
			continue
		}
		on := &goingOn{m: m, step: step, who: who, apart: apart, traces: traces}
		for i, stage := range c.Stages(step) {
			m.workLater(ctx, stage, on, i, ends, known)
		}
	}
	var patient bool
	m.patience, patient = m.panel.Patience(c)
	var who []int
	for f, trace := range m.traces {
		for step := range trace {
			if left := trace[step].left; !patient || left > 0 && math.Abs(left-m.left[step]) > exactly {
				who = append(who, f)
				break
			}
		}
	}
	if len(who) == 0 {
		return
	}
	waiting := m.panel.Waiting(m.patience)
	for _, pace := range []float64{1 + work.TimerTolerance, 1 - work.TimerTolerance} {
		course := waiting.Paced(pace).Course()
		m.workPaced(ctx, course, who)
		if !patient { // a slow timer may not have timed out where the good circuit's has
			good := &m.later[len(m.faults)]
			good.paces = append(good.paces, m.goodPaced(course))
		}
	}
}

// stirs gives, by step, what moves in the good circuit while it waits there; nil where nothing runs.
func (m *Model) stirs(c *work.Course) []*work.Stir {
	stirs := make([]*work.Stir, len(m.good))
	for step := range stirs {
		if m.left[step] > 0 {
			stirs[step] = c.Stir(step, c.Stages(step))
		}
	}
	return stirs
}

// whoRuns are the faults that leave a timer running at the end of a step: those that are to be
// worked again, and those whose part of the panel the timers do not reach.
func (m *Model) whoRuns(step int, far func(fault, step int) bool) (who, apart []int) {
	for f := range m.traces {
		switch {
		case m.traces[f][step].left == 0:
		case far(f, step):
			apart = append(apart, f)
		default:
			who = append(who, f)
		}
	}
	return who, apart
}

// apartFromTimers tells whether a fault and the timers that run at the end of a step act on
// parts of the panel that have nothing to do with each other: the timers run on as in the good
// circuit, and what the fault changes stays as it is.
func (m *Model) apartFromTimers(ctx context.Context, c *work.Course) func(fault, step int) bool {
	stretches := m.panel.Stretches()
	if stretches == nil {
		return func(int, int) bool { return false }
	}
	timers := make([]*work.Reach, len(m.good))
	for step := range timers {
		timers[step] = stretches.Reach()
		timers[step].Timers(c.End(step).Running)
	}
	departs := make(map[[2]*condition]*work.Reach) // of conditions from the good circuit
	for _, trace := range m.traces {
		for step, change := range trace {
			k := [2]*condition{change.from, m.good[step]}
			if k[0] == k[1] || departs[k] != nil {
				continue
			}
			departs[k] = stretches.Reach()
			for _, n := range k[0].differing(k[1]) {
				departs[k].Seen(n)
			}
		}
	}
	apart := make([][]bool, len(m.faults)) // by step
	share(ctx, len(m.faults), nothing, func(_ struct{}, f int) {
		apart[f] = make([]bool, len(m.good))
		reach := stretches.Reach()
		if m.otherwise[f] != nil || !m.runsAsGood(f) || !reach.Fault(&m.faults[f].Overlay) {
			return
		}
		for step, change := range m.traces[f] {
			if from := departs[[2]*condition{change.from, m.good[step]}]; from != nil {
				reach.Join(from)
			}
			for _, n := range change.nodes {
				reach.Seen(n.node)
			}
		}
		for step := range apart[f] {
			apart[f][step] = !reach.Meets(timers[step])
		}
	})
	return func(f, step int) bool { return apart[f][step] }
}

// runsAsGood tells whether under a fault the timers run as in the good circuit.
func (m *Model) runsAsGood(fault int) bool {
	for step, c := range m.traces[fault] {
		if math.Abs(c.left-m.left[step]) > exactly {
			return false
		}
	}
	return true
}

// differing gives the nodes at which two conditions are not the same.
func (c *condition) differing(other *condition) []network.Node {
	var nodes []network.Node
	for n := 1; n < len(c.island); n++ {
		same := c.island[n] == other.island[n]
		for s := range c.volts {
			same = same && c.volts[s][n] == other.volts[s][n]
		}
		if !same {
			nodes = append(nodes, network.Node(n))
		}
	}
	return nodes
}

// moved is a condition that departs from the good circuit in a part that timers do not reach, as
// they have gone on there.
func (c *condition) moved(good, later *condition) *condition {
	if c == good {
		return later
	}
	out := &condition{island: slices.Clone(later.island), on: slices.Clone(later.on), firm: slices.Clone(later.firm)}
	for _, v := range later.volts {
		out.volts = append(out.volts, slices.Clone(v))
	}
	for _, n := range c.differing(good) {
		out.island[n] = c.island[n]
		for s := range out.volts {
			out.volts[s][n] = c.volts[s][n]
		}
	}
	for v := range c.on {
		if c.on[v] != good.on[v] || c.firm[v] != good.firm[v] {
			out.on[v], out.firm[v] = c.on[v], c.firm[v]
		}
	}
	return out
}

// unmoved gives the changes of faults that are apart from the timers with a longer wait at the end
// of a step, from that step on as far as the good circuit's are given: what each changes, departing
// from how the circuit goes on without it.
func (m *Model) unmoved(step int, good []change, traces [][]change) func(fault int) []change {
	known := make(map[[2]*condition]*condition)
	return func(fault int) []change {
		changes := slices.Clone(traces[fault][step : step+len(good)])
		for k := range changes {
			c, later := &changes[k], &good[k]
			of := [2]*condition{c.from, later.from}
			if known[of] == nil {
				known[of] = c.from.moved(m.good[step+k], later.from)
			}
			c.from, c.left = known[of], later.left
		}
		return changes
	}
}

// goodLater gives what the good circuit comes to on a course with a longer wait at the end of a
// step, from that step on, as far as that differs.
func (m *Model) goodLater(course *work.Course, step int, known *conditions) []change {
	var changes []change
	for i := step; i < len(m.good); i++ {
		e := course.End(i)
		changes = append(changes, change{from: known.at(m, e), left: soonest(e.Running)})
	}
	for n := len(changes); n > 0 && course.RejoinsAt(step+n-1); n-- {
		changes = changes[:n-1]
	}
	return changes
}

// asGood lets the ends of a course that are as those of the good circuit go by those, so that what
// departs from them is seen to.
func (m *Model) asGood(c *work.Course, known *conditions) {
	for i, g := range m.good {
		if at := known.at(m, c.End(i)); at != g && (&change{from: at}).sameAs(&change{from: g}) {
			known.of[c.End(i)] = g
		}
	}
}

// workLater works faults, and the good circuit where a timer runs there, on a course with a longer
// wait at the end of a step: the good circuit to the last step, the faults to the end of that one.
func (m *Model) workLater(ctx context.Context, course *work.Course, on *goingOn, stage int, ends []traced, known *conditions) {
	step := on.step
	longer := course.Waits(step) - m.panel.Circuit.Steps[step].Wait
	m.asGood(course, known)
	good := m.goodLater(course, step, known)
	if m.left[step] > 0 {
		w := waited{step: step, longer: longer, turn: course.Turn(), changes: good}
		for i, g := range m.good {
			w.rest = append(w.rest, change{from: g, left: m.left[i]})
		}
		m.later[len(m.faults)].waits = append(m.later[len(m.faults)].waits, w)
	}
	keep := func(fault int, changes []change) {
		m.later[fault].waits = append(m.later[fault].waits,
			waited{step: step, longer: longer, turn: course.Turn(), changes: slices.Clone(changes[:min(1, len(changes))]), rest: m.traces[fault], on: on, stage: stage, fault: fault})
	}
	follower := func() *work.Follower { return course.Follower().Until(step) }
	trace := m.unmoved(step, good[:min(1, len(good))], on.traces)
	for _, fault := range on.apart {
		keep(fault, trace(fault))
	}
	var who []int
	for _, fault := range on.who {
		if apart := ends[fault].apart; apart != nil && apart[step] {
			keep(fault, trace(fault))
		} else {
			who = append(who, fault)
		}
	}
	share(ctx, len(who), follower, func(f *work.Follower, i int) {
		keep(who[i], m.traceFrom(f, who[i], step, ends[who[i]].stands, known))
	})
}

// workPaced works faults on a course on which timers are at an end of their tolerance.
func (m *Model) workPaced(ctx context.Context, course *work.Course, who []int) {
	known := &conditions{of: make(map[*work.End]*condition)}
	m.asGood(course, known)
	share(ctx, len(who), course.Follower, func(f *work.Follower, i int) {
		trace, _, _, _ := m.trace(f, &m.faults[who[i]].Overlay, known)
		l := &m.later[who[i]]
		l.paces = append(l.paces, m.whetherOrNot(f, who[i], known, trace))
	})
}

// goodPaced gives what the good circuit comes to on such a course, by step.
func (m *Model) goodPaced(course *work.Course) []change {
	known := &conditions{of: make(map[*work.End]*condition)}
	m.asGood(course, known)
	changes := make([]change, len(m.good))
	for i := range changes {
		e := course.End(i)
		changes[i] = change{from: known.at(m, e), left: soonest(e.Running)}
	}
	return changes
}

// laterOf gives what time makes of a fault, or of the good circuit; nil for nothing.
func (m *worked) laterOf(fault int) *laterOn {
	if m.later == nil {
		return nil
	}
	return &m.later[m.hypothesis(fault)]
}

// after gives what it comes to with longer waits at a step's end; none where that changes
// nothing.
func (l *laterOn) after(step int) []waited {
	if l == nil {
		return nil
	}
	from := slices.IndexFunc(l.waits, func(w waited) bool { return w.step == step })
	if from < 0 {
		return nil
	}
	to := from
	for to < len(l.waits) && l.waits[to].step == step {
		to++
	}
	return l.waits[from:to]
}

// brisk tells whether a check is one of what the good circuit does not hold for good, but long
// enough.
func (m *worked) brisk(l log.Located) bool {
	needs := LookSeconds
	if l.Kind == log.Volts {
		needs = LeadsSeconds
	}
	return m.left != nil && !l.Kind.Off() && m.left[l.Step] >= needs && m.turnsLater(l)
}

// turnsLater tells whether a live reading of the good circuit changes as time passes.
func (m *worked) turnsLater(l log.Located) bool {
	waits := m.laterOf(Good).after(l.Step)
	if l.Kind.Off() || len(waits) == 0 {
		return false
	}
	v := views{m: m, step: l.Step, main: &change{from: m.good[l.Step], left: m.left[l.Step]}, waits: waits}
	now := v.now(l)
	return l.Low || slices.ContainsFunc(waits, func(w waited) bool { return !v.stays(l, now, w.at(l.Step)) })
}

// cannotBeHeld tells whether the good circuit does not hold its reading until it is taken.
func (m *Model) cannotBeHeld(l log.Located) bool { return m.turnsLater(l) && !m.brisk(l) }

// drifts tells whether the circuit has to be begun anew for a later step once time has passed at
// the end of a step.
func (m *Model) drifts(from, to int) bool { return m.later != nil && m.slips(len(m.faults), from, to) }

// afresh gives the minutes to begin anew for a check where the circuit stands in its step.
func (m *Model) afresh(l log.Located) float64 {
	if !m.brisk(l) {
		return 0
	}
	return RestartMinutes + m.working(-1, l.Step)
}

// hurried tells whether a check has to be made at once when the circuit comes to its step.
func (m *Model) hurried(l log.Located) bool { return m.brisk(l) && m.left[l.Step] < LeadsSeconds }

// still tells whether a test can be made in its own time.
func (m *Model) still(t split.Test) bool { return !m.hurried(m.checks[m.table.checks[t]]) }

// sameAs tells whether two changes come to the same.
func (c *change) sameAs(other *change) bool {
	for _, n := range c.concerned(other) {
		island, volts := c.at(n)
		island2, volts2 := other.at(n)
		for s := range volts {
			if island != island2 || cmplx.Abs(complex128(volts[s]-volts2[s])) > exactly {
				return false
			}
		}
	}
	for v := range c.from.on {
		if c.seen(v) != other.seen(v) {
			return false
		}
	}
	return true
}

// run is what was checked since the circuit was begun, the power on.
type run struct {
	steps []int
	made  map[int]float64 // checks, by step and those before
}

// passed gives the steps in which time went by on the way to a step: so much that a timer may
// have timed out. None where the circuit has to be begun anew for the step in any case.
func (r *run) passed(m *Model, l log.Located) []int {
	if m.later == nil || l.Kind.Off() || len(r.steps) > 0 && l.Step < r.steps[len(r.steps)-1] {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(r.steps), func(s int) bool { return (r.made[s]+1)*LeadsSeconds <= m.left[s] })
}

// goOn notes a check.
func (r *run) goOn(l log.Located, anew bool) {
	if anew || l.Kind.Off() || len(r.steps) > 0 && l.Step < r.steps[len(r.steps)-1] {
		r.steps, r.made = nil, nil
	}
	if l.Kind.Off() {
		return
	}
	if r.made == nil {
		r.made = make(map[int]float64)
	}
	if !slices.Contains(r.steps, l.Step) {
		r.steps = append(r.steps, l.Step)
	}
	for _, s := range r.steps {
		r.made[s]++
	}
}

// anew tells whether it is said of a check that the circuit is to be begun anew for it, though it
// could go on, where time has passed in some steps: what the good circuit shows there, or any of
// what is left, is otherwise by then.
func (b *belief) anew(passed []int, l log.Located) bool {
	for _, s := range passed {
		if s == l.Step {
			if b.m.brisk(l) {
				return true
			}
			continue
		}
		if b.m.drifts(s, l.Step) {
			return true
		}
		loose, least := b.m.slipping(s, l.Step), slices.Min(b.disagree[:len(b.m.faults)])
		for h, d := range b.disagree[:len(b.m.faults)] {
			if d == least && (loose[h] || b.m.later[h].manyWays(passed, l.Step)) {
				return true
			}
		}
	}
	return false
}

// forgive takes back what an answer has against hypotheses that agree with it where time
// passed in steps on the way: they leave it open.
func (m *Model) forgive(passed []int, e log.Entry, against []bool, open []opening) {
	if len(passed) == 0 {
		return
	}
	for h, no := range against {
		if no && m.forgives(&m.later[h], m.fault(h), e.Located(), *e.Answer, passed) {
			against[h], open[h] = false, anything
		}
	}
}

func (m *Model) forgives(later *laterOn, fault int, l log.Located, answer log.Reading, passed []int) bool {
	for _, step := range passed {
		for _, w := range later.after(step) {
			if m.agree(l, m.alongChange(w.at(l.Step), fault, l), answer) {
				return true
			}
		}
	}
	return later.manyWays(passed, l.Step)
}

// manyWays tells whether time may have passed in more than one step in which a timer ran: nobody
// follows all that may come of it.
func (l *laterOn) manyWays(passed []int, to int) bool {
	for _, step := range passed {
		for _, w := range l.after(step) {
			for _, next := range passed {
				if next > step && next <= to && w.at(next).left > 0 {
					return true
				}
			}
		}
	}
	return false
}

// slips tells whether time that passes at the end of one step leaves a hypothesis otherwise
// than foretold at the end of a later one.
func (m *Model) slips(h, from, to int) bool {
	for _, w := range m.later[h].after(from) {
		foretold := &change{from: m.good[to], left: m.left[to]}
		if h < len(m.faults) {
			foretold = &m.traces[h][to]
		}
		if c := w.at(to); math.Abs(c.left-foretold.left) > exactly || !c.sameAs(foretold) {
			return true
		}
	}
	return false
}

// slipping tells by hypothesis what slips tells; worked out once.
func (m *Model) slipping(from, to int) []bool {
	m.basing.Lock()
	defer m.basing.Unlock()
	k := [2]int{from, to}
	if m.slipped[k] == nil {
		if m.slipped == nil {
			m.slipped = make(map[[2]int][]bool)
		}
		all := make([]bool, m.hypotheses())
		for h := range all {
			all[h] = m.slips(h, from, to)
		}
		m.slipped[k] = all
	}
	return m.slipped[k]
}

// fresh leaves out tests for which the circuit has to be begun anew though it could go on. Tests
// are weighed on several cores at once, so what is known of a step is guarded.
func (b *belief) fresh() func(split.Test) bool {
	type at struct {
		step  int
		brisk bool
	}
	var guard sync.Mutex
	known := make(map[at]bool)
	return func(t split.Test) bool {
		l := b.m.checks[b.m.table.checks[t]]
		if l.Kind.Off() {
			return true
		}
		k := at{l.Step, b.m.brisk(l)}
		guard.Lock()
		defer guard.Unlock()
		is, ok := known[k]
		if !ok {
			is = !b.anew(b.run.passed(b.m, l), l)
			known[k] = is
		}
		return is
	}
}

// tellTime notes on a proposal whether the circuit has to be begun anew for it, and where to wait
// longer on the way.
func (b *belief) tellTime(p *Proposal) {
	l, err := b.m.book.Locate(p.Check)
	if err != nil || l.Kind.Off() {
		return
	}
	p.Anew = b.anew(b.run.passed(b.m, l), l)
	for step, longer := range b.m.patience[:min(l.Step+1, len(b.m.patience))] {
		if longer > 0 {
			if p.Longer == nil {
				p.Longer = make(map[string]float64)
			}
			p.Longer[b.m.panel.Circuit.Steps[step].Name] = log.Round(longer)
		}
	}
}

// tight is a parting without the rivals of which nobody knows what they come to in a step that is
// reached from where the work stands.
func (b *belief) tight(p *parting) func(l log.Located) *parting {
	by := make(map[int]*parting)
	return func(l log.Located) *parting {
		passed := b.run.passed(b.m, l)
		if len(passed) == 0 || b.anew(passed, l) {
			return p
		}
		if q, ok := by[l.Step]; ok {
			return q
		}
		q := p
		for _, s := range passed {
			if s == l.Step {
				continue
			}
			for h, is := range b.m.slipping(s, l.Step) {
				if p.rivals[h] == 0 || !is && !b.m.later[h].manyWays(passed, l.Step) {
					continue
				}
				if q == p {
					own := *p
					own.rivals, own.sharing, own.mass = slices.Clone(p.rivals), nil, nil
					q = &own
				}
				q.rivals[h] = 0
			}
		}
		by[l.Step] = q
		return q
	}
}
