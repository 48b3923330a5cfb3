package diagnose

import (
	"encoding/binary"
	"math"
	"slices"

	"deadrung/circuits/joined"
	"deadrung/diagnose/split"
)

// groups numbers the hypotheses so that no test tells two of one number apart. A test
// tells two apart where both decide it and give different outcomes. That is not transitive
// where one of them leaves a test undecided: such a one goes to the first group of which no
// member is told apart from it, and what is joined by a chain alone stands in two groups.
// Linked numbers what such chains join as one.
func groups(t *split.Table) (group, linked []int32) {
	g := newGrouping(t)
	g.compareWithin()
	g.compareAcross()
	return g.number(g.cliques()), g.number(g.chains())
}

// grouping is the hypotheses by classes: those of a class follow one pattern and have the
// same exceptions to it.
type grouping struct {
	t         *split.Table
	class     []int32            // by hypothesis
	first     []split.Hypothesis // by class
	alike     [][]int32          // by class: those that no test tells apart from it
	byPattern [][]int32          // classes
	telling   []split.Test       // room
	lately    [sampled]split.Test
	oldest    int // index into lately
}

func newGrouping(t *split.Table) *grouping {
	n := t.Hypotheses()
	g := &grouping{t: t, class: make([]int32, n), byPattern: make([][]int32, t.Patterns())}
	index := make(map[string]int32)
	var key []byte
	for i := range n {
		h := split.Hypothesis(i)
		key = binary.AppendUvarint(key[:0], uint64(t.Pattern(h)))
		tests, what := t.Own(h)
		for k, test := range tests {
			key = binary.AppendUvarint(key, uint64(test))
			key = binary.AppendUvarint(key, uint64(what[k]+1))
		}
		k, ok := index[string(key)]
		if !ok {
			k = int32(len(g.first))
			index[string(key)] = k
			g.first = append(g.first, h)
			g.alike = append(g.alike, nil)
			g.byPattern[t.Pattern(h)] = append(g.byPattern[t.Pattern(h)], k)
		}
		g.class[i] = k
	}
	return g
}

// compare notes two classes that no test tells apart. Of the tests in telling, and of the
// exceptions of each, some are tried before the two are compared in full.
func (g *grouping) compare(i, k int32, telling []split.Test) {
	x, y := g.first[i], g.first[k]
	of, n := g.sample(i)
	and, m := g.sample(k)
	for _, some := range [4][]split.Test{telling, and[:m], of[:n], g.lately[:]} {
		for _, test := range some {
			if o, p := g.t.Outcome(test, x), g.t.Outcome(test, y); o != split.Any && p != split.Any && o != p {
				return
			}
		}
	}
	if test, apart := g.apart(x, y); apart { // what tells one from many tells it from the next
		g.lately[g.oldest] = test
		g.oldest = (g.oldest + 1) % len(g.lately)
		return
	}
	g.alike[i] = append(g.alike[i], k)
	g.alike[k] = append(g.alike[k], i)
}

// sampled is how many tests are tried before two classes are compared in full.
const sampled = 16

// sample gives some of the exceptions of a class, from all over.
func (g *grouping) sample(i int32) (some [sampled]split.Test, n int) {
	tests, _ := g.t.Own(g.first[i])
	n = min(len(tests), sampled)
	for k := range n {
		some[k] = tests[len(tests)*k/n]
	}
	return some, n
}

// compareWithin compares classes of one pattern. Two differ somewhere, so they are alike if
// they differ only by what one of them leaves undecided. Where a class decides a test
// otherwise than its pattern does, any class alike decides it in the same way or leaves it
// undecided, so it is an exception there as well: the shortest such row has all that need
// comparing. Those that decide nothing otherwise than their pattern are compared with each
// other.
func (g *grouping) compareWithin() {
	t := g.t
	seen := make([]int32, len(g.first)) // by class: the last that it was compared with, from one
	done := make([]bool, len(g.first))  // compared with all
	for _, classes := range g.byPattern {
		var vague []int32
		for _, i := range classes {
			h := g.first[i]
			best, shortest := split.Test(-1), 0
			tests, what := t.Own(h)
			for k, test := range tests {
				if what[k] == split.Any || t.PatternOutcome(test, t.Pattern(h)) == split.Any {
					continue
				}
				if who, _ := t.OwnRow(test); best < 0 || len(who) < shortest {
					best, shortest = test, len(who)
				}
			}
			if best < 0 {
				vague = append(vague, i)
				continue
			}
			own := t.Outcome(best, h)
			who, said := t.OwnRow(best)
			for k, other := range who {
				c := g.class[other]
				if c == i || done[c] || seen[c] == i+1 || t.Pattern(other) != t.Pattern(h) {
					continue
				}
				if said[k] == own || said[k] == split.Any {
					seen[c] = i + 1
					g.compare(i, c, nil)
				}
			}
			done[i] = true
		}
		for x, i := range vague {
			for _, k := range vague[x+1:] {
				g.compare(i, k, nil)
			}
		}
	}
}

// compareAcross compares classes of different patterns. Wherever two patterns decide a test
// differently, one of two classes that are alike must be an exception: few have as many
// exceptions as that.
func (g *grouping) compareAcross() {
	exceptions := func(i int32) int {
		tests, _ := g.t.Own(g.first[i])
		return len(tests)
	}
	sorted := make([][]int32, len(g.byPattern)) // those with most exceptions first
	for q, classes := range g.byPattern {
		sorted[q] = slices.Clone(classes)
		slices.SortStableFunc(sorted[q], func(i, k int32) int { return exceptions(k) - exceptions(i) })
	}
	for q, classes := range sorted {
		for p, others := range sorted[:q] {
			if len(classes) == 0 || len(others) == 0 {
				continue
			}
			needed, telling := g.between(int32(p), int32(q))
			for _, i := range classes {
				if exceptions(i)+exceptions(others[0]) < needed {
					break
				}
				for _, k := range others {
					if exceptions(i)+exceptions(k) < needed {
						break
					}
					g.compare(i, k, telling)
				}
			}
		}
	}
}

// between counts the tests that tell two patterns apart, and gives some of them, from all
// over.
func (g *grouping) between(p, q int32) (count int, some []split.Test) {
	all := g.telling[:0]
	sideBySide(&answers{t: g.t, pattern: p}, &answers{t: g.t, pattern: q}, 0, func(test split.Test) bool {
		all = append(all, test)
		return true
	})
	g.telling = all
	n := min(len(all), sampled)
	for k := range n {
		some = append(some, all[len(all)*k/n])
	}
	return len(all), some
}

// apart gives a test that tells two hypotheses apart; false where none does.
func (g *grouping) apart(a, b split.Hypothesis) (by split.Test, ok bool) {
	x, y := answersOf(g.t, a), answersOf(g.t, b)
	from := int32(0)
	if x.pattern == y.pattern { // then what they share tells nothing
		from = x.pattern
		x.pattern, y.pattern = 0, 0
	}
	ok = !sideBySide(&x, &y, from, func(test split.Test) bool {
		by = test
		return false
	})
	return by, ok
}

// answers are those of a hypothesis, or of a pattern, that are not the usual ones: what it
// follows beside its own exceptions, in the order of tests.
type answers struct {
	t       *split.Table
	pattern int32
	tests   []split.Test
	what    []split.Outcome
	i, k    int // next of its own, and of the pattern's
}

func answersOf(t *split.Table, h split.Hypothesis) answers {
	tests, what := t.Own(h)
	return answers{t: t, pattern: t.Pattern(h), tests: tests, what: what}
}

// noTest comes after every test.
const noTest = split.Test(math.MaxInt32)

// next is the test that comes next, and what is answered to it.
func (a *answers) next() (split.Test, split.Outcome) {
	tests, what := a.t.Shared(a.pattern)
	own, shared := noTest, noTest
	if a.i < len(a.tests) {
		own = a.tests[a.i]
	}
	if a.k < len(tests) {
		shared = tests[a.k]
	}
	switch {
	case own <= shared && own != noTest:
		return own, a.what[a.i]
	case shared != noTest:
		return shared, what[a.k]
	}
	return noTest, split.Any
}

// pass goes on beyond a test.
func (a *answers) pass(test split.Test) {
	if a.i < len(a.tests) && a.tests[a.i] == test {
		a.i++
	}
	if tests, _ := a.t.Shared(a.pattern); a.k < len(tests) && tests[a.k] == test {
		a.k++
	}
}

// sideBySide calls differ at each test that two decide and answer differently; where one
// has no answer of its own it answers as a pattern does. It stops, and reports false, when
// differ does.
func sideBySide(a, b *answers, pattern int32, differ func(split.Test) bool) bool {
	for {
		ta, x := a.next()
		tb, y := b.next()
		test := min(ta, tb)
		if test == noTest {
			return true
		}
		if ta > test {
			x = a.t.PatternOutcome(test, pattern)
		}
		if tb > test {
			y = b.t.PatternOutcome(test, pattern)
		}
		a.pass(test)
		b.pass(test)
		if x != split.Any && y != split.Any && x != y && !differ(test) {
			return false
		}
	}
}

// cliques gives each class the first group of which no member is told apart from it. The
// good circuit comes first, so that what no check shows stands with it.
func (g *grouping) cliques() []int32 {
	of := make([]int32, len(g.first))
	for i := range of {
		of[i] = -1
	}
	var size []int32 // by group: classes
	shared := make(map[int32]int32)
	place := func(i int32) {
		if of[i] >= 0 {
			return
		}
		clear(shared)
		at := int32(len(size))
		for _, k := range g.alike[i] {
			if c := of[k]; c >= 0 {
				if shared[c]++; shared[c] == size[c] {
					at = min(at, c)
				}
			}
		}
		if of[i] = at; int(at) == len(size) {
			size = append(size, 0)
		}
		size[at]++
	}
	place(g.class[len(g.class)-1])
	for i := range of {
		place(int32(i))
	}
	return of
}

// chains gives each class the set that it is joined to, however long the way.
func (g *grouping) chains() []int32 {
	sets := joined.New(len(g.first))
	for i, alike := range g.alike {
		for _, k := range alike {
			sets.Join(int32(i), k)
		}
	}
	of := make([]int32, len(g.first))
	for i := range of {
		of[i] = sets.Of(int32(i))
	}
	return of
}

// number gives what classes belong to by hypothesis, in the order of first appearance, from
// zero.
func (g *grouping) number(of []int32) []int32 {
	group := make([]int32, len(g.class))
	number := make(map[int32]int32)
	for h, k := range g.class {
		if _, ok := number[of[k]]; !ok {
			number[of[k]] = int32(len(number))
		}
		group[h] = number[of[k]]
	}
	return group
}
