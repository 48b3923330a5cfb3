package split

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// A Mode is where the work stands: power on or off, which step, where the leads are. It means nothing to this
// package but that costs depend on it.
type Mode int32

// Costs says what a test costs in the mode in which the work stands, and in which mode it leaves the work. Costs
// must be positive, or 0 for what is free, in any unit; the same arguments must always give the same answer, from
// any goroutine.
type Costs interface {
	Cost(from Mode, t Test) (cost float64, then Mode)
}

// UnitCosts is one for every test, whatever the mode: what counts is how many tests are made.
type UnitCosts struct{}

// Cost returns 1 and leaves the mode as it is.
func (UnitCosts) Cost(from Mode, _ Test) (float64, Mode) { return 1, from }

// A Weighted is a hypothesis that is still possible, and how much it weighs against the others. Weights need not add
// up to one. Those that are not above 0 are as if left out.
type Weighted struct {
	Hypothesis Hypothesis
	Weight     float64
}

// A Problem is what there is to choose from. It is not changed by this package and must not be changed while it is in
// use.
type Problem struct {
	Table *Table

	// Prior is the weight of each hypothesis before any test, for All, Evaluate and Optimum.
	Prior []float64

	// Group says which hypotheses need not be told apart: those that share a number. Numbers are 0 to one less
	// than the number of hypotheses. The work is done when one group is left, and only what is learned
	// about groups counts as gain. Nil: each hypothesis is a group of its own.
	Group []int32

	// Costs is what tests cost; nil is UnitCosts.
	Costs Costs

	// Answers is for work that ends only when the hypothesis that is true has itself been tried, as in the
	// code-breaking game, where the last guess counts: Answers[t] is the hypothesis that test t tries, or -1.
	// A test that leaves only the hypothesis it tries ends the work; where one hypothesis is left otherwise,
	// a test that tries it is still to be made. Every hypothesis needs such a test, and Group must be nil.
	// Nil: nothing needs to be tried.
	Answers []Hypothesis
}

// All returns every hypothesis with its prior: what is left before the first test.
func (p *Problem) All() []Weighted {
	all := make([]Weighted, 0, len(p.Prior))
	for h, w := range p.Prior {
		if w > 0 {
			all = append(all, Weighted{Hypothesis(h), w})
		}
	}
	return all
}

// Check tells what is wrong with a problem, all of it, before any other method is used on it.
func (p *Problem) Check() error {
	if p.Table == nil {
		return errors.New("the problem has no table of tests")
	}
	var errs []error
	n := p.Table.Hypotheses()
	if p.Prior != nil && len(p.Prior) != n {
		errs = append(errs, fmt.Errorf("there are %d priors for %d hypotheses; there must be one for each", len(p.Prior), n))
	}
	for h, w := range p.Prior {
		if !(w >= 0) || math.IsInf(w, 1) {
			errs = append(errs, fmt.Errorf("the prior of hypothesis %d is %v; it must be a number from 0 up", h, w))
		}
	}
	if p.Group != nil && len(p.Group) != n {
		errs = append(errs,
			fmt.Errorf("there are %d group numbers for %d hypotheses; there must be one for each", len(p.Group), n))
	}
	for h, g := range p.Group {
		if g < 0 || int(g) >= n {
			errs = append(errs, fmt.Errorf("hypothesis %d is in group %d; groups are numbered from 0 to %d", h, g, n-1))
		}
	}
	if p.Answers != nil && len(p.Answers) != p.Table.Tests() {
		errs = append(errs, fmt.Errorf("there are %d answers for %d tests; there must be one for each, -1 for none",
			len(p.Answers), p.Table.Tests()))
	}
	for t, h := range p.Answers {
		if h < -1 || int(h) >= n {
			errs = append(errs, fmt.Errorf("test %d tries hypothesis %d; they are numbered from 0 to %d, -1 for none", t, h, n-1))
		}
	}
	if p.Answers != nil && len(errs) == 0 {
		if p.Group != nil {
			errs = append(errs, errors.New("the problem has both answers and groups; "+
				"where each hypothesis must be tried, none may share a group"))
		}
		tried := make([]bool, n)
		for _, h := range p.Answers {
			if h >= 0 {
				tried[h] = true
			}
		}
		if h := slices.Index(tried, false); h >= 0 {
			errs = append(errs, fmt.Errorf("no test tries hypothesis %d; where answers count each needs one", h))
		}
	}
	return errors.Join(errs...)
}

// group is the group of a hypothesis.
func (p *Problem) group(h Hypothesis) int32 {
	if p.Group == nil {
		return int32(h)
	}
	return p.Group[h]
}

// answer is the hypothesis that a test tries, or -1.
func (p *Problem) answer(t Test) Hypothesis {
	if p.Answers == nil {
		return -1
	}
	return p.Answers[t]
}

// cost is what a test costs and where it leaves the work.
func (p *Problem) cost(from Mode, t Test) (float64, Mode) {
	if p.Costs == nil {
		return 1, from
	}
	return p.Costs.Cost(from, t)
}
