package work

import (
	"slices"
	"sync"

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
// one, so the two stay in step. Where the fault shorts a source and a fuse opens, the
// whole panel behind the fuse goes dead, and so it would be in the good circuit if the
// same fuse opened at that moment: the fault turns off onto the course of that
// (turnoff.go), which all faults that blow the fuse there share. Where it cuts a source off, it
// turns off onto the course with the first conductor behind that source open. Relays that go
// round in a circle are followed too (race.go). Any other change that is not small (an overload)
// is worked in full from the step where it happens.
type Course struct {
	p        *Panel
	steps    []*courseStep       // the first is the rest before the operation begins
	blown    []int               // protective devices that opened on the way: indices into Panel.fuses
	cut      []network.Conductor // held open on the way
	whole    bool                // false: the circuit cannot be followed so
	now      float64             // seconds since the step began
	turnoffs *turnoffs
	// bolt is where the short that opened the last of the devices may still be: the side of
	// the device that went dead, and the side of the source that it was shorted to.
	bolt [2]network.Node // zero where that is not plain

	turn    bool     // see Turn
	longer  float64  // seconds that it waits longer than another one
	waiting *waiting // where it shares with that one what is the same; else nil
}

// courseStep is what the circuit goes through in one step.
type courseStep struct {
	phases []coursePhase
	end    *End
	bolted *End // the same with the short still there, once asked for

	tempering sync.Once
	alike     [3]bool // by temper: with such parts it all goes as with the table's
}

// coursePhase is one settling.
type coursePhase struct {
	at       float64 // seconds since the step began
	breaking bool    // operators are on their way
	moments  []moment
}

// moment is the circuit between two moves of its armatures.
type moment struct {
	base    *network.Base
	stand   []armature   // by relay
	emf     []complex128 // by source
	current []float64    // by fuse that could be overloaded, amperes

	bolted   *network.Base // the same with the short still there, once asked for
	unbolted [3]bool       // by temper: there is no such thing
	stirs    *stirs
}

// Course works the good circuit and keeps its way.
func (p *Panel) Course() *Course {
	c := &Course{p: p, whole: len(p.locks) == 0, turnoffs: newTurnoffs()} // each of a pair moves by the other
	w := newWorker(p, &Overlay{})
	w.course = c
	c.begin()
	w.settle()
	c.steps[0].end = w.end()
	c.goOn(w, 0)
	return c
}

// goOn works the steps from one on to the last.
func (c *Course) goOn(w *worker, from int) {
	for i := from; i < len(c.p.Circuit.Steps); i++ {
		c.begin()
		w.step(&c.p.Circuit.Steps[i])
		c.finish(w)
	}
}

// finish keeps the end of a step.
func (c *Course) finish(w *worker) {
	e := w.end()
	c.steps[len(c.steps)-1].end = e
	if len(e.Blown) != len(c.blown) || len(e.Collapsed) > 0 {
		c.whole = false
	}
}

// goesAlike tells whether a step, by its index in the course, goes with parts of a temper as it
// does with those of the table.
func (c *Course) goesAlike(step int, t Temper) bool {
	if t == AsTable {
		return true
	}
	s := c.steps[step]
	s.tempering.Do(func() {
		for _, t := range [...]Temper{Eager, Reluctant} {
			s.alike[t] = !slices.ContainsFunc(s.phases, func(ph coursePhase) bool {
				return slices.ContainsFunc(ph.moments, func(m moment) bool { return !c.movesAlike(&m, t) })
			})
		}
	})
	return s.alike[t]
}

// movesAlike tells whether at a moment every relay moves, and every protective device holds, with
// parts of a temper as with those of the table.
func (c *Course) movesAlike(m *moment, t Temper) bool {
	across := c.p.acrossIn(m.base.Live())
	for r, law := range c.p.laws(t) {
		tempered, _ := law.follow(m.stand[r], across)
		if usual, _ := c.p.good[r].follow(m.stand[r], across); usual != tempered {
			return false
		}
	}
	i := 0
	for k, f := range c.p.fuses {
		if f.amps == 0 || f.amps >= c.p.most {
			continue
		}
		if share := m.current[i] / f.amps; share > 1/currentSpan && share > usually*c.p.used()[k] {
			return false
		}
		i++
	}
	return true
}

// acrossIn gives the voltage across each load in a solution.
func (p *Panel) acrossIn(live *network.Live) func(network.Load) float64 {
	return func(l network.Load) float64 {
		load := p.Net.Load(l)
		volts, _ := live.Between(load.A, load.B)
		return volts
	}
}

// End is the circuit at the end of a step.
func (c *Course) End(step int) *End { return c.steps[step+1].end }

func (c *Course) begin() {
	c.steps = append(c.steps, &courseStep{})
	c.now = 0
}

// phase, moment, pass and spoil are called by a worker as it goes. On a nil Course
// they do nothing.
func (c *Course) phase(w *worker) {
	if c == nil {
		return
	}
	s := c.steps[len(c.steps)-1]
	s.phases = append(s.phases, coursePhase{at: c.now, breaking: w.breaking})
}

func (c *Course) moment(w *worker) {
	if c == nil {
		return
	}
	phases := c.steps[len(c.steps)-1].phases
	ph := &phases[len(phases)-1]
	st := network.State{Closed: slices.Clone(w.st.Closed)}
	for _, cut := range c.cut {
		st.Closed[cut] = false
	}
	m := moment{
		base:  w.p.Net.NewBase(st, w.live),
		stand: slices.Clone(w.stand),
		emf:   slices.Clone(w.st.EMF),
		stirs: new(stirs),
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
