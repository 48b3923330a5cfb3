package exam

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

// Whoever sets the same exam over and over, with passphrases of their own, does not learn
// which faults the instructor's has: 30 real exams of 24 candidates are guessed by what came
// up oftenest in 30 others, half of all that is in reach learnt by heart.
func TestSettingAgainGivesNothingAway(t *testing.T) {
	m := modelOf(t, "cold-store-alarm")
	pool, _, err := Pool([]*diagnose.Model{m}, Simulated, diagnose.ByMinutes, false)
	require.NoError(t, err)
	const exams = 30
	w := Fairness{Candidates: 24, Faults: 1, Circuits: 1}
	reach, apart := 0, 0
	set := func(secret uint64) (groups []int) {
		c, err := Choose(pool, w, rand.New(rand.NewPCG(secret, 5)))
		require.NoError(t, err)
		require.True(t, c.Fair())
		if reach > 0 { // how many are in reach is the same whatever was drawn: it gives nothing away
			require.Equal(t, []int{reach, apart}, []int{c.Reach, c.Apart})
		}
		reach, apart = c.Reach, c.Apart
		for _, tasks := range c.Tasks {
			for _, k := range tasks {
				groups = append(groups, pool[k].Group)
			}
		}
		return groups
	}
	times := make(map[int]int)
	for i := range uint64(exams) {
		for _, g := range set(1000 + i) {
			times[g]++
		}
	}
	order := slices.Sorted(maps.Keys(times))
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(times[b], times[a]) })
	learnt := order[:min(apart/2, len(order))]
	hit, all := 0, 0
	for i := range uint64(exams) {
		for _, g := range set(i) {
			all++
			if slices.Contains(learnt, g) {
				hit++
			}
		}
	}
	share := float64(hit) / float64(all)
	t.Logf("%d of %d faults in reach, %d apart, %d came up; %d learnt by heart hit %.2f", reach, len(pool), apart, len(order), len(learnt), share)
	assert.LessOrEqual(t, reach, len(pool))
	assert.Greater(t, 4*len(order), 3*apart, "what is in reach comes up")
	assert.Less(t, share, 0.7, "half learnt by heart is little more than half guessed")
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
