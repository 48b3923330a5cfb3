package split

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEvaluate(t *testing.T) {
	// Four in line, the first half of the weight; the two last share a group.
	p := chain(4, 2, 1, 1)
	p.Group = []int32{0, 1, 2, 2}
	p.Costs = listCosts{1, 10, 100}
	tree, err := p.Evaluate(0, p.Policy(Options{}))
	require.NoError(t, err)
	assert.Equal(t, Figures{Mean: 1.5, Worst: 2}, tree.Tests)
	assert.Equal(t, Figures{Mean: 6, Worst: 11}, tree.Cost)
	require.Len(t, tree.Nodes, 5)
	start := tree.Nodes[0]
	assert.Equal(t, Test(0), start.Test)
	assert.Equal(t, 1.0, start.Cost)
	assert.Equal(t, 1.0, start.Probability)
	require.Len(t, start.Branches, 2)
	assert.Equal(t, 0.5, start.Branches[1].Probability)
	assert.Equal(t, Test(-1), tree.Nodes[start.Branches[0].To].Test)
	assert.Equal(t, Test(1), tree.Nodes[start.Branches[1].To].Test)
	second := tree.Nodes[start.Branches[1].To]
	last := tree.Nodes[second.Branches[1].To]
	assert.Equal(t, []Weighted{{2, 1}, {3, 1}}, last.Left)
	assert.Equal(t, 0.25, last.Probability)
	assert.Equal(t, Test(-1), last.Test)
	assert.Equal(t, Figures{Mean: 11, Worst: 11}, tree.By[3].Cost)
	assert.Equal(t, Figures{Mean: 1, Worst: 1}, tree.By[0].Tests)
}

func TestEvaluateSharesPositions(t *testing.T) {
	// Two tests that set one hypothesis aside each, in either order: the policy below goes both
	// ways to the same two that are left.
	b := NewBuilder(4)
	b.AddTest(0, 3, []Exception{{0, 1}, {1, 2}, {2, Any}, {3, Any}})
	b.AddTest(0, 2, []Exception{{3, 1}})
	b.AddTest(0, 2, []Exception{{0, 1}, {1, 1}})
	table, err := b.Build()
	require.NoError(t, err)
	p := &Problem{Table: table, Prior: []float64{1, 1, 1, 1}}
	tree, err := p.Evaluate(0, func(left []Weighted, _ Mode) (Test, bool) {
		switch len(left) {
		case 4:
			return 0, true
		case 3:
			return 2, true
		}
		return 1, true
	})
	require.NoError(t, err)
	// The start, two with three left, one with hypotheses 2 and 3 at half weight each, and four
	// ends. From both positions with three left the answer of test 2 leads to the same place.
	assert.Len(t, tree.Nodes, 8)
	assert.InDelta(t, 2.5, tree.Tests.Mean, 1e-12)
	sum := 0.0
	for _, n := range tree.Nodes {
		if n.Test < 0 {
			sum += n.Probability
		}
	}
	assert.InDelta(t, 1, sum, 1e-12)
	for i, n := range tree.Nodes {
		for _, b := range n.Branches {
			assert.Greater(t, b.To, i)
		}
	}
}

func TestEvaluateRefusesIdleTests(t *testing.T) {
	p := chain(1, 1, 1)
	_, err := p.Evaluate(0, func([]Weighted, Mode) (Test, bool) { return 0, true })
	require.EqualError(t, err, "the policy makes test 0, which does not part the 2 hypotheses left")
}

func TestEvaluateStopsWithPolicy(t *testing.T) {
	p := chain(1, 1, 1)
	tree, err := p.Evaluate(0, func([]Weighted, Mode) (Test, bool) { return -1, false })
	require.NoError(t, err)
	assert.Len(t, tree.Nodes, 1)
	assert.Zero(t, tree.Tests)

	tree, err = (&Problem{Table: p.Table}).Evaluate(0, p.Policy(Options{}))
	require.NoError(t, err)
	assert.Zero(t, tree.Tests, "nothing is possible, nothing is to do")
}

func BenchmarkEvaluate(b *testing.B) {
	p := panel(1500, 20_000, 30)
	b.ReportAllocs()
	for b.Loop() {
		tree, err := p.Evaluate(0, p.Policy(Options{}))
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(tree.Tests.Mean, "tests/hypothesis")
	}
}
