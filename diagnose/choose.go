package diagnose

import (
	"encoding/binary"
	"fmt"
	"slices"

	"deadrung/diagnose/split"
)

// choose ranks the checks that split what is left, best first. The first looks several
// checks ahead; the others are the best by one step.
func (m *Model) choose(left []split.Weighted, from split.Mode, c Choosing, allowed func(split.Test) bool) []split.Choice {
	problem := m.problem(c.By)
	firm := m.firm(left)
	both := func(t split.Test) bool { return allowed(t) && firm(t) }
	first, ok := m.lookAhead(c.By, left, from)
	if ok && !both(first) {
		first, ok = m.ahead(problem, both)(left, from)
	}
	if !ok {
		both = allowed // only checks that some of what is left does not decide
		first, ok = m.ahead(problem, both)(left, from)
	}
	if !ok {
		return nil
	}
	most := c.Most
	switch {
	case most == 0:
		most = 3
	case most < 0:
		most = 0
	}
	choices := only(problem, left, from, first)
	if most == 0 {
		return choices
	}
	others := problem.Next(left, from, split.Options{Most: most + 1, Distinct: true, Allowed: both})
	for _, o := range others {
		if o.Test != first && len(choices) <= most && !alike(o, choices[0]) {
			choices = append(choices, o)
		}
	}
	return choices
}

// only is the choice of one test, worked out; none if it does not part what is left.
func only(p *split.Problem, left []split.Weighted, from split.Mode, test split.Test) []split.Choice {
	return p.Next(left, from, split.Options{Allowed: func(t split.Test) bool { return t == test }})
}

// alike tells whether two choices part what is left in the same way.
func alike(a, b split.Choice) bool {
	if len(a.Parts) != len(b.Parts) {
		return false
	}
	for _, p := range a.Parts {
		if !slices.ContainsFunc(b.Parts, func(q split.Part) bool { return slices.Equal(p.Hypotheses, q.Hypotheses) }) {
			return false
		}
	}
	return true
}

// problem is the table with the costs that are to be kept small.
func (m *Model) problem(by By) *split.Problem {
	p := &split.Problem{Table: m.table.split, Group: m.table.group, Prior: make([]float64, m.hypotheses())}
	for i, f := range m.faults {
		p.Prior[i] = f.Prior
	}
	if by == ByMinutes {
		p.Costs = m.costs()
	}
	return p
}

// AheadFaults is the number of faults above which checks are chosen by one step.
const AheadFaults = 400

// ahead is the policy that looks ahead, for what may be left of a panel that is not too
// large.
func (m *Model) ahead(p *split.Problem, allowed func(split.Test) bool) split.Policy {
	o := split.Options{Allowed: allowed}
	if len(m.faults) <= AheadFaults {
		o.Strategy, o.Width, o.Depth, o.Budget = split.Lookahead, 5, 2, 200_000
	}
	return p.Policy(o)
}

// lookAhead asks a policy that remembers what it worked out for the whole list of
// faults, so that what is left later is answered at once.
func (m *Model) lookAhead(by By, left []split.Weighted, from split.Mode) (split.Test, bool) {
	m.looking.Lock()
	defer m.looking.Unlock()
	key := fmt.Appendf(nil, "%d %d", by, from)
	for _, w := range left {
		key = binary.AppendUvarint(key, uint64(w.Hypothesis))
	}
	if seen, ok := m.looked[string(key)]; ok {
		return seen, seen >= 0
	}
	if m.policies[by] == nil {
		p := m.problem(by)
		m.policies[by] = m.ahead(p, nil)
		m.policies[by](p.All(), 0)
	}
	test, ok := m.policies[by](left, from)
	if !ok {
		test = -1
	}
	m.looked[string(key)] = test
	return test, ok
}

// MostUndecided is the greatest share of what is left, by weight, for which the
// reading of a proposed check may be one that nobody can foretell.
// Common practice, no source.
const MostUndecided = 0.1

// firm leaves out checks that would read a floating conductor, or one whose reading
// depends on a fuse, with more than a small part of what is left.
func (m *Model) firm(left []split.Weighted) func(split.Test) bool {
	t := m.table.split
	weight := make([]float64, m.hypotheses())
	var all float64
	for _, w := range left {
		weight[w.Hypothesis] = w.Weight
		all += w.Weight
	}
	return func(test split.Test) bool {
		undecided := 0.0
		if t.Usual(test) == split.Any {
			undecided = all
			for h, o := range t.Exceptions(test) {
				if o != split.Any {
					undecided -= weight[h]
				}
			}
		} else {
			for h, o := range t.Exceptions(test) {
				if o == split.Any {
					undecided += weight[h]
				}
			}
		}
		return undecided <= MostUndecided*all
	}
}
