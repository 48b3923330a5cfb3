package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// chartSheet is a chart on paper.
type chartSheet struct {
	Title, Complaint, Summary, How string
	Cautions                       []string
	Rest                           string
	Steps                          []string
	Entries                        []sheetEntry
}

type sheetEntry struct {
	Number   int
	Power    string // what to do first where the power changes
	Check    string
	Goes     []sheetAnswer // to further checks
	Verdicts []sheetAnswer
}

type sheetAnswer struct{ Text, Leads string }

// What one page holds, in the type of chart_page.css: 7.5 point, lines of 9 point, two
// columns. The page is the lesser of A4 (ISO 216) and letter (ANSI Y14.1) in each
// direction, less 12 mm all round: 186 by 255 mm.
const (
	pageLines   = 80  // 255 mm in lines of 9 point
	columnRunes = 62  // 90 mm of 7.5 point, an average character half as wide as it is high
	wholeRunes  = 128 // the same over both columns
	spareLines  = 6   // for the title, the borders and gaps

	mostStepLines = 14 // steps that take more are named alone
)

// mostPages bounds what is printed of one chart: more, nobody leaves in a panel.
// Common practice, no source.
const mostPages = 20

// sheet lays a chart out on paper, on as many pages as it takes; of one that takes more than
// mostPages, the likeliest branches.
func (f *flow) sheet() chartSheet {
	const most, finer = 0.5, 1.15
	s := f.shorter(0).onPaper()
	for cut := 0.0001; s.lines() > mostPages*pageLines && cut < most; cut *= finer {
		rounded, _ := strconv.ParseFloat(fmt.Sprintf("%.2g", cut), 64)
		s = f.shorter(rounded).onPaper()
	}
	return s
}

// rows is how many lines a text takes.
func rows(text string, runes int) int {
	return int(math.Ceil(float64(len([]rune(text))) / float64(runes)))
}

// lines is how many lines a sheet takes on its page.
func (s *chartSheet) lines() int {
	head := spareLines + rows(s.Complaint+s.Summary+s.How,
		wholeRunes) + rows(s.Rest+strings.Join(s.Steps, " "), wholeRunes)
	for _, c := range s.Cautions {
		head += rows(c, wholeRunes)
	}
	body := 0
	for _, e := range s.Entries {
		body += rows(fmt.Sprint(e.Number, " ", e.Power, " ", e.Check), columnRunes)
		goes := 0
		for _, a := range e.Goes {
			goes += len([]rune(a.Text+" "+a.Leads)) + 3
		}
		body += rows(strings.Repeat(" ", goes), columnRunes-5)
		for _, a := range e.Verdicts {
			body += rows(a.Text+" "+a.Leads, columnRunes-5)
		}
	}
	return head + (body+len(s.Entries)/3+1)/2 + 1
}

func (f *flow) onPaper() chartSheet {
	speak := f.book.speak
	s := chartSheet{
		Title:     "Fault-finding chart: " + speak.Circuit.Title,
		Complaint: f.complaint(),
		Summary:   f.summary(),
		How: fmt.Sprintf("Begin at 1; go on at the number behind the answer. "+
			"No answer fits, or out of reach: go on with \"%s\". "+
			"Prove every verdict before anything is replaced.", f.book.find),
		Cautions: f.book.printedCautions("where a check says so"),
		Rest:     speak.FromRest(),
	}
	for i := range speak.Circuit.Steps {
		s.Steps = append(s.Steps, speak.StepLine(i))
	}
	if rows(strings.Join(s.Steps, " "), wholeRunes) > mostStepLines {
		for i, st := range speak.Circuit.Steps {
			s.Steps[i] = fmt.Sprintf("%d. %s.", i+1, st.Name)
		}
		s.Rest += fmt.Sprintf(" What is done in each step: \"deadrung operate %s\". The steps:",
			f.book.circuit)
	}
	if first := f.stops[0]; first.number == 0 {
		s.Entries = append(s.Entries, sheetEntry{Check: "No check parts what is possible",
			Verdicts: []sheetAnswer{{"", f.onPaperLeads(first)}}})
	}
	for _, stop := range f.stops {
		if stop.number == 0 {
			continue
		}
		e := sheetEntry{Number: stop.number, Check: speak.OnPaper(stop.fork.Turn.Next.Check)}
		switch f.notice(stop).Kind {
		case talk.PowerOff:
			e.Power = "LOCK OUT."
		case talk.PowerBack:
			e.Power = "BACK TO POWER."
		}
		for _, x := range stop.exits {
			a := sheetAnswer{x.text, f.onPaperLeads(x.to)}
			switch {
			case x.to.number > 0:
				e.Goes = append(e.Goes, a)
			case !x.to.cut:
				e.Verdicts = append(e.Verdicts, a)
			}
		}
		s.Entries = append(s.Entries, e)
	}
	return s
}

// onPaperLeads tells where an answer leads.
func (f *flow) onPaperLeads(to *stop) string {
	t := &to.fork.Turn
	switch {
	case to.number > 0:
		return fmt.Sprintf("→ %d", to.number)
	case t.Status != diagnose.Found && t.Status != diagnose.GroupLeft:
		return talk.Sentence(f.end(to))
	}
	const named = 2
	out := "■ " + talk.Sentence(talk.Some(f.book.speak.Named(f.book.speak.RankedIDs(t)), named))
	proofs, end := to.proofs()
	if len(proofs) > 0 {
		out += " Proof: " + f.book.speak.OnPaper(proofs[0].fork.Turn.Next.Check) + ": " +
			proofs[0].exits[0].text + "."
	}
	if end.number > 0 {
		out += fmt.Sprintf(" → %d", end.number)
	}
	return out
}
