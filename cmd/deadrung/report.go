package main

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

// report writes the one-page report of a session in Markdown: what was reported, what
// was checked and what each reading ruled out, the verdict, and what there is to sign.
func (d *dialogue) report(o findOptions) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	c := d.speak.Circuit
	line("# Fault report: %s\n", talk.Marked(c.Title))
	line("- Date: %s", d.now().Format("2006-01-02 15:04"))
	line("- Circuit file: %s", talk.Marked(o.circuit))
	if o.log != "" {
		line("- Log: %s", talk.Marked(o.log))
	}
	if o.simulate != "" {
		line("- Answered by a simulated panel.")
	}
	line("\n%s", talk.CautionOf(d.m.Panel()).Markdown())
	d.reportComplaint(line)
	d.reportChecks(line)
	d.reportVerdict(line)
	d.reportOperation(line)
	return b.String()
}

func (d *dialogue) reportComplaint(line func(string, ...any)) {
	line("\n## Complaint\n")
	none := true
	for _, e := range d.log().Entries {
		if e.Note == talk.ComplaintNote {
			none = false
			line("- %s", talk.Marked(d.speak.Entry(e)))
		}
	}
	if none {
		line("None was given.")
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

func (d *dialogue) reportChecks(line func(string, ...any)) {
	line("\n## Checks\n")
	line("| # | check | reading | ruled out |")
	line("| --- | --- | --- | --- |")
	numbers := guide.Numbers(d.log().Entries)
	for i, t := range d.speak.Tallies(d.log()) {
		number := "-"
		if numbers[i] > 0 {
			number = fmt.Sprint(numbers[i])
		}
		line("| %s | %s | %s | %s |", number, talk.Marked(d.speak.Condensed(t.Entry.Check)),
			talk.Marked(answerNoted(d.speak, t.Entry)), talk.Marked(d.speak.RuledOut(t, reportedRuledOut)))
	}
	for i, s := range d.log().Seen {
		if i == 0 {
			line("")
		}
		line("- %s", talk.Marked(talk.Found(s)))
	}
}

func (d *dialogue) reportVerdict(line func(string, ...any)) {
	t := d.turn()
	line("\n## Verdict\n")
	concluded := t.Status == diagnose.Found || t.Status == diagnose.GroupLeft
	switch {
	case concluded:
		if t.Status == diagnose.GroupLeft {
			for _, text := range d.speak.GroupLeft(t, d.cannots()) {
				line("%s\n", talk.Marked(text))
			}
		}
		for _, p := range d.speak.Verdict(t) {
			switch p.Label {
			case "VERDICT":
				line("**%s**\n", talk.Marked(p.Text))
			case "":
				line("%s", talk.Marked(p.Line())) // one of several faults, with its dash
			default:
				line("%s: %s\n", p.Label, talk.Marked(p.Text))
			}
		}
		if proof := talk.ProofWords(t); proof != "" {
			line("\nProof: %s", talk.Marked(proof))
		}
		line("\n## Repair\n")
		line("- [ ] Locked out, tried, proved dead.")
		for _, text := range d.speak.Repair(t) {
			line("- [ ] %s", talk.Marked(text))
		}
	case t.Status == diagnose.Healthy:
		for _, text := range d.speak.Healthy() {
			line("%s\n", talk.Marked(text))
		}
	case t.Status == diagnose.Contradiction, t.Status == diagnose.Unlisted:
		for _, p := range d.speak.Contradiction(t, d.log()) {
			line("%s\n", talk.Marked(p.Line()))
		}
	default:
		line("Not found yet. Still possible: %s.\n", talk.Remaining(t))
		for _, g := range d.speak.Possible(t, reportedLeft) {
			line("- %s", talk.Marked(strings.TrimSpace(g.Label+" "+g.Text)))
		}
	}
}

func (d *dialogue) reportOperation(line func(string, ...any)) {
	line("\n## Proof of operation\n")
	line("| step | must be | right |")
	line("| --- | --- | --- |")
	for i := range d.speak.Circuit.Steps {
		tick := "[ ]"
		if i < len(d.guide.Proving()) {
			tick = map[guide.Outcome]string{guide.NotWorked: "[ ]", guide.WorkedRight: "[x]", guide.WorkedWrong: "NO"}[d.guide.Proving()[i]]
		}
		line("| %s | %s | %s |", talk.Marked(d.speak.StepLine(i)), talk.Marked(d.speak.MustBe(i)), tick)
	}
	if d.guide.Finished() {
		line("\nRepair proved: the whole operation worked right.")
	}
	line("\nDone by: ____________________  Released by: ____________________")
}
