package talk

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/faultmodel"
)

// Reason tells in one line what a check is good for.
func (s *Speaker) Reason(p *diagnose.Proposal, t *diagnose.Turn) string {
	switch {
	case p.Proof:
		return "proves it by another check: " + s.proving(p, t)
	case len(p.Outcomes) == 0:
		return "a check of your own"
	case guide.SecondLook(t):
		return s.lookingAgain(p)
	case t.Groups == 1:
		return "guards the verdict against one wrong reading: " + s.proving(p, t)
	}
	const most = 4
	var parts []string
	for _, a := range p.Outcomes[:min(most, len(p.Outcomes))] {
		parts = append(parts, fmt.Sprintf("%s leaves %s", s.Outcome(p.Check, a), leaves(a)))
	}
	if more := len(p.Outcomes) - most; more > 0 {
		rest := "readings split the rest"
		if more == 1 {
			rest = "reading splits the rest"
		}
		parts = append(parts, fmt.Sprintf("%d more %s", more, rest))
	}
	text := fmt.Sprintf("splits the %s still possible: %s", Count(len(t.Left), "fault"),
		strings.Join(parts, ", "))
	if n := Staying(p); n > 0 {
		text += fmt.Sprintf("; %d %s either way", n, Verb(n, "stays", "stay"))
	}
	return text
}

// Staying counts the faults that stay possible whatever a check shows: nobody can foretell
// their reading there.
func Staying(p *diagnose.Proposal) int {
	if len(p.Outcomes) < 2 {
		return 0
	}
	n := 0
	for _, id := range p.Outcomes[0].Candidates {
		everywhere := true
		for _, a := range p.Outcomes[1:] {
			everywhere = everywhere && slices.Contains(a.Candidates, id)
		}
		if everywhere {
			n++
		}
	}
	return n
}

// lookingAgain is the reason of a check that is made before a circuit is called good.
func (s *Speaker) lookingAgain(p *diagnose.Proposal) string {
	doubted := make(map[faultmodel.ID]bool)
	bears := ""
	for _, a := range p.Outcomes {
		for _, id := range a.Candidates {
			doubted[id] = true
		}
		if a.Good {
			bears = s.Outcome(p.Check, a)
		}
	}
	return fmt.Sprintf("a second look at %s that a single reading rules out: %s fits a good circuit",
		Count(len(doubted), "fault"), bears)
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
func (s *Speaker) proving(p *diagnose.Proposal, t *diagnose.Turn) string {
	for _, a := range p.Outcomes {
		for _, id := range a.Candidates {
			if len(t.Left) > 0 && id == s.Model.Faults()[t.Left[0]].ID {
				return s.Outcome(p.Check, a) + " bears it out, anything else does not"
			}
		}
	}
	return "the reading either bears it out or does not"
}

// Reasons tells at length what each answer would leave.
func (s *Speaker) Reasons(p *diagnose.Proposal, t *diagnose.Turn) []string {
	var out []string
	rank := make(map[faultmodel.ID]int)
	for i, c := range t.Candidates {
		rank[c.ID] = i
	}
	for _, a := range p.Outcomes {
		line := fmt.Sprintf("%s (%s): ", s.Outcome(p.Check, a), Chance(a.Probability))
		if means := s.Means(p.Check, a); means != "" {
			line += means + "; "
		}
		line += "leaves " + Count(len(a.Candidates), "fault")
		if a.Good {
			line += ", and fits a good circuit"
		}
		if len(a.Candidates) > 0 {
			ids := slices.Clone(a.Candidates)
			slices.SortStableFunc(ids, func(x, y faultmodel.ID) int { return rank[x] - rank[y] })
			texts := make([]string, len(ids))
			for i, id := range ids {
				texts[i] = s.Texts[id]
			}
			line += ": " + Some(texts, 3)
		}
		out = append(out, line+".")
	}
	if n := Staying(p); n > 0 && !p.Proof {
		out = append(out, fmt.Sprintf("%s %s either way: nobody can foretell %s here.",
			Count(n, "fault"), Verb(n, "stays", "stay"), Verb(n, "its reading", "their readings")))
	}
	switch {
	case p.Proof:
		out = append(out,
			"A verdict is proved by a check of another kind or at another place, before the part is touched. "+
				"Each reading may be wrong, so the proof goes on until no other fault is left that one wrong "+
				"reading could hide.")
	case len(p.Outcomes) > 0 && guide.SecondLook(t):
		out = append(out, "Every reading fits a good circuit. One of them may be wrong, "+
			"so what only one of them rules out is looked at again before the circuit is called good.")
	case len(p.Outcomes) > 0:
		out = append(out, fmt.Sprintf("It takes about %s. The best check halves what is possible, "+
			"whatever it shows.", Span(p.Minutes)))
	default:
		out = append(out, "The check is your own: nothing was worked out for it.")
	}
	return out
}
