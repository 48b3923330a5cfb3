package main

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
)

// simulatedRun runs a simulated session and gives its result in machine form.
func simulatedRun(t *testing.T, o findOptions) (simulated, string) {
	t.Helper()
	var out bytes.Buffer
	o.now, o.json, o.by = noon, true, "minutes"
	require.NoError(t,
		runSimulate(t.Context(), o, streams{in: strings.NewReader(""), out: &out, err: &bytes.Buffer{}}))
	var result simulated
	require.NoError(t, json.Unmarshal(out.Bytes(), &result))
	return result, out.String()
}

// Every fault that a check shows is found and proved or said to have no proof, and
// every verdict is right.
func TestSimulateEveryFault(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	for i, f := range m.Faults() {
		out, _ := inMemory(80)
		d := simulating(m, out)
		var result simulated
		require.NoError(t, d.search(newRig(m, i, rand.New(rand.NewPCG(5, 1))), &result))
		d.judge(i, &result)
		assert.True(t, result.Right, "%s ends in %s: %v", f.ID, result.Status, result.Verdict)
		for _, proof := range result.Proofs {
			assert.True(t, proof.Agrees, f.ID)
		}
		assert.Less(t, len(result.Checks), 20, f.ID)
	}
}

// The same seed gives the same run, another one another.
func TestSimulateSeed(t *testing.T) {
	o := findOptions{circuit: "cold-store-alarm", simulate: "any", seeded: true, seed: 11}
	_, first := simulatedRun(t, o)
	_, second := simulatedRun(t, o)
	assert.Equal(t, first, second)
	faults := map[string]bool{}
	for seed := range uint64(12) {
		o.seed = seed
		result, _ := simulatedRun(t, o)
		faults[string(result.Fault)] = true
		assert.True(t, result.Right)
		assert.Equal(t, seed, result.Seed)
	}
	assert.Greater(t, len(faults), 5)

	o.seeded, o.random = false, func() uint64 { return 11 }
	third, _ := simulatedRun(t, o)
	assert.EqualValues(t, 11, third.Seed, "a seed at random is given with the result")
}

// A floating conductor reads anything up to half the supply, and is said not to be
// firm.
func TestGhosts(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	i := 0
	for k, f := range m.Faults() {
		if f.ID == "open-T1:X1-F1:1" {
			i = k
		}
	}
	r := newRig(m, i, rand.New(rand.NewPCG(5, 1)))
	c := log.Check{Volts: terms("F1:1", "T1:X1"), Step: "door shut, cold"}
	values := map[float64]bool{}
	for range 50 {
		got, err := r.read(c)
		require.NoError(t, err)
		require.False(t, got.Firm, "nothing is joined to the end of the open wire")
		assert.LessOrEqual(t, got.Value, 60.0)
		values[got.Value] = true
	}
	assert.Greater(t, len(values), 10)
}
