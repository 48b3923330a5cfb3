package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// PrintReadings prints the looks and volts of each step, then the ohms.
func PrintReadings(to io.Writer, p *work.Panel, checks []log.Check, readings []log.Reading) {
	out := talk.NewPage(to)
	head := ""
	for i, c := range checks {
		if h := condition(p, c); h != head {
			out.Blank()
			out.Para("", h)
			head = h
		}
		out.Hang(fmt.Sprintf("  %-34s ", whatIsRead(c)), talk.Figure(readings[i]))
	}
}

// ReadingsSections are readings on sheets to sign, with room beside each for what is read. Fault is what is
// broken; empty for the good circuit.
func ReadingsSections(p *work.Panel, checks []log.Check, readings []log.Reading, fault string) []plot.Section {
	var first plot.Section
	if fault != "" {
		first.Says = append(first.Says, "With a fault: "+fault+".")
	}
	if slices.ContainsFunc(checks, func(c log.Check) bool { return c.Kind().Off() }) {
		first.Says = append(first.Says, talk.LockOutOf(p, talk.BeforeOhms).Line())
	}
	var sections []plot.Section
	if len(first.Says) > 0 {
		sections = append(sections, first)
	}
	head := ""
	for i, c := range checks {
		if h := condition(p, c); h != head {
			sections = append(sections, plot.Section{Title: talk.SentenceStart(h), Heads: []string{"where", "should read", "read"}, Free: []int{2}})
			head = h
		}
		last := &sections[len(sections)-1]
		last.Rows = append(last.Rows, []string{whatIsRead(c), talk.Figure(readings[i]), ""})
	}
	return sections
}

// condition is how the panel stands for a check.
func condition(p *work.Panel, c log.Check) string {
	if !c.Kind().Off() {
		return fmt.Sprintf("step %q, power on", c.Step)
	}
	step := c.Step
	if step == "" {
		step = p.Circuit.Steps[0].Name
	}
	return fmt.Sprintf("power locked off, operators held as in step %q", step)
}

// whatIsRead is what a check looks at, or where its leads are.
func whatIsRead(c log.Check) string {
	what := strings.TrimSpace(c.Look + " " + c.Part)
	if leads := c.Leads(); len(leads) == 2 {
		what = fmt.Sprintf("%s to %s", leads[0], leads[1])
	}
	return what + talk.Lifted(c)
}
