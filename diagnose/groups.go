package diagnose

import (
	"encoding/binary"
	"math"
	"slices"

	"deadrung/circuits/joined"
	"deadrung/diagnose/split"
)

// groups numbers the hypotheses so that two that no test tells apart share a number.
// A test tells two apart where both decide it and give different outcomes. That is
// not transitive where one of them leaves a test undecided; whatever such a chain
// joins is one group.
func groups(t *split.Table) []int32 {
	g := newGrouping(t)
	g.joinWithin()
	g.joinAcross()
	return g.number()
}

// grouping is the hypotheses by classes: those of a class follow one pattern and have the
// same exceptions to it.
type grouping struct {
	t         *split.Table
	class     []int32            // by hypothesis
	first     []split.Hypothesis // by class
	one       joined.Sets        // classes that are one group
	byPattern [][]int32          // classes
	telling   []split.Test       // room
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
			g.one.Add()
			g.byPattern[t.Pattern(h)] = append(g.byPattern[t.Pattern(h)], k)
		}
		g.class[i] = k
	}
	return g
}

// join makes two classes one group if no test tells them apart. Of the tests in telling,
// and of the exceptions of each, some are tried before the two are compared in full.
func (g *grouping) join(i, k int32, telling []split.Test) {
	a, b := g.one.Of(i), g.one.Of(k)
	if a == b {
		return
	}
	x, y := g.first[i], g.first[k]
	of, n := g.sample(i)
	and, m := g.sample(k)
	for _, some := range [3][]split.Test{telling, and[:m], of[:n]} {
		for _, test := range some {
			if o, p := g.t.Outcome(test, x), g.t.Outcome(test, y); o != split.Any && p != split.Any && o != p {
				return
			}
		}
	}
	if !g.apart(x, y) {
		g.one.Join(a, b)
	}
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

// joinWithin joins classes of one pattern. Two differ somewhere, so they are joined if
// they differ only by what one of them leaves undecided. Where a class decides a test
// otherwise than its pattern does, any class joined to it decides it alike or leaves it
// undecided, so it is an exception there as well: the shortest such row has all that need
// comparing. Those that decide nothing otherwise than their pattern are compared with each
// other.
func (g *grouping) joinWithin() {
	t := g.t
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
				if t.Pattern(other) == t.Pattern(h) && (said[k] == own || said[k] == split.Any) {
					g.join(i, g.class[other], nil)
				}
			}
		}
		for x, i := range vague {
			for _, k := range vague[x+1:] {
				g.join(i, k, nil)
			}
		}
	}
}

// joinAcross joins classes of different patterns. Wherever two patterns decide a test
// differently, one of two classes that are joined must be an exception: few have as many
// exceptions as that.
func (g *grouping) joinAcross() {
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
					g.join(i, k, telling)
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

// apart tells whether a test tells two hypotheses apart.
func (g *grouping) apart(a, b split.Hypothesis) bool {
	x, y := answersOf(g.t, a), answersOf(g.t, b)
	from := int32(0)
	if x.pattern == y.pattern { // then what they share tells nothing
		from = x.pattern
		x.pattern, y.pattern = 0, 0
	}
	return !sideBySide(&x, &y, from, func(split.Test) bool { return false })
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

// number gives the groups by hypothesis, in the order of first appearance, from zero.
func (g *grouping) number() []int32 {
	group := make([]int32, len(g.class))
	number := make(map[int32]int32)
	for h, k := range g.class {
		r := g.one.Of(k)
		if _, ok := number[r]; !ok {
			number[r] = int32(len(number))
		}
		group[h] = number[r]
	}
	return group
}
