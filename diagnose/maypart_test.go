package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
)

// Where several are left of a verdict and a check may part them, some reading that one of them may
// give leaves fewer, and a check that was made is not named again.
func TestWhatMayPartDoes(t *testing.T) {
	for _, name := range []string{"two-lamp", "start-stop", "cold-store-alarm"} {
		t.Run(name, func(t *testing.T) {
			m := builtin(t, name)
			done, parted := make(map[int]bool), 0
			for f := range m.faults {
				if done[m.Group(f)] {
					continue
				}
				done[m.Group(f)] = true
				a := answeredBy(t, m, m.Meter(f), nil, ByChecks)
				if a.turn.MayPart == nil {
					continue
				}
				require.Greater(t, len(a.turn.Left), 1)
				parts := false
				for _, l := range a.turn.Left {
					at, err := m.book.Locate(*a.turn.MayPart)
					require.NoError(t, err)
					for _, r := range m.MayRead(at, m.foretell(l, at)) {
						e, err := m.book.NewEntry(*a.turn.MayPart, &r)
						require.NoError(t, err)
						then := m.Turn(log.Log{Entries: append(slices.Clone(a.log.Entries), e)}, Choosing{By: ByChecks, Most: -1})
						parts = parts || len(then.Left) < len(a.turn.Left)
						if then.MayPart != nil {
							assert.NotEqual(t, a.turn.MayPart, then.MayPart)
						}
					}
				}
				assert.True(t, parts, "%s: %v", m.faults[f].ID, a.turn.MayPart)
				parted++
			}
			assert.NotZero(t, parted)
		})
	}
}
