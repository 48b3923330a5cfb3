package connections

import (
	"sync"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// Diagram is the connection diagram of a circuit.
type Diagram struct {
	Circuit *circuits.Circuit

	rows    []*row
	wires   []*wire
	number  map[circuits.Terminal]string
	landing map[circuits.Terminal][]landing
	// both has wires leave a sheet on either side, whichever is nearer; else all at the left.
	both bool
	// atEdge is what a wire counts that leaves a sheet at its edge; see atEdges.
	atEdge float64

	mu   sync.Mutex
	laid map[drawing.Page]laid // what Sheets gave
}

// laid is a diagram laid out for pages.
type laid struct {
	on     *Diagram
	sheets int
}

// landing is one end of a wire on a terminal.
type landing struct {
	wire, end int
	other     string // the device at its other end
}

// Options say what is drawn. The zero value is all of it on one sheet.
type Options struct {
	Leads []drawing.Lead
	// Page is the sheet of paper; nil: one as large as it takes.
	Page *drawing.Page
	// Sheet is which sheet, from 1.
	Sheet int
	// Before is how many sheets come before the first in a set of which the diagram is a part.
	Before int
	// Only are the devices that are drawn; none: all.
	Only []string
}

// screenWidth is how wide the rows are where no page says it.
const screenWidth = 940.0

// New lays out a circuit in rows that are as wide as a screen shows.
func New(c *circuits.Circuit) *Diagram { return newWide(c, wide(screenWidth), false) }

// widths are how wide the rows of each place are.
type widths struct {
	most float64            // where no other is given
	at   map[string]float64 // by place
}

// wide is one width for all places.
func wide(most float64) widths { return widths{most: most} }

// of is the width at a place.
func (w widths) of(place string) float64 {
	if at, given := w.at[place]; given {
		return at
	}
	return w.most
}

// newWide lays out a circuit in rows of some widths. Filled, a row takes what would else begin a row of its
// own: loads behind relays.
func newWide(c *circuits.Circuit, most widths, filled bool) *Diagram {
	d := &Diagram{Circuit: c, number: make(map[circuits.Terminal]string),
		landing: make(map[circuits.Terminal][]landing), atEdge: atEdges[0]}
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			i := len(d.wires)
			d.wires = append(d.wires, &wire{number: n.Name, index: i})
			ends := [2]circuits.Terminal{w.From, w.To}
			for end, t := range ends {
				other, _ := ends[1-end].Split()
				d.number[t] = n.Name
				d.landing[t] = append(d.landing[t], landing{i, end, other})
			}
		}
	}
	d.arrange(most, filled)
	return d
}

// shares are how much of the width of a page the rows are tried to take: the rest is for ducts.
var shares = []float64{1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3}

// Sheets gives the diagram laid out for pages of a size, with as few sheets as there can be, and how
// many they are: with rows that are all of one width, then with those of one place after the other wider
// or narrower. It is false where some row goes on no such page.
func (d *Diagram) Sheets(page drawing.Page) (*Diagram, int, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	l, known := d.laid[page]
	if !known {
		l.on, l.sheets = d.layOut(page)
		if d.laid == nil {
			d.laid = make(map[drawing.Page]laid)
		}
		d.laid[page] = l
	}
	return l.on, l.sheets, l.sheets > 0
}

// layOut is the work of Sheets.
func (d *Diagram) layOut(page drawing.Page) (*Diagram, int) {
	best, least := d, 0
	try := func(both bool, atEdge float64, rows widths, filled bool) bool {
		on := newWide(d.Circuit, rows, filled)
		on.both, on.atEdge = both, atEdge
		sheets, fits := on.sheets(page, least)
		if fits {
			best, least = on, len(sheets)
		}
		return fits
	}
	var rows widths
	full := false
	for _, share := range shares {
		for sides := range 3 { // all on one sheet, or wires that leave it on one side, or on both
			most := (page.Width-2*edge)*share - exitRoom*float64(sides)
			if most < 6*pitch {
				continue
			}
			for _, filled := range []bool{false, true} {
				for _, count := range atEdges {
					if try(sides == 2, count, wide(most), filled) {
						rows, full = wide(most), filled
					}
					if least == 1 {
						return best, 1
					}
				}
			}
		}
	}
	if least == 0 {
		return best, 0
	}
	rows.at = make(map[string]float64)
	for _, place := range places(d.Circuit) {
		before := rows.of(place)
		for _, share := range shares {
			rows.at[place] = (page.Width - 2*edge) * share
			if try(best.both, best.atEdge, rows, full) {
				before = rows.at[place]
			}
		}
		rows.at[place] = before
	}
	return best, least
}

// Figures gives the diagram laid out for pages of a size: a figure for each sheet, or one with the
// devices that the options name. There is none where it is too large for such a page.
func (d *Diagram) Figures(o Options, page drawing.Page) []drawing.Figure {
	if len(o.Only) > 0 {
		for _, share := range shares {
			s := sceneOfOnly(d.Circuit, o.Only, (page.Width-2*edge)*share)
			s.untangle()
			f := s.figure(o)
			if f.Width <= page.Width && f.Height <= page.Height {
				return []drawing.Figure{f}
			}
		}
		return nil
	}
	o.Page = &page
	on, n, fits := d.Sheets(page)
	if !fits {
		return nil
	}
	var figures []drawing.Figure
	for o.Sheet = 1; o.Sheet <= n; o.Sheet++ {
		figures = append(figures, on.Figure(o))
	}
	return figures
}

// sheets puts the rows on pages, fewer than so many, where zero is any number; false where that cannot be,
// or one of them is too large.
func (d *Diagram) sheets(page drawing.Page, fewer int) ([][]*row, bool) {
	var sheets [][]*row
	for start := 0; start < len(d.rows); {
		end := start
		for end < len(d.rows) {
			if s := d.scene(d.rows[start:end+1], nil); s.height > page.Height || s.width > page.Width {
				break
			}
			end++
		}
		if end == start || fewer > 0 && len(sheets)+1 >= fewer {
			return nil, false
		}
		sheets = append(sheets, d.rows[start:end])
		start = end
	}
	return sheets, true
}
