package diagnose

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// falsified is an answer that the check can give, but not with this fault: another of
// the outcomes that the proposal names, or for a lack of those the opposite.
func falsified(p *Proposal, r log.Reading, f func(log.Reading) bool) log.Reading {
	for _, a := range p.Outcomes {
		if x := a.Reading(p.Check.Kind()); !f(x) {
			return x
		}
	}
	switch {
	case r.Kind == log.Look:
		r.On = !r.On
	case r.Value > 60:
		r.Value = 0
	case r.Kind == log.Volts:
		r.Value = 120
	default:
		r.Value = log.OL
	}
	return r
}

// withOneWrong follows all proposals, proofs included, on a panel with one fault; the
// answer at one place is wrong. It reports whether the session ends with the fault's
// group, after how many checks, and whether the place was reached.
func withOneWrong(t testing.TB, m *Model, fault, place int, by By) (right bool, checks int, reached bool) {
	t.Helper()
	meter := m.Meter(fault)
	var history log.Log
	for checks < 60 {
		turn := m.Turn(history, Choosing{By: by, Most: -1})
		if turn.Next == nil {
			return turn.Groups == 1 && m.table.linked[turn.Left[0]] == m.table.linked[fault] && turn.Status == Found, checks, reached
		}
		r, err := meter.Read(turn.Next.Check)
		require.NoError(t, err)
		at, err := m.book.Locate(turn.Next.Check)
		require.NoError(t, err)
		if checks == place {
			r = falsified(turn.Next, r, func(x log.Reading) bool { return m.agree(at, m.foretell(fault, at), x) })
			reached = true
		} else if !r.Firm && r.Kind == log.Volts {
			r.Value = 0.3 * m.nominal(at.A, at.B)
		}
		r.Firm = true
		e, err := m.book.NewEntry(turn.Next.Check, &r)
		require.NoError(t, err)
		history.Entries = append(history.Entries, e)
		checks++
	}
	return false, checks, reached
}

// One wrong answer, at any place, must not lead to the wrong part: at least 99 % of
// sessions come to the right group when the proposed checks are followed.
func TestOneWrongAnswer(t *testing.T) {
	names := []string{"cold-store-alarm", "two-lamp"}
	if os.Getenv("DEADRUNG_ALL") != "" { // four minutes on two cores
		names = circuits.Builtin()
	}
	for _, name := range names {
		for _, by := range []By{ByChecks, ByMinutes} {
			t.Run(fmt.Sprintf("%s/%d", name, by), func(t *testing.T) {
				t.Parallel()
				m := builtin(t, name)
				sessions, rightOnes, extra := 0.0, 0.0, 0.0
				stride := 1 + len(m.faults)/60
				for f := 0; f < len(m.faults); f += stride {
					if m.Hidden(f) {
						continue
					}
					right, straight, _ := withOneWrong(t, m, f, -1, by)
					require.True(t, right, m.faults[f].ID)
					for place := range straight {
						ok, checks, reached := withOneWrong(t, m, f, place, by)
						if !reached {
							continue
						}
						sessions++
						extra += float64(checks - straight)
						if ok {
							rightOnes++
						}
					}
				}
				assert.GreaterOrEqual(t, rightOnes/sessions, 0.99)
				t.Logf("%.0f sessions, %.2f %% right, %.2f further checks", sessions, 100*rightOnes/sessions, extra/sessions)
			})
		}
	}
}
