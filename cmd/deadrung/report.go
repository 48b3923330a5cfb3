package main

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// reportedLeft is how many groups a report names that are still possible, and
// reportedRuledOut how many faults for each reading: more do not fit a page.
const (
	reportedLeft     = 6
	reportedRuledOut = 2
)

// report writes the one-page report of a session in Markdown: what was reported, what
// was checked and what each reading ruled out, the verdict, and what there is to sign.
func (d *dialogue) report(o findOptions) string {
	var page markdownReport
	page.write("# Fault report: %s\n", talk.Marked(d.speak.Circuit.Title))
	d.reportFacts(&page, o)
	page.write("\n%s", talk.CautionOf(d.m.Panel()).Markdown())
	d.reportParts(&page)
	return page.String()
}

// reportPage is the report as a page to print.
func (d *dialogue) reportPage(o findOptions) sheet.Page {
	var page htmlReport
	d.reportFacts(&page, o)
	d.reportParts(&page)
	return sheet.Page{Title: "Fault report: " + d.speak.Circuit.Title,
		Cautions: []string{talk.CautionOf(d.m.Panel()).Line()}, Body: page.body()}
}

func (d *dialogue) reportFacts(page reportForm, o findOptions) {
	page.item("Date: " + d.now().Format("2006-01-02 15:04"))
	page.item("Circuit file: " + o.circuit)
	if o.log != "" {
		page.item("Log: " + o.log)
	}
	if o.simulate != "" {
		page.item("Answered by a simulated panel.")
	}
}

func (d *dialogue) reportParts(page reportForm) {
	d.reportComplaint(page)
	d.reportChecks(page)
	d.reportVerdict(page)
	d.reportOperation(page)
}

func (d *dialogue) reportComplaint(page reportForm) {
	page.heading("Complaint")
	none := true
	for _, e := range d.log().Entries {
		if e.Note == talk.ComplaintNote {
			none = false
			page.item(d.speak.Entry(e))
		}
	}
	if none {
		page.line("None was given.")
	}
}

// answerNoted is an answer with what was noted beside it.
func answerNoted(speak *talk.Speaker, e log.Entry) string {
	text := speak.Answer(e.Check, e.Answer)
	if e.Note != "" && e.Note != talk.ComplaintNote && e.Note != guide.RepairedNote {
		text += " (" + e.Note + ")"
	}
	return text
}

func (d *dialogue) reportChecks(page reportForm) {
	page.heading("Checks")
	var rows [][]string
	numbers := guide.Numbers(d.log().Entries)
	for i, t := range d.speak.Tallies(d.log()) {
		number := "-"
		if numbers[i] > 0 {
			number = fmt.Sprint(numbers[i])
		}
		rows = append(rows, []string{number, d.speak.Condensed(t.Entry.Check),
			answerNoted(d.speak, t.Entry), d.speak.RuledOut(t, reportedRuledOut)})
	}
	page.table([]string{"#", "check", "reading", "ruled out"}, rows)
	for i, s := range d.log().Seen {
		if i == 0 {
			page.line("")
		}
		page.item(talk.Found(s))
	}
}

func (d *dialogue) reportVerdict(page reportForm) {
	t := d.turn()
	page.heading("Verdict")
	concluded := t.Status == diagnose.Found || t.Status == diagnose.GroupLeft
	switch {
	case concluded:
		if t.Status == diagnose.GroupLeft {
			for _, text := range d.speak.GroupLeft(t, d.cannots()) {
				page.para(text)
			}
		}
		for _, p := range d.speak.Verdict(t) {
			switch p.Label {
			case "VERDICT":
				page.strong(p.Text)
			case "":
				if p.Mark == "" {
					page.line(p.Text)
				} else {
					page.item(p.Text) // one of several faults
				}
			default:
				page.para(p.Label + ": " + p.Text)
			}
		}
		if proof := talk.ProofWords(t); proof != "" {
			page.line("")
			page.line("Proof: " + proof)
		}
		page.heading("Repair")
		page.box("Locked out, tried, proved dead.")
		for _, text := range d.speak.Repair(t) {
			page.box(text)
		}
	case t.Status == diagnose.Healthy:
		for _, text := range d.speak.Healthy() {
			page.para(text)
		}
	case t.Status == diagnose.Contradiction, t.Status == diagnose.Unlisted:
		for _, p := range d.speak.Contradiction(t, d.log()) {
			page.para(p.Line())
		}
	default:
		page.para(fmt.Sprintf("Not found yet. Still possible: %s.", talk.Remaining(t)))
		for _, g := range d.speak.Possible(t, reportedLeft) {
			page.item(strings.TrimSpace(g.Label + " " + g.Text))
		}
	}
}

func (d *dialogue) reportOperation(page reportForm) {
	page.heading("Proof of operation")
	var rows [][]string
	for i := range d.speak.Circuit.Steps {
		tick := "[ ]"
		if i < len(d.guide.Proving()) {
			tick = map[guide.Outcome]string{guide.NotWorked: "[ ]", guide.WorkedRight: "[x]", guide.WorkedWrong: "NO"}[d.guide.Proving()[i]]
		}
		rows = append(rows, []string{d.speak.StepLine(i), d.speak.MustBe(i), tick})
	}
	page.table([]string{"step", "must be", "right"}, rows)
	if d.guide.Finished() {
		page.line("")
		page.line("Repair proved: the whole operation worked right.")
	}
	page.signed("Done by: ____________________  Released by: ____________________")
}
