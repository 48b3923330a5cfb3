package diagnose

import (
	"math"

	"deadrung/diagnose/split"
)

// Testability tells how well the faults of a circuit can be told apart, and in how many
// checks.
type Testability struct {
	Faults int `json:"faults"`
	Groups int `json:"groups"`
	// Detected is the share of the prior whose faults change at least one check.
	Detected float64 `json:"detected"`
	// Isolated is the share of the prior for which the guided loop, answered truthfully,
	// ends with the fault's group.
	Isolated float64 `json:"isolated"`
	// Checks and Minutes are what the guided loop needs until one group is left.
	Checks  Figures `json:"checks"`
	Minutes Figures `json:"minutes"`
	// Optimum is the least possible mean of checks; Exact if that is proved.
	Optimum Best `json:"optimum"`
	// Bound is the Huffman lower bound of the mean of checks.
	Bound Mean `json:"bound"`

	// OneStep is the mean of checks by one-step gain.
	OneStep float64 `json:"one-step"`
}

// Figures are a mean over the priors and the worst that can come.
type Figures struct {
	Mean  float64 `json:"mean"`
	Worst float64 `json:"worst"`
}

// Mean is a mean alone.
type Mean struct {
	Mean float64 `json:"mean"`
}

// Best is the least mean that was found.
type Best struct {
	Mean  float64 `json:"mean"`
	Exact bool    `json:"exact"`
	// Lower is the greatest lower bound of the mean that was proved.
	Lower float64 `json:"lower"`
}

// Gap is the share by which the least possible may be below what was found at the most.
func (b Best) Gap() float64 { return 1 - b.Lower/b.Mean }

// Effort is how long to look for the optimum. None does not look beyond what the guided loop does.
type Effort struct {
	Positions int         // worked out at the most
	Ended     func() bool // tells whether the time is over; may be nil
}

// policy is the choosing of the guided loop, whatever has been checked.
func (m *Model) policy(by By) split.Policy {
	return func(left []split.Weighted, from split.Mode) (split.Test, bool) {
		always := func(split.Test) bool { return true }
		choices := m.inOwnTime(left, from, Choosing{By: by, Most: -1}, always, always)
		if len(choices) == 0 {
			return -1, false
		}
		return choices[0].Test, true
	}
}

// Testability works out the whole tree of the guided loop. Where a reading is not firm
// for a fault the fault counts in each branch, by the share that the others give it.
func (m *Model) Testability(by By, effort Effort) (Testability, error) {
	t := Testability{Faults: len(m.faults)}
	hidden := m.table.group[len(m.faults)]
	seen := make(map[int32]bool)
	for i, f := range m.faults {
		g := m.table.group[i]
		if !seen[g] {
			seen[g] = true
			t.Groups++
		}
		if g != hidden {
			t.Detected += f.Prior
		}
	}
	tree, err := m.problem(ByMinutes).Evaluate(0, m.policy(by))
	if err != nil {
		return t, err
	}
	t.Checks = Figures{tree.Tests.Mean, tree.Tests.Worst}
	t.Minutes = Figures{tree.Cost.Mean, tree.Cost.Worst}
	for _, n := range tree.Nodes {
		if n.Test < 0 && m.linked(n.Left) && m.table.linked[n.Left[0].Hypothesis] != m.table.linked[len(m.faults)] {
			t.Isolated += n.Probability
		}
	}
	unit := m.problem(ByChecks)
	unit.Costs = nil
	oneStep, err := unit.Evaluate(0, unit.Policy(split.Options{}))
	if err != nil {
		return t, err
	}
	t.OneStep = oneStep.Tests.Mean
	weights := make([]float64, m.hypotheses())
	for i, f := range m.faults {
		weights[m.table.linked[i]] += f.Prior // whatever a chain links may be left together
	}
	most := 2
	for test := range m.table.checks {
		most = max(most, m.table.split.Outcomes(split.Test(test)))
	}
	t.Bound.Mean = split.Huffman(weights, most)
	t.Optimum.Lower = t.Bound.Mean
	t.Optimum.Mean = t.OneStep
	if by == ByChecks {
		t.Optimum.Mean = math.Min(t.Optimum.Mean, t.Checks.Mean)
	}
	if effort.Positions > 0 {
		best := unit.Optimum(0, split.Search{Budget: effort.Positions, Ended: effort.Ended})
		t.Optimum.Mean = math.Min(t.Optimum.Mean, best.Cost)
		t.Optimum.Exact = best.Exact
		t.Optimum.Lower = math.Max(t.Optimum.Lower, best.Bound)
	}
	return t, nil
}
