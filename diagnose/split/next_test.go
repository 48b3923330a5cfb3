package split

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plainBits works out the gain of a test from the definition, mutual information between group and
// answer, without any of the short cuts of the scan. It says whether two groups are parted.
func plainBits(p *Problem, left []Weighted, test Test) (bits float64, parts bool) {
	total, decided := 0.0, 0.0
	q := make([]float64, p.Table.Outcomes(test))
	for _, l := range left {
		total += l.Weight
		if o := p.Table.Outcome(test, l.Hypothesis); o != Any {
			q[o] += l.Weight
			decided += l.Weight
		}
	}
	joint := make(map[int32][]float64)
	for _, l := range left {
		g := p.group(l.Hypothesis)
		if joint[g] == nil {
			joint[g] = make([]float64, len(q))
		}
		switch o := p.Table.Outcome(test, l.Hypothesis); o {
		case Any:
			for i := range q {
				if decided > 0 {
					joint[g][i] += l.Weight * q[i] / decided
				}
			}
		default:
			joint[g][o] += l.Weight
		}
	}
	for _, row := range joint {
		heavy := 0.0
		for _, w := range row {
			heavy += w
		}
		for o, w := range row {
			if w > 0 {
				bits += w / total * math.Log2(w*decided/(heavy*q[o]))
			}
		}
	}
	for _, a := range left {
		for _, b := range left {
			x, y := p.Table.Outcome(test, a.Hypothesis), p.Table.Outcome(test, b.Hypothesis)
			if x != Any && y != Any && x != y && p.group(a.Hypothesis) != p.group(b.Hypothesis) {
				parts = true
			}
		}
	}
	return bits, parts
}

func TestNextAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for round := range 400 {
		p := randomProblem(r, 2+r.IntN(12), 1+r.IntN(30), round%2 == 0, round%4 < 2)
		var left []Weighted
		for _, l := range p.All() {
			if r.IntN(3) > 0 {
				left = append(left, l)
			}
		}
		want := make(map[Test]float64)
		for test := range Test(p.Table.Tests()) {
			if bits, parts := plainBits(p, left, test); parts {
				want[test] = bits
			}
		}
		choices := p.Next(left, 0, Options{Most: p.Table.Tests()})
		require.Len(t, choices, len(want), "round %d", round)
		for i, c := range choices {
			require.Contains(t, want, c.Test)
			assert.InDelta(t, want[c.Test], c.Bits, 1e-9)
			if i > 0 {
				assert.LessOrEqual(t, c.Bits, choices[i-1].Bits+1e-8)
			}
		}
		// Both ways of scanning find the same.
		o := Options{}
		scan := p.startScan(left, 0, &o)
		if scan.groups > 1 {
			assert.Equal(t, scan.byRows(p.Table.Tests()), scan.byColumns(p.Table.Tests()), "round %d", round)
		}
		scan.close()
	}
}

// panel makes a large problem shaped like a panel: each test is answered in an unusual way by a run
// of hypotheses that lie together on a rung.
func panel(hypotheses, tests, exceptions int) *Problem {
	r := rand.New(rand.NewPCG(3, 4))
	b := NewBuilder(hypotheses)
	list := make([]Exception, 0, 2*exceptions)
	for range tests {
		list = list[:0]
		n := 1 + r.IntN(2*exceptions)
		from := r.IntN(hypotheses - n)
		for i := range n {
			list = append(list, Exception{Hypothesis(from + i), Outcome(1 + (i*2)/n)})
		}
		b.AddTest(0, 3, list)
	}
	table, err := b.Build()
	if err != nil {
		panic(err)
	}
	p := &Problem{Table: table, Prior: make([]float64, hypotheses)}
	for h := range hypotheses {
		p.Prior[h] = 0.3 + r.Float64()
	}
	return p
}

func BenchmarkNextFirst(b *testing.B) {
	p := panel(15_000, 200_000, 30)
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(workers))
			left := p.All()
			b.ReportAllocs()
			for b.Loop() {
				p.Next(left, 0, Options{Most: 10})
			}
		})
	}
}

func BenchmarkNextFewLeft(b *testing.B) {
	p := panel(15_000, 200_000, 30)
	for _, n := range []int{10, 100, 1000} {
		b.Run(fmt.Sprintf("left=%d", n), func(b *testing.B) {
			left := p.All()[5000 : 5000+n]
			b.ReportAllocs()
			for b.Loop() {
				p.Next(left, 0, Options{Most: 10})
			}
		})
	}
}

func BenchmarkBuild(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		panel(15_000, 200_000, 30)
	}
}

func TestNextTies(t *testing.T) {
	// Four tests of one gain, the last of them cheaper.
	tests := [][]Outcome{{0, 1}, {0, 1}, {0, 1}, {1, 0}}
	p := &Problem{Table: mustTable(2, tests), Prior: []float64{1, 1}}
	order := func(o Options) (tests []Test) {
		o.Most = 9
		for _, c := range p.Next(p.All(), 0, o) {
			tests = append(tests, c.Test)
		}
		return tests
	}
	assert.Equal(t, []Test{0, 1, 2, 3}, order(Options{}))
	p.Costs = listCosts{4, 4, 4, 2}
	assert.Equal(t, []Test{3, 0, 1, 2}, order(Options{}), "by gain per cost")
	assert.Equal(t, []Test{3}, order(Options{Distinct: true}))
	assert.Equal(t, []Test{0, 1}, order(Options{Allowed: func(t Test) bool { return t < 2 }}))
}

func TestNextParts(t *testing.T) {
	b := NewBuilder(4)
	b.AddTest(2, 3, []Exception{{0, 0}, {1, Any}})
	table, err := b.Build()
	require.NoError(t, err)
	p := &Problem{Table: table}
	left := []Weighted{{0, 1}, {1, 4}, {2, 0}, {3, 3}}
	best := p.Next(left, 7, Options{Most: 5})
	require.Len(t, best, 1)
	c := best[0]
	assert.Equal(t, []Answer{{0, 0.25, []Hypothesis{0, 1}}, {2, 0.75, []Hypothesis{1, 3}}}, c.Answers)
	assert.InDelta(t, 0.5*Entropy([]float64{1, 3}), c.Bits, 1e-12, "half of the weight does not decide")
	assert.Equal(t, 1.0, c.Cost)
	assert.Equal(t, Mode(7), c.Then)
	assert.InDelta(t, Entropy([]float64{1, 4, 3})/c.Bits, c.Expected, 1e-12)
}

func TestNextGroups(t *testing.T) {
	// The first test parts the two hypotheses of one group, the second tells the groups apart.
	p := &Problem{Table: mustTable(3, [][]Outcome{{0, 1, 1}, {0, 0, 1}}), Prior: []float64{1, 1, 1},
		Group: []int32{0, 0, 2}}
	best := p.Next(p.All(), 0, Options{Most: 5})
	require.Len(t, best, 2)
	assert.Equal(t, Test(1), best[0].Test)
	assert.InDelta(t, Entropy([]float64{2, 1}), best[0].Bits, 1e-12)
	assert.Less(t, best[1].Bits, best[0].Bits)
	assert.Empty(t, p.Next(p.All()[:2], 0, Options{}), "one group is left")
	assert.Empty(t, p.Next(nil, 0, Options{}))
	assert.Empty(t, p.Next(nil, 0, Options{Depth: 2, Width: 8, Budget: 1000}))

	// Neither test alone tells anything about the groups, both together everything: still they are
	// worth making.
	p = &Problem{
		Table: mustTable(4, [][]Outcome{{0, 0, 1, 1}, {0, 1, 0, 1}}), Prior: []float64{1, 1, 1, 1},
		Group: []int32{0, 1, 1, 0},
	}
	best = p.Next(p.All(), 0, Options{})
	require.Len(t, best, 1)
	assert.Zero(t, best[0].Bits)
	assert.InDelta(t, 2, mean(t, p, p.Policy(Options{})), 1e-12)
}
