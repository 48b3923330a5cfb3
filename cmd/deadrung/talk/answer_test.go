package talk

import (
	"deadrung/diagnose/log"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var typedReadings = []struct {
	kind  log.Kind
	typed string
	want  float64
}{
	{log.Volts, "118.9 V", 118.9},
	{log.Volts, "118,9", 118.9},
	{log.Volts, "0", 0},
	{log.Volts, "0 v", 0},
	{log.Volts, ".4", 0.4},
	{log.Volts, "120.", 120},
	{log.Volts, "24V dc", 24},
	{log.Volts, "24 VDC", 24},
	{log.Volts, "120 volts ac", 120},
	{log.Volts, "120 V rms", 120},
	{log.Volts, "350 mV", 0.35},
	{log.Volts, "0.12 kV", 120},
	{log.Volts, "-24.1", 24.1}, // leads exchanged
	{log.Volts, "+ 5 V", 5},
	{log.Volts, "  117  V ", 117},

	{log.Ohms, "2410", 2410},
	{log.Ohms, "2.4k", 2400},
	{log.Ohms, "2,41 kohm", 2410},
	{log.Ohms, "2.41 KOhms", 2410},
	{log.Ohms, "0.0 ohm", 0},
	{log.Ohms, "0.3 Ω", 0.3},
	{log.Ohms, "0.3 Ω", 0.3}, // the sign for ohm, not the letter
	{log.Ohms, "2.4 kΩ", 2400},
	{log.Ohms, "2.2 M", 2.2e6},
	{log.Ohms, "2.2 Mohm", 2.2e6},
	{log.Ohms, "2.2 meg", 2.2e6},
	{log.Ohms, "-0.0", 0},
	{log.Ohms, "0,123", 0.123},
	{log.Ohms, "OL", math.Inf(1)},
	{log.Ohms, "ol", math.Inf(1)},
	{log.Ohms, "0L", math.Inf(1)}, // as the display looks
	{log.Ohms, "O.L kohm", math.Inf(1)},
	{log.Ohms, "O.L", math.Inf(1)},
	{log.Ohms, "open", math.Inf(1)},
	{log.Ohms, "Infinite ohms", math.Inf(1)},
}

// What somebody is not sure of says so.
func TestParseReadingUnsure(t *testing.T) {
	for typed, want := range map[string]float64{"118.9 ?": 118.9, "~119 V": 119, "about 60": 60, "24, not sure": 24} {
		r, err := ParseReading(log.Volts, typed)
		require.NoError(t, err, typed)
		assert.InDelta(t, want, r.Value, 1e-9, typed)
		assert.True(t, r.Unsure, typed)
	}
	r, err := ParseReading(log.Volts, "118.9 V")
	require.NoError(t, err)
	assert.False(t, r.Unsure)
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
		kind  log.Kind
		typed string
		says  string
	}{
		{log.Volts, "hello", `"hello" is no reading: type volts, as 118.9 V or 0`},
		{log.Volts, "1 2", "is no reading"},
		{log.Volts, "1.2.3", "unit"},
		{log.Volts, "2.4 kohm", "turn the meter to volts"},
		{log.Volts, "2.2 M", "turn the meter to volts"},
		{log.Volts, "OL", "OL is no voltage"},
		{log.Volts, "on", "a reading, not a look"},
		{log.Volts, "0.8 A", "a current"},
		{log.Volts, "120 kV", "more than a control circuit has"},
		{log.Volts, "nan", "is no reading"},
		{log.Volts, "1e3", "unit"},
		{log.Volts, "120 W", `"W" is no unit of this check`},
		{log.Ohms, "118.9 V", "prove the circuit dead"},
		{log.Ohms, "2,410", "type 2410 or 2.410"},
		{log.Ohms, "2.4 m", "large M"},
		{log.Ohms, "beep", "the number counts, not the beep"},
		{log.Ohms, "-12", "prove it dead again"},
		{log.Ohms, "?!", "type ohms, as 2410, 2.4 k, 0.3 or OL"},
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
		for _, kind := range []log.Kind{log.Volts, log.Ohms} {
			r, err := ParseReading(kind, typed)
			if err != nil {
				continue
			}
			assert.False(t, math.IsNaN(r.Value) || r.Value < 0, "%q gives %v", typed, r.Value)
			assert.False(t, kind == log.Volts && r.Value > mostVolts, "%q gives %v V", typed, r.Value)
		}
	})
}
