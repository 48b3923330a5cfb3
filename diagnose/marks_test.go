package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/generate"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// What is marked on the drawing is what is possible, each part and wire once; a coil between its
// ends alone, and nothing that the readings have ruled out.
func TestDoubtsOfFaults(t *testing.T) {
	for _, name := range circuits.Builtin() {
		m := builtin(t, name)
		d := drawing.New(m.panel.Circuit)
		all := m.Doubts(m.Left(log.Log{}))
		parts := make(map[string]bool)
		for _, f := range m.Left(log.Log{}) {
			parts[m.faults[f].Effect.Part()] = true
		}
		assert.Len(t, all, len(parts), name)
		for _, doubt := range all {
			assert.NotEmpty(t, doubt.At, name)
		}
		for _, f := range m.faults {
			load := m.panel.Circuit.Device(f.Effect.OpenLoad)
			if load == nil {
				continue
			}
			i, err := faultmodel.Find(m.faults, string(f.ID))
			require.NoError(t, err)
			doubts := m.Doubts([]int{i})
			require.Len(t, doubts, 1)
			assert.Equal(t, []circuits.Terminal{load.Terminal(load.Ends[0]), load.Terminal(load.Ends[1])}, doubts[0].At)
			assert.False(t, doubts[0].Wire)
		}
		for _, c := range m.Checks()[:min(40, len(m.Checks()))] {
			o := Drawn(d, c)
			assert.Len(t, o.Leads, len(c.Leads()), c.String())
			assert.Equal(t, c.Kind() == log.Ohms, o.State.Off, c.String())
		}
	}
}

// Of a long drawing are shown the rungs of the check and those with the most doubt; what is left
// out is counted.
func TestAroundACheck(t *testing.T) {
	m := ofText(t, string(generate.Rungs(40)))
	d := drawing.New(m.panel.Circuit)
	require.Greater(t, len(d.Rungs), MostRungs)
	all := m.Left(log.Log{})
	doubtful := func(left []int) map[int]bool {
		at := make(map[int]bool)
		for _, x := range m.Doubts(left) {
			for _, terminal := range x.At {
				at[d.Of(terminal)] = true
			}
		}
		delete(at, 0)
		return at
	}
	for i, c := range m.Checks() {
		if i%97 > 0 {
			continue
		}
		own := RungsOf(d, c)
		for _, lead := range c.Leads() {
			assert.Contains(t, own, d.Of(lead), c.String())
		}
		for _, left := range [][]int{nil, all[:3], all} {
			rungs, out := m.Around(d, &c, left)
			assert.LessOrEqual(t, len(rungs), MostRungs)
			assert.Subset(t, rungs, own)
			assert.True(t, slices.IsSorted(rungs))
			at := doubtful(left)
			for _, r := range rungs {
				assert.True(t, at[r] || slices.Contains(own, r), "rung %d of %s", r, c)
				delete(at, r)
			}
			assert.Len(t, at, out, c.String())
		}
	}
	short := drawing.New(builtin(t, "cold-store-alarm").panel.Circuit)
	rungs, out := m.Around(short, nil, all)
	assert.Empty(t, rungs)
	assert.Zero(t, out)
}
