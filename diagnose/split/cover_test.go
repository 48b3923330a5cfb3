package split

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// On small random problems the result shows everything, its bound holds, and where it is
// called exact no smaller set exists: all sets are tried.
func TestFewestTestsAgainstAllSets(t *testing.T) {
	exact := 0
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 7))
		tests := 2 + random.IntN(9)
		shows := make([][]int32, 1+random.IntN(14))
		for h := range shows {
			for i := range tests {
				if random.IntN(4) == 0 {
					shows[h] = append(shows[h], int32(i))
				}
			}
		}
		fewest := tests
		for set := range 1 << tests {
			all, size := true, 0
			for i := range tests {
				size += set >> i & 1
			}
			for _, s := range shows {
				all = all && (len(s) == 0 || slices.ContainsFunc(s, func(i int32) bool { return set>>i&1 == 1 }))
			}
			if all {
				fewest = min(fewest, size)
			}
		}
		c := FewestTests(shows, 10000)
		require.Len(t, c.Tests, fewest, "seed %d", seed)
		require.LessOrEqual(t, c.Bound, fewest, "seed %d", seed)
		for _, s := range shows {
			require.True(t, len(s) == 0 || slices.ContainsFunc(c.Tests,
				func(i int) bool { return slices.Contains(s, int32(i)) }), "seed %d", seed)
		}
		if c.Bound == len(c.Tests) {
			exact++
		}
		greedy := FewestTests(shows, 0)
		require.GreaterOrEqual(t, len(greedy.Tests), fewest, "seed %d", seed)
		require.LessOrEqual(t, greedy.Bound, fewest, "seed %d", seed)
	}
	assert.Equal(t, 300, exact)
}

// The example that shows greedy at its worst: two rows cover everything, and columns of
// 2, 4, 8 … points are taken before them (Johnson, "Approximation algorithms for
// combinatorial problems", Journal of Computer and System Sciences 9, 1974).
func TestFewestTestsWhereGreedyFails(t *testing.T) {
	const columns = 5
	var shows [][]int32
	for k := range columns {
		for range 1 << k {
			shows = append(shows, []int32{int32(k), columns}, []int32{int32(k), columns + 1})
		}
	}
	c := FewestTests(shows, 1000)
	assert.Equal(t, []int{columns, columns + 1}, c.Tests)
	assert.True(t, c.Bound == len(c.Tests))
}

func TestFewestTestsOfNothing(t *testing.T) {
	assert.Equal(t, Cover{}, FewestTests(nil, 10))
	assert.Equal(t, Cover{}, FewestTests([][]int32{nil, {}}, 10))
}
