package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
)

// how turns the flags into the options of a drawing.
func (o drawOptions) how(p *work.Panel, d *drawing.Drawing, s streams) (drawing.Options, error) {
	how := drawing.Options{ASCII: o.ascii || (o.output == "" || o.output == "-") && !talk.UTF8(os.Getenv), Rungs: o.rungs, Columns: o.columns, Sheet: o.sheet, Foot: footCaution}
	if o.iec {
		how.Symbols, how.Upright = drawing.IEC, !o.across
	}
	if how.Columns == 0 {
		how.Columns = talk.NewPage(s.out).Columns()
	}
	if o.sheet < 0 || o.sheet > d.Sheets(how) {
		return how, usagef("--sheet is 1 to %d, not %d", d.Sheets(how), o.sheet)
	}
	for _, r := range o.rungs {
		if r < 1 || r > len(d.Rungs) {
			return how, usagef("--rungs are 1 to %d, not %d", len(d.Rungs), r)
		}
	}
	if o.leads != "" {
		leads, err := parseLeads(p, o.leads)
		if err != nil {
			return how, usageError{err}
		}
		how.Leads = leads
	}
	if o.step == "" {
		return how, nil
	}
	step, err := stepCalled(p, o.step)
	if err != nil {
		return how, err
	}
	overlay, _, err := oneFault(p, o.fault, o.given)
	if err != nil {
		return how, err
	}
	how.State = d.AtUnder(overlay, step)
	return how, nil
}

// parseLeads reads the two terminals of --leads.
func parseLeads(p *work.Panel, text string) ([]drawing.Lead, error) {
	names := strings.Split(text, ",")
	if len(names) != 2 {
		return nil, errors.New("--leads are two terminals with a comma between, the red lead's first, " +
			"as CR1:A1,CR1:A2")
	}
	var leads []drawing.Lead
	for i, name := range names {
		t := circuits.Terminal(strings.TrimSpace(name))
		if p.Node(t) == 0 {
			var known []string
			for _, x := range p.Terminals() {
				known = append(known, string(x))
			}
			return nil, fmt.Errorf("there is no terminal %q%s", t, circuits.Suggest(string(t), known))
		}
		leads = append(leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	return leads, nil
}

// printSymbols lists the symbols of a standard with their sources.
func printSymbols(o drawOptions, s streams) error {
	by := drawing.NEMA
	if o.iec {
		by = drawing.IEC
	}
	return output(o.output, s, func(out io.Writer) error {
		rows := drawing.SymbolTable(by)
		if o.json {
			return printJSON(out, rows)
		}
		for _, row := range rows {
			fmt.Fprint(out,
				talk.Wrapped(talk.Padded(row.Name, 38)+" ", "    ", row.Source, talk.NewPage(s.out).Columns()))
		}
		return nil
	})
}

// asciiFlag adds --ascii to a command that draws.
func asciiFlag(f *pflag.FlagSet, ascii *bool) {
	f.BoolVar(ascii, "ascii", false, "draw without line-drawing characters, as where the locale has no UTF-8")
}
