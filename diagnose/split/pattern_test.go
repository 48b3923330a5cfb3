package split

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A table that keeps patterns of answers says and chooses what the same table does with
// every answer written out.
func TestPatternsAreWhatTheyStandFor(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		hypotheses, patterns, tests := 2+r.IntN(30), 1+r.IntN(4), 1+r.IntN(40)
		follows := make([]int32, hypotheses)
		for h := range follows {
			follows[h] = int32(r.IntN(patterns))
		}
		kept, written := NewBuilder(hypotheses), NewBuilder(hypotheses)
		kept.spellOut = -1
		kept.Follow(follows, patterns)
		written.Follow(follows, patterns)
		for range tests {
			outcomes := 1 + r.IntN(4)
			answer := func() Outcome { return Outcome(r.IntN(outcomes+1) - 1) } // Any among them
			usual := make([]Outcome, patterns)
			for q := range usual {
				if usual[q] = usual[0]; q == 0 || r.IntN(2) == 0 {
					usual[q] = answer()
				}
			}
			var exceptions []Exception
			for h := range hypotheses {
				if r.IntN(6) == 0 {
					exceptions = append(exceptions, Exception{Hypothesis(h), answer()})
				}
			}
			kept.AddShared(usual, outcomes, exceptions)
			written.AddShared(usual, outcomes, exceptions)
		}
		a, err := kept.Build()
		require.NoError(t, err)
		b, err := written.Build()
		require.NoError(t, err)
		require.Equal(t, patterns, a.Patterns())
		require.Equal(t, 1, b.Patterns(), "a small table is written out")
		for test := range Test(tests) {
			for h := range Hypothesis(hypotheses) {
				require.Equal(t, b.Outcome(test, h), a.Outcome(test, h), "seed %d, test %d, hypothesis %d", seed, test, h)
			}
		}
		for h := range Hypothesis(hypotheses) {
			tests, what := b.Column(h)
			gotTests, got := a.Column(h)
			require.ElementsMatch(t, tests, gotTests)
			require.ElementsMatch(t, what, got)
		}

		group := make([]int32, hypotheses)
		prior := make([]float64, hypotheses)
		for h := range group {
			group[h] = int32(r.IntN(hypotheses))
			prior[h] = r.Float64()
			if r.IntN(4) == 0 {
				prior[h] = 0
			}
		}
		x := &Problem{Table: a, Group: group, Prior: prior}
		y := &Problem{Table: b, Group: group, Prior: prior}
		for _, o := range []Options{
			{Most: 5}, {Most: 5, Distinct: true}, {Most: 5, MostVague: 0.3}, {Most: 3, Depth: 2, Width: 8, Budget: 100_000},
		} {
			got, want := x.Next(x.All(), 0, o), y.Next(y.All(), 0, o)
			require.Len(t, got, len(want), "seed %d, %+v", seed, o)
			for i := range want {
				assert.Equal(t, want[i].Test, got[i].Test, "seed %d, %+v, choice %d", seed, o, i)
				assert.InDelta(t, want[i].Bits, got[i].Bits, 1e-9)
				require.Equal(t, len(want[i].Answers), len(got[i].Answers))
			}
		}
	}
}

// What is wrong with patterns is told when the table is built.
func TestPatternsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		want  string
		build func(b *Builder)
	}{
		{"3 patterns are given for 2 hypotheses", func(b *Builder) { b.Follow([]int32{0, 0, 0}, 1) }},
		{"hypothesis 1 follows pattern 2; there are 2", func(b *Builder) { b.Follow([]int32{0, 2}, 2) }},
		{"they must come first", func(b *Builder) { b.AddTest(0, 1, nil); b.Follow([]int32{0, 0}, 1) }},
		{"test 0 has 3 usual outcomes for 2 patterns", func(b *Builder) { b.Follow([]int32{0, 1}, 2); b.AddShared([]Outcome{0, 0, 0}, 1, nil) }},
		{"usual outcome 4 is not among its 2 outcomes", func(b *Builder) { b.Follow([]int32{0, 1}, 2); b.AddShared([]Outcome{0, 4}, 2, nil) }},
	} {
		b := NewBuilder(2)
		c.build(b)
		_, err := b.Build()
		require.ErrorContains(t, err, c.want)
	}
}
