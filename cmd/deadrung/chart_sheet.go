package main

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"deadrung/diagnose"
)

// chartSheet is a chart on one page of paper.
type chartSheet struct {
	Title, Complaint, Summary, How string
	Cautions                       []string
	Rest                           string
	Steps                          []string
	Entries                        []sheetEntry
}

type sheetEntry struct {
	Number  int
	Power   string // what to do first where the power changes
	Check   string
	Answers []sheetAnswer
}

type sheetAnswer struct {
	Text  string
	Leads template.HTML
}

// What one page holds, in the type of chart_page.css: 7.5 point, lines of 9 point, two
// columns. The page is the lesser of A4 (ISO 216) and letter (ANSI Y14.1) in each
// direction, less 12 mm all round: 186 by 255 mm.
const (
	pageLines   = 80  // 255 mm in lines of 9 point
	columnRunes = 62  // 90 mm of 7.5 point, an average character half as wide as it is high
	wholeRunes  = 128 // the same over both columns
	spareLines  = 6   // for the title, the borders and gaps
)

// paperCuts are the shares that are tried in turn until what is left fits a page.
var paperCuts = []float64{0, 0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.015, 0.02, 0.03, 0.05, 0.075, 0.1, 0.2, 0.5}

// sheet lays a chart out on paper: as much of it as one page holds, the likeliest
// branches.
func (f *flow) sheet() chartSheet {
	var s chartSheet
	for _, cut := range paperCuts {
		if cut < f.cut {
			cut = f.cut
		}
		s = f.book.flow(f.chart, f.log, cut).onPaper()
		if s.lines() <= pageLines {
			break
		}
	}
	return s
}

// lines is how many lines a sheet takes on its page.
func (s *chartSheet) lines() int {
	rows := func(text string, runes int) int {
		return int(math.Ceil(float64(len([]rune(text))) / float64(runes)))
	}
	head := spareLines + rows(s.Complaint+s.Summary+s.How, wholeRunes) + rows(s.Rest+strings.Join(s.Steps, " "), wholeRunes)
	for _, c := range s.Cautions {
		head += rows(c, wholeRunes)
	}
	body := 0
	for _, e := range s.Entries {
		body += rows(fmt.Sprint(e.Number, " ", e.Power, " ", e.Check), columnRunes)
		for _, a := range e.Answers {
			body += rows(a.Text+" "+string(a.Leads), columnRunes-3)
		}
	}
	return head + (body+1)/2 + len(s.Entries)/10
}

func (f *flow) onPaper() chartSheet {
	speak := f.book.speak
	s := chartSheet{
		Title:     "Fault-finding chart: " + speak.circuit.Title,
		Complaint: f.complaint(),
		Summary:   f.summary(),
		How: fmt.Sprintf("Begin at 1; go on at the number behind the answer. None fits, out of reach, or \"find\": go on with \"deadrung find %s\". "+
			"Prove every verdict before anything is replaced.", f.book.circuit),
		Cautions: []string{oneLine(caution), oneLine(strings.Replace(lockOut, " before this check", "", 1)),
			oneLine(strings.Replace(strings.Replace(backToPower, " before this check", "", 1), ", below,", "", 1))},
		Rest: speak.fromRest(),
	}
	for i := range speak.circuit.Steps {
		s.Steps = append(s.Steps, speak.stepLine(i))
	}
	if len(f.stops) == 1 || f.stops[0].number == 0 {
		s.Entries = append(s.Entries, sheetEntry{Check: "No check parts what is possible.", Answers: []sheetAnswer{{"", f.onPaperLeads(f.stops[0])}}})
	}
	for _, stop := range f.stops {
		if stop.number == 0 {
			continue
		}
		e := sheetEntry{Number: stop.number, Check: speak.onPaper(stop.fork.Turn.Next.Check)}
		switch stop.notice() {
		case lockOut:
			e.Power = "LOCK OUT."
		case backToPower:
			e.Power = "BACK TO POWER."
		}
		for _, x := range stop.exits {
			e.Answers = append(e.Answers, sheetAnswer{x.text, f.onPaperLeads(x.to)})
		}
		s.Entries = append(s.Entries, e)
	}
	return s
}

// onPaper tells a check with its condition in few words: the steps have numbers there.
func (s *speaker) onPaper(c diagnose.Check) string {
	step := max(0, s.circuit.Step(c.Step)) + 1
	if c.Kind() == diagnose.Ohms {
		return fmt.Sprintf("%s, held as in step %d", sentenceStart(s.brief(c)), step)
	}
	return fmt.Sprintf("%s, step %d", sentenceStart(s.brief(c)), step)
}

// onPaperLeads tells where an answer leads.
func (f *flow) onPaperLeads(to *stop) template.HTML {
	text := template.HTMLEscapeString
	switch t := &to.fork.Turn; {
	case to.number > 0:
		return template.HTML(fmt.Sprintf("→ %d", to.number))
	case to.cut:
		return "→ find"
	case t.Status == diagnose.Healthy:
		return "→ every reading fits a good circuit"
	case t.Status == diagnose.Found || t.Status == diagnose.GroupLeft:
		var texts []string
		for _, c := range f.book.speak.ranked(t) {
			texts = append(texts, c.Text)
		}
		out := "■ " + text(some(texts, 2)) + "."
		proofs, end := to.proofs()
		if len(proofs) > 0 {
			out += " Proof: " + text(f.book.speak.onPaper(proofs[0].fork.Turn.Next.Check)+": "+proofs[0].exits[0].text) + "."
		}
		if end.number > 0 {
			out += fmt.Sprintf(" → %d", end.number)
		}
		return template.HTML(out)
	}
	return "→ find"
}
