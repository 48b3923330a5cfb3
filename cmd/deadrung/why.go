package main

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// reason tells in one line what a check is good for.
func (s *speaker) reason(p *diagnose.Proposal, t *diagnose.Turn) string {
	if p.Proof {
		return "proves it at another place: " + s.proving(p, t)
	}
	if len(p.Outcomes) == 0 {
		return "a check of your own"
	}
	const most = 4
	var parts []string
	for _, a := range p.Outcomes[:min(most, len(p.Outcomes))] {
		parts = append(parts, fmt.Sprintf("%s leaves %s", s.outcome(p.Check, a), leaves(a)))
	}
	if more := len(p.Outcomes) - most; more > 0 {
		rest := "readings split the rest"
		if more == 1 {
			rest = "reading splits the rest"
		}
		parts = append(parts, fmt.Sprintf("%d more %s", more, rest))
	}
	return fmt.Sprintf("splits the %s still possible: %s", count(len(t.Left), "fault"), strings.Join(parts, ", "))
}

// leaves counts what an answer leaves possible.
func leaves(a diagnose.Answered) string {
	switch {
	case len(a.Candidates) == 0 && a.Good:
		return "none, as in a good circuit"
	case len(a.Candidates) == 1:
		return "one"
	}
	return fmt.Sprint(len(a.Candidates))
}

// proving tells which answer bears a verdict out.
func (s *speaker) proving(p *diagnose.Proposal, t *diagnose.Turn) string {
	for _, a := range p.Outcomes {
		for _, id := range a.Candidates {
			if len(t.Left) > 0 && id == s.m.Faults()[t.Left[0]].ID {
				return s.outcome(p.Check, a) + " bears it out, anything else does not"
			}
		}
	}
	return "the reading either bears it out or does not"
}

// reasons tells at length what each answer would leave.
func (s *speaker) reasons(p *diagnose.Proposal, t *diagnose.Turn) []string {
	var out []string
	rank := make(map[faultmodel.ID]int)
	for i, c := range t.Candidates {
		rank[c.ID] = i
	}
	for _, a := range p.Outcomes {
		line := fmt.Sprintf("%s (%s): leaves %s", s.outcome(p.Check, a), chance(a.Probability), count(len(a.Candidates), "fault"))
		if a.Good {
			line += ", and fits a good circuit"
		}
		if len(a.Candidates) > 0 {
			ids := slices.Clone(a.Candidates)
			slices.SortStableFunc(ids, func(x, y faultmodel.ID) int { return rank[x] - rank[y] })
			texts := make([]string, len(ids))
			for i, id := range ids {
				texts[i] = s.texts[id]
			}
			line += ": " + some(texts, 3)
		}
		out = append(out, line+".")
	}
	switch {
	case p.Proof:
		out = append(out, "A verdict is proved by one check of another kind or at another place, before the part is touched.")
	case p.Bits > 0:
		out = append(out, fmt.Sprintf("A half-split is worth 1 bit. This check is worth %.2f bits and takes about %s.", p.Bits, span(p.Minutes)))
	default:
		out = append(out, "The check is your own: nothing was worked out for it.")
	}
	return out
}
