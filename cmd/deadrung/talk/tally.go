package talk

import (
	"fmt"

	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// ComplaintNote marks the readings that were known before the first check.
const ComplaintNote = training.ComplaintNote

// NumberMark puts a number before a line of a list; a dash where there is none.
func NumberMark(n int) string {
	if n == 0 {
		return "  -  "
	}
	return fmt.Sprintf("%3d. ", n)
}

// tally is what one reading ruled out.
type tally struct {
	Entry  log.Entry
	Faults []int // by index, those that no reading before it had ruled out
	Again  bool  // measured again later: only the last counts
	before bool  // measured before the panel was repaired
}

// Tallies tells for each reading what it ruled out that was possible before it.
func (s *Speaker) Tallies(history log.Log) []tally {
	out := make([]tally, 0, len(history.Entries))
	gone := make([]bool, len(s.Model.Faults()))
	for i, e := range history.Entries {
		t := tally{Entry: e, Again: s.MadeLater(history, i), before: i < history.Since()}
		if t.Again || t.before {
			out = append(out, t)
			continue
		}
		for _, f := range s.Model.Disagreeing(e) {
			if !gone[f] {
				gone[f] = true
				t.Faults = append(t.Faults, f)
			}
		}
		out = append(out, t)
	}
	return out
}

// RuledOut tells in words what a reading ruled out.
func (s *Speaker) RuledOut(t tally, named int) string {
	switch {
	case t.Entry.Answer == nil:
		return "its equals are not proposed again"
	case t.before:
		return "made before the repair, and no longer counts"
	case t.Again:
		return "made again later, and counted there"
	case len(t.Faults) == 0:
		return "ruled out nothing new"
	}
	text := fmt.Sprintf("ruled out %d", len(t.Faults))
	if named == 0 {
		return text
	}
	texts := make([]string, len(t.Faults))
	for i, f := range t.Faults {
		texts[i] = s.Model.Faults()[f].Text
	}
	return text + ": " + Some(texts, named)
}
