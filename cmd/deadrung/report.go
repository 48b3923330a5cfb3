package main

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
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
	c := d.speak.circuit
	line("# Fault report: %s\n", marked(c.Title))
	line("- Date: %s", d.now().Format("2006-01-02 15:04"))
	line("- Circuit file: %s", marked(o.circuit))
	if o.log != "" {
		line("- Log: %s", marked(o.log))
	}
	if o.simulate != "" {
		line("- Answered by a simulated panel.")
	}
	line("\n> %s", strings.ReplaceAll(strings.TrimSpace(caution), "\n", "\n> "))
	d.reportComplaint(line)
	d.reportChecks(line)
	d.reportVerdict(line)
	d.reportOperation(line)
	return b.String()
}

func (d *dialogue) reportComplaint(line func(string, ...any)) {
	line("\n## Complaint\n")
	none := true
	for _, e := range d.log.Entries {
		if e.Note == complaintNote {
			none = false
			line("- %s", marked(d.speak.entry(e)))
		}
	}
	if none {
		line("None was given.")
	}
}

func (d *dialogue) reportChecks(line func(string, ...any)) {
	line("\n## Checks\n")
	line("| # | check | reading | ruled out |")
	line("| --- | --- | --- | --- |")
	numbers := checkNumbers(d.log.Entries)
	for i, t := range d.speak.tallies(d.log) {
		number := "-"
		if numbers[i] > 0 {
			number = fmt.Sprint(numbers[i])
		}
		line("| %s | %s | %s | %s |", number, marked(d.speak.condensed(t.entry.Check)),
			marked(d.speak.answer(t.entry.Check, t.entry.Answer)), marked(d.speak.ruledOut(t, reportedRuledOut)))
	}
}

func (d *dialogue) reportVerdict(line func(string, ...any)) {
	t := &d.turn
	line("\n## Verdict\n")
	concluded := t.Status == diagnose.Found || t.Status == diagnose.GroupLeft
	switch {
	case concluded:
		if t.Status == diagnose.GroupLeft {
			for _, text := range d.speak.groupLeft(t, d.cannots()) {
				line("%s\n", marked(text))
			}
		}
		for _, p := range d.speak.verdict(t) {
			switch p.label {
			case "VERDICT":
				line("**%s**\n", marked(p.text))
			case "":
				line("%s", marked(p.text)) // one of several faults, with its dash
			default:
				line("%s: %s\n", p.label, marked(p.text))
			}
		}
		if proof := proofWords(t); proof != "" {
			line("\nProof: %s", marked(proof))
		}
		line("\n## Repair\n")
		line("- [ ] Locked out, tried, proved dead.")
		for _, text := range d.speak.repair(t) {
			line("- [ ] %s", marked(text))
		}
	case t.Status == diagnose.Healthy:
		for _, text := range d.speak.healthy() {
			line("%s\n", marked(text))
		}
	case t.Status == diagnose.Contradiction:
		for _, text := range d.speak.contradiction(t, d.log) {
			line("%s\n", marked(text))
		}
	default:
		line("Not found yet. Still possible: %s.\n", remaining(t))
		for _, g := range d.speak.possible(t, reportedLeft) {
			line("- %s", marked(strings.TrimSpace(g.label+" "+g.text)))
		}
	}
}

func (d *dialogue) reportOperation(line func(string, ...any)) {
	line("\n## Proof of operation\n")
	line("| step | must be | right |")
	line("| --- | --- | --- |")
	for i := range d.speak.circuit.Steps {
		tick := "[ ]"
		if i < len(d.proving) {
			tick = map[outcome]string{notWorked: "[ ]", workedRight: "[x]", workedWrong: "NO"}[d.proving[i]]
		}
		line("| %s | %s | %s |", marked(d.speak.stepLine(i)), marked(d.speak.mustBe(i)), tick)
	}
	if d.finished {
		line("\nRepair proved: the whole operation worked right.")
	}
	line("\nDone by: ____________________  Released by: ____________________")
}

// marked keeps a text from being taken for Markdown.
func marked(s string) string {
	return strings.NewReplacer("|", "\\|", "<", "&lt;", "*", "\\*", "_", "\\_", "`", "\\`", "\n", " ").Replace(s)
}
