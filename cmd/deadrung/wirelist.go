package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/lists"
	"deadrung/circuits/wirelist"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
)

type wirelistOptions struct {
	circuit string
	form
	list    string
	sheets  sheets
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

` + listNames() + `
-o FILE.pdf writes any of them, and the check-out, as sheets to sign, with the frame and
title block of the drawings; -o FILE.csv and -o FILE.html are short for --csv and --html.

--check-out prints ohms checks, place by place and cable by cable, that prove, before power
is first put on, that every wire is landed and none touches another or ground, and then the
order of the first energising. --ask asks for each check in turn. A check that reads
otherwise leads into "deadrung find --wiring-errors" with the readings so far.

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
	f.StringVar(&o.list, "list", "", "a list other than that of the wires: terminals, cables, conductors, labels, parts, devices")
	o.sheets.flags(f, "the result as sheets to sign", "a4")
	f.IntVar(&o.columns, "columns", 0, "wrap text at this width; without it, that of the screen or 80")
	outputFlag(f, &o.output, resultUsage)
	f.BoolVar(&o.checkOut, "check-out", false, "the ohms checks before first power, and the order of energising")
	o.flags(f)
	return c
}

// byName takes the name of the file for the wish for a form, where none is asked for.
func (o *wirelistOptions) byName() {
	if o.json || o.csv || o.html || o.sheets.pdf {
		return
	}
	o.csv = !o.checkOut && named(o.output, ".csv")
	o.html = named(o.output, ".html")
}

func runWirelist(cmd *cobra.Command, o wirelistOptions, s streams) error {
	o.byName()
	o.sheets.ask(o.output, o.json || o.csv || o.html)
	if err := o.sheets.check(o.json || o.csv || o.html, o.output, s); err != nil {
		return err
	}
	if n := counted(o.json, o.csv, o.html); n > 1 {
		return usagef("one form at a time: --json, --csv or --html")
	}
	if o.columns != 0 && o.columns < talk.LeastColumns {
		return usagef("--columns is at least %d, not %d", talk.LeastColumns, o.columns)
	}
	if o.checkOut || o.used() {
		return runCheckOut(cmd, o, s)
	}
	kind, known := lists.Find(o.list)
	switch {
	case o.list != "" && !known:
		return usagef("--list is %s, not %q", listWords(), o.list)
	case o.list != "" && o.json:
		return usagef("--json is the wire list; --list goes with text, --csv, --html and -o FILE.pdf")
	}
	p, file, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	if known {
		table, err := kind.Make(drawing.New(p.Circuit), file)
		if err != nil {
			return err
		}
		return writeList(o, p, table, file, s)
	}
	list := wirelist.Of(drawing.New(p.Circuit))
	if o.sheets.pdf {
		return o.sheets.tables(o.output, p, file, "Wire list", paper.WireSections(list), s)
	}
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

// writeList writes one of the other lists.
func writeList(o wirelistOptions, p *work.Panel, t lists.Table, file []byte, s streams) error {
	if o.sheets.pdf {
		return o.sheets.tables(o.output, p, file, t.Title, paper.ListSections(t), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.csv:
			return t.WriteCSV(out)
		case o.html:
			return paper.WritePage(out, func() (sheet.Page, error) { return paper.ListPage(p.Circuit, t) })
		}
		paper.PrintList(talk.Sized(talk.NewPage(out), o.columns), p.Circuit, t)
		return nil
	})
}

// listNames is the paragraph of the help on the other lists, with what is on them.
func listNames() string {
	var names []string
	for _, k := range lists.Kinds {
		names = append(names, k.Name+" ("+k.About+")")
	}
	const columns = 88 // of the help around it
	return talk.Wrapped("", "", "--list names another list: "+strings.Join(names, "; ")+". Colours, gauges, lengths and "+
		"cables are given under \"conductors\" and \"cables\" in the circuit file.", columns)
}

// listWords names the other lists.
func listWords() string {
	var names []string
	for _, k := range lists.Kinds {
		names = append(names, k.Name)
	}
	return circuits.Listed(names)
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
