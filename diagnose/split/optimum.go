package split

import (
	"math"
	"slices"
)

// A Search says what Optimum looks for, and how long.
type Search struct {
	// Worst makes the dearest case as cheap as can be, in place of the mean.
	Worst bool
	// Allowed and PreferDecided are as in Options: the optimum is the best of the policies that keep to them.
	Allowed       func(Test) bool
	PreferDecided bool
	// Budget is how many positions may be worked out; 0 is a million, less than 0 any number. A position takes some
	// 100 bytes to remember, and, with some hundred tests, some 30 microseconds.
	Budget int
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

// positionsForOptimum is the usual budget.
const positionsForOptimum = 1_000_000

// Optimum finds the policy with the least cost, from everything that Prior leaves possible. It starts from the policy of
// Lookahead and looks for a better one until there is none: depth first, through every test that lower bounds do
// not rule out. If the budget does not last, or the problem is too large to begin with, it returns the best policy and the
// best bound found so far.
//
// As everywhere in this package, no test is made that only parts hypotheses of one group.
func (p *Problem) Optimum(from Mode, s Search) Optimal {
	budget := s.Budget
	switch {
	case budget == 0:
		budget = positionsForOptimum
	case budget < 0:
		budget = math.MaxInt
	}
	left := p.All()
	o := Options{Allowed: s.Allowed, PreferDecided: s.PreferDecided}
	b, place := p.outline(left, &o, optimumAnswers)
	if b != nil {
		o.Strategy = Lookahead
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
	v := &solver{player: newPlayer(b), worst: s.Worst, memo: newMemo(b.keyWidth()), budget: budget}
	unit := b.total
	if s.Worst {
		unit = 1
	}
	high := best.Cost * unit
	w := v.solve(b.start(), from, 0) // for the lower bound
	low := w.low
	// The limit is raised by stages, so that a search that is cut short has proved something.
	for _, stage := range []float64{0.5, 0.75, 1} {
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

// A solver finds the least cost from positions on a board. Where the mean counts, costs are times weight.
type solver struct {
	*player
	worst  bool
	memo   *memo
	budget int
	spent  bool
	room   []uint64
}

// solve finds the least cost from a position, or that it is not below a limit. In what it returns low and high are equal,
// or low is not below the limit, or the budget is spent.
func (v *solver) solve(at position, from Mode, limit float64) worth {
	b := v.b
	if b.over(&at) {
		cost := v.end(&at, from)
		return worth{cost, cost, -1}
	}
	place, w := v.recall(&at, from)
	less := v.less(&at)
	if w.low >= w.high || w.low >= limit-less {
		return w
	}
	if v.budget--; v.budget < 0 {
		v.spent = true
		return w
	}
	moves := v.moves(&at, from)
	if place < 0 {
		place = v.memo.add(v.memo.key(v.room, b, &at, from, 0), w)
	}
	if len(moves) == 0 {
		w = worth{0, 0, -1}
	} else if w.low = max(w.low, v.bound(&at)); w.low < limit-less {
		w = v.tryMoves(&at, moves, w, limit)
	}
	v.memo.known[place] = w
	v.done(moves)
	return w
}

// recall returns what is known of a position that is not over, and its place in the memo, -1 if it is not there.
func (v *solver) recall(at *position, from Mode) (place int, w worth) {
	v.room = v.memo.key(v.room, v.b, at, from, 0)
	if place = v.memo.find(v.room); place >= 0 {
		return place, v.memo.known[place]
	}
	return -1, worth{v.bound(at), math.Inf(1), -1}
}

// end is the cost where one group is left.
func (v *solver) end(at *position, from Mode) float64 {
	cost, _ := v.b.trial(at, from)
	if v.worst {
		return cost
	}
	return cost * at.mass()
}

// bound is the lower bound of a position by itself.
func (v *solver) bound(at *position) float64 {
	if v.worst {
		return v.leastWorst(at)
	}
	return v.least(at)
}

// less is the difference that rounding may make.
func (v *solver) less(at *position) float64 {
	if v.worst {
		return slack
	}
	return slack * at.mass()
}

// tryMoves improves what is known of a position by its moves, those with the lowest bounds first.
func (v *solver) tryMoves(at *position, moves []move, w worth, limit float64) worth {
	less := v.less(at)
	limit = min(limit, w.high)
	v.boundMoves(at, moves)
	low := math.Inf(1)
	for i := range moves {
		m := &moves[i]
		if m.low >= limit-less {
			low = min(low, m.low)
			break
		}
		tried := v.tryMove(at, m, limit)
		low = min(low, tried.low)
		if tried.high < limit-less {
			w.high, w.test = tried.high, tried.test
			limit = tried.high
		}
		if limit <= w.low+less {
			break
		}
	}
	w.low = max(w.low, min(low, w.high))
	if w.low >= w.high-less {
		w.low = w.high
	}
	return w
}

// tryMove works out what a move costs with all that follows, or that it costs as much as the limit.
func (v *solver) tryMove(at *position, m *move, limit float64) worth {
	own := m.cost
	if !v.worst {
		own *= at.mass()
	}
	children := v.after(at, m)
	slices.SortStableFunc(children, func(a, b child) int { return len(b.items) - len(a.items) })
	for i := range children {
		c := &children[i]
		switch {
		case c.ended:
			c.worth = worth{0, 0, -1}
		case v.b.over(&c.position):
			cost := v.end(&c.position, m.then)
			c.worth = worth{cost, cost, -1}
		default:
			_, c.worth = v.recall(&c.position, m.then)
		}
	}
	less := v.less(at)
	sum := v.join(own, m, children)
	for i := range children {
		c := &children[i]
		if sum.low >= limit-less {
			break
		}
		if c.low >= c.high {
			continue
		}
		room := limit - own
		if !v.worst {
			room = limit - sum.low + c.low
		}
		c.worth = v.solve(c.position, m.then, room)
		sum = v.join(own, m, children)
	}
	return sum
}

// join puts together what a move costs and what its children cost.
func (v *solver) join(own float64, m *move, children []child) worth {
	sum := worth{own, own, int32(m.test)}
	for i := range children {
		c := &children[i]
		if v.worst {
			sum.low = max(sum.low, own+c.low)
			sum.high = max(sum.high, own+c.high)
		} else {
			sum.low += c.low
			sum.high += c.high
		}
	}
	return sum
}

// policy follows what the solver found; where it has been cut short, and at positions that it did not see, another policy.
func (v *solver) policy(otherwise Policy) Policy {
	return func(left []Weighted, from Mode) (Test, bool) {
		if at, ok := v.b.place(left); ok {
			if _, w := v.recall(&at, from); w.test >= 0 {
				return v.b.tests[w.test], true
			}
		}
		return otherwise(left, from)
	}
}
