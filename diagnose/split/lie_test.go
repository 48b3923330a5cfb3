package split

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// This file says what a reading is worth that may be wrong.

// repeated is a reading with two answers that is taken again and again until one answer leads the
// other by so many readings. Each is wrong with the same probability, independent of the others,
// less than one half.
type repeated struct {
	wrong float64
	lead  int
}

// error is the probability that the answer that leads in the end is wrong: p^k / (p^k + (1-p)^k). This is the
// gambler's ruin, as in the sequential probability ratio test (A. Wald, Sequential Analysis, 1947;
// from memory).
func (r repeated) error() float64 {
	return 1 / (1 + math.Pow((1-r.wrong)/r.wrong, float64(r.lead)))
}

// mean is the mean number of readings: k/(1-2p) ((1-p)^k - p^k) / ((1-p)^k + p^k), of the same source.
func (r repeated) mean() float64 {
	k := float64(r.lead)
	right, wrong := math.Pow(1-r.wrong, k), math.Pow(r.wrong, k)
	return k / (1 - 2*r.wrong) * (right - wrong) / (right + wrong)
}

// Closed form, recomputed.
func TestRepeatedReading(t *testing.T) {
	r := repeated{wrong: 0.05, lead: 2}
	assert.InDelta(t, 0.002762, r.error(), 5e-7)
	assert.InDelta(t, 2.2099, r.mean(), 5e-5)
	// One reading is one reading.
	assert.InDelta(t, 0.02, repeated{0.02, 1}.error(), 1e-15)
	assert.InDelta(t, 1, repeated{0.02, 1}.mean(), 1e-12)
}

func TestRepeatedReadingAgainstPlay(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for _, c := range []repeated{{0.05, 2}, {0.2, 3}, {0.35, 2}} {
		const rounds = 200_000
		wrong, readings := 0, 0
		for range rounds {
			lead := 0
			for lead != c.lead && lead != -c.lead {
				readings++
				if r.Float64() < c.wrong {
					lead--
				} else {
					lead++
				}
			}
			if lead < 0 {
				wrong++
			}
		}
		assert.InDelta(t, c.error(), float64(wrong)/rounds, 0.004)
		assert.InDelta(t, c.mean(), float64(readings)/rounds, 0.02)
	}
}

// lieLimit is how many hypotheses can be told apart in so many tests with two outcomes, every split
// being to be had, when one answer, or none, may be wrong: the largest n with n(q+1) <= 2^q, or for
// odd n, n(q+1) + q - 1 <= 2^q. It is no more than 2^q/(q+1) because, for each hypothesis, the
// answers may be right throughout or wrong at one of q places (A. Pelc, Solution of Ulam's problem
// on searching with a lie, Journal of Combinatorial Theory A 44, 1987).
func lieLimit(tests int) int {
	q := tests
	n := (1 << q) / (q + 1)
	if n%2 == 1 && n*(q+1)+q-1 > 1<<q {
		n--
	}
	return max(n, 1)
}

// OEIS A286496; Pelc 1987.
func TestLieLimit(t *testing.T) {
	for i, want := range []int{1, 1, 2, 2, 4, 8, 16, 28, 50, 92} {
		assert.Equal(t, want, lieLimit(i+1), "%d tests", i+1)
	}
}

// TestLieLimitAgainstPlay plays the game of one lie to its end: truthful is how many hypotheses no
// answer speaks against, lied how many one answer speaks against; a question splits both.
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
		n := lieLimit(q)
		assert.True(t, wins(state{n, 0, q}), "%d hypotheses, %d tests", n, q)
		assert.False(t, wins(state{n + 1, 0, q}), "%d hypotheses, %d tests", n+1, q)
	}
}
