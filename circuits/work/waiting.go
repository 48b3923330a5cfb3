package work

import (
	"cmp"
	"slices"
)

// waiting is how a course came of another one by a longer wait at the end of a step.
type waiting struct {
	of   *Course
	step int // index into the steps of the circuit
	// branches are the courses that had left the other one before the step, as they go on here.
	branches map[*Course]*Course
}

// Waiting is the course on which the circuit waits so many seconds longer at the end of a step.
// What comes before the step it shares with this one, and so what comes after, once the wait
// makes no difference any more.
func (c *Course) Waiting(step int, longer float64) *Course {
	waits := make([]float64, len(c.p.Circuit.Steps))
	waits[step] = longer
	p := c.p.Waiting(waits)
	if !c.whole {
		w := p.Course()
		w.longer = longer
		return w
	}
	w := &Course{p: p, whole: true, longer: longer, turnoffs: newTurnoffs(),
		waiting: &waiting{c, step, make(map[*Course]*Course)}}
	w.turnoffs.mu = c.turnoffs.mu
	w.goOnAs(c, step)
	return w
}

// goOnAs works a course on from the end of a step, where it stands as another does and waits
// longer, until that stands alike at the end of a step.
func (c *Course) goOnAs(other *Course, step int) {
	c.steps, c.blown, c.bolt = slices.Clone(other.steps[:step+1]), slices.Clone(other.blown), other.bolt
	c.cut, c.whole = slices.Clone(other.cut), other.whole
	w := c.worker()
	m, since := other.last(step + 1)
	w.standAt(step+1, m, since)
	w.blow(c.blown)
	copy(w.st.EMF, m.emf)
	w.live, w.stale = m.base.Live(), false
	w.late = c.Waits(step) - other.Waits(step)
	for i := step; i < len(c.p.Circuit.Steps); i++ {
		c.begin()
		if i == step {
			c.steps[i+1].phases, c.now = slices.Clip(other.steps[i+1].phases), other.Waits(i)
		}
		w.step(&c.p.Circuit.Steps[i])
		c.finish(w)
		m, since := other.last(i + 1)
		same := c.whole && len(w.collapsed) == 0
		for r, law := range w.relays {
			same = same && law.same(w.stand[r], law.later(m.stand[r], since))
		}
		if same {
			c.steps = append(c.steps, other.steps[i+2:]...)
			return
		}
	}
}

// Waits is how many seconds the circuit waits at the end of a step.
func (c *Course) Waits(step int) float64 { return c.p.Circuit.Steps[step].Wait }

// RejoinsAt tells whether a course with a longer wait goes through a step as without it.
func (c *Course) RejoinsAt(step int) bool {
	return c.waiting != nil && c.steps[step+1] == c.waiting.of.steps[step+1]
}

// last gives the last moment of a step, by its index in the course, and for how many seconds it
// has lasted when the step ends.
func (c *Course) last(step int) (m *moment, seconds float64) {
	phases := c.steps[step].phases
	ph := &phases[len(phases)-1]
	if step > 0 {
		seconds = max(0, c.p.Circuit.Steps[step-1].Wait-ph.at)
	}
	return &ph.moments[len(ph.moments)-1], seconds
}

// goesOnAs gives the course that goes on as another one does, on the panel of this one; false
// where that cannot be followed.
func (c *Course) goesOnAs(other *Course) (on *Course, ok bool) {
	w := c.waiting
	if w == nil || other == w.of {
		return c, c.whole
	}
	c.turnoffs.mu.Lock()
	defer c.turnoffs.mu.Unlock()
	if on = w.branches[other]; on != nil {
		return on, on.whole
	}
	on = &Course{p: c.p, turnoffs: c.turnoffs, waiting: w}
	if alike := w.like(other); alike != nil {
		on.steps = slices.Concat(other.steps[:w.step+1], alike.steps[w.step+1:])
		on.blown, on.bolt, on.cut, on.whole = alike.blown, other.bolt, alike.cut, alike.whole
	} else {
		on.goOnAs(other, w.step)
	}
	w.branches[other] = on
	return on, on.whole
}

// like gives a branch that goes on from the same state as one that left the other course; nil
// where none is known.
func (w *waiting) like(left *Course) *Course {
	for known, branch := range w.branches {
		if known.steps[w.step+1] == left.steps[w.step+1] && slices.Equal(known.blown, left.blown) &&
			slices.Equal(known.cut, left.cut) {
			return branch
		}
	}
	return nil
}

// Stand is how a fault that is followed stands at the end of a step: from there it can be
// followed again.
type Stand struct {
	c       *Course
	apart   []diverging // by rising relay
	depends bool
	chatter bool        // some find no rest
	raced   bool        // armatures have raced on the way: it goes on in two ways
	other   []diverging // the relays that diverge in the second

	otherChatter bool // some of the second find no rest

	whole, rival *wholeStand // where it is worked in full
}

// wholeStand is how a panel stands that is worked in full.
type wholeStand struct {
	relays  []armature
	blown   []bool
	chatter bool // some find no rest
}

func (w *worker) stands() *wholeStand {
	return &wholeStand{slices.Clone(w.stand), slices.Clone(w.blown), len(w.chatter) > 0}
}

// worker gives one that stands so in a step in which it waits so many seconds longer.
func (s *wholeStand) worker(p *Panel, o *Overlay, step int, late float64, reverse bool) *worker {
	w := newWorker(p, o)
	w.late = late
	w.reverse = reverse
	for _, st := range p.Circuit.Steps[:step+1] {
		for _, set := range st.Set {
			w.hand[w.opIndex[set.Device]] = set.Position
		}
	}
	for i := range w.hand {
		w.place(i, w.position(i))
	}
	copy(w.stand, s.relays)
	for r := range w.stand {
		w.throw(r)
	}
	copy(w.blown, s.blown)
	for i, f := range p.fuses {
		if w.blown[i] {
			w.open(f)
		}
	}
	w.solve()
	if s.chatter {
		w.noteRound()
	}
	return w
}

// goesOnAs tells whether two stand alike; two that are nil do.
func (s *wholeStand) goesOnAs(other *wholeStand, p *Panel) bool {
	if s == nil || other == nil {
		return s == other
	}
	for r, law := range p.good {
		if !law.same(s.relays[r], other.relays[r]) {
			return false
		}
	}
	return s.chatter == other.chatter && slices.Equal(s.blown, other.blown)
}

// Stand tells how a panel that is worked in full stands.
func (e *End) Stand() Stand { return Stand{whole: e.stand, rival: e.rival} }

// diverging is a relay that does not stand as it does on the course.
type diverging struct {
	relay int32
	at    armature
}

// Stand tells how the fault stands.
func (d *Departure) Stand() Stand {
	s := Stand{c: d.f.c, depends: d.f.depends, apart: d.f.diverge(), chatter: len(d.f.chatter) > 0}
	if r := d.f.rival; r != nil {
		s.raced, s.other, s.otherChatter = true, r.diverge(), len(r.chatter) > 0
	}
	return s
}

// diverge gives the relays that diverge, in rising order.
func (f *Follower) diverge() []diverging {
	if len(f.apart) == 0 {
		return nil
	}
	all := make([]diverging, 0, len(f.apart))
	for r, a := range f.apart {
		all = append(all, diverging{int32(r), a})
	}
	slices.SortFunc(all, func(a, b diverging) int { return cmp.Compare(a.relay, b.relay) })
	return all
}

// standAs lets the relays diverge that are given, and no others.
func (f *Follower) standAs(apart []diverging) {
	clear(f.apart)
	for _, d := range apart {
		f.apart[int(d.relay)] = d.at
	}
}

// GoesOnAs tells whether the fault goes on from the end of the step on as from where it stood
// otherwise.
func (d *Departure) GoesOnAs(other *Stand) bool {
	f := d.f
	if other.c == nil || other.whole != nil || other.raced || f.rival != nil || f.depends != other.depends || f.c.bolt != other.c.bolt ||
		!slices.Equal(f.c.cut, other.c.cut) || len(f.apart) != len(other.apart) {
		return false
	}
	if next := f.stepping + 1; next < len(f.c.steps) && f.c.steps[next] != other.c.steps[next] {
		return false
	}
	for _, was := range other.apart {
		a, ok := f.apart[int(was.relay)]
		if !ok || !f.relay(int(was.relay)).same(a, was.at) {
			return false
		}
	}
	return true
}

// WorkFrom works the operation under an overlay from the end of a step on, as it stood at the end
// of each step on another course: it waits longer there, and goes on until it stands again as it
// did. Else it does as Work does. It reports false where it cannot go on from there.
func (f *Follower) WorkFrom(o *Overlay, step int, stands []Stand, small func(step int, d *Departure),
	whole func(step int, e, beside *End)) bool {
	if step >= len(stands) || f.trunk.longer == 0 {
		return false
	}
	from := &stands[step]
	if from.whole != nil {
		f.wholeFrom(o, step, stands, whole)
		return true
	}
	if from.c == nil || !f.start(o) {
		return false
	}
	var ok bool
	if f.c, ok = f.trunk.goesOnAs(from.c); !ok {
		return false
	}
	f.standAt(from, step)
	f.goOn(step, func(k int, d *Departure) bool {
		small(k, d)
		return !d.GoesOnAs(&stands[k])
	}, whole)
	return true
}

// standAt lets a fault stand as it did at the end of a step, on a course that waits longer there.
func (f *Follower) standAt(from *Stand, step int) {
	f.depends, f.late, f.chattered = from.depends, true, from.chatter
	f.standAs(from.apart)
	f.stepping = step + 1
	phases := from.c.steps[f.stepping].phases // the others are still to come
	f.atPhase, f.next = len(phases)-1, len(phases)
	f.atTime, f.now = phases[f.atPhase].at, from.c.Waits(step)
	f.atMoment = len(phases[f.atPhase].moments) - 1
	f.at = &phases[f.atPhase].moments[f.atMoment]
	f.base = f.at.base
	if from.raced {
		f.raced = true
		f.fork(f)
		f.rival.standAs(from.other)
		f.rival.chattered = from.otherChatter
	}
}

// stay solves how a fault stands once more, before it waits longer. It reports false where that
// cannot be followed.
func (f *Follower) stay() bool {
	f.late = false
	f.begin(f.at)
	if !f.solve(f.at) || f.chattered && !f.noteRound(f.at, f.key(f.at)) {
		return false
	}
	f.settled = !f.chattered
	return true
}

// wholeFrom is WorkFrom of what is worked in full.
func (f *Follower) wholeFrom(o *Overlay, step int, stands []Stand, whole func(step int, e, beside *End)) {
	from := &stands[step]
	late := f.trunk.longer
	w := from.whole.worker(f.p, o, step, late, false)
	var rival *worker
	if from.rival != nil {
		rival = from.rival.worker(f.p, o, step, late, true)
	}
	f.p.goOnWith(step, w, rival, func(reverse bool) *worker {
		return from.whole.worker(f.p, o, step, late, reverse)
	}, func(k int, e *End) bool {
		whole(k, e, f.trunk.End(k))
		return k+1 < f.steps() && (stands[k].whole == nil || !e.stand.goesOnAs(stands[k].whole, f.p) ||
			!e.rival.goesOnAs(stands[k].rival, f.p))
	})
}
