package main

import (
	"io"

	"github.com/spf13/cobra"

	"deadrung/circuits/drawing"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
)

type wirelistOptions struct {
	circuit string
	form
	columns int
	output  string

	checkOut bool
	checkOutOptions
}

// form is the form of a result, text if none is set.
type form struct{ json, csv, html bool }

func newWirelist(s streams) *cobra.Command {
	var o wirelistOptions
	c := &cobra.Command{
		Use:   "wirelist CIRCUIT",
		Short: "From-to wire list in rung order, and the check-out before first power",
		Long: `Wirelist prints every wire from screw to screw in the order in which a person wires:
what feeds the rungs, then rung by rung from the hot side to the grounded one, with a
box to tick at each end. "1 of 2" is the first of two wires on a terminal.

--csv is for a spreadsheet; "deadrung import" reads it back.

--check-out prints the fewest ohms checks found that prove, before power is first put
on, that every wire is landed and none touches another or ground, and then the order of
the first energising. --ask asks for each check in turn. A check that reads otherwise
leads into "deadrung find --wiring-errors" with the readings so far.

` + talk.Caution.Plain(),
		Args: oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runWirelist(cmd, o, s)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	f.BoolVar(&o.csv, "csv", false, "the wire list as comma-separated values")
	f.BoolVar(&o.html, "html", false, "the result as a sheet to print")
	f.IntVar(&o.columns, "columns", 0, "wrap text at this width; without it, that of the screen or 80")
	outputFlag(f, &o.output, resultUsage)
	f.BoolVar(&o.checkOut, "check-out", false, "the ohms checks before first power, and the order of energising")
	o.flags(f)
	return c
}

func runWirelist(cmd *cobra.Command, o wirelistOptions, s streams) error {
	if n := counted(o.json, o.csv, o.html); n > 1 {
		return usagef("one form at a time: --json, --csv or --html")
	}
	if o.columns != 0 && o.columns < talk.LeastColumns {
		return usagef("--columns is at least %d, not %d", talk.LeastColumns, o.columns)
	}
	if o.checkOut || o.used() {
		return runCheckOut(cmd, o, s)
	}
	p, _, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	list := wirelist.Of(drawing.New(p.Circuit))
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, paper.WiresJSON(list))
		case o.csv:
			return list.WriteCSV(out)
		case o.html:
			return paper.WritePage(out, func() (sheet.Page, error) { return paper.WirePage(list) })
		}
		paper.PrintWires(talk.Sized(talk.NewPage(out), o.columns), list)
		return nil
	})
}

func counted(set ...bool) int {
	n := 0
	for _, on := range set {
		if on {
			n++
		}
	}
	return n
}
