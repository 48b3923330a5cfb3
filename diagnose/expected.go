package diagnose

import "deadrung/diagnose/split"

// Expected is what the guided loop is expected to need for one fault, until its group
// alone is left; proofs are not counted.
type Expected struct {
	Checks, Minutes float64
}

// Expected gives that effort for every fault: the loop by minutes or by checks, answered
// truthfully; where a reading is not firm for a fault, the mean over its answers.
func (m *Model) Expected(by By) ([]Expected, error) {
	m.wait()
	tree, err := m.problem(ByMinutes).Evaluate(0, func(left []split.Weighted, from split.Mode) (split.Test, bool) {
		choices := m.choose(left, from, Choosing{By: by, Most: -1}, func(split.Test) bool { return true })
		if len(choices) == 0 {
			return -1, false
		}
		return choices[0].Test, true
	})
	if err != nil {
		return nil, err
	}
	efforts := make([]Expected, len(m.faults))
	for i := range efforts {
		efforts[i] = Expected{tree.By[i].Tests.Mean, tree.By[i].Cost.Mean}
	}
	return efforts, nil
}
