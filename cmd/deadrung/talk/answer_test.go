package talk

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

var typedReadings = []struct {
	kind  diagnose.Kind
	typed string
	want  float64
}{
	{diagnose.Volts, "118.9 V", 118.9},
	{diagnose.Volts, "118,9", 118.9},
	{diagnose.Volts, "0", 0},
	{diagnose.Volts, "0 v", 0},
	{diagnose.Volts, ".4", 0.4},
	{diagnose.Volts, "120.", 120},
	{diagnose.Volts, "24V dc", 24},
	{diagnose.Volts, "24 VDC", 24},
	{diagnose.Volts, "120 volts ac", 120},
	{diagnose.Volts, "120 V rms", 120},
	{diagnose.Volts, "350 mV", 0.35},
	{diagnose.Volts, "0.12 kV", 120},
	{diagnose.Volts, "-24.1", 24.1}, // leads exchanged
	{diagnose.Volts, "+ 5 V", 5},
	{diagnose.Volts, "  117  V ", 117},

	{diagnose.Ohms, "2410", 2410},
	{diagnose.Ohms, "2.4k", 2400},
	{diagnose.Ohms, "2,41 kohm", 2410},
	{diagnose.Ohms, "2.41 KOhms", 2410},
	{diagnose.Ohms, "0.0 ohm", 0},
	{diagnose.Ohms, "0.3 Ω", 0.3},
	{diagnose.Ohms, "0.3 Ω", 0.3}, // the sign for ohm, not the letter
	{diagnose.Ohms, "2.4 kΩ", 2400},
	{diagnose.Ohms, "2.2 M", 2.2e6},
	{diagnose.Ohms, "2.2 Mohm", 2.2e6},
	{diagnose.Ohms, "2.2 meg", 2.2e6},
	{diagnose.Ohms, "-0.0", 0},
	{diagnose.Ohms, "0,123", 0.123},
	{diagnose.Ohms, "OL", math.Inf(1)},
	{diagnose.Ohms, "ol", math.Inf(1)},
	{diagnose.Ohms, "0L", math.Inf(1)}, // as the display looks
	{diagnose.Ohms, "O.L kohm", math.Inf(1)},
	{diagnose.Ohms, "O.L", math.Inf(1)},
	{diagnose.Ohms, "open", math.Inf(1)},
	{diagnose.Ohms, "Infinite ohms", math.Inf(1)},
}

func TestParseReading(t *testing.T) {
	for _, c := range typedReadings {
		t.Run(c.kind.String()+" "+c.typed, func(t *testing.T) {
			r, err := ParseReading(c.kind, c.typed)
			require.NoError(t, err)
			assert.InDelta(t, c.want, r.Value, 1e-9)
			assert.True(t, r.Firm)
			assert.Equal(t, c.kind, r.Kind)
		})
	}
}

// What is no answer says what would be one.
func TestParseReadingRefuses(t *testing.T) {
	for _, c := range []struct {
		kind  diagnose.Kind
		typed string
		says  string
	}{
		{diagnose.Volts, "hello", `"hello" is no reading: type volts, as 118.9 V or 0`},
		{diagnose.Volts, "1 2", "is no reading"},
		{diagnose.Volts, "1.2.3", "unit"},
		{diagnose.Volts, "2.4 kohm", "turn the meter to volts"},
		{diagnose.Volts, "2.2 M", "turn the meter to volts"},
		{diagnose.Volts, "OL", "OL is no voltage"},
		{diagnose.Volts, "on", "no look but a reading"},
		{diagnose.Volts, "0.8 A", "a current"},
		{diagnose.Volts, "120 kV", "more than a control circuit has"},
		{diagnose.Volts, "nan", "is no reading"},
		{diagnose.Volts, "1e3", "unit"},
		{diagnose.Volts, "120 W", `"W" is no unit of this check`},
		{diagnose.Ohms, "118.9 V", "prove the circuit dead"},
		{diagnose.Ohms, "2,410", "type 2410 or 2.410"},
		{diagnose.Ohms, "2.4 m", "large M"},
		{diagnose.Ohms, "beep", "the number counts, not the beep"},
		{diagnose.Ohms, "-12", "prove it dead again"},
		{diagnose.Ohms, "?!", "type ohms, as 2410, 2.4 k, 0.3 or OL"},
	} {
		t.Run(c.kind.String()+" "+c.typed, func(t *testing.T) {
			_, err := ParseReading(c.kind, c.typed)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.says)
		})
	}
}

func FuzzParseReading(f *testing.F) {
	for _, c := range typedReadings {
		f.Add(c.typed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		for _, kind := range []diagnose.Kind{diagnose.Volts, diagnose.Ohms} {
			r, err := ParseReading(kind, typed)
			if err != nil {
				continue
			}
			assert.False(t, math.IsNaN(r.Value) || r.Value < 0, "%q gives %v", typed, r.Value)
			assert.False(t, kind == diagnose.Volts && r.Value > mostVolts, "%q gives %v V", typed, r.Value)
		}
	})
}
