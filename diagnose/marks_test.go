package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
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
