package diagnose

import (
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// costs are the costs of the tests in minutes at the panel, as [Model.minutes] gives them:
// what it takes to go from one step to another, and to put the leads on, worked out once.
type costs struct {
	then  []split.Mode // by test: where it leaves the work
	leads []float64    // by test, where the circuit stands right already
	fresh []float64    // by test, what it takes to begin anew for it where it stands there
	moves [][]float64  // by where the work stands, by where a test leaves it
}

// costs gives the costs of the tests.
func (m *Model) costs() *costs {
	m.costing.Do(func() {
		modes := mode(len(m.panel.Circuit.Steps)-1, true) + 1
		c := &m.priced
		one := make([]int, modes) // a test that leaves the work there, from one
		for t, i := range m.table.checks {
			l := m.checks[i]
			then := mode(l.Step, l.Kind == log.Ohms)
			c.then, c.leads = append(c.then, then), append(c.leads, m.making(l))
			c.fresh = append(c.fresh, m.afresh(l))
			one[then] = t + 1
		}
		for from := range modes {
			row := make([]float64, modes)
			for then, t := range one {
				if t == 0 {
					continue
				}
				row[then] = m.minutes(from, m.checks[m.table.checks[t-1]]) - c.leads[t-1]
				if split.Mode(then) == from {
					row[then] -= c.fresh[t-1]
				}
			}
			c.moves = append(c.moves, row)
		}
	})
	return &m.priced
}

// Cost gives the minutes that a test takes from where the work stands.
func (c *costs) Cost(from split.Mode, t split.Test) (float64, split.Mode) {
	then := c.then[t]
	cost := c.moves[from][then] + c.leads[t]
	if from == then {
		cost += c.fresh[t]
	}
	return cost, then
}
