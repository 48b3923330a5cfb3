package talk

import (
	"fmt"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Wrong tells a complaint: "door left open: horn B1 is silent".
func (s *Speaker) Wrong(e log.Entry) string {
	return fmt.Sprintf("%s: %s is %s", e.Check.Step, s.LookedAt(e.Check), s.LookOf(e.Check).Says(e.Answer.On))
}

// RungsNotDrawn says that a drawing leaves rungs out on which something is in doubt; nothing for none.
func RungsNotDrawn(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("Less likely faults are on %s that %s not drawn here.", Count(n, "more rung"), Verb(n, "is", "are"))
}

// Plural writes a number with the form of a noun that goes with it.
func Plural(n int, one, more string) string { return fmt.Sprintf("%d %s", n, Verb(n, one, more)) }

// OnPaper tells a check with its condition in few words: the steps have numbers there.
func (s *Speaker) OnPaper(c log.Check) string {
	step := max(0, s.Circuit.Step(c.Step)) + 1
	if c.Kind().Off() {
		return fmt.Sprintf("%s, held as in step %d", SentenceStart(s.Brief(c)), step)
	}
	return fmt.Sprintf("%s, step %d", SentenceStart(s.Brief(c)), step)
}

// RankedIDs gives the identities of what is left, the likeliest first.
func (s *Speaker) RankedIDs(t *diagnose.Turn) []faultmodel.ID {
	var ids []faultmodel.ID
	for _, c := range s.Ranked(t) {
		ids = append(ids, c.ID)
	}
	return ids
}
