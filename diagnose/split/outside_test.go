package split

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// This file holds the package to problems from outside, none of them about relays. Each says where
// its figures come from; "recomputed" means that they were also worked out independently of this
// package and agreed.

// mean is the mean cost of a policy.
func mean(t *testing.T, p *Problem, policy Policy) float64 {
	t.Helper()
	tree, err := p.Evaluate(0, policy)
	require.NoError(t, err)
	return tree.Cost.Mean
}

func optimum(t *testing.T, p *Problem, s Search) float64 {
	t.Helper()
	best := p.Optimum(0, s)
	require.True(t, best.Exact)
	tree, err := p.Evaluate(0, best.Policy)
	require.NoError(t, err)
	if s.Worst {
		assert.InDelta(t, best.Cost, tree.Cost.Worst, 1e-9)
	} else {
		assert.InDelta(t, best.Cost, tree.Cost.Mean, 1e-9)
	}
	return best.Cost
}

// Equal priors in line: arithmetic.
func TestChainOfEquals(t *testing.T) {
	t.Parallel()
	for n := 2; n <= 40; n++ {
		weights := make([]float64, n)
		for i := range weights {
			weights[i] = 1
		}
		k := bits.Len(uint(n)) - 1
		want := float64(k) + 2*float64(n-1<<k)/float64(n)
		p := chain(weights...)
		assert.InDelta(t, want, mean(t, p, p.Policy(Options{})), 1e-9, "%d items", n)
		assert.InDelta(t, want, optimum(t, p, Search{}), 1e-9, "%d items", n)
		assert.InDelta(t, want, Huffman(weights, 2), 1e-9, "%d items", n)
		switch n {
		case 5:
			assert.InDelta(t, 2.4, want, 1e-12)
		case 10:
			assert.InDelta(t, 3.4, want, 1e-12)
		case 20:
			assert.InDelta(t, 4.4, want, 1e-12)
		}
	}
}

// E. N. Gilbert, E. F. Moore, Variable-length binary encodings, Bell System Technical Journal 38
// (1959): 4.1978 and
// 4.1195 from memory, all recomputed.
func TestChainWithPriors(t *testing.T) {
	weights := []float64{
		1859, 642, 127, 218, 317, 1031, 208, 152, 467, 575, 8, 49, 321, 198, 574, 632, 152, 8, 484, 514,
		796, 228, 83, 175,
		13, 164, 5,
	}
	p := chain(weights...)
	assert.InDelta(t, 4.1978, optimum(t, p, Search{}), 5e-5)
	assert.InDelta(t, 4.1195, Huffman(weights, 2), 5e-5)
	assert.InDelta(t, 4.0799, Entropy(weights), 5e-5)
	assert.InDelta(t, 4.2840, mean(t, p, p.Policy(Options{})), 5e-5)
	midpoint := func(left []Weighted, _ Mode) (Test, bool) {
		first, last := left[0].Hypothesis, left[len(left)-1].Hypothesis
		return Test((first+last+1)/2 - 1), true
	}
	assert.InDelta(t, 4.6721, mean(t, p, midpoint), 5e-5)
}

// sixStates has the matrix from memory of the test-sequencing literature (V. Raghavan, M. Shakeri,
// K. Pattipati, IEEE Transactions on Systems, Man, and Cybernetics A 29, 1999); it is not to be
// called published.
func sixStates() *Problem {
	var tests [][]Outcome
	for column := range 5 {
		var says []Outcome
		for _, state := range []string{"00000", "01001", "00110", "10011", "11000", "11110"} {
			says = append(says, Outcome(state[column]-'0'))
		}
		tests = append(tests, says)
	}
	return &Problem{Table: mustTable(6, tests), Prior: []float64{.70, .01, .02, .10, .05, .12}}
}

// All figures recomputed.
func TestSixStates(t *testing.T) {
	p := sixStates()
	assert.InDelta(t, 2.18, optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, 2.86, mean(t, p, p.Policy(Options{})), 1e-9)
	assert.InDelta(t, 1.59, Huffman(p.Prior, 2), 1e-9)
	assert.InDelta(t, 3, optimum(t, p, Search{Worst: true}), 1e-9)
	for _, o := range []Options{
		rollout, twoTurns, {Depth: toTheEnd, Width: 8, Budget: anyNumber},
		{Depth: toTheEnd, Width: 100, Budget: anyNumber},
	} {
		assert.InDelta(t, 2.18, mean(t, p, p.Policy(o)), 1e-9, "%+v", o)
	}
	p.Costs = listCosts{1, 2, 3, 4, 5}
	assert.InDelta(t, 5.58, optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, 5.66, mean(t, p, p.Policy(Options{})), 1e-9)
	p.Costs = listCosts{3, 1, 2, 2, 1}
	assert.InDelta(t, 3.18, optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, 3.68, mean(t, p, p.Policy(Options{})), 1e-9)
}

// Recomputed.
func TestAllSplits(t *testing.T) {
	p := allSplits(15, 7, 6, 6, 5)
	require.Equal(t, 15, p.Table.Tests())
	assert.InDelta(t, 87.0/39, Huffman(p.Prior, 2), 1e-9)
	assert.InDelta(t, 87.0/39, optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, 90.0/39, mean(t, p, p.Policy(Options{})), 1e-9)
}

// Classic, recomputed.
func TestCoins(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		n, total, worst int
	}{{3, 12, 2}, {4, 18, 3}, {6, 30, 3}, {8, 44, 3}, {9, 52, 3}, {12, 72, 3}} {
		t.Run(fmt.Sprint(c.n), func(t *testing.T) {
			p := coins(c.n)
			assert.InDelta(t, c.total, optimum(t, p, Search{})*float64(2*c.n), 1e-6)
			assert.InDelta(t, c.worst, optimum(t, p, Search{Worst: true}), 1e-9)
		})
	}
}

// costBound returns a mean cost that no choice of tests undercuts, when tests cost differently and
// each is made at most once: the cheapest tests, as many as the Huffman mean says, the last one in
// part. A path of k tests costs at least the k cheapest, which is convex in k, so that the mean
// cost is at least that of the mean path.
func costBound(weights []float64, outcomes int, costs []float64) float64 {
	number := Huffman(weights, outcomes)
	sum := 0.0
	for _, c := range slices.Sorted(slices.Values(costs)) {
		sum += c * max(0, min(1, number))
		number--
	}
	return sum
}

// Recomputed. Huffman depths times sorted costs look like a bound and are none.
func TestFalseBound(t *testing.T) {
	weights := []float64{.4, .3, .2, .1}
	p := &Problem{
		Table: mustTable(4, [][]Outcome{{0, 0, 1, 1}, {0, 1, 0, 1}, {0, 1, 1, 0}}),
		Prior: weights, Costs: listCosts{1, 1, 10},
	}
	best := optimum(t, p, Search{})
	assert.InDelta(t, 2.0, best, 1e-9)
	assert.InDelta(t, 1.9, Huffman(weights, 2), 1e-9)
	safe := costBound(weights, 2, []float64{10, 1, 1})
	assert.InDelta(t, 1.9, safe, 1e-9)
	assert.LessOrEqual(t, safe, best)
	b := p.board(p.All(), 0, &Options{})
	at := b.start()
	assert.InDelta(t, safe, newPlayer(b).least(&at), 1e-9, "the search uses it")
	depths := []int{1, 2, 3, 3} // of the Huffman leaves
	sums := []float64{0, 1, 2, 12}
	wrong := 0.0
	for h, d := range depths {
		wrong += weights[h] * sums[d]
	}
	assert.InDelta(t, 4.6, wrong, 1e-9)
	assert.Greater(t, wrong, best)
}

func TestCostBoundIsSafe(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	close := 0
	for round := range 500 {
		p := boundary(r)
		costs := make(listCosts, p.Table.Tests())
		for i := range costs {
			costs[i] = float64(1 + r.IntN(4))
		}
		p.Costs = costs
		best, safe := dynamicOptimum(p, 1), costBound(p.Prior, p.Table.most, costs)
		require.LessOrEqual(t, safe, best+1e-9, "round %d", round)
		b := p.board(p.All(), 0, &Options{})
		at := b.start()
		require.GreaterOrEqual(t, newPlayer(b).least(&at)/b.total, safe-1e-9,
			"round %d: the search uses no worse a bound", round)
		if safe > 0.8*best {
			close++
		}
	}
	assert.Greater(t, close, 50, "a bound that is never close proves nothing here")
}

// nineByTen draws a problem of nine hypotheses and ten tests with two outcomes in which all
// hypotheses can be told apart.
func nineByTen(r *rand.Rand) *Problem {
	for {
		tests := make([][]Outcome, 10)
		for t := range tests {
			tests[t] = make([]Outcome, 9)
			for h := range tests[t] {
				tests[t][h] = Outcome(r.IntN(2))
			}
		}
		columns := make(map[[10]Outcome]bool)
		for h := range 9 {
			var c [10]Outcome
			for t := range tests {
				c[t] = tests[t][h]
			}
			columns[c] = true
		}
		if len(columns) < 9 {
			continue
		}
		p := &Problem{Table: mustTable(9, tests), Prior: make([]float64, 9)}
		for h := range p.Prior {
			p.Prior[h] = r.Float64()
		}
		return p
	}
}

// On 200 random instances one-step gain averaged 1.02 of the optimum, worst 1.08, as computed once
// with other random numbers. With other seeds than this one the mean is 1.02 to 1.03 and the worst
// 1.09 to 1.14.
func TestRandomInstances(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 12))
	sum, worst := 0.0, 0.0
	ahead := 0.0
	for range 200 {
		p := nineByTen(r)
		best := optimum(t, p, Search{})
		one := mean(t, p, p.Policy(Options{}))
		sum += one / best
		worst = max(worst, one/best)
		last := one
		for _, o := range []Options{rollout, twoTurns, {Depth: toTheEnd, Width: 100, Budget: anyNumber}} {
			m := mean(t, p, p.Policy(o))
			require.LessOrEqual(t, m, one+1e-9)
			require.GreaterOrEqual(t, m, best-1e-9)
			last = m
		}
		assert.InDelta(t, best, last, 1e-9, "looking at all tests to the end finds the optimum")
		ahead += mean(t, p, p.Policy(rollout)) / best
	}
	t.Logf("one step: mean %.4f, worst %.4f of the optimum; rollout: mean %.4f", sum/200, worst, ahead/200)
	assert.InDelta(t, 1.02, sum/200, 0.01)
	assert.Greater(t, worst, 1.05)
	assert.Less(t, worst, 1.15)
}
