package training

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
	"deadrung/diagnose"
	"deadrung/faultmodel"
	"deadrung/testdata/published"
)

// faultCases are the numbers of the published fault cases.
var faultCases = []string{"F-01", "F-03", "F-05", "F-07", "F-09", "F-10", "F-11", "F-17", "F-18",
	"F-19", "F-21", "F-22"}

// TestPublishedCases: every fault of every published case can be hidden, and the best
// checks lead to it without waste.
func TestPublishedCases(t *testing.T) {
	cases, err := published.Playable()
	require.NoError(t, err)
	keys := map[string]bool{}
	for _, c := range cases {
		keys[c.Key] = true
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			m := modelFrom(t, c.Name, c.Text)
			for _, given := range c.Faults {
				var e faultmodel.Effect
				raw, err := json.Marshal(given.Effect)
				require.NoError(t, err)
				require.NoError(t, json.Unmarshal(raw, &e))
				f := slices.IndexFunc(m.Faults(), func(f faultmodel.Fault) bool { return f.Effect.Same(e) })
				require.NotEqual(t, -1, f, "%s", raw)
				playBest(t, m, f, 9, diagnose.ByMinutes)
			}
			assert.NotEmpty(t, c.Source)
		})
	}
	for _, k := range faultCases {
		assert.True(t, keys[k], "%s can be practised", k)
	}
}

// TestGeneratedPanels: the same on panels that nobody drew.
func TestGeneratedPanels(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	for seed := range uint64(8) {
		m := modelFrom(t, "generated", []byte(generate.Panel(seed, generate.Options{})))
		for range 6 {
			if f := random.IntN(len(m.Faults())); !m.Hidden(f) {
				playBest(t, m, f, random.Uint64(), diagnose.ByMinutes)
			}
		}
	}
}

// playBest makes the checks that the guided search proposes, proofs included: none is
// wasted, none is unsafe, no reading speaks against the hidden fault.
func playBest(t *testing.T, m *diagnose.Model, f int, seed uint64, by diagnose.By) {
	t.Helper()
	s := NewSitting(m, f, seed)
	_, _, err := s.Complain("")
	require.NoError(t, err)
	minutes := 0.0
	for {
		turn := m.Turn(s.Log(), diagnose.Choosing{By: by})
		if !m.Hidden(f) {
			require.Contains(t, turn.Left, f, "%s stays possible", m.Faults()[f].ID)
			require.Zero(t, turn.Wrong)
		}
		if turn.Next == nil || turn.Proved {
			break
		}
		minutes += turn.Next.Minutes
		c := turn.Next.Check
		bring(t, s, c)
		_, found, err := s.Check(c, "")
		require.NoError(t, err)
		require.Empty(t, found)
		log := s.Log()
		j, err := Judge(m, log, len(log.Entries)-1, by)
		require.NoError(t, err)
		require.Equal(t, Useful, j.Waste, "%s: %s", m.Faults()[f].ID, c)
	}
	assert.InDelta(t, minutes, s.Minutes(), 1e-2, "the panel's minutes are those that the search counts with")
	r, err := Play(s, by)
	require.NoError(t, err)
	assert.Empty(t, r.Wasted)
	assert.Empty(t, r.Unsafe)
}
