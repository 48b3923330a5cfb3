package main

import (
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
)

type drawOptions struct {
	circuit string
	svg     bool
	iec     bool
	across  bool
	ascii   bool
	step    string
	fault   string
	leads   string
	sheet   int
	columns int
	rungs   []int
	symbols bool
	connect bool
	dxf     bool
	watch   bool
	follow  string
	json    bool
	output  string
	sheets
	given
}

func newDraw(s streams) *cobra.Command {
	var o drawOptions
	c := &cobra.Command{
		Use:   "draw CIRCUIT",
		Short: "The ladder drawing of a circuit, as text, SVG, PDF or DXF",
		Long: `Draw lays the circuit out as a ladder: the hot side on the left, the grounded side on
the right, a number for every rung, wire numbers on every conductor, and beside each
coil the rungs of its contacts. What is no plain ladder is drawn as it is wired.

--svg (or -o FILE.svg) draws for a screen or paper, with IEEE 315 and NEMA symbols, or with
those of IEC 60617 after --iec: then current paths run down in numbered columns, contacts move
from left to right, and a table below each coil says on which path each of its contacts is
(--across: rungs all the same). -o FILE.pdf (or --pdf) draws sheets to sign: a frame with zones, a
title block with what the circuit file says under "drawing", no letter below 2.5 mm, and
as many sheets as it takes; a rung that is too long for the paper goes on below it, as rung 2a. --step shows the circuit at the end of a step: what is energised,
what is pulled in, how each contact stands.

-o FILE.dxf (or --dxf) draws the ladder for a drawing program: conductors, names, terminals and wire
numbers on layers of their own, and every symbol a block whose attributes name its device and terminals.

--connections draws the other drawing: the devices where they sit, in the panel, on the door and
in the field, and every wire from screw to screw with its number; --leads shows where the
meter goes on the real thing.

--follow LOG, in a window beside a search or a practice that keeps its log, draws anew
after every check: the leads of the last one, and a ? at whatever is still in doubt.

` + talk.Caution.Plain(),
		Args: func(cmd *cobra.Command, args []string) error {
			if o.symbols && len(args) == 0 {
				return nil
			}
			return oneCircuit(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.symbols {
				return printSymbols(o, s)
			}
			o.circuit = args[0]
			o.byName()
			if o.follow != "" {
				if o.pdf || o.dxf {
					return usagef("--follow draws text or an SVG, no PDF and no DXF")
				}
				if o.step != "" || o.leads != "" || o.fault != "" || o.watch || o.json {
					return usagef("--follow takes the step and the leads from the log: it goes without --step, --leads, --fault, --watch and --json")
				}
				return followLog(cmd.Context(), o, s)
			}
			if o.watch {
				return watchDrawing(cmd.Context(), o, s)
			}
			return runDraw(o, s)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.svg, "svg", false, "draw an SVG")
	f.BoolVar(&o.dxf, "dxf", false, "draw a DXF, as -o FILE.dxf does: layers, symbols as blocks, millimetres")
	o.sheets.flags(f, "draw a PDF", "a4, or larger for a wide drawing or one of many sheets")
	f.BoolVar(&o.iec, "iec", false, "with the symbols of IEC 60617, and current paths that run down")
	f.BoolVar(&o.across, "across", false, "with --iec: rungs that run across, one below the other")
	asciiFlag(f, &o.ascii)
	f.StringVar(&o.step, "step", "", "at the end of this step, by its name or number")
	f.StringVar(&o.fault, "fault", "",
		"with --step: the circuit with this fault; \"deadrung faults\" lists them")
	f.StringVar(&o.leads, "leads", "",
		"mark the meter's leads: the red lead's terminal, a comma, the black lead's")
	f.IntVar(&o.sheet, "sheet", 0, "with --svg: this sheet of paper only, where the drawing takes several")
	f.IntVar(&o.columns, "columns", 0, "columns of the text; as many as the screen has, where it is not given")
	f.IntSliceVar(&o.rungs, "rungs", nil, "text of these rungs only")
	f.BoolVar(&o.symbols, "symbols", false, "list the symbols with their sources; needs no circuit")
	f.BoolVar(&o.connect, "connections", false, "the connection diagram: devices where they sit, wires from screw to screw")
	f.BoolVar(&o.watch, "watch", false, "draw the file anew whenever it changes, until Ctrl-C")
	f.StringVar(&o.follow, "follow", "", "draw anew whenever this log has gone on, until Ctrl-C")
	f.BoolVar(&o.json, "json", false, "the rungs in their machine form")
	o.listFlags(f)
	outputFlag(f, &o.output, resultUsage)
	return c
}

// byName takes the name of the file for the wish for a form, where none is asked for.
func (o *drawOptions) byName() {
	if o.svg || o.json {
		return
	}
	o.sheets.ask(o.output, false)
	o.dxf = o.dxf || !o.pdf && named(o.output, ".dxf")
	o.svg = !o.pdf && !o.dxf && named(o.output, ".svg")
}

func runDraw(o drawOptions, s streams) error {
	if o.dxf && o.connect {
		return usagef("--connections has no DXF: --svg, or -o FILE.pdf")
	}
	if o.dxf && (o.svg || o.pdf || o.json || o.ascii || len(o.rungs) > 0 || o.columns != 0) {
		return usagef("a DXF is the whole ladder in one form: it goes with --iec, --step and --leads")
	}
	if o.connect {
		return drawConnections(o, s)
	}
	if err := o.checkSheets(s); err != nil {
		return err
	}
	if o.fault != "" && o.step == "" {
		return usagef("--fault goes with --step: it shows the circuit at work")
	}
	if o.across && !o.iec {
		return usagef("--across goes with --iec: without it rungs always run across")
	}
	if o.sheet != 0 && !o.svg {
		return usagef("--sheet goes with --svg")
	}
	if o.svg && (o.ascii || len(o.rungs) > 0 || o.columns != 0) {
		return usagef("--ascii, --rungs and --columns are for text, not for --svg")
	}
	if o.columns != 0 && o.columns < talk.LeastColumns {
		return usagef("--columns is %d or more", talk.LeastColumns)
	}
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	d := drawing.New(p.Circuit)
	how, err := o.how(p, d, s)
	if err != nil {
		return err
	}
	if o.svg && o.sheet == 0 && d.Sheets(how) > 1 {
		fmt.Fprintf(s.err, "The drawing takes %d sheets of paper; --sheet draws one of them.\n",
			d.Sheets(how))
	}
	if o.pdf {
		return plotDrawing(o, d, how, text, p, s)
	}
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, paper.DrawnRungs(d))
		case o.svg:
			_, err := out.Write(d.SVG(how))
			return err
		case o.dxf:
			_, err := out.Write(d.DXF(how))
			return err
		}
		fmt.Fprintln(out, p.Circuit.Title)
		if how.State != nil {
			fmt.Fprintln(out, how.State.Title())
		}
		fmt.Fprintln(out)
		fmt.Fprintln(out, d.Text(how))
		for _, line := range slices.Concat(d.Legend(how), d.Notes()) {
			fmt.Fprint(out, talk.Wrapped("", "  ", line, how.Columns))
		}
		return nil
	})
}

// footCaution stands below every drawing that may be printed.
var footCaution = []string{talk.Caution.Line()}
