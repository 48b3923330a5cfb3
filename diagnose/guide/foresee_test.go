package guide

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// What is foreseen, to its end or broken off, changes no question; a session begun on a bare model
// goes on as one begun on a whole one.
func TestForesee(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	c, problems := read.Read("start-stop.yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	faults := faultmodel.List(p, faultmodel.Options{})
	model := func() *diagnose.Model {
		m, err := diagnose.New(context.Background(), p, faults, diagnose.Options{})
		require.NoError(t, err)
		return m
	}
	asked := func(m *diagnose.Model, fault int, foresee func(Session)) (checks []string) {
		panel := training.NewSitting(m, fault, 1)
		s, _, err := New(diagnose.Bare(p, faults, log.Rules{}), Finding(diagnose.ByMinutes), log.Log{}).Begin("")
		require.NoError(t, err)
		require.True(t, s.Searches(Take("none")))
		require.False(t, s.Searches(Take("step:0")))
		s = s.On(m)
		for range 60 {
			foresee(s)
			a := Take("none")
			q := s.Ask()
			if q.Ask == Check {
				checks = append(checks, q.Check.String())
				shown, err := panel.Show(*q.Check)
				require.NoError(t, err)
				a = Answer{Reading: &shown.Reading}
			} else if q.Ask != Complaint {
				return append(checks, string(q.Ask))
			}
			s, _, err = s.Answer(a)
			require.NoError(t, err)
		}
		return checks
	}
	plain, foreseen, broken := model(), model(), model()
	for fault := 0; fault < len(faults); fault += 9 {
		want := asked(plain, fault, func(Session) {})
		require.NotEmpty(t, want)
		assert.Equal(t, want, asked(foreseen, fault, func(s Session) { s.Foresee(func() bool { return false }) }), faults[fault].ID)
		assert.Equal(t, want, asked(broken, fault, func(s Session) {
			calls := 0
			s.Foresee(func() bool { calls++; return calls > 40 })
		}), faults[fault].ID)
	}
}
