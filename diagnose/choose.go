package diagnose

import (
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// choose ranks the checks that split what is left, best first. The first looks several
// checks ahead where the panel is small enough; the others are the best by one step.
func (m *Model) choose(left []split.Weighted, from split.Mode, c Choosing, allowed func(split.Test) bool) []split.Choice {
	problem := m.problem(c.By)
	most := c.Most
	switch {
	case most == 0:
		most = 3
	case most < 0:
		most = 0
	}
	oneStep := split.Options{Most: most + 1, Distinct: true, Allowed: allowed, MostVague: MostUndecided}
	var choices, others []split.Choice
	if len(m.faults) > AheadFaults {
		if others = problem.Next(left, from, oneStep); len(others) == 0 {
			oneStep.MostVague = 0 // only checks that some of what is left does not decide
			others = problem.Next(left, from, oneStep)
		}
		if len(others) > 0 {
			choices, others = others[:1], others[1:]
		}
	} else {
		first, ok := m.ahead(problem, c, left, from, allowed)
		if !ok {
			return nil
		}
		choices = only(problem, left, from, first)
		if most > 0 {
			if !m.firm(left)(first) {
				oneStep.MostVague = 0
			}
			others = problem.Next(left, from, oneStep)
		}
	}
	for _, o := range others {
		if len(choices) <= most && o.Test != choices[0].Test && !alike(o, choices[0]) {
			choices = append(choices, o)
		}
	}
	return choices
}

// inOwnTime chooses among the checks for which the circuit need not be begun anew where there
// are such, else among all.
func (m *Model) inOwnTime(left []split.Weighted, from split.Mode, c Choosing, allowed, fresh func(split.Test) bool) []split.Choice {
	if c.By == ByChecks && from == 0 && m.looksPart(left, allowed) {
		all := allowed // nobody locks out before a look where that is not priced
		allowed = func(t split.Test) bool { return all(t) && !m.checks[m.table.checks[t]].Kind.Off() }
	}
	in := func(t split.Test) bool { return allowed(t) && fresh(t) }
	if choices := m.choose(left, from, c, in); len(choices) > 0 {
		return choices
	}
	return m.choose(left, from, c, allowed)
}

// looksPart tells whether a look parts what is left for certain.
func (m *Model) looksPart(left []split.Weighted, allowed func(split.Test) bool) bool {
	for i, check := range m.table.checks {
		t := split.Test(i)
		if m.checks[check].Kind != log.Look || !allowed(t) {
			continue
		}
		first := split.Any
		for _, w := range left {
			switch o := m.table.split.Outcome(t, w.Hypothesis); {
			case o == split.Any || o == first:
			case first != split.Any:
				return true
			default:
				first = o
			}
		}
	}
	return false
}

// only is the choice of one test, worked out; none if it does not part what is left.
func only(p *split.Problem, left []split.Weighted, from split.Mode, test split.Test) []split.Choice {
	return p.Next(left, from, split.Options{Allowed: func(t split.Test) bool { return t == test }})
}

// alike tells whether two choices part what is left in the same way.
func alike(a, b split.Choice) bool {
	if len(a.Answers) != len(b.Answers) {
		return false
	}
	for _, p := range a.Answers {
		if !slices.ContainsFunc(b.Answers, func(q split.Answer) bool { return slices.Equal(p.Hypotheses, q.Hypotheses) }) {
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
	switch {
	case by == ByMinutes:
		p.Costs = m.costs()
	case m.hurries() != nil:
		p.Costs = m.hurries()
	}
	return p
}

// AheadFaults is the number of faults above which checks are chosen by one step.
const AheadFaults = 300

// looking is how far ahead is looked.
func looking(allowed func(split.Test) bool, ended func() bool) split.Options {
	return split.Options{Depth: 2, Width: 5, Budget: 200_000, Allowed: allowed, Ended: ended}
}

// ahead chooses a check by looking ahead: by choice one that nearly all of what is left
// decides.
func (m *Model) ahead(p *split.Problem, c Choosing, left []split.Weighted, from split.Mode, allowed func(split.Test) bool) (split.Test, bool) {
	firm := m.firm(left)
	first, ok := m.lookAhead(p, c, left, from)
	if ok && allowed(first) && firm(first) {
		return first, true
	}
	among := m.allowedKey(allowed)
	first, ok = m.remembered(choiceKey("firm", c.By, from, left, among), c, func(ended func() bool) (split.Test, bool) {
		return p.Policy(looking(func(t split.Test) bool { return allowed(t) && firm(t) }, ended))(left, from)
	})
	if !ok {
		first, ok = m.remembered(choiceKey("any", c.By, from, left, among), c, func(ended func() bool) (split.Test, bool) {
			return p.Policy(looking(allowed, ended))(left, from)
		})
	}
	return first, ok
}

// lookAhead asks a policy that remembers what it worked out for the whole list of
// faults, so that what is left later is answered at once.
func (m *Model) lookAhead(p *split.Problem, c Choosing, left []split.Weighted, from split.Mode) (split.Test, bool) {
	return m.remembered(choiceKey("", c.By, from, left, nil), c, func(ended func() bool) (split.Test, bool) {
		m.unwanted = ended
		if m.policies[c.By] == nil {
			policy := p.Policy(looking(nil,
				func() bool { return m.unwanted != nil && m.unwanted() }))
			if policy(p.All(), 0); ended != nil && ended() {
				return -1, false // it would remember less than it should
			}
			m.policies[c.By] = policy
		}
		return m.policies[c.By](left, from)
	})
}

// MostUndecided is the greatest share of what is left, by weight, for which the
// reading of a proposed check may be one that nobody can foretell.
// Common practice, no source.
const MostUndecided = 0.1

// firm leaves out checks that would read a floating conductor, or one whose reading
// depends on a fuse, with more than a small part of what is left.
func (m *Model) firm(left []split.Weighted) func(split.Test) bool {
	var all float64
	for _, w := range left {
		all += w.Weight
	}
	return func(test split.Test) bool {
		undecided := 0.0
		for _, w := range left {
			if m.table.split.Outcome(test, w.Hypothesis) == split.Any {
				undecided += w.Weight
			}
		}
		return undecided <= MostUndecided*all
	}
}
