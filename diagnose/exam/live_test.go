package exam

import (
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Whatever a packet answers, the instructor's machine answers alike, within what the figures
// of the meter round.
func TestLiveAsPacket(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm"} {
		m := modelOf(t, name)
		r := rand.New(rand.NewPCG(7, 0))
		checks := m.Checks()
		for range 4 {
			f := r.IntN(len(m.Faults()))
			table, err := MakeReadings(m, f, []byte("a key"))
			require.NoError(t, err)
			live := NewLive(m, f, []byte("a key"))
			for i := range 200 {
				c, worked := checks[r.IntN(len(checks))], r.IntN(live.Steps()+1)-1
				want, err := table.Show(c, worked, i)
				require.NoError(t, err)
				got, err := live.Show(c, worked, i)
				require.NoError(t, err)
				assert.Equal(t, want.Wanders, got.Wanders, "%s %s", m.Faults()[f].ID, c)
				assert.Equal(t, want.Reading.On, got.Reading.On, "%s %s", m.Faults()[f].ID, c)
				if want.Reading.Value != got.Reading.Value {
					assert.InEpsilon(t, want.Reading.Value, got.Reading.Value, diagnose.MeterTolerance, "%s %s", m.Faults()[f].ID, c)
				}
			}
		}
		_, err := NewLive(m, 0, nil).Show(log.Check{Look: "nothing"}, -1, 0)
		assert.Error(t, err)
	}
}

// A panel of sixty rungs, which no packet holds, is answered, for several candidates at a time.
func TestLiveLarge(t *testing.T) {
	c, problems := read.Read("rungs.yaml", []byte(generate.Rungs(60)))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(t.Context(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	_, err = MakeReadings(m, 0, []byte("a key"))
	require.ErrorContains(t, err, "too large for a packet")
	checks := m.Checks()
	var all sync.WaitGroup
	for f := range 4 {
		all.Go(func() {
			live, meter := NewLive(m, f, []byte("a key")), m.Meter(f)
			for i := 0; i < len(checks); i += len(checks)/100 + 1 {
				shown, err := live.Show(checks[i], -1, i)
				assert.NoError(t, err)
				r, err := meter.Found(checks[i], -1)
				assert.NoError(t, err)
				if r.Firm {
					assert.True(t, m.Agree(checks[i], r, shown.Reading), "%s", checks[i])
				}
			}
		})
	}
	all.Wait()
}
