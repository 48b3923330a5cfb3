package split

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// game is the code-breaking game: a code of so many places in so many colours is to be found; each guess is answered
// by how many pegs are right, and how many more are right but for their place. Test g is the guess of code g.
func game(places, colours int) *Problem {
	n := 1
	for range places {
		n *= colours
	}
	code := func(i int) []int {
		c := make([]int, places)
		for p := places - 1; p >= 0; p-- {
			c[p] = i % colours
			i /= colours
		}
		return c
	}
	b := NewBuilder(n)
	p := &Problem{Prior: make([]float64, n)}
	for g := range n {
		guess := code(g)
		list := make([]Exception, n)
		for h := range n {
			hidden := code(h)
			right, common := 0, 0
			var a, b [16]int
			for i := range places {
				if guess[i] == hidden[i] {
					right++
				}
				a[guess[i]]++
				b[hidden[i]]++
			}
			for c := range colours {
				common += min(a[c], b[c])
			}
			list[h] = Exception{Hypothesis(h), Outcome(right*(places+1) + common - right)}
		}
		b.AddTest(0, (places+1)*(places+1), list)
		p.Prior[g] = 1
	}
	var err error
	if p.Table, err = b.Build(); err != nil {
		panic(err)
	}
	return p
}

// The total of guesses by entropy over all 1296 codes, the last guess counted: Neuwirth 1982, recomputed. Of guesses
// that tell as much the first is taken that may be the code itself.
func TestGame(t *testing.T) {
	p := game(4, 6)
	best := func(left []Weighted, from Mode) (Test, bool) {
		isLeft := make(map[Test]bool)
		for _, l := range left {
			isLeft[Test(l.Hypothesis)] = true
		}
		all := p.rank(left, from, &Options{}, p.Table.Tests())
		for _, r := range all {
			if r.score == all[0].score && isLeft[r.test] {
				return r.test, true
			}
		}
		return all[0].test, true
	}
	tree, err := p.Evaluate(0, best)
	require.NoError(t, err)
	total, most := 0, 0
	var count func(at, guesses int, last Test)
	count = func(at, guesses int, last Test) {
		n := &tree.Nodes[at]
		if n.Test >= 0 {
			for _, b := range n.Branches {
				count(b.To, guesses+1, n.Test)
			}
			return
		}
		if Test(n.Left[0].Hypothesis) != last {
			guesses++ // the code is known, and still to be guessed
		}
		total += guesses
		most = max(most, guesses)
	}
	count(0, 0, -1)
	assert.Equal(t, 5722, total)
	assert.Equal(t, 6, most)
}
