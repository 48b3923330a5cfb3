package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
)

// What is said to be known good is so: with every fault that fits the readings as well as the
// good circuit, the panel that is worked in full shows those devices in every step as it should.
// In the end all are known good; where a reading is not the good circuit's, nothing is.
func TestKnownGood(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "start-stop"} {
		t.Run(name, func(t *testing.T) {
			m := builtin(t, name)
			meter := m.Meter(Good)
			var history log.Log
			told := 0
			for {
				turn := m.Turn(history, Choosing{By: ByMinutes, Most: -1})
				for _, device := range m.KnownGood(&turn) {
					told++
					for _, f := range turn.Left {
						if m.Hidden(f) {
							continue
						}
						for _, step := range m.panel.Circuit.Steps {
							c := log.Check{Look: device, Step: step.Name}
							r, err := m.Meter(f).Read(c)
							require.NoError(t, err)
							usual, err := m.Usual(c)
							require.NoError(t, err)
							assert.Equal(t, usual.On, r.On, "%s with %s", c, m.faults[f].ID)
						}
					}
				}
				if turn.Next == nil {
					assert.Equal(t, Healthy, turn.Status)
					break
				}
				r, err := meter.Read(turn.Next.Check)
				require.NoError(t, err)
				e, err := m.book.NewEntry(turn.Next.Check, &r)
				require.NoError(t, err)
				history.Entries = append(history.Entries, e)
			}
			assert.NotZero(t, told)
			last := m.Turn(history, Choosing{By: ByMinutes, Most: -1})
			assert.Len(t, m.KnownGood(&last), len(m.panel.Visible()))

			history.Entries[0].Answer = &log.Reading{Kind: history.Entries[0].Check.Kind(), Value: 60, Firm: true,
				On: !history.Entries[0].Answer.On}
			last = m.Turn(history, Choosing{By: ByMinutes, Most: -1})
			assert.Empty(t, m.KnownGood(&last))
		})
	}
}
