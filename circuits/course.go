package circuits

import (
	"slices"

	"deadrung/circuits/network"
)

// Course is the good circuit's way through its operation, moment by moment: every
// solution of the network on the way. With it a fault is worked by what it changes
// alone (differential fault simulation): at each moment the few conductors that stand
// otherwise are solved locally against the good solution, the coils that this touches
// are judged anew, and every other relay is known to do as in the good circuit.
//
//	good    g0 ──► g1 ──► g2 ─ ─ ► at rest     (settling after a button is pressed)
//	fault   g0+d ► g1+d ► g2+d ──► g2+d ► …    (d: relays that diverge, the fault itself)
//
// All armatures move together at each moment, in the good circuit as in the faulty
// one, so the two stay in step. A change that is not small (a fuse that blows, a short
// at the source, a relay that chatters) is worked in full from the step where it
// happens.
type Course struct {
	p     *Panel
	steps []courseStep // the first is the rest before the operation begins
	ends  []*End       // by step
	whole bool         // false: the good circuit itself cannot be followed so
	now   float64
}

// courseStep is what the circuit goes through in one step.
type courseStep struct {
	phases []coursePhase
}

// coursePhase is one settling.
type coursePhase struct {
	at      float64 // seconds since the step began
	moments []moment
}

// moment is the circuit between two moves of its armatures.
type moment struct {
	base    *network.Base
	in      []bool
	timed   []bool
	elapsed []float64
	current []float64 // by fuse that could be overloaded, amperes
}

// Course works the good circuit and keeps its way.
func (p *Panel) Course() *Course {
	c := &Course{p: p, whole: true}
	w := newWorker(p, &Overlay{})
	w.course = c
	c.begin()
	w.settle()
	for i := range p.Circuit.Steps {
		c.begin()
		w.step(&p.Circuit.Steps[i])
		e := w.end()
		c.ends = append(c.ends, e)
		if len(e.Blown) > 0 || len(e.Collapsed) > 0 {
			c.whole = false
		}
	}
	return c
}

// End is the good circuit at the end of a step.
func (c *Course) End(step int) *End { return c.ends[step] }

func (c *Course) begin() {
	c.steps = append(c.steps, courseStep{})
	c.now = 0
}

// phase, moment, pass and spoil are called by a worker as it goes. On a nil Course
// they do nothing.
func (c *Course) phase() {
	if c == nil {
		return
	}
	s := &c.steps[len(c.steps)-1]
	s.phases = append(s.phases, coursePhase{at: c.now})
}

func (c *Course) moment(w *worker) {
	if c == nil {
		return
	}
	phases := c.steps[len(c.steps)-1].phases
	ph := &phases[len(phases)-1]
	st := network.State{Closed: slices.Clone(w.st.Closed)}
	m := moment{
		base: w.p.Net.NewBase(st, w.live),
		in:   slices.Clone(w.in), timed: slices.Clone(w.timed), elapsed: slices.Clone(w.elapsed),
	}
	for _, f := range w.p.fuses {
		if f.amps > 0 && f.amps < w.p.most {
			m.current = append(m.current, w.current(f))
		}
	}
	ph.moments = append(ph.moments, m)
}

func (c *Course) pass(seconds float64) {
	if c != nil {
		c.now += seconds
	}
}

func (c *Course) spoil() {
	if c != nil {
		c.whole = false
	}
}
