package split

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exactCost works out the least cost from the definition: every allowed test at every turn, no
// bounds, nothing kept. Where the mean counts the answer is times weight.
func exactCost(p *Problem, left []Weighted, from Mode, s Search, allowed func(Test) bool) float64 {
	mass := 0.0
	for _, l := range left {
		mass += l.Weight
	}
	if s.Worst {
		mass = 1
	}
	if p.oneGroup(left) {
		return 0
	}
	var tests []Test
	for t := range Test(p.Table.Tests()) {
		if _, parts := plainBits(p, left, t); parts && allowed(t) {
			tests = append(tests, t)
		}
	}
	if len(tests) == 0 {
		return 0
	}
	best := math.Inf(1)
	for _, t := range tests {
		c, then := p.cost(from, t)
		sum, worst := c*mass, 0.0
		_, after := p.divide(left, t)
		for _, part := range after {
			x := exactCost(p, part, then, s, allowed)
			sum += x
			worst = max(worst, x)
		}
		if s.Worst {
			sum = c + worst
		}
		best = min(best, sum)
	}
	return best
}

// randomCosts gives every test a cost in each of a few modes, and a mode that it leads to.
type randomCosts struct {
	cost [][]float64 // by mode and test
	then [][]Mode
}

func newRandomCosts(r *rand.Rand, modes, tests int) randomCosts {
	var c randomCosts
	for range modes {
		cost, then := make([]float64, tests), make([]Mode, tests)
		for t := range tests {
			cost[t] = float64(1+r.IntN(8)) / 2
			then[t] = Mode(r.IntN(modes))
		}
		c.cost, c.then = append(c.cost, cost), append(c.then, then)
	}
	return c
}

func (c randomCosts) Cost(from Mode, t Test) (float64, Mode) { return c.cost[from][t], c.then[from][t] }

// onlyAllowed is a problem without the tests that are not allowed.
func onlyAllowed(p *Problem, allowed func(Test) bool) *Problem {
	var kept []Test
	b := NewBuilder(p.Table.Hypotheses())
	for t := range Test(p.Table.Tests()) {
		if !allowed(t) {
			continue
		}
		kept = append(kept, t)
		list := make([]Exception, p.Table.Hypotheses())
		for h := range list {
			list[h] = Exception{Hypothesis(h), p.Table.Outcome(t, Hypothesis(h))}
		}
		b.AddTest(Any, p.Table.Outcomes(t), list)
	}
	less := *p
	var err error
	if less.Table, err = b.Build(); err != nil {
		panic(err)
	}
	if p.Costs != nil {
		less.Costs = keptCosts{p.Costs, kept}
	}
	return &less
}

// keptCosts are the costs where only some tests were kept.
type keptCosts struct {
	all  Costs
	kept []Test
}

func (c keptCosts) Cost(from Mode, t Test) (float64, Mode) { return c.all.Cost(from, c.kept[t]) }

func TestOptimumAgainstDefinition(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 6))
	for round := range 1000 {
		hypotheses, tests := 2+r.IntN(6), 1+r.IntN(8)
		p := randomProblem(r, hypotheses, tests, round%2 == 0, round%4 < 2)
		s := Search{Worst: round%5 == 0}
		if round%7 < 3 {
			p.Costs = newRandomCosts(r, 1+r.IntN(3), tests)
		}
		allowed := func(Test) bool { return true }
		searched := p
		if round%11 < 3 {
			allowed = func(t Test) bool { return t%3 != 0 }
			searched = onlyAllowed(p, allowed)
		}
		best := searched.Optimum(0, s)
		want := exactCost(p, p.All(), 0, s, allowed)
		if !s.Worst {
			want /= sumOf(p.Prior)
		}
		require.True(t, best.Exact, "round %d", round)
		require.InDelta(t, want, best.Cost, 1e-9, "round %d", round)
		tree, err := searched.Evaluate(0, best.Policy)
		require.NoError(t, err)
		if s.Worst {
			require.InDelta(t, want, tree.Cost.Worst, 1e-9, "round %d", round)
			continue
		}
		require.InDelta(t, want, tree.Cost.Mean, 1e-9, "round %d", round)
		// Looking at all allowed tests to the end finds the same.
		ahead := p.Policy(Options{Depth: toTheEnd, Width: tests, Budget: anyNumber, Allowed: allowed})
		require.InDelta(t, want, mean(t, p, ahead), 1e-9, "round %d", round)
	}
}

// dynamicOptimum works out the least mean cost of a problem of up to 20 hypotheses, without groups
// and undecided answers, by plain dynamic programming over all sets.
func dynamicOptimum(p *Problem, modes int) float64 {
	n := p.Table.Hypotheses()
	weight := make([]float64, 1<<n)
	for set := 1; set < 1<<n; set++ {
		h := bits.TrailingZeros(uint(set))
		weight[set] = weight[set&^(1<<h)] + p.Prior[h]
	}
	masks := make([][]int, p.Table.Tests())
	for t := range masks {
		masks[t] = make([]int, p.Table.Outcomes(Test(t)))
		for h := range n {
			masks[t][p.Table.Outcome(Test(t), Hypothesis(h))] |= 1 << h
		}
	}
	best := make([][]float64, 1<<n)
	for set := 1; set < 1<<n; set++ {
		best[set] = make([]float64, modes)
		if set&(set-1) == 0 {
			continue
		}
		for m := range best[set] {
			best[set][m] = math.Inf(1)
			for t := range masks {
				cost, then := p.cost(Mode(m), Test(t))
				sum, idle := cost*weight[set], false
				for _, mask := range masks[t] {
					switch part := set & mask; part {
					case 0:
					case set:
						idle = true
					default:
						sum += best[part][then]
					}
				}
				if !idle {
					best[set][m] = min(best[set][m], sum)
				}
			}
		}
	}
	return best[1<<n-1][0] / weight[1<<n-1]
}

func TestOptimumAgainstDynamicProgramming(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 8))
	for round := range 40 {
		n := 9 + r.IntN(3)
		b := NewBuilder(n)
		for h := range Hypothesis(n) { // so that all can be told apart
			b.AddTest(0, 2, []Exception{{h, 1}})
		}
		for range 12 {
			outcomes := 2 + r.IntN(3)
			var list []Exception
			for h := range Hypothesis(n) {
				if r.IntN(3) == 0 {
					list = append(list, Exception{h, Outcome(r.IntN(outcomes))})
				}
			}
			b.AddTest(0, outcomes, list)
		}
		table, err := b.Build()
		require.NoError(t, err)
		p := &Problem{Table: table, Prior: make([]float64, n)}
		for h := range p.Prior {
			p.Prior[h] = math.Exp(2 * r.NormFloat64())
		}
		modes := 1
		if round%2 == 0 {
			modes = 3
			p.Costs = newRandomCosts(r, modes, table.Tests())
		}
		best := p.Optimum(0, Search{})
		require.True(t, best.Exact)
		require.InDelta(t, dynamicOptimum(p, modes), best.Cost, 1e-9, "round %d", round)
	}
}

func sumOf(weights []float64) float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	return sum
}

// Tables of the shape that relay circuits give are proved to the end.
func TestOptimumOfRelayPanel(t *testing.T) {
	t.Parallel()
	for seed := range uint64(4) {
		p := relayPanel(rand.New(rand.NewPCG(seed, 21)), 3, 3, 3)
		one := mean(t, p, p.Policy(Options{}))
		ahead := mean(t, p, p.Policy(twoTurns))
		best := p.Optimum(0, Search{})
		require.True(t, best.Exact)
		assert.LessOrEqual(t, best.Cost, ahead+1e-9)
		assert.GreaterOrEqual(t, best.Cost, Entropy(p.Prior)/math.Log2(3))
		assert.InDelta(t, best.Cost, mean(t, p, best.Policy), 1e-9)
		t.Logf("%d hypotheses, %d tests: entropy %.4f, one step %.4f, looking ahead %.4f, optimum %.4f "+
			"in %d positions",
			len(p.Prior), p.Table.Tests(), Entropy(p.Prior), one, ahead, best.Cost, best.Positions)

		// Cut short it still tells the truth.
		cut := p.Optimum(0, Search{Budget: best.Positions / 4})
		assert.False(t, cut.Exact)
		assert.LessOrEqual(t, cut.Bound, best.Cost+1e-9)
		assert.GreaterOrEqual(t, cut.Cost, best.Cost-1e-9)
		assert.InDelta(t, cut.Cost, mean(t, p, cut.Policy), 1e-9)
		assert.Equal(t, best.Positions/4, cut.Positions)
	}
}

func BenchmarkOptimum(b *testing.B) {
	for _, seed := range []uint64{2, 4, 6} {
		p := relayPanel(rand.New(rand.NewPCG(seed, 77)), 6, 3, 3)
		b.Run(fmt.Sprintf("hypotheses=%d/tests=%d", p.Table.Hypotheses(), p.Table.Tests()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				best := p.Optimum(0, Search{})
				if !best.Exact {
					b.Fatal("not proved")
				}
				b.ReportMetric(float64(best.Positions), "positions")
			}
		})
	}
}
