package diagnose

import (
	"bytes"
	"deadrung/diagnose/log"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two faults, one of which hides the other: the one is found and put right, the operation
// still does not work, and the log leads on to the other.
func TestRepairAndTheNext(t *testing.T) {
	next := 0
	for _, name := range []string{"cold-store-alarm", "reversing"} {
		m := builtin(t, name)
		r := rand.New(rand.NewPCG(5, 8))
		// follow makes every check that is proposed and gives the fault of the two that is
		// the verdict, -1 if neither is.
		follow := func(history *log.Log, meter *Meter, faults ...int) int {
			for {
				turn := m.Turn(*history, Choosing{By: ByMinutes, Most: -1})
				if turn.Next == nil {
					for _, f := range faults {
						if turn.Status == Found && turn.Wrong == 0 && slices.Contains(turn.Left, f) {
							return f
						}
					}
					return -1
				}
				require.Less(t, len(history.Entries), 90, "the loop does not end")
				m.enter(t, history, meter, turn.Next.Check, r)
			}
		}
		for range 25 {
			x, y := visiblePair(m, r)
			var history log.Log
			both := bothMeter(t, m, x, y)
			m.complain(t, &history, both, 2)
			found := follow(&history, both, x, y)
			if found < 0 {
				continue
			}
			other := x + y - found
			meter := m.Meter(other)
			before := len(history.Entries)
			m.complain(t, &history, meter, 1)
			if len(history.Entries) == before {
				continue // nobody sees that anything is wrong
			}
			history.Entries[before].Repaired = true
			assert.Equal(t, before, history.Since())
			turn := m.Turn(history, Choosing{Most: -1})
			assert.Zero(t, turn.Wrong, "what was read before the repair no longer counts")
			assert.Equal(t, other, follow(&history, meter, other), "%s, then %s", m.faults[found].ID, m.faults[other].ID)
			next++
		}
	}
	t.Logf("%d times one was found after the other", next)
	assert.Greater(t, next, 15)
}

// The mark of a repair is in the log, and goes when its reading is taken back.
func TestRepairedInTheLog(t *testing.T) {
	m := coldStore()
	after := `{"look":"H1","step":"door left open","saw":"off","repaired":true}`
	history := readLog(t, m, append(slices.Clone(wireToHorn), after)...)
	assert.Equal(t, 4, history.Since())
	var b bytes.Buffer
	require.NoError(t, history.Entries[4].AppendTo(&b))
	assert.Equal(t, after+"\n", "{"+b.String()[1:], "as it was read")

	turn := m.Turn(history, Choosing{})
	assert.Zero(t, turn.Wrong)
	assert.Equal(t, m.Turn(readLog(t, m, after), Choosing{}).Candidates, turn.Candidates)
	history = readLog(t, m, append(slices.Clone(wireToHorn), after, undo)...)
	assert.Zero(t, history.Since())
	assert.Equal(t, []string{wireToHornID}, leftIDs(m, m.Turn(history, Choosing{})))
	assert.Zero(t, log.Log{}.Since())

	for _, wrong := range []string{
		`{"repaired":true}`, `{"undo":true,"repaired":true}`, `{"circuit":"Cold-store alarm","deadrung":1,"repaired":true}`,
		`{"cannot":{"look":"H1","step":"door left open"},"repaired":true}`,
	} {
		_, problems := m.Book().ReadLog("a.log", []byte(wireToHorn[0]+"\n"+wrong+"\n"))
		assert.Error(t, problems.Err(), wrong)
	}
}
