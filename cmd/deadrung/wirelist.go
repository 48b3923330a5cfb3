package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits/drawing"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/sheet"
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

` + caution,
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
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	f.BoolVar(&o.checkOut, "check-out", false, "the ohms checks before first power, and the order of energising")
	o.flags(f)
	return c
}

func runWirelist(cmd *cobra.Command, o wirelistOptions, s streams) error {
	if n := counted(o.json, o.csv, o.html); n > 1 {
		return usagef("one form at a time: --json, --csv or --html")
	}
	if o.columns != 0 && o.columns < leastColumns {
		return usagef("--columns is at least %d, not %d", leastColumns, o.columns)
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
			return printJSON(out, wiresJSON(list))
		case o.csv:
			return list.WriteCSV(out)
		case o.html:
			return writePage(out, func() (sheet.Page, error) { return wirePage(list) })
		}
		printWires(sized(newPage(out), o.columns), list)
		return nil
	})
}

// writePage writes a page once it is laid out.
func writePage(out io.Writer, lay func() (sheet.Page, error)) error {
	page, err := lay()
	if err != nil {
		return err
	}
	return page.Write(out)
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

// sized gives a page a width of its own.
func sized(p *page, columns int) *page {
	if columns > 0 {
		p.columns = func() int { return columns }
	}
	return p
}

// listed is a wire list in its machine form.
type listedWires struct {
	Circuit string       `json:"circuit"`
	Wires   []listedWire `json:"wires"`
}

type listedWire struct {
	Order  int       `json:"order"`
	Rung   int       `json:"rung"` // 0 before the rungs
	Wire   string    `json:"wire"`
	Bridge bool      `json:"bridge,omitempty"`
	From   listedEnd `json:"from"`
	To     listedEnd `json:"to"`
	InFile int       `json:"in-file"`
}

type listedEnd struct {
	Terminal string `json:"terminal"`
	Type     string `json:"type"`
	Place    string `json:"place"`
	Landing  int    `json:"landing,omitempty"` // the first, the second wire on the terminal
	Of       int    `json:"of,omitempty"`      // of so many
}

func wiresJSON(l wirelist.List) listedWires {
	out := listedWires{Circuit: l.Circuit.Title, Wires: []listedWire{}}
	end := func(e wirelist.End) listedEnd {
		return listedEnd{string(e.Terminal), e.Device.Type.Name, e.Device.Place, e.Landing, e.Of}
	}
	for i, w := range l.Lines {
		out.Wires = append(out.Wires, listedWire{i + 1, w.Rung, w.Number, w.Bridge, end(w.From), end(w.To), w.InFile})
	}
	return out
}

// rungTitle heads the wires of a rung.
func rungTitle(rung int) string {
	if rung == 0 {
		return "What feeds the rungs"
	}
	return fmt.Sprintf("Rung %d", rung)
}

// wireTitle says how many wires there are, and what the figures mean.
func wireTitle(l wirelist.List) string {
	text := fmt.Sprintf("%s, from screw to screw in the order of wiring.", count(l.Wires(), "wire"))
	if bridges := len(l.Lines) - l.Wires(); bridges > 0 {
		text = fmt.Sprintf("%s and %s, from screw to screw in the order of wiring.", count(l.Wires(), "wire"), count(bridges, "bridge"))
	}
	return text + " Tick each end once it is landed and has been tugged. 1 of 2: the first of two wires on that screw."
}

// endText is an end with what whoever lands it must know.
func endText(e wirelist.End) string {
	return strings.TrimSpace(string(e.Terminal) + " " + endMore(e))
}

// endMore is the place of an end, and which of several wires on its screw it is.
func endMore(e wirelist.End) string {
	var parts []string
	if e.Device.Place != "panel" {
		parts = append(parts, e.Device.Place)
	}
	if e.Of > 1 && e.Landing > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d", e.Landing, e.Of))
	}
	return strings.Join(parts, " ")
}

// numberText is a wire number, and whether it is a bridge.
func numberText(w wirelist.Line) string {
	if w.Bridge {
		return strings.TrimSpace(w.Number + " bridge")
	}
	return w.Number
}

const tickBox = "[ ]"

// printWires prints the list. Where a line is too long for the page, its second end goes
// below the first.
func printWires(out *page, l wirelist.List) {
	out.para("", l.Circuit.Title)
	out.para("", wireTitle(l))
	widest, wire := 0, len("wire")
	for _, w := range l.Lines {
		widest = max(widest, len([]rune(endText(w.From))))
		wire = max(wire, len([]rune(numberText(w))))
	}
	rung := -1
	for i, w := range l.Lines {
		if w.Rung != rung {
			rung = w.Rung
			out.blank()
			out.para("", rungTitle(rung))
		}
		head := fmt.Sprintf("%4d  %s  ", i+1, padded(numberText(w), wire))
		line := head + tickBox + " " + padded(endText(w.From), widest) + "  " + tickBox + " " + endText(w.To)
		if len([]rune(line)) < out.columns() {
			out.raw(line + "\n")
			continue
		}
		out.raw(head + tickBox + " " + endText(w.From) + "\n" + strings.Repeat(" ", len([]rune(head))) + tickBox + " " + endText(w.To) + "\n")
	}
}
