package main

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/guide"
)

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
