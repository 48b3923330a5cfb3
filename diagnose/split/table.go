package split

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
)

// A Hypothesis is one thing that may be true: its index, from 0.
type Hypothesis int32

// A Test is one question that can be asked: its index in the order in which the tests were added, from 0.
type Test int32

// An Outcome is one of the answers that a test can give, from 0.
type Outcome int16

// Any in place of an outcome says that the hypothesis does not decide the test: it stays possible
// whatever the answer is, and the answer tells nothing about it.
const Any Outcome = -1

// An Exception is the outcome of a hypothesis that differs from the usual outcome of a test.
type Exception struct {
	Hypothesis Hypothesis
	Outcome    Outcome
}

// A Table says what each hypothesis answers to each test. It holds, for every test, the usual outcome and the
// exceptions to it, once by test (a row) and once by hypothesis (a column); see the package
// comment. Where many hypotheses share a pattern of answers, that is held once, and of each of them
// only its exceptions to the pattern. A Table does not change after it is built and may be used by
// several goroutines.
type Table struct {
	patterns

	usual    []Outcome // by test
	outcomes []int16   // by test: how many answers it has

	rowStart []int        // by test, one more than tests: where its exceptions start in the next two
	rowWho   []Hypothesis // in rising order within a row
	rowWhat  []Outcome

	colStart []int  // by hypothesis, one more than hypotheses
	colTest  []Test // in rising order within a column
	colWhat  []Outcome

	most    int       // the largest number of outcomes of any test
	benches sync.Pool // of *bench, the working space of one scan
}

// A Builder makes a Table test by test.
type Builder struct {
	hypotheses int
	table      *Table
	errs       []error
	spellOut   int // patterns are spelled out if that makes no more exceptions than this
}

// NewBuilder starts a table of so many hypotheses and no tests.
func NewBuilder(hypotheses int) *Builder {
	b := &Builder{hypotheses: hypotheses, table: &Table{rowStart: []int{0}}, spellOut: worthSharingPatterns}
	if hypotheses < 0 {
		b.errs = append(b.errs, fmt.Errorf("a table has %d hypotheses; the number must not be negative",
			hypotheses))
	}
	return b
}

// AddTest adds a test with the given number of outcomes, 0 to outcomes-1. Every hypothesis answers
// it with the usual outcome, but for the exceptions, which may come in any order; an exception that
// repeats the usual outcome is dropped. Both the usual outcome and those of exceptions may be Any.
// The exceptions are copied. What is wrong with them is told by Build.
func (b *Builder) AddTest(usual Outcome, outcomes int, exceptions []Exception) Test {
	return b.AddShared([]Outcome{usual}, outcomes, exceptions)
}

// AddShared adds a test as AddTest does, to which patterns of answers have each its own usual
// outcome: usual is by pattern, and those that it is too short for answer as the first. The
// exceptions are to the pattern that their hypothesis follows (Follow).
func (b *Builder) AddShared(usual []Outcome, outcomes int, exceptions []Exception) Test {
	t := b.table
	test := Test(len(t.usual))
	if outcomes < 1 || outcomes > math.MaxInt16 {
		b.errs = append(b.errs, fmt.Errorf("test %d has %d outcomes; it must have 1 to %d", test,
			outcomes, math.MaxInt16))
		outcomes = 1
	}
	usual = slices.Clone(usual)
	for i, o := range usual {
		if o < Any || int(o) >= outcomes {
			b.errs = append(b.errs, fmt.Errorf("test %d: usual outcome %d is not among its %d outcomes",
				test, o, outcomes))
			usual[i] = Any
		}
	}
	if len(usual) == 0 || len(usual) > max(1, t.count()) {
		b.errs = append(b.errs, fmt.Errorf("test %d has %d usual outcomes for %d patterns", test,
			len(usual), max(1, t.count())))
		usual = []Outcome{Any}
	}
	of := func(h Hypothesis) Outcome {
		if q := t.pattern(h); int(q) < len(usual) {
			return usual[q]
		}
		return usual[0]
	}
	byWho := func(a, b Exception) int { return int(a.Hypothesis) - int(b.Hypothesis) }
	if !slices.IsSortedFunc(exceptions, byWho) {
		exceptions = slices.Clone(exceptions)
		slices.SortFunc(exceptions, byWho)
	}
	for i, e := range exceptions {
		switch {
		case e.Hypothesis < 0 || int(e.Hypothesis) >= b.hypotheses:
			b.errs = append(b.errs, fmt.Errorf("test %d: there is no hypothesis %d among %d", test,
				e.Hypothesis, b.hypotheses))
		case e.Outcome < Any || int(e.Outcome) >= outcomes:
			b.errs = append(b.errs, fmt.Errorf("test %d: outcome %d of hypothesis %d is not among its %d outcomes",
				test, e.Outcome, e.Hypothesis, outcomes))
		case i > 0 && exceptions[i-1].Hypothesis == e.Hypothesis:
			b.errs = append(b.errs, fmt.Errorf("test %d: hypothesis %d is named twice", test, e.Hypothesis))
		case e.Outcome != of(e.Hypothesis):
			t.rowWho = append(t.rowWho, e.Hypothesis)
			t.rowWhat = append(t.rowWhat, e.Outcome)
		}
	}
	t.usual = append(t.usual, usual[0])
	for q := 1; q < len(usual); q++ {
		t.sharedBy[q].add(test, usual[q], usual[0])
	}
	t.outcomes = append(t.outcomes, int16(outcomes))
	t.rowStart = append(t.rowStart, len(t.rowWho))
	t.most = max(t.most, outcomes)
	return test
}

// Build returns the table, or all that was wrong with what was added. The Builder is used up.
func (b *Builder) Build() (*Table, error) {
	if len(b.errs) > 0 {
		return nil, errors.Join(b.errs...)
	}
	t := b.table
	if t.count() > 0 {
		b.settlePatterns()
	}
	t.rowWho = slices.Clip(t.rowWho)
	t.rowWhat = slices.Clip(t.rowWhat)
	t.colStart = make([]int, b.hypotheses+1)
	for _, h := range t.rowWho {
		t.colStart[h+1]++
	}
	for h := range b.hypotheses {
		t.colStart[h+1] += t.colStart[h]
	}
	t.colTest = make([]Test, len(t.rowWho))
	t.colWhat = make([]Outcome, len(t.rowWho))
	next := slices.Clone(t.colStart)
	for test := range t.usual {
		for i := t.rowStart[test]; i < t.rowStart[test+1]; i++ {
			at := next[t.rowWho[i]]
			next[t.rowWho[i]]++
			t.colTest[at], t.colWhat[at] = Test(test), t.rowWhat[i]
		}
	}
	b.table = nil
	return t, nil
}

// Hypotheses returns how many hypotheses the table has.
func (t *Table) Hypotheses() int { return len(t.colStart) - 1 }

// Tests returns how many tests the table has.
func (t *Table) Tests() int { return len(t.usual) }

// Outcomes returns how many outcomes a test has.
func (t *Table) Outcomes(test Test) int { return int(t.outcomes[test]) }

// Outcome returns what a hypothesis answers to a test, Any where it does not decide it.
func (t *Table) Outcome(test Test, h Hypothesis) Outcome {
	who, what := t.OwnRow(test)
	if i, found := slices.BinarySearch(who, h); found {
		return what[i]
	}
	return t.PatternOutcome(test, t.pattern(h))
}

// Own gives the tests that a hypothesis answers otherwise than its pattern, in rising order, and
// its outcomes. They must not be changed.
func (t *Table) Own(h Hypothesis) ([]Test, []Outcome) {
	from, to := t.colStart[h], t.colStart[h+1]
	return t.colTest[from:to], t.colWhat[from:to]
}

// OwnRow gives the hypotheses that answer a test otherwise than their patterns, in rising order,
// and their outcomes. They must not be changed.
func (t *Table) OwnRow(test Test) ([]Hypothesis, []Outcome) {
	from, to := t.rowStart[test], t.rowStart[test+1]
	return t.rowWho[from:to], t.rowWhat[from:to]
}
