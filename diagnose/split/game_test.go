package split

// game is the code-breaking game: a code of so many places in so many colours is to be found; each guess is answered
// by how many pegs are right, and how many more are right but for their place.
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
	p := &Problem{Prior: make([]float64, n), Answers: make([]Hypothesis, n)}
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
		p.Prior[g], p.Answers[g] = 1, Hypothesis(g)
	}
	var err error
	if p.Table, err = b.Build(); err != nil {
		panic(err)
	}
	return p
}
