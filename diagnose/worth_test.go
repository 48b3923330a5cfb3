package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// TestWorthAsProposed: a check weighs by itself what it weighs where it is proposed.
func TestWorthAsProposed(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "annunciator"} {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		p := work.Assemble(c)
		m := made(p, faultmodel.List(p, faultmodel.Options{}), Options{})
		turn := m.Turn(log.Log{}, Choosing{By: ByChecks})
		left := m.Left(log.Log{})
		assert.Equal(t, turn.Left, left)
		assert.Equal(t, turn.Groups, m.Groups(left))
		for _, p := range append([]Proposal{*turn.Next}, turn.Others...) {
			w, err := m.Weigh(p.Check)
			require.NoError(t, err)
			assert.InDelta(t, p.Bits, w.Bits(left), 1e-4, "%s", p.Check)
			assert.Len(t, w.Parts(left), len(p.Outcomes))
		}
		var bits float64 // by hand: the groups' shares
		weight := map[int]float64{}
		for i, f := range m.Faults() {
			weight[m.Group(i)] += f.Prior
		}
		for _, q := range weight {
			bits -= q * math.Log2(q)
		}
		assert.InDelta(t, bits, m.Doubt(left), 1e-9)
		needed, err := m.Needed(ByChecks)
		require.NoError(t, err)
		figures, err := m.Testability(ByChecks, Effort{})
		require.NoError(t, err)
		var mean float64
		for i, n := range needed {
			mean += n.Checks * m.Faults()[i].Prior
		}
		assert.InDelta(t, figures.Checks.Mean, mean, 0.01, "the mean over the faults is the circuit's (the good circuit's share aside)")
	}
}
