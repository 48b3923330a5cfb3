package drawing

import (
	"fmt"
)

// row is a rung on the sheet.
type row struct {
	rung *Rung
	at   float64 // how far down it is; to the right, where rungs run down
	gap  float64 // where the rungs before it that are not shown would be; 0: there are none
}

// reach is the room that a rung needs above and below its conductor, or left and right of it: for
// its symbols, and for what is written at and beside it.
func (d *Drawing) reach(r *Rung, o Options) (above, below float64) {
	if o.Upright {
		return d.reachUpright(r, o)
	}
	above, below = 26, 18
	for _, p := range r.Parts {
		sym := symbolOf(p, o.Symbols)
		above = max(above, sym.up+6+nameSize)
		down := max(sym.down, 12) + 4
		if d.function(p, o.Symbols) != "" {
			down += noteSize + 2
		}
		below = max(below, down)
	}
	half := 6*float64(len(d.beside(r, o, r.besideRoom(), mostTitle))) + 3
	return max(above, half), max(below, half, 28)
}

// layRows gives every rung its place on the sheet, from a place on, and gives where they end.
func (sc *scene) layRows(rungs []Rung, y float64) float64 {
	var last *section
	for i := range rungs {
		r := &rungs[i]
		if last != nil && r.section != last {
			y += sectionGap
		}
		if r.section != last {
			y += sc.d.railRoom(r.section, sc.o)
		}
		last = r.section
		gap := 0.0
		if i > 0 && r.Number > rungs[i-1].Number+1 && r.section == rungs[i-1].section {
			gap = y + 2
			y += gapHeight
		}
		above, below := sc.d.reach(r, sc.o)
		sc.rows = append(sc.rows, row{r, y + above, gap})
		y += above + below
	}
	return y
}

// breaks cuts the drawing into sheets.
func (d *Drawing) breaks(o Options) [][]Rung {
	room := sheetShape*mostWidth - headHeight - 70
	if o.Upright {
		room = mostPaths - 2*leftMargin
	}
	height := func(r *Rung) float64 {
		above, below := d.reach(r, o)
		return above + below
	}
	var sheets [][]Rung
	start, y, fits := 0, 0.0, 0
	for i := range d.Rungs {
		r := &d.Rungs[i]
		if i == start || r.section != d.Rungs[i-1].section {
			y += d.railRoom(r.section, o)
		}
		if i > start && r.group != d.Rungs[i-1].group {
			fits = i
		}
		if i > start && r.section != d.Rungs[i-1].section {
			y += sectionGap
		}
		y += height(r)
		if y > room && i > start {
			cut := i
			if fits > start {
				cut = fits
			}
			sheets = append(sheets, d.Rungs[start:cut])
			start, y = cut, d.railRoom(d.Rungs[cut].section, o)
			for k := start; k <= i; k++ {
				y += height(&d.Rungs[k])
			}
		}
	}
	return append(sheets, d.Rungs[start:])
}

// Sheets is how many sheets of A4 or letter paper the drawing takes.
func (d *Drawing) Sheets(o Options) int { return len(d.breaks(o)) }

// head writes the title.
func (sc *scene) head() {
	title := sc.d.Circuit.Title
	sc.text(label{x: leftMargin, y: 18, size: titleSize, text: title, bold: true, kind: "title"})
	line := sc.o.State.Title()
	if sc.o.Sheet > 0 {
		line += fmt.Sprintf(" · sheet %d of %d", sc.o.Sheet, sc.d.Sheets(sc.o))
	}
	sc.text(label{x: leftMargin, y: 33, size: 10, text: line, kind: "title"})
}
