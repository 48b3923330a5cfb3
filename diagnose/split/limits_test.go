package split

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// boundary draws problems in which lower bounds come close to the optimum: many tests with several
// parts, or many that set little aside, and weights that differ by powers of two or three.
func boundary(r *rand.Rand) *Problem {
	n := 4 + r.IntN(6)
	base := []float64{1, 2, 3}[r.IntN(3)]
	most := 2 + r.IntN(4)
	size := 1 + r.IntN(n/2)
	var tests [][]Outcome
	for h := range n {
		says := make([]Outcome, n)
		says[h] = 1
		tests = append(tests, says)
	}
	for range 2 + r.IntN(20) {
		says := make([]Outcome, n)
		for _, h := range r.Perm(n)[:size] {
			says[h] = Outcome(r.IntN(most))
		}
		tests = append(tests, says)
	}
	p := &Problem{Table: mustTable(n, tests), Prior: make([]float64, n)}
	for h := range p.Prior {
		p.Prior[h] = math.Pow(base, float64(r.IntN(4)))
	}
	return p
}

func TestBoundsAreSafe(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(13, 14))
	close := 0
	for round := range 20_000 {
		p := boundary(r)
		b := p.board(p.All(), 0, &Options{})
		y := newPlayer(b)
		at := b.start()
		outer := y.least(&at)
		y.moves(&at, 0)
		inner := y.least(&at)
		best := dynamicOptimum(p, 1) * b.total
		require.LessOrEqual(t, outer, best+1e-9, "round %d", round)
		require.LessOrEqual(t, inner, best+1e-9, "round %d", round)
		if inner > 0.98*best {
			close++
		}
	}
	assert.Greater(t, close, 2000, "bounds that are never close prove nothing here")
	t.Log(close)
}
