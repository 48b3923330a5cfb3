package paper

import (
	"fmt"
	"io"
	"strings"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// PrintReadings prints the looks and volts of each step, then the ohms.
func PrintReadings(to io.Writer, p *work.Panel, checks []log.Check, readings []log.Reading) {
	out := talk.NewPage(to)
	head := ""
	for i, c := range checks {
		h := fmt.Sprintf("step %q, power on", c.Step)
		if c.Kind().Off() {
			step := c.Step
			if step == "" {
				step = p.Circuit.Steps[0].Name
			}
			h = fmt.Sprintf("power locked off, operators held as in step %q", step)
		}
		if h != head {
			out.Blank()
			out.Para("", h)
			head = h
		}
		what := strings.TrimSpace(c.Look + " " + c.Part)
		if leads := c.Leads(); len(leads) == 2 {
			what = fmt.Sprintf("%s to %s", leads[0], leads[1])
		}
		if len(c.Lifted) > 0 {
			var at []string
			for _, t := range c.Lifted {
				at = append(at, string(t))
			}
			what += ", wires lifted off " + strings.Join(at, ", ")
		}
		out.Hang(fmt.Sprintf("  %-34s ", what), talk.Figure(readings[i]))
	}
}
