package talk

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// SoundAfter tells what a reading did after which a circuit looks good; first where it did
// not before.
func (s *Speaker) SoundAfter(first bool, now *diagnose.Turn, history log.Log) string {
	text := "A good circuit still fits every reading."
	if first {
		text = "That rules out every fault that a check shows: every reading fits a good circuit."
	}
	if now.Status == diagnose.Healthy {
		return text
	}
	n := s.OnceRuledOut(history)
	return text + fmt.Sprintf(" But %s %s ruled out by a single reading, and a reading may be wrong: "+
		"look again.", Count(n, "fault"), Verb(n, "is", "are each"))
}

// OnceRuledOut counts the faults that just one reading of a log rules out.
func (s *Speaker) OnceRuledOut(history log.Log) int {
	times := make([]int, len(s.Model.Faults()))
	for i, e := range history.Entries {
		if e.Answer == nil || i < history.Since() || s.MadeLater(history, i) {
			continue
		}
		for _, f := range s.Model.Disagreeing(e) {
			times[f]++
		}
	}
	n := 0
	for _, t := range times {
		if t == 1 {
			n++
		}
	}
	return n
}

// MadeLater tells whether the check of an entry was made again later: only the last
// counts.
func (s *Speaker) MadeLater(history log.Log, i int) bool {
	for _, later := range history.Entries[i+1:] {
		if later.Answer != nil && s.Model.Book().Same(history.Entries[i], later) {
			return true
		}
	}
	return false
}

// Why the program itself asks for a check that was made already.
const (
	askedAgain = "the readings contradict each other, and no check is left that was not made: " +
		"the new reading takes the place of the old one"
	guardedAgain = "one wrong reading there could hide another fault, and no check that was not made " +
		"guards against it as well: the new reading takes the place of the old one"
)

// AskedAgain is why the program itself asks for a check that was made already.
func AskedAgain(t *diagnose.Turn) string {
	if t.Wrong == 0 {
		return guardedAgain
	}
	return askedAgain
}

// KnownGood tells which devices are known to be good; empty where none is.
func KnownGood(known []string) string {
	if len(known) == 0 {
		return ""
	}
	return "Known good so far: " + strings.Join(known, ", ") + "."
}

// Remaining tells how much of a turn is still possible.
func Remaining(t *diagnose.Turn) string {
	text := Count(len(t.Left), "fault")
	if t.Groups > 1 {
		text += fmt.Sprintf(" in %d groups", t.Groups)
	}
	doubt := fmt.Sprintf("if %s %s wrong", Count(t.Wrong, "reading"), Verb(t.Wrong, "is", "are"))
	switch {
	case guide.Sound(t) && t.Wrong == 0:
		return "a good circuit, or " + text + " that no check shows"
	case guide.Sound(t):
		return "a good circuit; or, " + doubt + ", " + text
	case t.Wrong > 0:
		text += ", " + doubt
	}
	if t.GoodLeft {
		text += ", or none at all"
	}
	return text
}

// Verb takes the form that goes with a number.
func Verb(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}
