package diagnose

import (
	"slices"

	"deadrung/diagnose/split"
)

// HurriedPrice is what a check counts that has to be made at once, before a timer runs out, where
// every other counts as one: of two that part what is left alike the one is proposed that can be
// made in its own time. Common practice, no source.
const HurriedPrice = 1.01

// tries are what the tests cost where each counts as one; by test: whether it is hurried.
type tries []bool

// Cost gives what a test counts, wherever the work stands.
func (c tries) Cost(from split.Mode, t split.Test) (float64, split.Mode) {
	if c[t] {
		return HurriedPrice, from
	}
	return 1, from
}

// hurries tells by test whether it has to be made at once, worked out once; nil where none has.
func (m *Model) hurries() tries {
	m.hurrying.Do(func() {
		hurried := make(tries, len(m.table.checks))
		for t := range hurried {
			hurried[t] = !m.still(split.Test(t))
		}
		if slices.Contains(hurried, true) {
			m.hurry = hurried
		}
	})
	return m.hurry
}
