package dialogue

import (
	"fmt"
	"strings"

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

// Report writes the one-page report of a session in Markdown: what was reported, what
// was checked and what each reading ruled out, the verdict, and what there is to sign.
// Its head has the date, and the facts.
func (d *Dialogue) Report(facts []string) string {
	var page markdownReport
	page.write("# Fault report: %s\n", talk.Marked(d.Speak.Circuit.Title))
	d.reportFacts(&page, facts)
	page.write("\n%s", talk.CautionOf(d.Model.Panel()).Markdown())
	d.reportParts(&page)
	return page.String()
}

// ReportHTML is the report as the body of a page to print: its head, and escaped HTML.
func (d *Dialogue) ReportHTML(facts ...string) (title, caution, body string) {
	var page htmlReport
	d.reportFacts(&page, facts)
	d.reportParts(&page)
	return "Fault report: " + d.Speak.Circuit.Title, talk.CautionOf(d.Model.Panel()).Line(), page.body()
}

func (d *Dialogue) reportFacts(page reportForm, facts []string) {
	page.item("Date: " + d.Now().Format("2006-01-02 15:04"))
	for _, f := range facts {
		page.item(f)
	}
}

func (d *Dialogue) reportParts(page reportForm) {
	d.reportComplaint(page)
	d.reportChecks(page)
	d.reportVerdict(page)
	d.reportOperation(page)
}

func (d *Dialogue) reportComplaint(page reportForm) {
	page.heading("Complaint")
	none := true
	for _, e := range d.Log().Entries {
		if e.Note == talk.ComplaintNote {
			none = false
			page.item(d.Speak.Entry(e))
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

func (d *Dialogue) reportChecks(page reportForm) {
	page.heading("Checks")
	var rows [][]string
	numbers := guide.Numbers(d.Log().Entries)
	for i, t := range d.Speak.Tallies(d.Log()) {
		number := "-"
		if numbers[i] > 0 {
			number = fmt.Sprint(numbers[i])
		}
		rows = append(rows, []string{number, d.Speak.Condensed(t.Entry.Check),
			answerNoted(d.Speak, t.Entry), d.Speak.RuledOut(t, reportedRuledOut)})
	}
	page.table([]string{"#", "check", "reading", "ruled out"}, rows)
	for i, s := range d.Log().Seen {
		if i == 0 {
			page.line("")
		}
		page.item(talk.Found(s))
	}
	for i, line := range talk.CameAndWent(d.Log()) {
		if i == 0 {
			page.line("")
		}
		page.item(line)
	}
}

func (d *Dialogue) reportVerdict(page reportForm) {
	t := d.Turn()
	page.heading("Verdict")
	concluded := t.Status == diagnose.Found || t.Status == diagnose.GroupLeft
	switch {
	case concluded:
		if t.Status == diagnose.GroupLeft {
			for _, text := range d.Speak.GroupLeft(t, d.Cannots()) {
				page.para(text)
			}
		}
		for _, p := range d.Speak.Verdict(t) {
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
		for _, text := range d.Speak.Repair(t) {
			page.box(text)
		}
	case t.Status == diagnose.Healthy:
		for _, text := range d.Speak.Healthy() {
			page.para(text)
		}
	case t.Status == diagnose.Contradiction, t.Status == diagnose.Unlisted:
		for _, p := range d.Speak.Contradiction(t, d.Log()) {
			page.para(p.Line())
		}
	default:
		page.para(fmt.Sprintf("Not found yet. Still possible: %s.", talk.Remaining(t)))
		for _, g := range d.Speak.Possible(t, reportedLeft) {
			page.item(strings.TrimSpace(g.Label + " " + g.Text))
		}
	}
}

func (d *Dialogue) reportOperation(page reportForm) {
	page.heading("Proof of operation")
	var rows [][]string
	for i := range d.Speak.Circuit.Steps {
		tick := "[ ]"
		if i < len(d.Guide.Proving()) {
			tick = map[guide.Outcome]string{guide.NotWorked: "[ ]", guide.WorkedRight: "[x]", guide.WorkedWrong: "NO"}[d.Guide.Proving()[i]]
		}
		rows = append(rows, []string{d.Speak.StepLine(i), d.Speak.MustBe(i), tick})
	}
	page.table([]string{"step", "must be", "right"}, rows)
	if d.Guide.Finished() {
		page.line("")
		page.line("Repair proved: the whole operation worked right.")
	}
	page.signed("Done by: ____________________  Released by: ____________________")
}
