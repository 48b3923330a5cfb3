package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
)

// follow walks a chart on a panel with one fault, and holds that every check on the way is
// the one that the guided search proposes after the same readings. It gives the end, and
// whether the way was followed to it.
func follow(t testing.TB, m *Model, c *Chart, fault int, ghosts *rand.Rand) *Fork {
	t.Helper()
	f, log := c.Start, c.Start.Log
	meter := m.Meter(fault)
	for {
		turn := m.Turn(log, Choosing{By: c.By, Most: -1})
		if f.Cut {
			return f
		}
		require.Equal(t, turn.Status, f.Turn.Status)
		require.Equal(t, turn.Left, f.Turn.Left)
		require.Equal(t, turn.Proved, f.Turn.Proved)
		if turn.Next == nil || turn.Proved {
			require.Empty(t, f.Ways)
			return f
		}
		check := turn.Next.Check
		require.Equal(t, check, f.Turn.Next.Check)
		r, err := meter.Read(check)
		require.NoError(t, err)
		if !r.Firm {
			most, err := m.Stray(check)
			require.NoError(t, err)
			r.On, r.Value = ghosts.IntN(2) == 1, ghosts.Float64()*most
		}
		r.Value, r.Firm = math.Round(r.Value*10)/10, true
		var way *Way
		for i := range f.Ways {
			if f.Ways[i].Takes(r) && (way == nil || way.Stray) {
				way = &f.Ways[i]
			}
		}
		require.NotNil(t, way, "%s: no way for %v at %s", m.faults[fault].ID, r, check)
		e, err := m.NewEntry(check, &r)
		require.NoError(t, err)
		log.Entries = append(log.Entries[:len(log.Entries):len(log.Entries)], e)
		f = way.To
	}
}

func TestChartIsTheGuidedSearch(t *testing.T) {
	for _, name := range circuits.Builtin() {
		for _, by := range []By{ByMinutes, ByChecks} {
			t.Run(fmt.Sprintf("%s/%d", name, by), func(t *testing.T) {
				m := builtin(t, name)
				start := time.Now()
				c := m.Chart(Log{}, ChartOptions{By: by})
				t.Logf("%s: %d faults, %d forks, %d ends", time.Since(start), len(m.faults), c.Forks, c.Ends)
				for i, f := range m.faults {
					end := follow(t, m, c, i, rand.New(rand.NewPCG(1, uint64(i))))
					require.False(t, end.Cut, f.ID)
					require.Contains(t, end.Turn.Left, i, f.ID)
				}
			})
		}
	}
}

func TestChartScale(t *testing.T) {
	m := fromText(t, "panel.yaml", generate.Rungs(100))
	for _, cut := range []float64{0.02} {
		start := time.Now()
		c := m.Chart(Log{}, ChartOptions{By: ByMinutes, Cut: cut})
		t.Logf("%g: %s: %d forks, %d ends, %d cuts", cut, time.Since(start), c.Forks, c.Ends, c.Cuts)
	}
}
