package split

import (
	"math"
	"slices"
)

// Cover is a set of tests of which each hypothesis has one at least that shows it.
type Cover struct {
	Tests []int // indices of the tests, rising
	// Bound is a proved lower bound on how many are needed; they are the fewest where it
	// is their number.
	Bound int
}

// FewestTests finds few tests that together show every hypothesis (a set cover). shows
// gives for each hypothesis the tests that show it, rising; one that no test shows is left
// out. Among equals the test of the lowest index is taken. The search that makes the result
// the fewest stops after so many positions.
//
// What is found first is greedy: within the harmonic number of the largest set of the
// fewest (Chvátal, "A greedy heuristic for the set-covering problem", Mathematics of
// Operations Research 4, 1979). The lower bound gives each hypothesis a share so that no
// test shows more than one in all: as many tests are needed as the shares add up to (the
// dual of the linear programme). The search branches on the hypothesis with the fewest
// tests left.
func FewestTests(shows [][]int32, positions int) Cover {
	c := newCovering(shows)
	best := c.trimmed(c.greedy())
	bound := max(c.packing(make([]bool, len(c.shows))), c.fractional())
	if bound < len(best) && positions > 0 {
		s := coverSearch{covering: c, best: best, left: positions, covered: make([]int, len(c.shows))}
		s.cost = 1 + s.size()/1000
		s.search(nil)
		best = s.best
		if s.left > 0 {
			bound = len(best)
		}
	}
	out := Cover{Bound: bound}
	for _, t := range best {
		out.Tests = append(out.Tests, int(c.names[t]))
	}
	slices.Sort(out.Tests)
	return out
}

// covering is the problem with what changes nothing taken out: hypotheses that are shown
// whenever another one is, and tests that show no more than another one does.
type covering struct {
	shows  [][]int32 // by hypothesis, rising
	covers [][]int32 // by test: the hypotheses that it shows, rising
	names  []int32   // by test: as the caller counts it
}

func newCovering(shows [][]int32) *covering {
	var rows [][]int32
	for _, s := range shows {
		if len(s) > 0 {
			rows = append(rows, s)
		}
	}
	var names []int32
	for {
		before := len(rows)
		rows = pick(rows, least(rows)) // a hypothesis whose tests are all of another's and more is needless
		columns, tests := turned(rows)
		keep := most(columns)
		columns, tests = pick(columns, keep), pick(tests, keep)
		back, _ := turned(columns)
		// The rows are now in terms of the kept tests; the names follow.
		if names == nil {
			names = tests
		} else {
			names = pickNamed(names, tests)
		}
		rows = back
		if len(rows) == before {
			columns, _ = turned(rows)
			c := &covering{shows: rows, covers: columns, names: names}
			c.sort()
			return c
		}
	}
}

// sort puts hypotheses with few tests first.
func (c *covering) sort() {
	slices.SortStableFunc(c.shows, func(a, b []int32) int { return len(a) - len(b) })
	c.covers, _ = turned(c.shows)
}

// turned gives, for rows of rising numbers, the rows in which each number stands, and the
// numbers, rising. Rows are in terms of the index of a number from then on.
func turned(rows [][]int32) (columns [][]int32, numbers []int32) {
	at := make([]int32, span(rows)) // by number: its column, counted from one
	for _, r := range rows {
		for _, x := range r {
			at[x] = 1
		}
	}
	for x := range at {
		if at[x] > 0 {
			numbers = append(numbers, int32(x))
			at[x] = int32(len(numbers))
		}
	}
	columns = make([][]int32, len(numbers))
	for i, r := range rows {
		for _, x := range r {
			columns[at[x]-1] = append(columns[at[x]-1], int32(i))
		}
	}
	return columns, numbers
}

// span is one more than the greatest number in rows of rising numbers.
func span(rows [][]int32) int {
	n := int32(0)
	for _, r := range rows {
		if len(r) > 0 {
			n = max(n, r[len(r)-1]+1)
		}
	}
	return int(n)
}

func pick[T any](all []T, which []int) []T {
	out := make([]T, len(which))
	for i, w := range which {
		out[i] = all[w]
	}
	return out
}

func pickNamed(names, which []int32) []int32 {
	out := make([]int32, len(which))
	for i, w := range which {
		out[i] = names[w]
	}
	return out
}

// least gives the rows that hold all of no other row, the first of equals; most gives those
// that are within no other row. Both are rising.
func least(rows [][]int32) []int { return extremes(rows, false) }
func most(rows [][]int32) []int  { return extremes(rows, true) }

func extremes(rows [][]int32, greatest bool) []int {
	order := make([]int, len(rows))
	often := make([]int, span(rows))
	for i, r := range rows {
		order[i] = i
		for _, x := range r {
			often[x]++
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if greatest {
			return len(rows[b]) - len(rows[a])
		}
		return len(rows[a]) - len(rows[b])
	})
	rarest := func(r []int32) int32 {
		return slices.MinFunc(r, func(a, b int32) int { return often[a] - often[b] })
	}
	// Of a row that lies within another one, the rarest number stands in both.
	with := make([][]int, len(often))
	var kept []int
	for _, i := range order {
		r := rows[i]
		if greatest {
			if slices.ContainsFunc(with[rarest(r)], func(k int) bool { return holdsAll(rows[k], r) }) {
				continue
			}
			for _, x := range r {
				with[x] = append(with[x], i)
			}
		} else {
			if slices.ContainsFunc(r, func(x int32) bool {
				return slices.ContainsFunc(with[x], func(k int) bool { return holdsAll(r, rows[k]) })
			}) {
				continue
			}
			x := rarest(r)
			with[x] = append(with[x], i)
		}
		kept = append(kept, i)
	}
	slices.Sort(kept)
	return kept
}

// holdsAll tells whether a rising list holds all of another one.
func holdsAll(all, some []int32) bool {
	i := 0
	for _, x := range some {
		for i < len(all) && all[i] < x {
			i++
		}
		if i == len(all) || all[i] != x {
			return false
		}
	}
	return true
}

// greedy takes the test that shows the most of what is not shown yet, again and again.
func (c *covering) greedy() []int32 {
	gain := make([]int, len(c.covers))
	for t, hs := range c.covers {
		gain[t] = len(hs)
	}
	shown := make([]bool, len(c.shows))
	var taken []int32
	for left := len(c.shows); left > 0; {
		best := 0
		for t, g := range gain {
			if g > gain[best] {
				best = t
			}
		}
		taken = append(taken, int32(best))
		for _, h := range c.covers[best] {
			if shown[h] {
				continue
			}
			shown[h] = true
			left--
			for _, t := range c.shows[h] {
				gain[t]--
			}
		}
	}
	return taken
}

// trimmed drops tests that the others make needless, the last taken first.
func (c *covering) trimmed(tests []int32) []int32 {
	times := make([]int, len(c.shows))
	for _, t := range tests {
		for _, h := range c.covers[t] {
			times[h]++
		}
	}
	for i := len(tests) - 1; i >= 0; i-- {
		t := tests[i]
		if slices.ContainsFunc(c.covers[t], func(h int32) bool { return times[h] == 1 }) {
			continue
		}
		for _, h := range c.covers[t] {
			times[h]--
		}
		tests = slices.Delete(tests, i, i+1)
	}
	return tests
}

// packing counts hypotheses not shown yet of which no two share a test: as many tests are
// needed at the least. Those with few tests come first.
func (c *covering) packing(shown []bool) int {
	used := make([]bool, len(c.covers))
	n := 0
	for h, tests := range c.shows { // in the order of their number of tests
		if shown[h] || slices.ContainsFunc(tests, func(t int32) bool { return used[t] }) {
			continue
		}
		n++
		for _, t := range tests {
			used[t] = true
		}
	}
	return n
}

// size counts what hypotheses are shown by what tests.
func (c *covering) size() int {
	n := 0
	for _, s := range c.shows {
		n += len(s)
	}
	return n
}

// fractional gives a lower bound by shares (a dual solution of the linear programme): those
// of hypotheses whose tests show the least so far grow, time after time (multiplicative
// weights; Plotkin, Shmoys, Tardos, Mathematics of Operations Research 20, 1995).
func (c *covering) fractional() int {
	const (
		rounds = 4000
		work   = 40_000_000 // memberships looked at, at the most
		growth = 0.02
	)
	size := 1 + c.size()
	weight := make([]float64, len(c.covers))
	load := make([]float64, len(c.covers))
	for t := range weight {
		weight[t] = 1
	}
	best, sum, heaviest := 0.0, 0.0, 0.0
	for range min(rounds, work/size) {
		at, least := -1, 0.0
		for h, tests := range c.shows {
			w := 0.0
			for _, t := range tests {
				w += weight[t]
			}
			if at < 0 || w < least {
				at, least = h, w
			}
		}
		if at < 0 {
			return 0
		}
		sum++
		for _, t := range c.shows[at] {
			load[t]++
			heaviest = max(heaviest, load[t])
			weight[t] *= 1 + growth
		}
		best = max(best, sum/heaviest)
	}
	return int(math.Ceil(best - 1e-9))
}

// coverSearch looks for a smaller cover, depth first.
type coverSearch struct {
	*covering
	best    []int32
	left    int   // positions that may still be looked at
	cost    int   // what one counts: more where a problem is large
	covered []int // by hypothesis: how many of the taken tests show it
}

func (s *coverSearch) search(taken []int32) {
	if s.left == 0 {
		return
	}
	s.left = max(0, s.left-s.cost)
	shown := make([]bool, len(s.shows))
	branch := -1
	for h, n := range s.covered {
		shown[h] = n > 0
		if n == 0 && branch < 0 {
			branch = h
		}
	}
	if branch < 0 {
		if len(taken) < len(s.best) {
			s.best = slices.Clone(taken)
		}
		return
	}
	if len(taken)+s.packing(shown) >= len(s.best) {
		return
	}
	tests := slices.Clone(s.shows[branch])
	gain := func(t int32) int {
		n := 0
		for _, h := range s.covers[t] {
			if s.covered[h] == 0 {
				n++
			}
		}
		return n
	}
	slices.SortStableFunc(tests, func(a, b int32) int { return gain(b) - gain(a) })
	for _, t := range tests {
		for _, h := range s.covers[t] {
			s.covered[h]++
		}
		s.search(append(taken, t))
		for _, h := range s.covers[t] {
			s.covered[h]--
		}
	}
}
