package split

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTable(t *testing.T) {
	b := NewBuilder(4)
	assert.Equal(t, Test(0), b.AddTest(0, 2, []Exception{{3, 1}, {1, 1}}))
	assert.Equal(t, Test(1), b.AddTest(2, 3, []Exception{{0, 2}, {2, Any}, {1, 0}}))
	assert.Equal(t, Test(2), b.AddTest(Any, 2, []Exception{{0, 1}}))
	table, err := b.Build()
	require.NoError(t, err)
	assert.Equal(t, 4, table.Hypotheses())
	assert.Equal(t, 3, table.Tests())
	assert.Equal(t, 3, table.Outcomes(1))
	want := [][]Outcome{{0, 1, 0, 1}, {2, 0, Any, 2}, {1, Any, Any, Any}}
	for test, says := range want {
		for h, o := range says {
			assert.Equal(t, o, table.Outcome(Test(test), Hypothesis(h)), "test %d, hypothesis %d", test, h)
		}
	}
	who, what := table.OwnRow(1)
	assert.Equal(t, []Hypothesis{1, 2}, who, "a usual outcome is no exception")
	assert.Equal(t, []Outcome{0, Any}, what)
	tests, what := table.Column(1)
	assert.Equal(t, []Test{0, 1}, tests)
	assert.Equal(t, []Outcome{1, 0}, what)
}

func TestBuilderErrors(t *testing.T) {
	for _, c := range []struct {
		name  string
		build func(b *Builder)
		want  string
	}{
		{"no outcomes", func(b *Builder) { b.AddTest(0, 0, nil) }, "test 0 has 0 outcomes; it must have 1 to 32767"},
		{"usual outcome", func(b *Builder) { b.AddTest(2, 2, nil) }, "test 0: usual outcome 2 is not among its 2 outcomes"},
		{"hypothesis", func(b *Builder) { b.AddTest(0, 2, []Exception{{3, 1}}) }, "test 0: there is no hypothesis 3 among 3"},
		{
			"outcome", func(b *Builder) { b.AddTest(0, 2, []Exception{{1, 2}}) },
			"test 0: outcome 2 of hypothesis 1 is not among its 2 outcomes",
		},
		{
			"below any", func(b *Builder) { b.AddTest(0, 2, []Exception{{1, -2}}) },
			"test 0: outcome -2 of hypothesis 1 is not among its 2 outcomes",
		},
		{"twice", func(b *Builder) { b.AddTest(0, 2, []Exception{{1, 1}, {0, 1}, {1, 0}}) }, "test 0: hypothesis 1 is named twice"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := NewBuilder(3)
			c.build(b)
			_, err := b.Build()
			require.EqualError(t, err, c.want)
		})
	}
	_, err := NewBuilder(-1).Build()
	require.EqualError(t, err, "a table has -1 hypotheses; the number must not be negative")
}

// FuzzNext reads a table out of arbitrary bytes and holds the scan to the definition of gain.
func FuzzNext(f *testing.F) {
	f.Add([]byte("six hypotheses and a few tests of two or three outcomes"))
	f.Add([]byte("1")) // no test at all
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 255, 254, 253})
	f.Fuzz(func(t *testing.T, data []byte) {
		const n = 6
		b := NewBuilder(n)
		p := &Problem{Prior: make([]float64, n), Group: make([]int32, n)}
		for h := range n {
			p.Prior[h] = float64(1 + h)
			if h < len(data) {
				p.Group[h] = int32(data[h]) % n
			}
		}
		for len(data) >= n {
			list := make([]Exception, n)
			for h := range list {
				list[h] = Exception{Hypothesis(h), Outcome(data[h]%4) - 1}
			}
			b.AddTest(list[0].Outcome, 3, list)
			data = data[n:]
		}
		var err error
		p.Table, err = b.Build()
		require.NoError(t, err)
		choices := p.Next(p.All(), 0, Options{Most: p.Table.Tests() + 1})
		var tests []Test
		for _, c := range choices {
			bits, parts := plainBits(p, p.All(), c.Test)
			require.True(t, parts)
			require.InDelta(t, bits, c.Bits, 1e-9)
			tests = append(tests, c.Test)
		}
		for test := range Test(p.Table.Tests()) {
			_, parts := plainBits(p, p.All(), test)
			require.Equal(t, parts, slices.Contains(tests, test))
		}
	})
}
