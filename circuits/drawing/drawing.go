package drawing

import (
	"slices"
	"strconv"

	"deadrung/circuits"
	"deadrung/circuits/work"
)

// Drawing is a circuit laid out as a ladder.
type Drawing struct {
	Circuit *circuits.Circuit
	Rungs   []Rung // from the top; Rungs[i].Number is i+1
	// Spare are contacts, windings, grounds and block terminals that no wire makes part of the
	// circuit. They are on no rung.
	Spare []*Part

	panel    *work.Panel
	graph    *graph
	lines    int // of the drawing whose numbers are kept; see Folded
	sections []*section
	rungOf   map[circuits.Terminal]int
}

// Rung is one line of the drawing from left to right. A line that branches off another
// has a number of its own.
type Rung struct {
	Number int
	// Titles and Notes are those of the file's rungs that begin here.
	Titles, Notes []string
	Parts         []*Part // in drawn order, hot side first
	// Numbers are the wire numbers that it meets, in drawn order, as indices into
	// Circuit.Numbers.
	Numbers []int

	section *section
	group   *group
	label   string // how it is numbered
}

// New lays out a circuit.
func New(c *circuits.Circuit) *Drawing {
	d := lay(c, work.Assemble(c), mostColumns)
	for i := range d.Rungs {
		d.Rungs[i].label = strconv.Itoa(i + 1)
	}
	d.lines = len(d.Rungs)
	return d
}

// lay lays out a circuit with so many symbols side by side at most, where that can be.
func lay(c *circuits.Circuit, p *work.Panel, most int) *Drawing {
	g := newGraph(c)
	d := &Drawing{Circuit: c, panel: p, graph: g, Spare: g.unused,
		rungOf: make(map[circuits.Terminal]int)}
	d.sections = g.sections()
	for _, s := range d.sections {
		for _, gr := range s.groups {
			gr.orient(s)
			gr.reach(s)
		}
		s.cut(g, most)
		for _, gr := range s.groups {
			s.columns = max(s.columns, gr.depth)
		}
		for _, gr := range s.groups {
			gr.settle(s)
			gr.lay(g, s)
			gr.arrange(g, s)
			for _, l := range gr.lines {
				d.addRung(s, gr, l)
			}
		}
	}
	d.entitle()
	return d
}

// addRung gives a line its number.
func (d *Drawing) addRung(s *section, gr *group, l line) {
	r := Rung{Number: len(d.Rungs) + 1, section: s, group: gr}
	for _, w := range l {
		r.Parts = append(r.Parts, w.parts...)
	}
	for _, p := range r.Parts {
		p.Rung = r.Number
		p.LeftNumber, p.RightNumber = d.graph.numberOf(p.at[0]), d.graph.numberOf(p.at[1])
		for _, n := range []int{p.LeftNumber, p.RightNumber} {
			if n >= 0 && !slices.Contains(r.Numbers, n) {
				r.Numbers = append(r.Numbers, n)
			}
		}
		if p.Kind == Reference {
			continue
		}
		for _, t := range p.Terminals() {
			if _, ok := d.rungOf[t]; !ok && t != "" {
				d.rungOf[t] = r.Number
			}
		}
	}
	d.Rungs = append(d.Rungs, r)
}

// entitle writes the titles and notes of the file's rungs to the lines on which they begin.
func (d *Drawing) entitle() {
	begun := make(map[int]bool)
	drawn := d.Circuit.Drawn()
	for i := range d.Rungs {
		r := &d.Rungs[i]
		for _, p := range r.Parts {
			of := d.graph.rung(p)
			if of >= len(drawn) || begun[of] {
				continue
			}
			begun[of] = true
			if t := drawn[of].Title; t != "" {
				r.Titles = append(r.Titles, t)
			}
			if n := drawn[of].Note; n != "" {
				r.Notes = append(r.Notes, n)
			}
		}
	}
}

// Of gives the number of the rung that a terminal is drawn on, the first of several for
// the common terminal of a changeover contact; 0 if it is on none.
func (d *Drawing) Of(t circuits.Terminal) int { return d.rungOf[t] }

// OfContact gives the number of the rung of a contact, as an index into the contacts of
// its device; 0 if it is spare.
func (d *Drawing) OfContact(dev *circuits.Device, contact int) int {
	return d.find(func(p *Part) bool { return p.Kind == Contact && p.Device == dev && p.Index == contact })
}

// OfItem gives the number of the rung of a contact that an item of the file's rungs is.
func (d *Drawing) OfItem(it *circuits.Item) int { return d.OfContact(it.Device, it.Contact) }

// OfLoad gives the number of the rung of a coil or another load, or of the primary winding
// of a transformer; 0 if there is none.
func (d *Drawing) OfLoad(dev *circuits.Device) int {
	return d.find(func(p *Part) bool { return loadLike(p) && p.Device == dev })
}

// OfWire gives the number of the rung that a wire belongs to: the one on which both its
// ends are, else the lower one of the two.
func (d *Drawing) OfWire(number, wire int) int {
	w := d.Circuit.Numbers[number].Wires[wire]
	return max(d.rungOf[w.From], d.rungOf[w.To])
}

// find gives the number of the rung of the first part that is meant; 0 if there is none.
func (d *Drawing) find(is func(*Part) bool) int {
	if p := d.first(is); p != nil {
		return p.Rung
	}
	return 0
}

// first gives the first part that is meant, or nil.
func (d *Drawing) first(is func(*Part) bool) *Part {
	for _, r := range d.Rungs {
		for _, p := range r.Parts {
			if is(p) {
				return p
			}
		}
	}
	return nil
}
