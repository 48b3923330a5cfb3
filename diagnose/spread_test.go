package diagnose

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two hots of 120 V with their neutral between them divide as one supply of 240 V; three hots make
// a triangle, whose neutral is within.
func TestCornersOfSeveralPhases(t *testing.T) {
	assert.Equal(t, []complex128{-120, 120}, corners([]complex128{-120, 0, 120}))
	hot := func(degrees float64) complex128 { return cmplx.Rect(120, degrees*math.Pi/180) }
	three := []complex128{hot(240), hot(120), 0, hot(0)}
	assert.ElementsMatch(t, []complex128{hot(0), hot(120), hot(240)}, corners(three))
}

// A point is the mean of the corners by its weights. Where two loads stand as four to one a
// neutral that is open has 192 V to one hot and 48 V to the other: 240·4/5 and 240/5. Source: the
// voltage divider of Ohm's law.
func TestWeightsOfAPoint(t *testing.T) {
	w, ok := weigh([]complex128{-120, 120}, 72)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{1. / 5, 4. / 5}, w, 1e-12)
	hot := func(degrees float64) complex128 { return cmplx.Rect(120, degrees*math.Pi/180) }
	three := []complex128{hot(0), hot(120), hot(240)}
	w, ok = weigh(three, 0)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{1. / 3, 1. / 3, 1. / 3}, w, 1e-12)
	_, ok = weigh(three, hot(180)) // beyond the line between two of them
	assert.False(t, ok)
	_, ok = weigh(append(three, hot(60)), 0) // nobody knows which of four it hangs on
	assert.False(t, ok)
}

// With parts of which one is as much as four times the other either way, the neutral of two hots
// that is open goes from 48 to 192 V of a hot, and no further.
func TestReachOfAnOpenNeutral(t *testing.T) {
	m := fromText(t, "neutral.yaml", `
circuit: Lamps on two hots
devices:
  G1: {type: supply, volts: 120, phase: 0, terminals: [L, N]}
  G2: {type: supply, volts: 120, phase: 180, terminals: [L, N]}
  H1: {type: lamp, kind: filament}
  H2: {type: lamp, kind: filament}
wires:
  1: [G1:L, H1:1]
  2: [G2:L, H2:1]
  N: [G1:N, G2:N, H1:2, H2:2]
operation:
  - step: on
    expect: {H1: on, H2: on}
`)
	require.InDelta(t, 4, m.panel.Bend(), 1e-9, "half to twice, both of them")
	s := spreading{m: m.worked}
	low, high := s.reach([]complex128{-120, 120}, 0, 120, true)
	assert.InDelta(t, 48, low, 1e-9)
	assert.InDelta(t, 192, high, 1e-9)
	low, high = s.reach([]complex128{-120, 120}, 0, 0, true)
	assert.Zero(t, low)
	assert.InDelta(t, 72, high, 1e-9)
}
