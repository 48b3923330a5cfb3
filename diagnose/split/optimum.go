package split

import "math"

// A Search says what Optimum looks for, and how long.
type Search struct {
	// Worst makes the dearest case as cheap as can be, in place of the mean.
	Worst bool
	// Budget is how many positions may be worked out; 0 is any number. A position takes some 100
	// bytes to remember, and, with some hundred tests, some 30 microseconds.
	Budget int
	// Ended, if not nil, tells whether the time for the search is over, which then ends as if the
	// budget were spent. Policy may then do otherwise than what Cost was worked out for.
	Ended func() bool
}

// An Optimal is the best policy found.
type Optimal struct {
	// Cost is the mean cost by Policy, or with Search.Worst its cost in the dearest case.
	Cost float64
	// Bound is what no policy undercuts.
	Bound float64
	// Exact says that Cost is proved to be the least possible, to nine digits.
	Exact bool
	// Positions is how many positions were worked out.
	Positions int
	// Policy is a policy that costs this. It must not be used by several goroutines at once.
	Policy Policy
}

// Optimum finds the policy with the least cost, from everything that Prior leaves possible. It
// starts from a policy that looks two turns ahead and looks for a better one until there is none:
// depth first, through every test that lower bounds do not rule out. If the budget does not last,
// or the problem is too large to begin with, it returns the best policy and the best bound found so
// far.
//
// As everywhere in this package, no test is made that only parts hypotheses of one group.
func (p *Problem) Optimum(from Mode, s Search) Optimal {
	budget := s.Budget
	if budget == 0 {
		budget = math.MaxInt
	}
	left := p.All()
	o := Options{}
	b, place := p.outline(left, &o, optimumAnswers)
	if b != nil {
		o = Options{Depth: 2, Width: 8, Budget: 100_000, Ended: s.Ended}
	}
	best := Optimal{Policy: p.Policy(o)}
	best.Cost = p.costOf(from, best.Policy, s.Worst)
	if b == nil {
		return best
	}
	if len(left) == 0 {
		best.Exact = true
		return best
	}
	b.complete(place, from)
	v := &solver{player: newPlayer(b), worst: s.Worst, memo: newMemo(b.keyWidth()), budget: budget,
		ended: s.Ended}
	unit := b.total
	if s.Worst {
		unit = 1
	}
	high := best.Cost * unit
	w := v.solve(b.start(), from, 0) // for the lower bound
	low := w.low
	// The limit is raised by stages, so that a search that is cut short has proved something.
	for _, stage := range []float64{0.25, 0.5, 0.75, 1} {
		if v.spent || w.low >= w.high || w.low >= high {
			break
		}
		w = v.solve(b.start(), from, low+stage*(high-low))
	}
	if w.high < high {
		best.Cost = w.high / unit
		best.Policy = v.policy(best.Policy)
	}
	best.Bound = min(w.low/unit, best.Cost)
	best.Exact = best.Bound >= best.Cost-10*slack
	if best.Exact {
		best.Bound = best.Cost
	}
	best.Positions = budget - max(0, v.budget)
	return best
}

// costOf is the mean or the worst cost by a policy that makes no idle tests.
func (p *Problem) costOf(from Mode, policy Policy, worst bool) float64 {
	t, err := p.Evaluate(from, policy)
	switch {
	case err != nil:
		return math.Inf(1)
	case worst:
		return t.Cost.Worst
	}
	return t.Cost.Mean
}
