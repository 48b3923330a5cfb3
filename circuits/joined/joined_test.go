package joined

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Against colours that are painted over, one for each set.
func TestSets(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := 1 + r.IntN(40)
		s := New(n)
		var named Named[string]
		name := func(i int) string { return string(rune('a' + i)) }
		colour := make([]int, n)
		for i := range colour {
			colour[i] = i
		}
		for range r.IntN(2 * n) {
			a, b := r.IntN(n), r.IntN(n)
			s.Join(int32(a), int32(b))
			named.Join(name(a), name(b))
			to, from := min(colour[a], colour[b]), max(colour[a], colour[b])
			for i, c := range colour {
				if c == from {
					colour[i] = to
				}
			}
		}
		for i, c := range colour {
			require.EqualValues(t, c, s.Read(int32(i)), "the least of each is its name")
			require.EqualValues(t, c, s.Of(int32(i)))
			for k, d := range colour {
				require.Equal(t, c == d, named.Of(name(i)) == named.Of(name(k)))
			}
		}
	}
}

func TestAdd(t *testing.T) {
	var s Sets
	a, b, c := s.Add(), s.Add(), s.Add()
	s.Join(c, b)
	require.Equal(t, b, s.Of(c))
	require.Equal(t, a, s.Of(a))
}

func TestNeverJoined(t *testing.T) {
	var n Named[string]
	require.Equal(t, "TB1:1", n.Of("TB1:1"))
	require.False(t, n.Has("TB1:1"))
	n.Join("TB1:1", "TB1:2")
	require.True(t, n.Has("TB1:2"))
}
