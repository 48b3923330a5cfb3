package work

import (
	"maps"
	"math"
	"math/cmplx"
	"slices"

	"deadrung/circuits/network"
)

// Follower works faults along a course. It holds the working space of one goroutine.
type Follower struct {
	trunk *Course
	local *network.Local
	fits  bool
	p     *Panel

	c        *Course // the trunk, or one that left it
	stepping int     // index into the steps of the course
	next     int     // of those step's phases, the one to come

	o                 *Overlay
	most              float64          // amperes that no current reaches under it
	apart             map[int]armature // relays that diverge, and all that are held
	spare             map[int]armature // room for the next of these
	before            map[int]armature // how they stood before the step
	order             []int
	laws              []*relay       // of all relays, but for those that are held
	held              map[int]*relay // relays that the overlay holds or mistimes
	now               float64
	at                *moment
	base              *network.Base // what it was last solved against
	atPhase, atMoment int           // where it is in its step
	atTime            float64
	change            overlayChange
	depends           bool // see End.Depends

	own     []network.Node // of the fault's parts
	settled bool           // no relay moved as it was solved last
	added   float64        // amperes, see more
	over    int            // the protective device that it overloads, less than zero for none
	rings   []network.Node // see network.Local.Rings, of how it was solved last
	ringed  bool           // rings are known

	last int // steps that it follows; zero for all

	late      bool // it stands at the end of the step to come, and waits longer there
	chattered bool // then some found no rest

	// What follows is of armatures that race (race.go).
	stood   []diverging  // relays that diverged when the settling began
	from    *moment      // where it began
	blew    bool         // the course was left since: a protective device opened, or a source was cut off
	raced   bool         // some have raced on the way
	reverse bool         // of those the last in the file is the quickest, else the first
	chatter []int        // relays that find no rest, rising
	round   []roundPhase // the conditions that they go through
	rival   *Follower    // how it goes in reverse, once some have raced
	other   *Follower    // room for a rival
	forked  *Follower    // how it stood before the first race, and the step: nil for the start
	forkAt  int
	unrest  unrest
}

// Follower makes the working space for following faults along the course.
func (c *Course) Follower() *Follower {
	f := &Follower{trunk: c, p: c.p}
	f.local, f.fits = c.p.Net.NewLocal()
	f.fits = f.fits && c.whole && !c.p.Net.Whole()
	return f
}

// Work works the operation under an overlay. At the end of each step it calls small,
// as long as the fault can be followed along a course, and whole from the first step
// on where it cannot, beside the end of the step on the course left last.
func (f *Follower) Work(o *Overlay, small func(step int, d *Departure),
	whole func(step int, e, beside *End)) {
	f.c = f.trunk
	if !f.start(o) || !f.step(0) || f.raced && !f.raceFromStart() {
		f.workWhole(o, whole)
		return
	}
	f.goOn(0, func(step int, d *Departure) bool { small(step, d); return true }, whole)
}

// workWhole works all of the operation in full.
func (f *Follower) workWhole(o *Overlay, whole func(step int, e, beside *End)) {
	f.p.Work(o, func(step int, e *End) bool { whole(step, e, f.trunk.End(step)); return step+1 < f.steps() })
}

// Until gives the follower, to follow faults to the end of a step and no further.
func (f *Follower) Until(step int) *Follower {
	f.last = step + 1
	return f
}

// steps is the number of steps that are followed.
func (f *Follower) steps() int {
	if f.last > 0 {
		return f.last
	}
	return len(f.p.Circuit.Steps)
}

// goOn works the steps from one on, as Work does, as long as small has it go on. Where armatures
// have raced on the way and the fault can not be followed any further, whole is called from the
// step of the race on, once more for those that small has had.
func (f *Follower) goOn(from int, small func(step int, d *Departure) bool, whole func(step int, e, beside *End)) {
	for i := from; i < f.steps(); i++ {
		before := *f
		before.apart = f.before // a copy of what is now
		clear(f.before)
		maps.Copy(f.before, f.apart)
		if !f.step(i+1) || f.raced && !f.race(&before, i) {
			change, step := f.change, i
			if f.rival != nil {
				if f.forked == nil {
					f.workWhole(f.o, whole)
					return
				}
				before, step = *f.forked, f.forkAt
			}
			*f = before
			f.change, f.spare, f.before = change, make(map[int]armature), make(map[int]armature)
			f.p.goOn(step, func(reverse bool) *worker {
				w := f.worker(step)
				w.reverse = reverse
				return w
			}, func(k int, e *End) bool { whole(k, e, f.c.End(k)); return k+1 < f.steps() })
			return
		}
		if !small(i, &Departure{f: f}) {
			return
		}
	}
}

// start prepares a fault; it reports false where the fault is not one to be followed.
func (f *Follower) start(o *Overlay) bool {
	f.o, f.most = o, f.p.mostUnder(o)
	f.apart, f.spare, f.before = make(map[int]armature), make(map[int]armature), make(map[int]armature)
	f.now, f.depends, f.settled = 0, false, false
	f.unrest.again, f.unrest.noting = false, false
	f.own = f.p.ownNodes(o)
	f.raced, f.reverse, f.rival, f.forked = false, false, nil, nil
	f.late, f.chattered = false, false
	if !f.fits || len(o.OpenSources)+len(o.DeadSources)+len(o.Scale)+o.Extra > 0 {
		return false
	}
	f.laws, f.held = f.p.laws(o.Temper), f.p.heldRelays(o)
	for r := range f.held {
		f.apart[r] = armature{}
	}
	return true
}

// worker gives a full worker that stands as the follower stood before a step.
func (f *Follower) worker(step int) *worker {
	w := newWorker(f.p, f.o)
	w.depends = f.depends
	if f.late {
		w.late = f.trunk.longer
		step++
	}
	for i := range step {
		for _, set := range f.p.Circuit.Steps[i].Set {
			w.hand[w.opIndex[set.Device]] = set.Position
		}
	}
	for i := range w.hand {
		w.place(i, w.position(i))
	}
	for r := range w.stand {
		w.stand[r] = f.stands(r, f.at)
		w.throw(r)
	}
	w.blow(f.c.blown)
	w.solve()
	return w
}

// stands is how a relay stands at a moment of the course: as on the course unless it
// diverges.
func (f *Follower) stands(r int, g *moment) armature {
	if a, ok := f.apart[r]; ok {
		return a
	}
	return f.good(r, g)
}

// good is how a relay stands on the course.
func (f *Follower) good(r int, g *moment) armature {
	return f.p.good[r].later(g.stand[r], f.now-f.atTime)
}

// relay gives the law of a relay under the overlay.
func (f *Follower) relay(r int) *relay {
	if held := f.held[r]; held != nil {
		return held
	}
	return f.laws[r]
}

// step follows one step, by its index in the course: its settlings there, and those that
// divergent timers add.
func (f *Follower) step(i int) bool {
	if !f.c.goesAlike(i, f.o.Temper) {
		return false
	}
	if f.late {
		return f.stay() && f.pass(i)
	}
	f.stepping, f.next, f.now = i, 0, 0
	for _, r := range f.p.repeats {
		if a, apart := f.apart[r]; apart && i > 0 {
			f.apart[r] = f.relay(r).again(a)
			f.settled, f.unrest.again = false, false
		}
	}
	for f.due(0) {
		if !f.phase(f.next, 0) {
			return false
		}
	}
	return i == 0 || f.pass(i)
}

// due tells whether the next settling of the course comes so many seconds after the step began, or
// sooner. The course may be left on the way, so its phases are asked for every time.
func (f *Follower) due(by float64) bool {
	phases := f.c.steps[f.stepping].phases
	return f.next < len(phases) && phases[f.next].at <= by
}

// pass lets the time of a step pass, from where it is.
func (f *Follower) pass(i int) bool {
	end := f.p.Circuit.Steps[i-1].Wait
	for f.now < end {
		next := end
		if f.due(end) {
			next = f.c.steps[i].phases[f.next].at
		}
		for r, a := range f.apart {
			if law := f.relay(r); law.running(a) {
				next = min(next, f.now+law.left(a))
			}
		}
		passed := next - f.now
		f.now = next
		timedOut := false
		for r, a := range f.apart {
			now, out := f.relay(r).pass(a, passed)
			f.apart[r] = now
			timedOut = timedOut || out
		}
		if timedOut {
			f.settled, f.unrest.again = false, false
		}
		switch {
		case f.due(f.now + 1e-9):
			follow := f.goOnChattering
			if len(f.chatter) == 0 || timedOut || f.goodTimesOut() {
				follow = func() bool { return f.phase(f.next, 0) }
			}
			if !follow() {
				return false
			}
		case timedOut:
			if !f.phase(f.atPhase, f.atMoment) {
				return false
			}
		}
	}
	return true
}

// phase follows one settling of the course from one of its moments on.
func (f *Follower) phase(phase, from int) bool {
	ph := &f.c.steps[f.stepping].phases[phase]
	last := len(ph.moments) - 1
	if phase == f.next {
		f.next++
		f.now, f.atTime = ph.at, ph.at
	}
	f.atPhase = phase
	if from == 0 && f.comesBack(ph) {
		return true
	}
	f.begin(&ph.moments[from])
	var been map[string]bool
	for j := from; ; j++ {
		g := &ph.moments[min(j, last)]
		next := &ph.moments[min(j+1, last)]
		was := f.at
		f.at, f.atMoment = g, min(j, last)
		changed := false
		if f.quiet(was, g, next) {
			// as before
		} else if !f.solve(g) {
			if f.overload() || f.turnOff() || f.cutOff() {
				f.blew = true
				ok := f.phase(0, 0)
				f.blew = false
				return ok
			}
			return false
		} else {
			changed = f.advance(g, next, nil)
			f.settled = !changed
		}
		if j >= last && !changed {
			f.unrest.noting = false
			return true
		}
		if j < last+patience {
			continue
		}
		if been == nil {
			been = make(map[string]bool)
		}
		k := f.key(next)
		if been[k] {
			return f.settleRace(next)
		}
		been[k] = true
	}
}

// advance lets all armatures that the fault may have moved follow their coils together, from a
// moment of the course to the next. It reports whether any moved, and notes which.
func (f *Follower) advance(g, next *moment, moves map[int]bool) bool {
	changed := false
	apart := f.spare
	clear(apart)
	judge := func(r int) {
		if _, done := apart[r]; done {
			return
		}
		law := f.relay(r)
		a, moved := law.follow(f.stands(r, g), f.across)
		changed = changed || moved
		if moved && moves != nil {
			moves[r] = true
		}
		if f.held[r] != nil || !law.same(a, f.good(r, next)) {
			apart[r] = a
		}
	}
	for r := range f.apart {
		judge(r)
	}
	for _, l := range f.local.Loads() {
		if r := f.p.relayOf[l]; r >= 0 {
			judge(r)
		}
	}
	f.apart, f.spare = apart, f.apart
	return changed
}

// turnOff leaves the course where a dead short opens a protective device; it reports
// false where it is not plain which one opens.
//
// Of the devices on one way of the short's current the least rated opens if the short is
// cleared with it alone open: as long as it is, none of the others is called upon, and
// without it the current still has this way (worker.clearShort).
func (f *Follower) turnOff() bool {
	way, ok := f.local.Short(&f.change.Change)
	if !ok {
		return false
	}
	opens, alike := -1, false // they are ranked, the least rated last
	for i, d := range f.p.fuses {
		if slices.ContainsFunc(d.poles, func(c network.Conductor) bool { return slices.Contains(way, c) }) {
			alike = opens >= 0 && f.p.fuses[opens].equal == d.equal
			opens = i
		}
	}
	if alike {
		return false // which of them opens is a race
	}
	if opens < 0 || slices.ContainsFunc(f.p.fuses, func(d fuse) bool {
		return d.primary && d.device != f.p.fuses[opens].device && d.equal <= f.p.fuses[opens].equal
	}) {
		return false // one no greater that feeds a transformer may open instead
	}
	return f.goOff(turnoff{fuse: opens})
}

// cutOff leaves the course where a source is cut off; it reports false where that is not so, or
// where no conductor stands for all that cut it off there.
//
// Whatever opens in the feed of a panel leaves nearly all of it dead. That is worked out once,
// with the first conductor behind the source open, and what lies between that one and the fault
// is a small change to it.
func (f *Follower) cutOff() bool {
	if len(f.o.Landings) > 0 {
		return false
	}
	cut := f.local.Cut(&f.change.Change, func(c network.Conductor) bool {
		kind := f.p.parts[c].Kind
		return kind != ContactPart && kind != LinkPart && !slices.Contains(f.c.cut, c)
	})
	return cut != 0 && f.goOff(turnoff{cut: cut})
}

// overload leaves the course where the fault overloads a protective device; it reports false where
// that is not so.
func (f *Follower) overload() bool {
	for f.over >= 0 {
		opens := f.over
		f.over = -1
		if f.goOff(turnoff{fuse: opens}) {
			return true
		}
		f.atPhase, f.atMoment = 0, 0 // on the way there another one may open
	}
	return false
}

// goOff goes on, on the course that turns off at the present moment.
func (f *Follower) goOff(at turnoff) bool {
	at.step, at.phase, at.moment, at.time = f.c.steps[f.stepping], f.atPhase, f.atMoment, f.now
	off := f.c.turnOff(f.stepping, at)
	if !off.whole || !off.goesAlike(f.stepping, f.o.Temper) {
		return false
	}
	f.c, f.next, f.settled, f.unrest.again = off, 0, false, false
	return f.solve(&off.steps[f.stepping].phases[0].moments[0])
}

// across is the voltage across a load.
func (f *Follower) across(l network.Load) float64 {
	if slices.Contains(f.o.OpenLoads, l) {
		return 0
	}
	p := f.p.Net.Load(l)
	v := f.local.Between(p.A, p.B)
	f.depends = f.depends || f.p.coilDepends(l, v)
	return v
}

// solve solves what the fault and the relays that diverge change at a moment. It
// reports false where the change is not a small one.
func (f *Follower) solve(g *moment) bool {
	ch := &f.change
	ch.begin(f.p, f.o, g.base.Closed)
	f.order = f.order[:0]
	for r := range f.apart {
		f.order = append(f.order, r)
	}
	slices.Sort(f.order) // so that every run is the same
	for _, r := range f.order {
		position, timed := f.relay(r).positions(f.apart[r])
		ch.contacts(f.p.relays[r], position, timed)
	}
	for _, c := range f.c.cut {
		if !slices.Contains(f.o.Open, c) {
			ch.want(c, true)
		}
	}
	ch.finish()
	f.base = g.base
	if f.bolts(g) {
		if bolted := f.c.withBolt(g, f.o.Temper); bolted != nil {
			f.base = bolted
		}
	}
	f.ringed, f.settled, f.over = false, false, -1
	if !f.local.Solve(f.base, &ch.Change) || !f.fed() || !f.within(g) {
		return false
	}
	f.unrest.note(f)
	return true
}

// bolts tells whether a fault that opened a protective device still shorts what is dead
// behind it.
func (f *Follower) bolts(g *moment) bool {
	if f.c.bolt[0] == 0 {
		return false
	}
	bolted := joinsAs(g.base.Super, f.c.bolt)
	dead, ret := g.base.Super(f.c.bolt[0]), g.base.Super(f.c.bolt[1])
	for _, c := range f.change.Opened {
		if a, _ := f.p.Net.Ends(c); g.base.Super(a) == dead || g.base.Super(a) == ret {
			return false
		}
	}
	return slices.ContainsFunc(f.change.Joins, bolted)
}

// fed tells whether every transformer with a wired primary gets there what it gets on the
// course; if not, all that it feeds changes with it.
func (f *Follower) fed() bool {
	for _, d := range f.p.sources[1:] {
		if !f.p.PrimaryWired(d) {
			continue
		}
		l := f.p.load[d]
		if slices.Contains(f.o.OpenLoads, l) {
			return false
		}
		if _, touched := slices.BinarySearch(f.local.Loads(), l); !touched {
			continue
		}
		winding := f.p.Net.Load(l)
		_, a := f.local.At(winding.A)
		_, b := f.local.At(winding.B)
		live := f.base.Live()
		for s := range live.Systems() {
			was := live.Potential(winding.A, s) - live.Potential(winding.B, s)
			if live.Island(winding.A) != live.Island(winding.B) || cmplx.Abs(a[s]-b[s]-was) > 1e-9*d.Volts {
				return false
			}
		}
	}
	return true
}

// more is by how many amperes the fault may add to a current, at the most.
func (f *Follower) more() (amps float64) {
	for _, l := range f.local.Loads() {
		was, _ := f.base.Live().Between(f.p.Net.Load(l).A, f.p.Net.Load(l).B)
		amps += math.Max(0, f.across(l)/f.p.leastOhms(f.o.Parts(f.p.Net, l))-was/ohms(f.p.Net.Load(l)))
	}
	for _, l := range f.change.Leaks { // a bad joint may lead to a short
		amps += f.local.Between(l.A, l.B) / l.Ohms
	}
	return amps
}

// ohms is the impedance of a load while it runs, without its angle.
func ohms(p network.LoadParts) float64 { return math.Hypot(real(p.Running), imag(p.Running)) }

// leastOhms is the least that a load may have to any current in the panel: to direct current a
// winding has its resistance alone.
func (p *Panel) leastOhms(l network.LoadParts) float64 {
	if p.anyDC {
		return math.Min(ohms(l), l.DirectOhms())
	}
	return ohms(l)
}
