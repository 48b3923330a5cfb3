package connections

import (
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
	// Only are the devices that are drawn; none: all.
	Only []string
}

// screenWidth is how wide the rows are where no page says it.
const screenWidth = 940.0

// New lays out a circuit in rows that are as wide as a screen shows.
func New(c *circuits.Circuit) *Diagram { return newWide(c, screenWidth) }

// newWide lays out a circuit in rows of a width.
func newWide(c *circuits.Circuit, most float64) *Diagram {
	d := &Diagram{Circuit: c, number: make(map[circuits.Terminal]string),
		landing: make(map[circuits.Terminal][]landing)}
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			i := len(d.wires)
			d.wires = append(d.wires, &wire{number: n.Name})
			ends := [2]circuits.Terminal{w.From, w.To}
			for end, t := range ends {
				other, _ := ends[1-end].Split()
				d.number[t] = n.Name
				d.landing[t] = append(d.landing[t], landing{i, end, other})
			}
		}
	}
	d.arrange(most)
	return d
}

// Sheets gives the diagram laid out for pages of a size, with as few sheets as there can be, and
// how many they are. It is false where some row goes on no such page.
func (d *Diagram) Sheets(page drawing.Page) (*Diagram, int, bool) {
	best, least := d, 0
	for _, share := range []float64{1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3} {
		for _, exits := range []float64{0, exitRoom} { // all on one sheet, or not
			most := (page.Width-2*edge)*share - exits
			if most < 6*pitch {
				continue
			}
			on := newWide(d.Circuit, most)
			sheets, fits := on.sheets(page)
			if fits && (least == 0 || len(sheets) < least) {
				best, least = on, len(sheets)
			}
		}
	}
	return best, least, least > 0
}

// sheets puts the rows on pages; false where one of them is too large.
func (d *Diagram) sheets(page drawing.Page) ([][]*row, bool) {
	var sheets [][]*row
	for start := 0; start < len(d.rows); {
		end := start
		for end < len(d.rows) {
			if s := d.scene(d.rows[start:end+1], nil); s.height > page.Height || s.width > page.Width {
				break
			}
			end++
		}
		if end == start {
			return nil, false
		}
		sheets = append(sheets, d.rows[start:end])
		start = end
	}
	return sheets, true
}
