// Package wirelist is the wire list of a circuit: every wire from screw to screw in the
// order in which a person wires, and the way back from such a list to a circuit file.
//
// A circuit goes in as it is drawn, for the order of its rungs; out comes a [List].
// [List.WriteCSV] writes it for a spreadsheet and [ReadCSV] reads that, or a list that
// any other program wrote. [Guess] says what devices the terminals of a list belong to,
// and asks what cannot be told; [Draft.Write] makes a circuit file of it.
//
//	circuit ──► List ──► CSV ──► rows ──► Guess ◄──► questions and answers
//	                                        │
//	                                        └──► Draft ──► circuit file
//
// A list goes round without a loss in this sense: what [List.WriteCSV] wrote, joined to the file
// that it came from, gives the file's wires back in their order and direction, holds the bridges
// against the file's, and touches nothing else. Without that file the wires, the bridges, and
// designation, type and place of every device with a wire are kept, by columns of our own (from
// type, in file, …). Contacts are guessed from terminal numbers; what has no wire is lost.
package wirelist

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// List is the wire list of a circuit, in the order in which it is wired.
type List struct {
	Circuit *circuits.Circuit
	Lines   []Line
}

// Line is one wire to run, or one bridge of a terminal block to fit.
type Line struct {
	Rung     int    // that the wire serves, from 1; 0 for what comes before the rungs
	Number   string // the wire number; empty for a bridge on none
	From, To End
	Bridge   bool
	// InFile is its place among the wires of the circuit file, or among the bridges of
	// its terminal block, from 1.
	InFile int
}

// End is one end of a wire.
type End struct {
	Terminal circuits.Terminal
	Device   *circuits.Device
	// Landing is 1 for the first wire that comes onto the terminal in the order of the
	// list, 2 for the second; Of is how many come in all. A bridge is none.
	Landing, Of int
}

// place is where on the drawing a terminal stands: its rung from 1, and its place on it
// from the hot side to the grounded one. The zero place is on no rung.
type place struct{ rung, along int }

func (p place) compare(q place) int {
	return cmp.Or(cmp.Compare(p.rung, q.rung), cmp.Compare(p.along, q.along))
}

// places gives the place of each terminal that is drawn.
func places(d *drawing.Drawing) map[circuits.Terminal]place {
	at := make(map[circuits.Terminal]place)
	for _, r := range d.Rungs {
		// The row of a source runs from its rail, on the left, back to the source.
		feeds := slices.ContainsFunc(r.Parts, func(p *drawing.Part) bool { return p.Kind == drawing.Source })
		for i, p := range r.Parts {
			for side, t := range p.Terminals() {
				along := 2*i + side
				if feeds {
					along = 2*len(r.Parts) - along
				}
				if _, ok := at[t]; !ok && d.Of(t) == r.Number {
					at[t] = place{r.Number, along}
				}
			}
		}
	}
	return at
}

// Of gives the wire list of a circuit that is drawn. A wire is run when the later of its two
// ends has its turn, rung by rung and from the hot side to the grounded one, so that a rung
// is whole once its wires are in; what feeds the rungs comes first.
func Of(d *drawing.Drawing) List {
	c, at := d.Circuit, places(d)
	devices := make(map[string]*circuits.Device, len(c.Devices))
	for _, d := range c.Devices {
		devices[d.Name] = d
	}
	end := func(t circuits.Terminal) End {
		name, _ := t.Split()
		return End{Terminal: t, Device: devices[name]}
	}
	type placed struct {
		Line
		at place
	}
	var all []placed
	number := make(map[circuits.Terminal]int)
	first := make([]place, len(c.Numbers)) // where a number is first met
	inFile := 0
	for i, n := range c.Numbers {
		from := len(all)
		for _, w := range n.Wires {
			inFile++
			p := placed{Line: Line{Number: n.Name, From: end(w.From), To: end(w.To), InFile: inFile}}
			number[w.From], number[w.To] = i, i
			p.at = at[w.From]
			if other := at[w.To]; p.at.compare(other) < 0 {
				p.at = other
			}
			if p.at != (place{}) && (first[i] == (place{}) || p.at.compare(first[i]) < 0) {
				first[i] = p.at
			}
			all = append(all, p)
		}
		for k := from; k < len(all); k++ {
			if p := &all[k]; p.at == (place{}) && !feeds(p.From.Device) && !feeds(p.To.Device) {
				p.at = first[i]
			}
		}
	}
	for _, d := range c.Devices {
		for i, b := range d.Bridges {
			p := placed{Line: Line{From: end(d.Terminal(b[0])), To: end(d.Terminal(b[1])), Bridge: true,
				InFile: i + 1}}
			for _, t := range []circuits.Terminal{p.From.Terminal, p.To.Terminal} {
				if n, ok := number[t]; ok {
					p.Number, p.at = c.Numbers[n].Name, first[n]
				}
			}
			all = append(all, p)
		}
	}
	slices.SortStableFunc(all, func(a, b placed) int { return a.at.compare(b.at) })
	list := List{Circuit: c}
	landed := make(map[circuits.Terminal]int)
	for _, p := range all {
		p.Rung = p.at.rung
		if !p.Bridge {
			for _, e := range []*End{&p.From, &p.To} {
				landed[e.Terminal]++
				e.Landing = landed[e.Terminal]
			}
		}
		list.Lines = append(list.Lines, p.Line)
	}
	for i := range list.Lines {
		for _, e := range []*End{&list.Lines[i].From, &list.Lines[i].To} {
			e.Of = landed[e.Terminal]
		}
	}
	return list
}

// feeds tells whether a device stands before the rungs.
func feeds(d *circuits.Device) bool {
	switch d.Type.Kind {
	case circuits.SourceKind, circuits.GroundKind, circuits.LinkKind:
		return true
	}
	return false
}

// Wires counts the wires of the list, without bridges.
func (l List) Wires() int {
	n := 0
	for _, line := range l.Lines {
		if !line.Bridge {
			n++
		}
	}
	return n
}
