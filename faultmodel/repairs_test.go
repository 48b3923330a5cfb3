package faultmodel

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/work"
)

// everyType is the circuit that has every device type.
func everyType(t *testing.T) *work.Panel {
	t.Helper()
	text, err := os.ReadFile(filepath.FromSlash("../circuits/read/testdata/ok/every-type.yaml"))
	require.NoError(t, err)
	return panel(t, string(text))
}

// Every kind of fault has its repair and its row for a trainer, each once, and there is
// none for what is no fault.
func TestTablesOfFaultsAreComplete(t *testing.T) {
	inserted := make(map[Key]bool)
	for _, row := range Insertions {
		assert.False(t, inserted[row.Key], "%s stands twice", row.Key)
		inserted[row.Key] = true
		assert.NotEmpty(t, row.Why, row.Key)
	}
	kinds := 0
	for _, w := range Weights {
		assert.Positive(t, w.Value, w.Key)
		assert.NotEmpty(t, w.Source, w.Key)
		if w.Key == FieldWiringFactor || w.Key == StarterFactor { // no fault, a factor
			continue
		}
		kinds++
		assert.NotEmpty(t, Repairs[w.Key], w.Key)
		assert.True(t, inserted[w.Key], w.Key)
	}
	assert.Len(t, Repairs, kinds)
	assert.Len(t, Insertions, kinds)
}

// Every kind of fault that a row of the device table names has its weight.
func TestFaultsOfTypesHaveWeights(t *testing.T) {
	for _, d := range circuits.Types {
		f := d.Faults
		keys := []Key{f.ContactOpen, f.NCContactOpen, f.ContactClosed, f.Stuck.AtRest.Key, f.Stuck.Away.Key,
			f.Opens.Key}
		for _, l := range d.Loads {
			keys = append(keys, l.Open, l.Shorted)
		}
		for _, k := range keys {
			if k != "" {
				assert.Equal(t, k, Of(k).Key, d.Name)
			}
		}
	}
}

// A repair names what is replaced as what it is: a timer is no relay, a heater no solenoid.
func TestRepairsNameTheDevice(t *testing.T) {
	p := everyType(t)
	want := map[ID]string{
		"open-TR1":     "Replace the coil or the timer, of the same volts.",
		"open-1M":      "Replace the coil or the contactor, of the same volts.",
		"open-CR1":     "Replace the coil or the relay, of the same volts.",
		"open-HE1":     "Replace the heater, of the same volts and watts.",
		"open-H3":      "Replace the lamp, of the same volts and kind of current.",
		"open-B1":      "Replace the horn.",
		"shorted-HE1":  "Replace it. The fuse ahead of it has most likely opened too.",
		"open-VB1:1-2": "See that the switch is driven as far as it should be",
		"open-Q1":      "Clear what opened it first, then close it",
	}
	for _, f := range List(p, Options{WiringErrors: true}) {
		text := f.Repair(p)
		assert.NotContains(t, text, "{", f.ID)
		if starts, ok := want[f.ID]; ok {
			assert.Contains(t, text, starts, f.ID)
			delete(want, f.ID)
		}
	}
	assert.Empty(t, want)
}

// A safety relay is proved by its channels once it is replaced, at a drive one waits for its charge, a
// fire alarm is tested and told of; none of them has a contact block.
func TestRepairsOfDevicesWithInputs(t *testing.T) {
	p := everyType(t)
	found := 0
	for _, f := range List(p, Options{}) {
		for device, says := range map[string]string{"SR1": "prove each channel by itself", "DR1": "dc link has discharged",
			"ZM1": "monitoring station", "SD1": "monitoring station"} {
			if f.Effect.OfWires() || f.Devices[0] != device {
				continue
			}
			found++
			assert.Contains(t, f.Repair(p), says, f.ID)
			assert.NotContains(t, f.Repair(p), "block", f.ID)
		}
	}
	assert.Greater(t, found, 20)
}
