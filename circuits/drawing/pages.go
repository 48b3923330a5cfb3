package drawing

import (
	"fmt"
	"strings"
)

// Page is the room on a sheet of paper inside its frame, in the units of the drawing.
type Page struct {
	Width, Height float64
	Least         float64 // size of the smallest text
}

// Measures of a drawing on pages.
const (
	pageHead  = 24.0 // of the line above the rungs
	levelStep = 11.0 // from one line of references to the next
	// pathMargin is before the first and after the last path that runs down.
	pathMargin = 14.0
	// noteWidth is the width of a character of a sentence in its size. Common practice, no
	// source: small letters are narrower than the capitals and digits of letterWidth.
	noteWidth = 0.5
)

// pageSheet is what stands on one sheet.
type pageSheet struct {
	rungs         []Rung
	notes         []string // lines below the rungs
	before, after []crossing
}

// Needs is how wide and how high a page like that of the options must be for the drawing.
func (d *Drawing) Needs(o Options) (width, height float64) {
	_, length := d.columns(o, 0, 0)
	if !o.Upright {
		return leftMargin + length + rightMargin, 0
	}
	for i := range d.Rungs {
		left, right := d.reachUpright(&d.Rungs[i], o)
		width = max(width, 2*pathMargin+d.railRoom(d.Rungs[i].section, o)+left+right+
			d.joinRoom(i, i, i+1, o)+d.joinRoom(i+1, i, i+1, o))
	}
	return width, pageHead + pathHead + length + d.below(d.Rungs, o) + d.legendHeight(o)
}

// Pages is how many sheets the drawing takes on pages like that of the options, and how many of them
// have nothing but notes.
func (d *Drawing) Pages(o Options) (sheets, notes int) {
	all := d.paging(o).sheets()
	for _, sh := range all {
		notes += b2i(len(sh.rungs) == 0)
	}
	return len(all), notes
}

// Figures gives the drawing on pages like that of the options: a figure for each sheet.
func (d *Drawing) Figures(o Options) []Figure {
	p := d.paging(o)
	sheets := p.sheets()
	var figures []Figure
	for i := range sheets {
		figures = append(figures, p.scene(sheets, i+1).figure())
	}
	return figures
}

// scene works out every place on a sheet.
func (p *paging) scene(sheets []pageSheet, number int) *scene {
	d, o := p.d, p.o
	sh := sheets[number-1]
	sc := &scene{d: d, o: o, sheets: sheets}
	y := pageHead
	sc.top = pageHead
	if o.Upright {
		sc.top = pathMargin
	}
	from, length := leftMargin, o.Page.Width-leftMargin-rightMargin
	if len(sh.rungs) > 0 {
		first := sh.rungs[0].Number - 1
		last := first + len(sh.rungs)
		sc.top += d.joinRoom(first, first, last, o)
		sc.bottom = sc.layRows(sh.rungs, sc.top)
		y = sc.bottom + d.joinRoom(last, first, last, o)
		if o.Upright {
			from, length = pageHead+pathHead, p.pathLength(first, last)
			y = pageHead + p.height(first, last)
		}
	}
	sc.before, sc.after = sh.before, sh.after
	spaces, _ := d.columns(o, from, length)
	sc.width, sc.height = o.Page.Width, o.Page.Height
	sc.text(label{x: leftMargin, y: 14, size: numberSize, text: d.pageTitle(o, sh), kind: "title"})
	sc.lines(spaces)
	sc.goOn(sh, number, spaces)
	y += footGap
	var lines []string
	if len(sh.rungs) > 0 {
		for _, l := range d.legend(o) {
			lines = append(lines, o.Page.wrapped(l)...)
		}
	}
	for _, line := range append(lines, sh.notes...) {
		sc.text(label{x: leftMargin, y: y, size: footSize, text: line, kind: "foot"})
		y += footStep
	}
	return sc
}

// pageTitle is the line above the rungs of a sheet.
func (d *Drawing) pageTitle(o Options, sh pageSheet) string {
	switch len(sh.rungs) {
	case 0:
		return "Notes"
	case 1:
		return fmt.Sprintf("%s %s of %d, %s", capital(o.line()), fromTo(sh.rungs), d.lines, o.State.Title())
	}
	return fmt.Sprintf("%ss %s of %d, %s", capital(o.line()), fromTo(sh.rungs), d.lines, o.State.Title())
}

// capital begins a word with a capital.
func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }
