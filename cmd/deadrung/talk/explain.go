package talk

import (
	"fmt"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// SummedUp sums up how many readings count for, against and neither way.
func SummedUp(readings []diagnose.Evidence) string {
	n := make(map[diagnose.Counts]int)
	for _, r := range readings {
		n[r.Counts]++
	}
	return fmt.Sprintf("%s for it, %d against it, %d neither way",
		Count(n[diagnose.CountsFor], "reading"), n[diagnose.CountsAgainst], n[diagnose.CountsNeither])
}

// CountsWords tells what a reading does to a fault.
func CountsWords(r diagnose.Evidence) string {
	switch {
	case r.Before:
		return "from before the repair"
	case r.Again:
		return "made again later"
	case r.Counts == diagnose.CountsNeither:
		return "neither"
	}
	return string(r.Counts)
}

// Foretold writes what a fault would show at a check.
func (s *Speaker) Foretold(c log.Check, r log.Reading) string {
	if !r.Firm {
		return "nothing to rely on"
	}
	text := s.Shows(c, r)
	if r.Either {
		text += ", or " + s.Shows(c, log.Reading{Kind: r.Kind, Value: r.Else, Firm: true})
	}
	return text
}

// RunnersUp tells how the check that is proposed was weighed against others, and how to
// ask about a fault.
func (s *Speaker) RunnersUp(p *diagnose.Proposal, t *diagnose.Turn) []string {
	var out []string
	if p == t.Next && len(t.Others) > 0 {
		for i, w := range s.Model.Explain(*t) {
			name := "This check"
			if i > 0 {
				name = fmt.Sprintf("Runner-up %d (type other %d to make it), %s", i, i, s.Condensed(w.Check))
			}
			out = append(out, fmt.Sprintf("%s: %s, leaves %s at the most and %.1f groups on average.",
				name, Span(w.Minutes), Count(w.Largest.Faults, "fault"), w.Groups))
		}
	}
	if len(t.Candidates) > 0 {
		out = append(out, fmt.Sprintf("Typed with a fault's name, as why %s, "+
			"it tells which readings count for and against that fault.", t.Candidates[0].ID))
	}
	return out
}
