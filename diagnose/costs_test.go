package diagnose

import (
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/split"
)

// What is worked out once is what the minutes of each check come to from anywhere.
func TestCostsAreTheMinutes(t *testing.T) {
	const rounding = 1e-9
	for _, name := range circuits.Builtin() {
		m := builtin(t, name)
		c := m.costs()
		for from := range c.stands {
			for test, i := range m.table.checks {
				l := m.checks[i]
				cost, then := c.Cost(split.Mode(from), split.Test(test))
				require.InDelta(t, m.minutes(split.Mode(from), l), cost, rounding)
				require.Equal(t, m.mode(m.after(m.stands(split.Mode(from)), l)), then)
			}
		}
	}
}
