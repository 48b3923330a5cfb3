package work

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"

	"deadrung/circuits/network"
)

// turnoffs are the courses that leave others where a protective device opens, or where a source
// is cut off. They are
// worked when the first fault needs them, by whichever goroutine comes first; what comes
// out does not depend on which.
type turnoffs struct {
	mu *sync.Mutex
	at map[turnoff]*Course
	// tails holds, by the state in which a step ends, that step and those after it: once
	// everything has dropped out it is all the same when the fuse opened.
	tails map[string][]*courseStep
}

// turnoff is where a course is left.
type turnoff struct {
	step          *courseStep
	phase, moment int
	time          float64           // seconds since the step began
	fuse          int               // index into Panel.fuses
	cut           network.Conductor // in place of a fuse; else zero
}

func newTurnoffs() *turnoffs {
	return &turnoffs{mu: new(sync.Mutex), at: make(map[turnoff]*Course), tails: make(map[string][]*courseStep)}
}

// turnOff gives the course on which the circuit goes on where a protective device opens, or a
// conductor that leads from a source: at a moment of a step (an index into steps), so many seconds after the step began.
// Steps before that one are nil there.
func (c *Course) turnOff(step int, at turnoff) *Course {
	p, t := c.p, c.turnoffs
	if c.waiting != nil && step > c.waiting.step+1 { // all that is to come is the same
		p, t = c.waiting.of.p, c.waiting.of.turnoffs
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if known := t.at[at]; known != nil {
		return known
	}
	off := &Course{p: p, steps: make([]*courseStep, step), blown: slices.Clone(c.blown), cut: slices.Clone(c.cut),
		whole: c.whole, turnoffs: t}
	if at.cut == 0 {
		off.blown = append(off.blown, at.fuse)
	} else {
		off.cut = append(off.cut, at.cut)
	}
	if t == c.turnoffs {
		off.waiting = c.waiting
	}
	t.at[at] = off
	ph := &at.step.phases[at.phase]
	m := &ph.moments[at.moment]
	w := off.worker()
	off.begin()
	off.now = at.time
	w.standAt(step, m, at.time-ph.at)
	w.blow(off.blown)
	w.breaking = ph.breaking
	w.stale = true
	w.settle()
	if at.cut == 0 {
		off.bolt, _ = p.bolt(off.steps[step].phases[0].moments[0].base.Super, p.fuses[at.fuse].poles)
	} else {
		off.bolt = c.bolt
	}
	if w.breaking {
		w.make()
		w.settle()
	}
	if step > 0 {
		w.pass(p.Circuit.Steps[step-1].Wait - at.time)
	}
	off.finish(w)
	t.goOn(off, w, step)
	return off
}

// standAt lets a worker stand as a course does so many seconds after a moment of a step, by its
// index in the course.
func (w *worker) standAt(step int, m *moment, seconds float64) {
	for _, s := range w.p.Circuit.Steps[:step] {
		for _, set := range s.Set {
			w.hand[w.opIndex[set.Device]] = set.Position
		}
	}
	for i := 1; i < len(w.st.Closed); i++ {
		w.st.Closed[i] = m.base.Closed(network.Conductor(i))
	}
	for i, a := range m.stand {
		w.stand[i] = w.relays[i].later(a, seconds)
	}
}

// goOn works a course on from the end of a step, until it comes to a state that another
// was in before it at the same step.
func (t *turnoffs) goOn(off *Course, w *worker, step int) {
	keys := make(map[int]string)
	for i := step; off.whole; i++ {
		key := w.standsAs(i, off.blown, off.cut)
		tail := t.tails[key]
		if w := off.waiting; tail == nil && w != nil && i > w.step {
			tail = w.of.turnoffs.tails[key]
		}
		if tail != nil {
			off.steps[i].end = tail[0].end
			off.steps = append(off.steps[:i+1], tail[1:]...)
			break
		}
		keys[i] = key
		if i == len(off.p.Circuit.Steps) {
			break
		}
		off.begin()
		w.step(&off.p.Circuit.Steps[i])
		off.finish(w)
	}
	if off.whole {
		for i, key := range keys {
			t.tails[key] = off.steps[i:]
		}
	}
}

// blow opens protective devices.
func (w *worker) blow(fuses []int) {
	for _, f := range fuses {
		w.blown[f] = true
		w.open(w.p.fuses[f])
	}
}

// open opens all poles of a protective device.
func (w *worker) open(f fuse) {
	for _, c := range f.poles {
		w.set(c, false)
	}
}

// worker gives one that works the circuit as it is on the course.
func (c *Course) worker() *worker {
	w := newWorker(c.p, &Overlay{Overlay: network.Overlay{Open: c.cut}})
	w.course = c
	return w
}

// standsAs writes down all that the circuit's way depends on after a step, and the order in
// which devices opened, on which the bolt depends.
func (w *worker) standsAs(step int, blown []int, cut []network.Conductor) string {
	b := binary.AppendUvarint(nil, uint64(step))
	b = binary.AppendUvarint(b, uint64(len(blown)))
	for _, f := range blown {
		b = binary.AppendUvarint(b, uint64(f))
	}
	for _, c := range cut {
		b = binary.AppendUvarint(b, uint64(c))
	}
	b = append(b, ':')
	b = append(b, w.key()...)
	for i, a := range w.stand {
		if w.relays[i].running(a) {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(a.elapsed))
		}
	}
	return string(b)
}

// withBolt gives a moment of a course with the short that opened a protective device
// still there; nil where a relay, of parts of a temper, would do otherwise for it. Where a whole panel is dead
// and its hot side grounded, a fault that grounds it changes little against that.
func (c *Course) withBolt(m *moment, t Temper) *network.Base {
	c.turnoffs.mu.Lock()
	defer c.turnoffs.mu.Unlock()
	if m.unbolted[t] {
		return nil
	}
	if m.bolted != nil {
		return m.bolted
	}
	st := c.p.Net.NewState()
	copy(st.EMF, m.emf)
	for i := 1; i < len(st.Closed); i++ {
		st.Closed[i] = m.base.Closed(network.Conductor(i))
	}
	live := c.p.Net.Live(st, &network.Overlay{Joins: [][2]network.Node{c.bolt}})
	never := len(live.Shorts()) > 0 || c.p.feedsChange(live, m.base.Live())
	for _, t := range [...]Temper{AsTable, Eager, Reluctant} {
		m.unbolted[t] = never
		for i, r := range c.p.laws(t) {
			with, _ := r.follow(m.stand[i], c.p.acrossIn(live))
			without, _ := r.follow(m.stand[i], c.p.acrossIn(m.base.Live()))
			m.unbolted[t] = m.unbolted[t] || with != without
		}
	}
	if m.unbolted[t] {
		return nil
	}
	m.bolted = c.p.Net.NewBase(st, live, c.bolt)
	return m.bolted
}

// feedsChange tells whether a transformer with a wired primary gets something else there.
func (p *Panel) feedsChange(live, was *network.Live) bool {
	for _, d := range p.sources[1:] {
		if !p.PrimaryWired(d) {
			continue
		}
		l := p.Net.Load(p.load[d])
		if live.Across(l.A, l.B, p.source[d]) != was.Across(l.A, l.B, p.source[d]) {
			return true
		}
	}
	return false
}

// boltedEnd gives the end of a step with the short still there.
func (c *Course) boltedEnd(s *courseStep, live *network.Live) *End {
	c.turnoffs.mu.Lock()
	defer c.turnoffs.mu.Unlock()
	if s.bolted == nil {
		e := *s.end
		e.Live = live
		s.bolted = &e
	}
	return s.bolted
}
