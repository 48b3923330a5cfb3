package diagnose

import (
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// costs are the costs of the tests in minutes at the panel, as [Model.minutes] gives them:
// what it takes to go from one step to another, to walk, and to put the leads on, worked out
// once.
type costs struct {
	m      *Model
	tests  []priced
	stands []stand         // by mode
	turns  [][3]float64    // by step and power of where the work stands, by step; by kind
	walks  [][2][2]float64 // by area, by area; with a lead, to look; at once, by way of the panel
}

// priced is a test apart from where the work stands before it.
type priced struct {
	step, area int
	kind       log.Kind
	minutes    float64
	fresh      float64 // more, to begin anew for it where the circuit stands there
}

// costs gives the costs of the tests.
func (m *Model) costs() *costs {
	m.costing.Do(func() {
		c := &m.priced
		c.m = m
		steps, areas := len(m.panel.Circuit.Steps), m.book.Areas()
		modes := m.mode(stand{steps - 1, lockedOff, areas - 1, true}) + 1
		for at := range modes {
			c.stands = append(c.stands, m.stands(at))
		}
		c.walks = make([][2][2]float64, areas*areas)
		for _, i := range m.table.checks {
			l := m.checks[i]
			area, _, _ := m.book.Area(l)
			c.tests = append(c.tests, priced{l.Step, area, l.Kind, m.making(l), m.afresh(l)})
			for from := range areas {
				w := &c.walks[from*areas+area][looks(l.Kind)]
				w[0], w[1] = m.walking(from, l, false), m.walking(from, l, true)
			}
		}
		for row := range 3*steps + 1 {
			s := stand{}
			if row > 0 {
				s = stand{step: (row - 1) / 3, power: power((row - 1) % 3), begun: true}
			}
			for to := range steps {
				var t [3]float64
				for kind := range t {
					t[kind] = m.turning(s, kinds[kind], to)
				}
				c.turns = append(c.turns, t)
			}
		}
	})
	return &m.priced
}

// kinds are those of checks, in the order of costs.turns.
var kinds = [3]log.Kind{log.Look, log.Volts, log.Ohms}

// looks is 1 for a look and 0 for a check with a meter.
func looks(kind log.Kind) int {
	if kind == log.Look {
		return 1
	}
	return 0
}

// Cost gives the minutes that a test takes from where the work stands.
func (c *costs) Cost(from split.Mode, t split.Test) (float64, split.Mode) {
	s, p := c.stands[from], &c.tests[t]
	row := 0
	if s.begun {
		row = 1 + 3*s.step + int(s.power)
	}
	then := stand{p.step, untouched, p.area, true}
	kind := 0
	switch {
	case p.kind.Off():
		kind, then.power = 2, lockedOff
	case p.kind == log.Volts:
		kind, then.power = 1, ready
	case s.power == ready:
		then.power = ready
	}
	areas := c.m.book.Areas()
	turn := c.turns[row*len(c.m.panel.Circuit.Steps)+p.step][kind]
	walk := c.walks[s.area*areas+p.area][looks(p.kind)]
	minutes := turn + walk[0] + p.minutes
	if s.switches(p.kind) {
		minutes = turn + walk[1] + p.minutes
	}
	if s.liveIn(p.step) {
		minutes += p.fresh
	}
	return minutes, c.m.mode(then)
}
