package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/log"
)

// Volts that are neither there nor gone, and that no outcome foretells, may be stray.
func TestMayFloat(t *testing.T) {
	m := builtin(t, "cold-store-alarm") // 120 V
	low, high := 40.0, 60.0
	p := &Proposal{Outcomes: []Answered{{Low: &low, High: &high}, {Saw: "on"}}}
	for volts, stray := range map[float64]bool{0: false, 11: false, 13: true, 39: true, 50: false, 61: true, 101: true, 103: false, 120: false} {
		assert.Equal(t, stray, m.MayFloat(p, log.Reading{Kind: log.Volts, Value: volts}), "%g V", volts)
	}
	assert.False(t, m.MayFloat(p, log.Reading{Kind: log.Ohms, Value: 30}), "ohms do not float")
}
