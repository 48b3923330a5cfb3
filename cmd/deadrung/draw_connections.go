package main

import (
	"io"
	"strings"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// drawConnections draws the connection diagram.
func drawConnections(o drawOptions, s streams) error {
	if err := o.checkSheets(s); err != nil {
		return err
	}
	if o.step != "" || o.fault != "" || len(o.rungs) > 0 || o.sheet != 0 || o.iec || o.json {
		return usagef("--connections goes without --step, --fault, --rungs, --sheet, --iec and --json")
	}
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	var leads []drawing.Lead
	if o.leads != "" {
		if leads, err = parseLeads(p, o.leads); err != nil {
			return usageError{err}
		}
	}
	d := connections.New(p.Circuit)
	how := connections.Options{Leads: leads}
	if o.pdf {
		return o.sheets.write(o.output, p, text, s, func(out io.Writer, setting plot.Setting) (int, plot.Paper, error) {
			return plot.Connections(out, d, how, setting)
		})
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.svg {
			_, err := out.Write(d.SVG(how))
			return err
		}
		page := talk.NewPage(out)
		page.Para("", p.Circuit.Title)
		page.Blank()
		for _, line := range d.Lines(how) {
			words := strings.TrimLeft(line, " ")
			page.Para(line[:len(line)-len(words)], words)
		}
		return nil
	})
}
