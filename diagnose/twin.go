package diagnose

import (
	"slices"

	"deadrung/diagnose/split"
)

// choose ranks the checks that split what is left, best first. Of the checks that split
// it as the first does, at no more cost, it takes the one that best looks after what one
// wrong reading would have ruled out.
func (b *belief) choose(left []split.Weighted, from split.Mode, c Choosing, again bool) []split.Choice {
	m := b.m
	allowed := b.allowed(again)
	choices := m.inOwnTime(left, from, c, allowed, b.fresh())
	if len(choices) == 0 || b.least > 0 {
		return choices
	}
	problem := m.problem(c.By)
	if twin := b.twin(problem, left, from, choices[0], allowed); twin != choices[0].Test {
		choices[0] = only(problem, left, from, twin)[0]
	}
	return choices
}

// twin gives the check that splits what is left in the same way as a chosen one, costs
// no more and leaves the work in the same place, and of these tells most if what one
// reading speaks against is thought possible as well, that reading being wrong: so that a
// wrong reading shows early.
func (b *belief) twin(p *split.Problem, left []split.Weighted, from split.Mode, c split.Choice, allowed func(split.Test) bool) split.Test {
	m := b.m
	every := parting{rivals: make([]float64, m.hypotheses())}
	for h, d := range b.disagree {
		if d == 1 {
			every.rivals[h] = m.prior(h) / RightToWrong
			every.all += every.rivals[h]
		}
	}
	if every.all == 0 {
		return c.Test
	}
	for _, w := range left {
		every.rivals[w.Hypothesis] = w.Weight
		every.all += w.Weight
	}
	best := c.Test
	_, most := every.apart(m.table.split, best, 0)
	for _, t := range m.twins(left, c.Test) {
		if !allowed(t) || m.still(c.Test) && !m.still(t) || p.Costs != nil && !noDearer(p.Costs, from, t, c) {
			continue
		}
		if _, bits := every.apart(m.table.split, t, 0); bits > most+1e-9 {
			best, most = t, bits
		}
	}
	return best
}

// noDearer tells whether a check costs no more than a chosen one and leaves the work in
// the same place.
func noDearer(costs split.Costs, from split.Mode, t split.Test, c split.Choice) bool {
	cost, then := costs.Cost(from, t)
	return cost <= c.Cost+1e-9 && then == c.Then
}

// twins are the other checks that split what is left in the same way, in rising order.
// Each is out of the ordinary for one of two faults that the check parts.
func (m *Model) twins(left []split.Weighted, test split.Test) []split.Test {
	table := m.table.split
	outcomes := make([]split.Outcome, len(left))
	least := make(map[split.Outcome]int) // by outcome: the place in left of the shortest column
	for i, w := range left {
		o := table.Outcome(test, w.Hypothesis)
		outcomes[i] = o
		if o == split.Any {
			continue
		}
		k, ok := least[o]
		if !ok || m.width(w.Hypothesis) < m.width(left[k].Hypothesis) {
			least[o] = i
		}
	}
	var two []int
	for _, i := range least {
		two = append(two, i)
	}
	slices.SortFunc(two, func(i, k int) int {
		if d := m.width(left[i].Hypothesis) - m.width(left[k].Hypothesis); d != 0 {
			return d
		}
		return i - k
	})
	if len(two) < 2 {
		return nil
	}
	one, _ := table.Column(left[two[0]].Hypothesis)
	other, _ := table.Column(left[two[1]].Hypothesis)
	near := slices.Concat(one, other)
	slices.Sort(near)
	near = slices.Compact(near)
	return slices.DeleteFunc(near, func(t split.Test) bool { return t == test || !m.splitsAlike(t, left, outcomes) })
}

// splitsAlike tells whether a check splits what is left as these outcomes do.
func (m *Model) splitsAlike(t split.Test, left []split.Weighted, outcomes []split.Outcome) bool {
	var room [8][2]split.Outcome
	pairs := room[:0] // an outcome, and what it was; few, and asked for very often
next:
	for i, w := range left {
		o := m.table.split.Outcome(t, w.Hypothesis)
		was := outcomes[i]
		if (o == split.Any) != (was == split.Any) {
			return false
		}
		for _, p := range pairs {
			if (p[0] == o) != (p[1] == was) {
				return false
			}
			if p[0] == o {
				continue next
			}
		}
		pairs = append(pairs, [2]split.Outcome{o, was})
	}
	return true
}

// width is about how many checks a fault changes.
func (m *Model) width(h split.Hypothesis) int {
	own, _ := m.table.split.Own(h)
	shared, _ := m.table.split.Shared(m.table.split.Pattern(h))
	return len(own) + len(shared)
}
