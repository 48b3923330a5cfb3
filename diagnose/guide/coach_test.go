package guide

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// The coach names a better check at the price of the hint that names it, once a check; who has
// made the best one pays nothing, and what is told unasked does not name it.
func TestCoachHasAPrice(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	hidden, err := faultmodel.Find(m.Faults(), "open-H1")
	require.NoError(t, err)
	hints := func(r *run) (n int) {
		for _, a := range r.s.Log().Acts {
			if a.Kind == log.HintAct {
				assert.Equal(t, 3, a.Strength)
				n++
			}
		}
		return n
	}
	poor := log.Check{Volts: []circuits.Terminal{"CR1:11", "T1:X2"}, Step: "door left open"}
	for _, coach := range []Coach{CoachAsked, CoachAlways} {
		r := begun(t, At(training.NewSitting(m, hidden, 7), Practising(diagnose.ByMinutes, coach)))
		r.makeCheck(r.s.Turn().Next.Check)
		r.take(Take("coach"))
		assert.Zero(t, hints(r), "it was the best check")
		r.makeCheck(poor)
		last := r.told[len(r.told)-1]
		assert.Equal(t, coach == CoachAlways, last.Kind == Worth && last.Withheld)
		before := r.s.Sitting().Minutes()
		for range 3 {
			r.take(Take("coach"))
			last = r.told[len(r.told)-1]
			require.Equal(t, Worth, last.Kind)
			assert.True(t, last.Judged.Better())
			assert.False(t, last.Withheld)
		}
		assert.Equal(t, 1, hints(r))
		assert.Equal(t, training.HintMinutes[2], r.s.Sitting().Minutes()-before)
	}
}
