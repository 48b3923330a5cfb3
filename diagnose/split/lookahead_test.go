package split

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// toTheEnd and anyNumber are a depth and a budget that these problems never use up.
const (
	toTheEnd  = 1000
	anyNumber = math.MaxInt
)

var (
	rollout  = Options{Depth: 1, Width: 8, Budget: 100_000}
	twoTurns = Options{Depth: 2, Width: 8, Budget: 100_000}
)

// trap is a problem that gain per cost falls for. Sixteen hypotheses are told apart either one by
// one, by tests with the power on that cost 1, or by halves, by tests with the power off that cost
// 1 too, once it has cost 2 to switch it off, or on again. At every turn a single one tells more
// for its cost than the first half with its switching, so that the power stays on for 8.4 tests,
// where switching it off at once costs 6.
type trap struct{}

const (
	powerOn Mode = iota
	powerOff
)

func (trap) Cost(from Mode, t Test) (float64, Mode) {
	needs := powerOn
	if t >= 15 {
		needs = powerOff
	}
	if from != needs {
		return 3, needs
	}
	return 1, needs
}

func newTrap() *Problem {
	var tests [][]Outcome
	for single := range 15 {
		says := make([]Outcome, 16)
		says[single] = 1
		tests = append(tests, says)
	}
	for half := range 4 {
		says := make([]Outcome, 16)
		for h := range says {
			says[h] = Outcome(h >> half & 1)
		}
		tests = append(tests, says)
	}
	p := &Problem{Table: mustTable(16, tests), Prior: make([]float64, 16), Costs: trap{}}
	for h := range p.Prior {
		p.Prior[h] = 1
	}
	return p
}

// Gain per cost can be arbitrarily bad with unequal costs (M. Garey, R. Graham, Performance bounds
// on the splitting algorithm for binary testing, 1974), and rollout over it repairs most of it (F.
// Tu, K. Pattipati, Rollout strategies for sequential fault diagnosis, 2003; with modes and
// switching costs S. Ruan and others, 2004).
func TestTrap(t *testing.T) {
	p := newTrap()
	singles := 0.0
	for i := 1; i <= 15; i++ {
		singles += float64(i)
	}
	assert.InDelta(t, (singles+15)/16, mean(t, p, p.Policy(Options{})), 1e-9,
		"15 singles, the last of which finds two")
	assert.InDelta(t, 6, optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, dynamicOptimum(p, 2), optimum(t, p, Search{}), 1e-9)
	assert.InDelta(t, 6, mean(t, p, p.Policy(rollout)), 1e-9)
	assert.InDelta(t, 6, mean(t, p, p.Policy(twoTurns)), 1e-9)

	o := rollout
	o.Most = 3
	best := p.Next(p.All(), powerOn, o)
	require.Len(t, best, 3)
	assert.GreaterOrEqual(t, best[0].Test, Test(15))
	assert.InDelta(t, 6, best[0].Expected, 1e-9)
	assert.Equal(t, powerOff, best[0].Then)
	assert.InDelta(t, 3, best[0].Cost, 1e-9)
	assert.LessOrEqual(t, best[0].Expected, best[1].Expected)
}

func TestLookingAheadIsNeverWorse(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(15, 16))
	better := 0
	for round := range 150 {
		tests := 10 + r.IntN(20)
		p := randomProblem(r, 6+r.IntN(8), tests, round%2 == 0, round%4 < 2)
		if round%3 == 0 {
			p.Costs = newRandomCosts(r, 2, tests)
		}
		one := mean(t, p, p.Policy(Options{}))
		for _, o := range []Options{
			{Depth: 1, Width: 3, Budget: 100_000}, rollout, twoTurns, {Depth: 4, Width: 3, Budget: 100_000},
		} {
			ahead := mean(t, p, p.Policy(o))
			require.LessOrEqual(t, ahead, one+1e-9, "round %d, %+v", round, o)
			if ahead < one-1e-9 {
				better++
			}
			// What a choice is expected to cost is what one turn of looking ahead costs at most.
			if first := p.Next(p.All(), 0, o); len(first) > 0 {
				require.LessOrEqual(t, ahead, first[0].Expected+1e-9, "round %d, %+v", round, o)
				require.LessOrEqual(t, first[0].Expected, one+1e-9, "round %d, %+v", round, o)
			}
		}
	}
	assert.Greater(t, better, 100)
}

// On a line of equals one step is best, so that looking ahead must come to the same, here from a
// table that is too large for a board until it has been halved a few times.
func TestRolloutOnLargeTable(t *testing.T) {
	t.Parallel()
	const n = 3000
	b := NewBuilder(n)
	list := make([]Exception, 0, n)
	for cut := 1; cut < n; cut++ {
		list = list[:0]
		if cut <= n/2 {
			for h := range cut {
				list = append(list, Exception{Hypothesis(h), 0})
			}
			b.AddTest(1, 2, list)
			continue
		}
		for h := cut; h < n; h++ {
			list = append(list, Exception{Hypothesis(h), 1})
		}
		b.AddTest(0, 2, list)
	}
	table, err := b.Build()
	require.NoError(t, err)
	p := &Problem{Table: table, Prior: make([]float64, n)}
	for h := range p.Prior {
		p.Prior[h] = 1
	}
	o := Options{}
	require.Nil(t, p.board(p.All(), 0, &o))
	best := p.Next(p.All(), 0, Options{Depth: 1, Width: 2, Budget: anyNumber})
	require.Len(t, best, 1)
	assert.InDelta(t, 11+2*float64(n-2048)/n, best[0].Expected, 1e-9)
	assert.Equal(t, Test(n/2-1), best[0].Test)

	// With a small budget the whole is too much, and one step is taken.
	cut := p.Next(p.All(), 0, Options{Depth: 1, Width: 8, Budget: 1000})
	assert.Equal(t, p.Next(p.All(), 0, Options{}), cut)
}

// A budget that does not last for looking ahead gives rollout, and one that does not last for that
// gives one step.
func TestBudget(t *testing.T) {
	p := relayPanel(rand.New(rand.NewPCG(17, 18)), 5, 3, 3)
	left := p.All()
	costs := func(o Options) (expected []float64) {
		o.Most = 4
		for _, c := range p.Next(left, 0, o) {
			expected = append(expected, c.Expected)
		}
		return expected
	}
	deep := costs(Options{Depth: toTheEnd, Width: 4, Budget: anyNumber})
	shallow := costs(Options{Depth: 1, Width: 4, Budget: anyNumber})
	one := costs(Options{})
	require.NotEqual(t, deep, shallow)
	require.NotEqual(t, shallow, one)
	assert.Equal(t, deep, costs(Options{Depth: toTheEnd, Width: 4, Budget: 100_000}))
	assert.Equal(t, shallow, costs(Options{Depth: toTheEnd, Width: 4, Budget: 500}))
	assert.Equal(t, one, costs(Options{Depth: toTheEnd, Width: 4, Budget: 20}))
}

func TestSameOnAnyNumberOfProcessors(t *testing.T) {
	large := panel(3000, 60_000, 30)
	small := relayPanel(rand.New(rand.NewPCG(19, 20)), 5, 3, 3)
	var first []Choice
	var ahead []Choice
	for _, n := range []int{1, 2, 3, 8} {
		old := runtime.GOMAXPROCS(n)
		one := large.Next(large.All(), 0, Options{Most: 20})
		look := small.Next(small.All(), 0, Options{Depth: 2, Width: 8, Most: 5, Budget: 20_000})
		runtime.GOMAXPROCS(old)
		if n == 1 {
			first, ahead = one, look
			continue
		}
		require.Equal(t, first, one, "%d processors", n)
		require.Equal(t, ahead, look, "%d processors", n)
	}
}

func BenchmarkLookahead(b *testing.B) {
	p := relayPanel(rand.New(rand.NewPCG(0, 77)), 6, 3, 3)
	for _, c := range []struct {
		name string
		o    Options
	}{{"rollout", rollout}, {"two turns", twoTurns}} {
		b.Run(c.name, func(b *testing.B) {
			c.o.Budget = anyNumber
			left := p.All()
			b.ReportAllocs()
			for b.Loop() {
				p.Next(left, 0, c.o)
			}
		})
	}
}

// The best move that leaves out what costs too much to be it is the best of all moves, and the tests that
// it leaves are enough for the positions after it.
func TestBestLeavesOutNothingBetter(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(15, 16))
	left, all := 0, 0
	for range 300 {
		p := relayPanel(r, 3, 3, 2)
		if r.IntN(3) > 0 {
			p.Costs = byTest(func(t Test) float64 { return []float64{0, 0.1, 1, 1, 15}[(7*t+t/5)%5] })
		}
		b := p.board(p.All(), 0, &Options{})
		y, whole := newPlayer(b), newPlayer(b)
		var follow func(at, same position)
		follow = func(at, same position) {
			if b.over(&at) {
				return
			}
			moves := whole.moves(&same, 0)
			m, ok := y.best(&at, 0)
			require.Equal(t, len(moves) > 0, ok)
			if !ok {
				return
			}
			want := first(moves, 1)[0]
			require.Equal(t, [2]float64{want.score, want.cost}, [2]float64{m.score, m.cost})
			require.Equal(t, want.test, m.test)
			all += len(moves)
			left += len(at.tests)
			next, nextSame := y.after(&at, &m), whole.after(&same, &want)
			for i := range next {
				follow(next[i].position, nextSame[i].position)
			}
		}
		follow(b.start(), b.start())
	}
	t.Log(left, all)
}

// byTest is what tests cost in a single mode.
type byTest func(Test) float64

func (c byTest) Cost(from Mode, t Test) (float64, Mode) { return c(t), from }
