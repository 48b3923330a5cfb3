package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/faultmodel"
)

type drawOptions struct {
	circuit string
	svg     bool
	iec     bool
	ascii   bool
	step    string
	fault   string
	leads   string
	sheet   int
	columns int
	rungs   []int
	symbols bool
	json    bool
	output  string
	given
}

func newDraw(s streams) *cobra.Command {
	var o drawOptions
	c := &cobra.Command{
		Use:   "draw CIRCUIT",
		Short: "The ladder drawing of a circuit, as text or SVG",
		Long: `Draw lays the circuit out as a ladder: the hot side on the left, the grounded side on
the right, a number for every rung, wire numbers on every conductor, and beside each
coil the rungs of its contacts. What is no plain ladder is drawn as it is wired.

--svg draws for a screen or paper, with IEEE 315 and NEMA symbols, or with those of
IEC 60617 after --iec. --step shows the circuit at the end of a step: what is energised,
what is pulled in, how each contact stands.

` + talk.Caution.Plain(),
		Args: func(cmd *cobra.Command, args []string) error {
			if o.symbols && len(args) == 0 {
				return nil
			}
			return oneCircuit(cmd, args)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if o.symbols {
				return printSymbols(o, s)
			}
			o.circuit = args[0]
			return runDraw(o, s)
		},
	}
	f := c.Flags()
	f.BoolVar(&o.svg, "svg", false, "draw an SVG")
	f.BoolVar(&o.iec, "iec", false, "with the symbols of IEC 60617")
	f.BoolVar(&o.ascii, "ascii", false, "text without line-drawing characters")
	f.StringVar(&o.step, "step", "", "at the end of this step, by its name or number")
	f.StringVar(&o.fault, "fault", "", "with --step: the circuit with this fault; \"deadrung faults\" lists them")
	f.StringVar(&o.leads, "leads", "", "mark the meter's leads: the red lead's terminal, a comma, the black lead's")
	f.IntVar(&o.sheet, "sheet", 0, "with --svg: this sheet of paper only, where the drawing takes several")
	f.IntVar(&o.columns, "columns", 0, "columns of the text; as many as the screen has, where it is not given")
	f.IntSliceVar(&o.rungs, "rungs", nil, "text of these rungs only")
	f.BoolVar(&o.symbols, "symbols", false, "list the symbols with their sources; needs no circuit")
	f.BoolVar(&o.json, "json", false, "the rungs in their machine form")
	o.wiringFlag(f)
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

func runDraw(o drawOptions, s streams) error {
	if o.fault != "" && o.step == "" {
		return usagef("--fault goes with --step: it shows the circuit at work")
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
	p, _, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	d := drawing.New(p.Circuit)
	how, err := o.how(p, d, s)
	if err != nil {
		return err
	}
	if o.svg && o.sheet == 0 && d.Sheets(how.Symbols) > 1 {
		fmt.Fprintf(s.err, "The drawing takes %d sheets of paper; --sheet draws one of them.\n", d.Sheets(how.Symbols))
	}
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, drawnRungs(d))
		case o.svg:
			_, err := out.Write(d.SVG(how))
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

// how turns the flags into the options of a drawing.
func (o drawOptions) how(p *work.Panel, d *drawing.Drawing, s streams) (drawing.Options, error) {
	how := drawing.Options{ASCII: o.ascii, Rungs: o.rungs, Columns: o.columns, Sheet: o.sheet, Foot: footCaution}
	if o.iec {
		how.Symbols = drawing.IEC
	}
	if how.Columns == 0 {
		how.Columns = talk.NewPage(s.out).Columns()
	}
	if o.sheet < 0 || o.sheet > d.Sheets(how.Symbols) {
		return how, usagef("--sheet is 1 to %d, not %d", d.Sheets(how.Symbols), o.sheet)
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
	step := p.Circuit.Step(o.step)
	if n, err := strconv.Atoi(o.step); step < 0 && err == nil && n >= 1 && n <= len(p.Circuit.Steps) {
		step = n - 1
	}
	if step < 0 {
		var names []string
		for _, st := range p.Circuit.Steps {
			names = append(names, st.Name)
		}
		return how, usagef("there is no step %q%s", o.step, circuits.Suggest(o.step, names))
	}
	overlay, _, err := oneFault(p, o.fault, faultmodel.Options{WiringErrors: o.wiringErrors})
	if err != nil {
		return how, err
	}
	how.State = d.AtUnder(overlay, step)
	return how, nil
}

// footCaution stands below every drawing that may be printed.
var footCaution = []string{talk.Caution.Line()}

// parseLeads reads the two terminals of --leads.
func parseLeads(p *work.Panel, text string) ([]drawing.Lead, error) {
	names := strings.Split(text, ",")
	if len(names) != 2 {
		return nil, errors.New("--leads are two terminals with a comma between, the red lead's first, as CR1:A1,CR1:A2")
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

// drawnRung is a rung in the machine form of the result.
type drawnRung struct {
	Rung  int         `json:"rung"`
	Wires []string    `json:"wires"`
	Parts []drawnPart `json:"parts"`
}

// drawnPart is a part of a rung in the machine form, its terminals from left to right.
type drawnPart struct {
	Kind      string              `json:"kind"`
	Name      string              `json:"name,omitempty"`
	Terminals []circuits.Terminal `json:"terminals,omitempty"`
	Contacts  []drawnReference    `json:"contacts,omitempty"`
	GoesOn    int                 `json:"goes-on,omitempty"` // rung
}

// drawnReference is a contact of a coil: where it is drawn.
type drawnReference struct {
	Terminals []circuits.Terminal `json:"terminals"`
	Rung      int                 `json:"rung,omitempty"` // none: spare
	NC        bool                `json:"nc,omitempty"`
	Timed     bool                `json:"timed,omitempty"`
}

func drawnRungs(d *drawing.Drawing) []drawnRung {
	var rungs []drawnRung
	for _, r := range d.Rungs {
		out := drawnRung{Rung: r.Number, Wires: []string{}}
		for _, n := range r.Numbers {
			out.Wires = append(out.Wires, d.Circuit.Numbers[n].Name)
		}
		for _, p := range r.Parts {
			part := drawnPart{Kind: p.Kind.String(), Name: p.Name()}
			if p.Kind == drawing.Reference {
				part.GoesOn = d.GoesOn(p)
			} else {
				part.Terminals = p.Terminals()
			}
			if p.Kind == drawing.Load && p.Device.Type.Kind == circuits.RelayKind {
				for _, x := range d.CrossReferences(p.Device) {
					c := p.Device.Contacts[x.Number]
					part.Contacts = append(part.Contacts, drawnReference{
						Terminals: []circuits.Terminal{p.Device.Terminal(c.A), p.Device.Terminal(c.B)}, Rung: x.Rung, NC: x.NC, Timed: x.Timed,
					})
				}
			}
			out.Parts = append(out.Parts, part)
		}
		rungs = append(rungs, out)
	}
	return rungs
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
			fmt.Fprint(out, talk.Wrapped(talk.Padded(row.Name, 38)+" ", "    ", row.Source, talk.NewPage(s.out).Columns()))
		}
		return nil
	})
}
