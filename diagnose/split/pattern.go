package split

import (
	"fmt"
	"slices"
)

// This file holds patterns of answers that many hypotheses share. Without them a table of faults of
// which one in six leaves a whole panel dead grows with the square of the panel.

// patterns are part of a table. The first pattern is the usual one. Zero is a table that has no other.
type patterns struct {
	follows  []int32  // by hypothesis: its pattern; nil if all follow the usual one
	sharedBy []column // by pattern: where it differs from the usual one; the first is empty
	members  [][]Hypothesis

	// The same by test.
	inPattern   []int // by test, one more than tests: where its patterns start in the next two
	patternWho  []int32
	patternWhat []Outcome
}

// A column is the tests that something answers otherwise than is usual, in rising order, and its outcomes.
type column struct {
	tests []Test
	what  []Outcome
}

func (c *column) add(t Test, o, usual Outcome) {
	if o != usual {
		c.tests = append(c.tests, t)
		c.what = append(c.what, o)
	}
}

// worthSharingPatterns is how many exceptions are written out before patterns are kept as such: up
// to that the plain table is the quicker one to scan.
const worthSharingPatterns = 1 << 20

// Follow says which of so many patterns each hypothesis follows, by number from 0. It must come
// before the first test.
func (b *Builder) Follow(pattern []int32, patterns int) {
	if len(pattern) != b.hypotheses {
		b.errs = append(b.errs, fmt.Errorf("%d patterns are given for %d hypotheses; each follows one",
			len(pattern), b.hypotheses))
		return
	}
	if len(b.table.usual) > 0 {
		b.errs = append(b.errs, fmt.Errorf("patterns are given after %d tests; they must come first",
			len(b.table.usual)))
		return
	}
	t := b.table
	t.sharedBy = make([]column, patterns)
	t.members = make([][]Hypothesis, patterns)
	for h, q := range pattern {
		if q < 0 || int(q) >= patterns {
			b.errs = append(b.errs, fmt.Errorf("hypothesis %d follows pattern %d; there are %d", h, q,
				patterns))
			t.patternsOff()
			return
		}
		t.members[q] = append(t.members[q], Hypothesis(h))
	}
	t.follows = slices.Clone(pattern)
}

func (p *patterns) patternsOff() { *p = patterns{} }

func (p *patterns) count() int { return len(p.sharedBy) }

// Patterns returns how many patterns of answers there are, the usual one included.
func (t *Table) Patterns() int { return max(1, t.count()) }

// Pattern returns the pattern that a hypothesis follows, but for its exceptions.
func (t *Table) Pattern(h Hypothesis) int32 { return t.pattern(h) }

func (p *patterns) pattern(h Hypothesis) int32 {
	if p.follows == nil || int(h) >= len(p.follows) || h < 0 {
		return 0
	}
	return p.follows[h]
}

// PatternOutcome returns what a pattern answers to a test.
func (t *Table) PatternOutcome(test Test, pattern int32) Outcome {
	if pattern > 0 {
		c := &t.sharedBy[pattern]
		if i, found := slices.BinarySearch(c.tests, test); found {
			return c.what[i]
		}
	}
	return t.usual[test]
}

// Shared gives the tests that a pattern answers otherwise than is usual, in rising order, and its
// outcomes. They must not be changed.
func (t *Table) Shared(pattern int32) ([]Test, []Outcome) {
	if pattern == 0 {
		return nil, nil
	}
	c := &t.sharedBy[pattern]
	return c.tests, c.what
}

// settlePatterns writes patterns out where that is small.
func (b *Builder) settlePatterns() {
	t := b.table
	size := len(t.rowWho)
	for q, c := range t.sharedBy {
		size += len(c.tests) * len(t.members[q])
	}
	if size > b.spellOut {
		t.inPattern = make([]int, len(t.usual)+1)
		t.eachShared(func(_ int32, test Test, _ Outcome) { t.inPattern[test+1]++ })
		for test := range t.usual {
			t.inPattern[test+1] += t.inPattern[test]
		}
		n := t.inPattern[len(t.usual)]
		t.patternWho, t.patternWhat = make([]int32, n), make([]Outcome, n)
		next := slices.Clone(t.inPattern)
		t.eachShared(func(q int32, test Test, o Outcome) {
			t.patternWho[next[test]], t.patternWhat[next[test]] = q, o
			next[test]++
		})
		return
	}
	var who []Hypothesis
	var what []Outcome
	starts := []int{0}
	next := make([]int, t.count()) // by pattern: of its column, what is still to come
	say := make([]Outcome, b.hypotheses)
	for test := range t.usual {
		usual := t.usual[test]
		for h := range say {
			say[h] = usual
		}
		for q := range t.sharedBy {
			if c := &t.sharedBy[q]; next[q] < len(c.tests) && c.tests[next[q]] == Test(test) {
				for _, h := range t.members[q] {
					say[h] = c.what[next[q]]
				}
				next[q]++
			}
		}
		for i := t.rowStart[test]; i < t.rowStart[test+1]; i++ {
			say[t.rowWho[i]] = t.rowWhat[i]
		}
		for h, o := range say {
			if o != usual {
				who, what = append(who, Hypothesis(h)), append(what, o)
			}
		}
		starts = append(starts, len(who))
	}
	t.rowStart, t.rowWho, t.rowWhat = starts, who, what
	t.patternsOff()
}

// eachShared visits what each pattern answers otherwise than is usual.
func (p *patterns) eachShared(visit func(pattern int32, test Test, o Outcome)) {
	for q := range p.sharedBy {
		for i, test := range p.sharedBy[q].tests {
			visit(int32(q), test, p.sharedBy[q].what[i])
		}
	}
}

// Column gives the tests that a hypothesis answers otherwise than is usual, whatever its pattern,
// in rising order, and its outcomes. They must not be changed.
func (t *Table) Column(h Hypothesis) ([]Test, []Outcome) {
	tests, what := t.Own(h)
	q := t.pattern(h)
	if q == 0 {
		return tests, what
	}
	shared := &t.sharedBy[q]
	all := column{make([]Test, 0, len(tests)+len(shared.tests)),
		make([]Outcome, 0, len(tests)+len(shared.tests))}
	i, k := 0, 0
	for i < len(tests) || k < len(shared.tests) {
		switch {
		case i == len(tests) || k < len(shared.tests) && shared.tests[k] < tests[i]:
			all.tests, all.what = append(all.tests, shared.tests[k]), append(all.what, shared.what[k])
			k++
			continue
		case k < len(shared.tests) && shared.tests[k] == tests[i]:
			k++
		}
		all.add(tests[i], what[i], t.usual[tests[i]])
		i++
	}
	return all.tests, all.what
}
