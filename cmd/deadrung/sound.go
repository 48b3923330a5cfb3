package main

import (
	"fmt"

	"deadrung/diagnose"
)

// secondLook tells whether a turn looks again at what one reading alone ruled out: every
// reading fits a good circuit, and no fault is left but such as no check shows. Then
// either the faults that are ranked first disagree with a reading, or all are one group.
func secondLook(t *diagnose.Turn) bool {
	return t.Status == diagnose.Continue && (t.Wrong > 0 || t.Groups == 1)
}

// sound tells whether every reading of a turn fits a good circuit and only a wrong one
// could hide a fault that a check shows.
func sound(t *diagnose.Turn) bool { return t.Status == diagnose.Healthy || secondLook(t) }

// soundAfter tells what a reading did after which a circuit looks good.
func (s *speaker) soundAfter(before, now *diagnose.Turn, log diagnose.Log) string {
	text := "A good circuit still fits every reading."
	if !sound(before) {
		text = "That rules out every fault that a check shows: every reading fits a good circuit."
	}
	if now.Status == diagnose.Healthy {
		return text
	}
	n := s.onceRuledOut(log)
	return text + fmt.Sprintf(" But %s %s ruled out by a single reading, and a reading may be wrong: look again.", count(n, "fault"), verb(n, "is", "are each"))
}

// onceRuledOut counts the faults that just one reading of a log rules out.
func (s *speaker) onceRuledOut(log diagnose.Log) int {
	times := make([]int, len(s.m.Faults()))
	for i, e := range log.Entries {
		if e.Answer == nil || i < log.Since() || s.madeLater(log, i) {
			continue
		}
		for _, f := range s.m.Disagreeing(e) {
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

// madeLater tells whether the check of an entry was made again later: only the last
// counts.
func (s *speaker) madeLater(log diagnose.Log, i int) bool {
	for _, later := range log.Entries[i+1:] {
		if later.Answer != nil && s.m.Same(log.Entries[i], later) {
			return true
		}
	}
	return false
}

// madeBefore tells whether a check was made already.
func madeBefore(m *diagnose.Model, log diagnose.Log, c diagnose.Check) bool {
	again, err := m.NewEntry(c, nil)
	if err != nil {
		return false
	}
	for _, e := range log.Entries[log.Since():] {
		if e.Answer != nil && m.Same(e, again) {
			return true
		}
	}
	return false
}

// askedAgain is why the program itself asks for a check that was made already.
const askedAgain = "the readings contradict each other, and no check is left that was not made: the new reading takes the place of the old one"

// remaining tells how much of a turn is still possible.
func remaining(t *diagnose.Turn) string {
	text := count(len(t.Left), "fault")
	if t.Groups > 1 {
		text += fmt.Sprintf(" in %d groups", t.Groups)
	}
	doubt := fmt.Sprintf("if %s %s wrong", count(t.Wrong, "reading"), verb(t.Wrong, "is", "are"))
	switch {
	case sound(t) && t.Wrong == 0:
		return "a good circuit, or " + text + " that no check shows"
	case sound(t):
		return "a good circuit; or, " + doubt + ", " + text
	case t.Wrong > 0:
		text += ", " + doubt
	}
	if t.GoodLeft {
		text += ", or none at all"
	}
	return text
}

// verb takes the form that goes with a number.
func verb(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}
