package network

import (
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Many equations, of long rails with rungs and some ties between rungs, give what plain
// elimination with pivoting gives.
func TestEquationsOfRails(t *testing.T) {
	const tolerance = 1e-9 // of a volt, where some 100 V are impressed
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := denseRows + 1 + r.IntN(60)
		e := newEquations(n)
		require.NotNil(t, e.rows)
		dense := make([][]complex128, n)
		for i := range dense {
			dense[i] = make([]complex128, n)
		}
		rhs := make([]complex128, n)
		tie := func(i, k int32) {
			y := 1 / complex(100+1000*r.Float64(), 500*r.Float64())
			for _, x := range [2][2]int32{{i, k}, {k, i}} {
				e.add(x[0], x[0], y)
				e.add(x[0], x[1], -y)
				dense[x[0]][x[0]] += y
				dense[x[0]][x[1]] -= y
			}
		}
		for i := 1; i < n; i++ {
			rail := int32(0)
			if i > 3 {
				rail = int32(r.IntN(3))
			}
			tie(rail, int32(i))
			if r.IntN(3) == 0 {
				tie(int32(i), int32(r.IntN(i)))
			}
		}
		for range 1 + r.IntN(4) { // to the reference, which stands at 100 V
			i, y := r.IntN(n), 1/complex(200, 100)
			e.add(int32(i), int32(i), y)
			dense[i][i] += y
			e.rhs[i] += 100 * y
			rhs[i] += 100 * y
		}
		want, _ := Eliminate(dense, rhs)
		for i, v := range e.solve() {
			require.Less(t, cmplx.Abs(v-want[i]), tolerance, "seed %d, row %d of %d: %v and %v", seed, i, n, v,
				want[i])
		}
	}
}
