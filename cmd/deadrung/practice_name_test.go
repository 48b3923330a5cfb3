package main

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/guide"
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

// TestFaultsAt: a fault is named by its place, however it is typed.
func TestFaultsAt(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	ids := func(typed string) (out []string) {
		for _, f := range guide.FaultsAt(m, typed) {
			out = append(out, string(m.Faults()[f].ID))
		}
		return out
	}
	assert.Equal(t, []string{"open-B1", "shorted-B1"}, ids("b1"))
	assert.Equal(t, []string{"open-CR1:22-B1:1", "open-CR1:21-22", "closed-CR1:21-22"}, ids("cr1:22"))
	assert.Contains(t, ids("wire 7"), "open-CR1:22-B1:1")
	assert.Contains(t, ids("7"), "ground-7")
	assert.Equal(t, []string{"open-H1"}, ids("OPEN-h1"))
	assert.Empty(t, ids("nothing"))
}
