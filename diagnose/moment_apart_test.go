package diagnose

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/circuits/work"
)

// What is put together of a fault and of timers that it has nothing to do with, and what is worked
// from the step with the longer wait on, is what comes of working the panel with both.
func TestLongerWaits(t *testing.T) {
	panels := map[string]string{"regular": generate.Rungs(30)}
	for seed := range uint64(8) {
		panels[fmt.Sprint("random ", seed)] = generate.Panel(seed, generate.Options{Rungs: 4 + 2*int(seed)})
	}
	for _, s := range generate.Shapes {
		panels["shape "+s.Name] = s.Panel(2, 10)
	}
	apart, again := 0, 0
	for name, text := range panels {
		t.Run(name, func(t *testing.T) {
			m := fromText(t, "generated.yaml", text)
			course := m.panel.Course()
			far := m.apartFromTimers(context.Background(), course)
			for step := range m.good {
				who, alone := m.whoRuns(step, far)
				if len(who)+len(alone) == 0 {
					continue
				}
				apart, again = apart+len(alone), again+len(who)
				for i, stage := range course.Stages(step) {
					waits := make([]float64, len(m.good))
					waits[step] = stage.Waits(step) - m.panel.Circuit.Steps[step].Wait
					full := m.panel.Waiting(waits).Course()
					known := &conditions{of: make(map[*work.End]*condition)}
					f := full.Follower()
					for k, fault := range slices.Concat(who, alone) {
						if k%3 > 0 {
							continue
						}
						worked, _, _, _ := m.trace(f, &m.faults[fault].Overlay, known)
						worked = m.whetherOrNot(f, fault, known, worked)
						put := m.later[fault].after(step)[i]
						for s := step; s < len(m.good); s++ {
							c := put.at(s)
							require.True(t, comesTo(c, &worked[s]), "%s, a longer wait in step %d, at the end of step %d",
								m.faults[fault].ID, step+1, s+1)
							assert.Zero(t, math.Round(1e6*(c.left-worked[s].left)), m.faults[fault].ID)
						}
					}
				}
			}
		})
	}
	assert.Greater(t, apart, 500)
	assert.Greater(t, again, 500)
}

// comesTo tells whether two changes come to the same, whatever names their islands go by.
func comesTo(c, other *change) bool {
	names := make(map[int32]int32)
	for _, n := range c.concerned(other) {
		island, volts := c.at(n)
		name, volts2 := other.at(n)
		if known, ok := names[island]; ok && known != name || (island < 0 || name < 0) && island != name {
			return false
		}
		names[island] = name
		for s := range volts {
			if cmplx.Abs(complex128(volts[s]-volts2[s])) > exactly {
				return false
			}
		}
	}
	for v := range c.from.on {
		if c.seen(v) != other.seen(v) {
			return false
		}
	}
	return true
}
