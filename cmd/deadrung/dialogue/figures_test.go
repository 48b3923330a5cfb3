package dialogue

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/log"
)

// TestFigures: readings in the figures of a meter of 6000 counts.
func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		kind  log.Kind
		value float64
		want  string
	}{
		{log.Volts, 118.9, "118.9 V"}, {log.Volts, 0, "0.000 V"}, {log.Volts, 23.97, "23.97 V"}, {log.Volts, 612, "612 V"},
		{log.Ohms, 0.3, "0.3 ohm"}, {log.Ohms, 599.9, "599.9 ohm"}, {log.Ohms, 2410, "2.410 kohm"}, {log.Ohms, 24100, "24.10 kohm"},
		{log.Ohms, 241000, "241.0 kohm"}, {log.Ohms, 2.41e6, "2.410 Mohm"}, {log.Ohms, 24.1e6, "24.10 Mohm"}, {log.Ohms, log.OL, "OL"},
	} {
		assert.Equal(t, tt.want, figures(tt.kind, tt.value))
	}
}
