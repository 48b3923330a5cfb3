package exam

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

// Whoever sets the same exam over and over, with passphrases of their own, does not learn
// which faults the instructor's has. Every fault in reach comes up, and the likeliest ones
// cover little: 30 real exams of 24 candidates are guessed by what came up oftenest in 30
// others, as many faults as a candidate would take the trouble to learn by heart.
func TestSettingAgainGivesNothingAway(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	pool, _, err := Pool([]*diagnose.Model{m}, Simulated, diagnose.ByMinutes, false)
	require.NoError(t, err)
	const exams, learnt = 30, 16
	w := Fairness{Candidates: 24, Faults: 1, Circuits: 1}
	set := func(secret uint64) []int {
		c, err := Choose(pool, w, rand.New(rand.NewPCG(secret, 5)))
		require.NoError(t, err)
		require.True(t, c.Fair())
		require.LessOrEqual(t, c.Reach, len(pool))
		var out []int
		for _, tasks := range c.Tasks {
			out = append(out, tasks...)
		}
		return out
	}
	times := make([]int, len(pool))
	seen := make(map[int]bool)
	for i := range uint64(exams) {
		for _, k := range set(1000 + i) {
			times[k]++
			seen[k] = true
		}
	}
	order := make([]int, len(pool))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(times[b], times[a]) })
	hit, all, worst := 0, 0, 0.0
	for i := range uint64(exams) {
		own := 0
		real := set(i)
		for _, k := range real {
			if slices.Contains(order[:learnt], k) {
				own++
			}
		}
		hit, all = hit+own, all+len(real)
		worst = max(worst, float64(own)/float64(len(real)))
	}
	c, err := Choose(pool, w, rand.New(rand.NewPCG(1, 5)))
	require.NoError(t, err)
	share, reach := float64(hit)/float64(all), c.Reach
	t.Logf("%d of %d faults in reach, %d came up; %d learnt by heart hit %.2f, at the worst exam %.2f", reach, len(pool), len(seen), learnt, share, worst)
	assert.Greater(t, len(seen), reach/2, "most of what is in reach comes up")
	assert.Less(t, share, 2.0*learnt/float64(reach), "learning pays little more than guessing among what is in reach")

	// How many are in reach is the same whatever was drawn: it gives nothing away either.
	for secret := range uint64(5) {
		c, err := Choose(pool, w, rand.New(rand.NewPCG(secret, 9)))
		require.NoError(t, err)
		assert.Equal(t, reach, c.Reach)
	}
}

// A packet that holds no readings holds no sealed key to try passphrases on.
func TestNoSealedKeyWithoutReadings(t *testing.T) {
	for _, form := range Forms {
		s := settingOf(t, "two-lamp", 1)
		s.Form = form
		set, err := Make(s)
		require.NoError(t, err)
		p, err := PacketOf(&set.Exam, &set.Key.Keys[0], "sealed", s.Models)
		require.NoError(t, err)
		assert.Equal(t, form == Simulated, p.Sealed != "", form)
		assert.Equal(t, form == Simulated, p.Tasks[0].Table != nil, form)
	}
}

// Passphrases that a machine tries first are refused, and one that is offered is not.
func TestPassphrases(t *testing.T) {
	assert.ErrorIs(t, CheckPassphrase("elevenchars"), ErrShort)
	for _, plain := range []string{"aaaaaaaaaaaaaaaa", "abababababababab", "1234512345123", "            "} {
		assert.ErrorIs(t, CheckPassphrase(plain), ErrPlain, plain)
	}
	random := rand.NewChaCha8([32]byte{1})
	seen := make(map[string]bool)
	for range 50 {
		offered, err := Offer(random)
		require.NoError(t, err)
		assert.NoError(t, CheckPassphrase(offered), offered)
		assert.Len(t, strings.Split(offered, "-"), 6, offered)
		assert.False(t, seen[offered], offered)
		seen[offered] = true
	}
	_, err := Offer(strings.NewReader("short"))
	assert.Error(t, err, "chance that runs out")
}
