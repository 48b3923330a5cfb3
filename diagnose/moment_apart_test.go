package diagnose

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
)

// What is put together of a fault and of timers that it has nothing to do with is what comes of
// working the panel with both.
func TestApartFromTimers(t *testing.T) {
	panels := map[string]string{"regular": generate.Rungs(30)}
	for seed := range uint64(8) {
		panels[fmt.Sprint("random ", seed)] = generate.Panel(seed, generate.Options{Rungs: 4 + 2*int(seed)})
	}
	apart := 0
	for name, text := range panels {
		t.Run(name, func(t *testing.T) {
			m := fromText(t, "generated.yaml", text)
			far := m.apartFromTimers(context.Background(), m.panel.Course())
			for step := range m.good {
				_, who := m.whoRuns(step, far)
				if len(who) == 0 {
					continue
				}
				apart += len(who)
				for i, longer := range m.panel.Stages(step) {
					waits := make([]float64, len(m.good))
					waits[step] = longer
					worked := m.workedWaiting(waits, who)
					for k, f := range who {
						put := m.later[f].after(step)[i].changes
						for s := range put {
							require.True(t, put[s].sameAs(&worked[k][s]), "%s, a longer wait in step %d, at the end of step %d", m.faults[f].ID, step+1, s+1)
							assert.Zero(t, math.Round(1e6*(put[s].left-worked[k][s].left)), m.faults[f].ID)
						}
					}
				}
			}
		})
	}
	assert.Greater(t, apart, 500)
}

// workedWaiting works faults in full with longer waits.
func (m *Model) workedWaiting(waits []float64, who []int) [][]change {
	kept := m.later
	defer func() { m.later = kept }()
	m.later = make([]laterOn, m.hypotheses())
	m.workLater(context.Background(), m.panel.Waiting(waits), who, false, func(l *laterOn, trace []change) {
		l.paces = append(l.paces, trace)
	})
	var traces [][]change
	for _, f := range who {
		traces = append(traces, m.later[f].paces[0])
	}
	return traces
}
