package main

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// What a turn says beyond one fault: readings that contradict each other, readings that
// changed, two faults at once, and what blew a fuse.

// namer names a reading by its index in the log and its line in the file: "check 4",
// "line 7".
type namer func(index, line int) string

// byCheck names readings as the session counts its checks.
func byCheck(log diagnose.Log) namer {
	numbers := checkNumbers(log.Entries)
	return func(index, _ int) string {
		if numbers[index] > 0 {
			return fmt.Sprintf("check %d", numbers[index])
		}
		return "what was known before in \"" + log.Entries[index].Check.Step + "\""
	}
}

// byLine names readings by their lines in the file.
func byLine(_, line int) string { return fmt.Sprintf("line %d", line) }

// contradicting says plainly which readings contradict each other.
func (s *speaker) contradicting(t *diagnose.Turn, name namer) []string {
	var out []string
	for _, c := range t.Contradicting {
		out = append(out, fmt.Sprintf("%s and %s contradict each other: no single fault gives both, nor does a good circuit.",
			sentenceStart(name(c.Indices[0], c.Lines[0])), name(c.Indices[1], c.Lines[1])))
	}
	return out
}

func sentenceStart(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// dropping says what dropping a doubtful reading would leave; nothing if no single fault
// fits the others either.
func (s *speaker) dropping(c diagnose.Conflict) string {
	if len(c.Leaves) == 0 {
		return ""
	}
	return "without it: " + some(s.named(c.Leaves), 2)
}

// named gives the texts of faults.
func (s *speaker) named(ids []faultmodel.ID) []string {
	texts := make([]string, len(ids))
	for i, id := range ids {
		texts[i] = s.texts[id]
	}
	return texts
}

// changed says which checks gave another answer when they were made again.
func (s *speaker) changed(t *diagnose.Turn, name namer) []string {
	var out []string
	for _, c := range t.Intermittent {
		var made []string
		for k, i := range c.Indices {
			made = append(made, name(i, c.Lines[k]))
		}
		text := fmt.Sprintf("INTERMITTENT? %s: %s gave different answers. A connection or contact may come and go, or one of these readings was wrong.",
			s.condensed(c.Check), strings.Join(made, " and "))
		if len(c.IDs) > 0 {
			text += " What comes and goes may be: " + some(s.named(c.IDs), 4) + "."
		}
		out = append(out, text)
	}
	return out
}

// pairsNamed is how many pairs of faults are told to a person, and mostShare from which
// share of the pairs a fault is worth a word of its own. Common practice, no source.
const (
	pairsNamed = 5
	mostShare  = 0.6
)

// pairs tells which two faults at once would give every reading that no single one does.
func (s *speaker) pairs(t *diagnose.Turn) []point {
	if len(t.Pairs) == 0 {
		return []point{{"", "No two faults of the list were found that give every reading."}}
	}
	points := []point{{"", "Two faults at once would give every reading, the likeliest first:"}}
	share := make(map[faultmodel.ID]float64)
	var shared faultmodel.ID // by most of them
	for i, p := range t.Pairs {
		for _, id := range p.IDs {
			if share[id] += p.Probability; share[id] > share[shared] {
				shared = id
			}
		}
		if i < pairsNamed {
			points = append(points, point{chance(p.Probability), fmt.Sprintf("%s, and %s", p.Texts[0], p.Texts[1])})
		}
	}
	if more := len(t.Pairs) - pairsNamed; more > 0 {
		points = append(points, point{"", fmt.Sprintf("and %d less likely.", more)})
	}
	if len(t.Pairs) > 1 && share[shared] >= mostShare {
		points = append(points, point{"", fmt.Sprintf("Most of them share one: %s (%s).", s.texts[shared], chance(share[shared]))})
	}
	return points
}

// doubts says, where no single fault fits every reading, which readings contradict each
// other, which changed, and which two faults would give them all.
func (s *speaker) doubts(t *diagnose.Turn, log diagnose.Log) []string {
	name := byCheck(log)
	text := append(s.contradicting(t, name), s.changed(t, name)...)
	for i, p := range s.pairs(t) {
		switch {
		case i == 0 || p.label == "":
			text = append(text, p.text)
		default:
			text = append(text, fmt.Sprintf("- %s (%s)", p.text, p.label))
		}
	}
	return text
}

// causes tells what may have blown the fuse that a verdict is, and the checks that show
// it.
func (s *speaker) causes(t *diagnose.Turn) []point {
	if len(t.Causes) == 0 {
		return nil
	}
	points := []point{{"Causes", fmt.Sprintf("%s of the list would have blown it, the likeliest first: %s.",
		count(len(t.Causes), "fault"), some(s.named(t.Causes), 4))}}
	for i, c := range t.CauseChecks {
		label := ""
		if i == 0 {
			label = "Check"
		}
		points = append(points, point{label, sentence(s.condensed(c))})
	}
	return points
}

// printDoubts prints for people which readings of a log are in doubt, and what dropping
// each would leave.
func printDoubts(out *page, s *speaker, t *diagnose.Turn) {
	if !sound(t) {
		for _, c := range t.Conflicts {
			out.raw(fmt.Sprintf("  doubtful: line %d, %s\n", c.Line, c.Entry))
			if without := s.dropping(c); without != "" {
				out.hang("    ", fmt.Sprintf("--drop %d leaves it out; %s", c.Line, without))
			}
		}
	}
	for _, text := range append(s.contradicting(t, byLine), s.changed(t, byLine)...) {
		out.hang("  ", text)
	}
}

// printBeyond prints for people what a turn says beyond one fault: two faults at once, and
// what blew a fuse.
func printBeyond(out *page, s *speaker, t *diagnose.Turn) {
	if t.Wrong > 0 && !sound(t) {
		out.blank()
		for i, p := range s.pairs(t) {
			if i == 0 {
				out.para("", p.text)
			} else {
				out.hang(fmt.Sprintf("  %7s  ", p.label), p.text)
			}
		}
	}
	if len(t.Causes) > 0 {
		out.blank()
		out.hang("WARNING: ", blownWarning)
		for _, p := range s.causes(t) {
			out.hang(fmt.Sprintf("  %-7s ", p.label), p.text)
		}
	}
}
