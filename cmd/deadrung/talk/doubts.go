package talk

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// What a turn says beyond one fault: readings that contradict each other, readings that
// changed, two faults at once, and what blew a fuse.

// namer names a reading by its index in the log and its line in the file: "check 4",
// "line 7".
type namer func(index, line int) string

// ByCheck names readings as the session counts its checks.
func ByCheck(history log.Log) namer {
	numbers := guide.Numbers(history.Entries)
	return func(index, _ int) string {
		if numbers[index] > 0 {
			return fmt.Sprintf("check %d", numbers[index])
		}
		return "what was known before in \"" + history.Entries[index].Check.Step + "\""
	}
}

// byLine names readings by their lines in the file.
func byLine(_, line int) string { return fmt.Sprintf("line %d", line) }

// contradicting says plainly which readings contradict each other.
func (s *Speaker) contradicting(t *diagnose.Turn, name namer) []string {
	var out []string
	for _, c := range t.Contradicting {
		out = append(out,
			fmt.Sprintf("%s and %s contradict each other: no single fault gives both, nor does a good circuit.",
				SentenceStart(name(c.Indices[0], c.Lines[0])), name(c.Indices[1], c.Lines[1])))
	}
	return out
}

// SentenceStart begins a text with a capital.
func SentenceStart(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// Dropping says what dropping a doubtful reading would leave; nothing if no single fault
// fits the others either.
func (s *Speaker) Dropping(c diagnose.Conflict) string {
	if len(c.Leaves) == 0 {
		return ""
	}
	return "without it: " + Some(s.Named(c.Leaves), 2)
}

// Named gives the texts of faults.
func (s *Speaker) Named(ids []faultmodel.ID) []string {
	texts := make([]string, len(ids))
	for i, id := range ids {
		texts[i] = s.Texts[id]
	}
	return texts
}

// Changed says which checks gave another answer when they were made again.
func (s *Speaker) Changed(t *diagnose.Turn, name namer) []string {
	var out []string
	for _, c := range t.Intermittent {
		var made []string
		for k, i := range c.Indices {
			made = append(made, name(i, c.Lines[k]))
		}
		text := fmt.Sprintf("INTERMITTENT? %s: %s gave different answers. "+
			"A connection or contact may come and go, or one of these readings was wrong.",
			s.Condensed(c.Check), strings.Join(made, " and "))
		if len(c.IDs) > 0 {
			text += " What comes and goes may be: " + Some(s.Named(c.IDs), 4) + "."
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
func (s *Speaker) pairs(t *diagnose.Turn) []Point {
	if len(t.Pairs) == 0 {
		return []Point{{Text: "No two faults of the list were found that give every reading."}}
	}
	points := []Point{{Text: "Two faults at once would give every reading, the likeliest first:"}}
	share := make(map[faultmodel.ID]float64)
	var shared faultmodel.ID // by most of them
	for i, p := range t.Pairs {
		for _, id := range p.IDs {
			if share[id] += p.Probability; share[id] > share[shared] {
				shared = id
			}
		}
		if i < pairsNamed {
			points = append(points, Point{Label: Chance(p.Probability),
				Text: fmt.Sprintf("%s, and %s", p.Texts[0], p.Texts[1])})
		}
	}
	if more := len(t.Pairs) - pairsNamed; more > 0 {
		points = append(points, Point{Label: "", Text: fmt.Sprintf("and %d less likely.", more)})
	}
	if len(t.Pairs) > 1 && share[shared] >= mostShare {
		points = append(points, Point{Label: "",
			Text: fmt.Sprintf("Most of them share one: %s (%s).", s.Texts[shared], Chance(share[shared]))})
	}
	return points
}

// Doubts says, where no single fault fits every reading, which readings contradict each
// other, which changed, and which two faults would give them all.
func (s *Speaker) Doubts(t *diagnose.Turn, history log.Log) []Point {
	name := ByCheck(history)
	var points []Point
	for _, text := range append(s.contradicting(t, name), s.Changed(t, name)...) {
		points = append(points, Point{Text: text})
	}
	for _, p := range s.pairs(t) {
		if p.Label != "" {
			p = Point{Mark: "- ", Text: fmt.Sprintf("%s (%s)", p.Text, p.Label)}
		}
		points = append(points, p)
	}
	return points
}

// causes tells what may have blown the fuse that a verdict is, and the checks that show
// it.
func (s *Speaker) causes(t *diagnose.Turn) []Point {
	if len(t.Causes) == 0 {
		return nil
	}
	points := []Point{{Label: "Causes",
		Text: fmt.Sprintf("%s of the list would have blown it, the likeliest first: %s.",
			Count(len(t.Causes), "fault"), Some(s.Named(t.Causes), 4))}}
	for i, c := range t.CauseChecks {
		label := ""
		if i == 0 {
			label = "Check"
		}
		points = append(points, Point{Label: label, Text: Sentence(s.Condensed(c))})
	}
	return points
}

// PrintDoubts prints for people which readings of a log are in doubt, and what dropping
// each would leave.
func PrintDoubts(out *Page, s *Speaker, t *diagnose.Turn) {
	if !guide.Sound(t) {
		for _, c := range t.Conflicts {
			out.Raw(fmt.Sprintf("  doubtful: line %d, %s\n", c.Line, c.Entry))
			if without := s.Dropping(c); without != "" {
				out.Hang("    ", fmt.Sprintf("--drop %d leaves it out; %s", c.Line, without))
			}
		}
	}
	for _, text := range append(s.contradicting(t, byLine), s.Changed(t, byLine)...) {
		out.Hang("  ", text)
	}
}

// PrintBeyond prints for people what a turn says beyond one fault: two faults at once, what is
// not on the list, which check may tell more, and what blew a fuse.
func PrintBeyond(out *Page, s *Speaker, t *diagnose.Turn) {
	if t.Wrong > 0 && !guide.Sound(t) {
		out.Blank()
		for i, p := range s.pairs(t) {
			if i == 0 {
				out.Para("", p.Text)
			} else {
				out.Hang(fmt.Sprintf("  %7s  ", p.Label), p.Text)
			}
		}
	}
	if t.Status == diagnose.Unlisted {
		out.Blank()
		out.Para("", s.beyond())
	}
	if t.Next == nil {
		for _, p := range s.mayPart(t) {
			out.Blank()
			out.Hang(p.Label+": ", p.Text)
		}
	}
	if len(t.Causes) > 0 {
		out.Blank()
		out.Hang("WARNING: ", blownWarning)
		for _, p := range s.causes(t) {
			out.Hang(fmt.Sprintf("  %-7s ", p.Label), p.Text)
		}
	}
}
