package split

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRepeated(t *testing.T) {
	// Closed form, recomputed.
	r := Repeated{Wrong: 0.05, Lead: 2}
	assert.InDelta(t, 0.002762, r.Error(), 5e-7)
	assert.InDelta(t, 2.2099, r.Mean(), 5e-5)
	// One reading is one reading.
	assert.InDelta(t, 0.02, Repeated{0.02, 1}.Error(), 1e-15)
	assert.InDelta(t, 1, Repeated{0.02, 1}.Mean(), 1e-12)
}

func TestRepeatedAgainstPlay(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for _, c := range []Repeated{{0.05, 2}, {0.2, 3}, {0.35, 2}} {
		const rounds = 200_000
		wrong, readings := 0, 0
		for range rounds {
			lead := 0
			for lead != c.Lead && lead != -c.Lead {
				readings++
				if r.Float64() < c.Wrong {
					lead--
				} else {
					lead++
				}
			}
			if lead < 0 {
				wrong++
			}
		}
		assert.InDelta(t, c.Error(), float64(wrong)/rounds, 0.004)
		assert.InDelta(t, c.Mean(), float64(readings)/rounds, 0.02)
	}
}

func TestLieLimit(t *testing.T) {
	// OEIS A286496; Pelc 1987.
	for i, want := range []int{1, 1, 2, 2, 4, 8, 16, 28, 50, 92} {
		assert.Equal(t, want, LieLimit(i+1), "%d tests", i+1)
	}
}

// TestLieLimitAgainstPlay plays the game of one lie to its end: truthful is how many hypotheses no answer speaks
// against, lied how many one answer speaks against; a question splits both.
func TestLieLimitAgainstPlay(t *testing.T) {
	type state struct{ truthful, lied, left int }
	known := make(map[state]bool)
	var wins func(s state) bool
	wins = func(s state) bool {
		if s.truthful+s.lied <= 1 {
			return true
		}
		if s.left == 0 {
			return false
		}
		if w, ok := known[s]; ok {
			return w
		}
		won := false
		for a := 0; a <= s.truthful/2 && !won; a++ {
			for b := 0; b <= s.lied && !won; b++ {
				yes := state{a, b + s.truthful - a, s.left - 1}
				no := state{s.truthful - a, s.lied - b + a, s.left - 1}
				won = wins(yes) && wins(no)
			}
		}
		known[s] = won
		return won
	}
	for q := 1; q <= 8; q++ {
		n := LieLimit(q)
		assert.True(t, wins(state{n, 0, q}), "%d hypotheses, %d tests", n, q)
		assert.False(t, wins(state{n + 1, 0, q}), "%d hypotheses, %d tests", n+1, q)
	}
}
