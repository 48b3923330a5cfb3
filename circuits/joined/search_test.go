package joined

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Against lengths that are made smaller until none changes, over links of 0 and of 1.
func TestSearch(t *testing.T) {
	type link struct{ a, b, long int }
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 2))
		n := 1 + r.IntN(20)
		links := make([]link, r.IntN(2*n))
		for i := range links {
			links[i] = link{r.IntN(n), r.IntN(n), r.IntN(2)}
		}
		search := Search[int, int]{Beside: func(at int, lead func(to, by, long int)) {
			for i, l := range links {
				switch at {
				case l.a:
					lead(l.b, i, l.long)
				case l.b:
					lead(l.a, i, l.long)
				}
			}
		}}
		const far = 1 << 20
		want := make([]int, n)
		for i := range want {
			want[i] = far
		}
		for range 1 + r.IntN(3) {
			start, long := r.IntN(n), r.IntN(4)
			search.From(start, long)
			want[start] = min(want[start], long)
		}
		for range n {
			for _, l := range links {
				want[l.a] = min(want[l.a], want[l.b]+l.long)
				want[l.b] = min(want[l.b], want[l.a]+l.long)
			}
		}
		for to := range n {
			long, reached := search.Long(to)
			way, ok := search.Way(to)
			require.Equal(t, want[to] < far, reached)
			require.Equal(t, reached, ok)
			if !reached {
				continue
			}
			require.Equal(t, want[to], long)
			at := to
			for i := len(way) - 1; i >= 0; i-- {
				l := links[way[i]]
				long -= l.long
				require.Contains(t, []int{l.a, l.b}, at, "each link joins on to the next")
				at = l.a + l.b - at
			}
			began, _ := search.Long(at)
			require.Equal(t, began, long, "the way is as long as is told")
		}
	}
}

// Of ways of one length the one whose links come first is kept.
func TestFirstOfEqualWays(t *testing.T) {
	beside := map[string][]string{"hot": {"a", "b"}, "a": {"coil"}, "b": {"coil"}}
	search := Search[string, string]{Beside: func(at string, lead func(to, by string, long int)) {
		for _, to := range beside[at] {
			lead(to, at+to, 1)
		}
	}}
	search.From("hot", 0)
	way, ok := search.Way("coil")
	require.True(t, ok)
	require.Equal(t, []string{"hota", "acoil"}, way)
	_, ok = search.Way("ground")
	require.False(t, ok)
}
