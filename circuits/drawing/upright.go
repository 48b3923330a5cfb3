package drawing

import (
	"math"
	"strings"

	"deadrung/circuits"
)

// Measures of a drawing whose paths run down.
const (
	pathHead    = 24.0  // from the head of the sheet to the upper rail: the numbers of the paths
	pathLead    = 15.0  // the least conductor at either end of a symbol
	numberAside = 7.0   // of a wire number from its conductor, beside the mark of a lead
	numberBelow = 10.5  // of a wire number from where a path branches
	wordGap     = 4.0   // of a name from its symbol
	belowGap    = 8.0   // of what stands below a path from the lower rail
	belowStep   = 12.0  // from one line of it to the next
	tablePad    = 3.0   // left and right of the words of a contact table
	leastBelow  = 78.0  // width of a path with words below it
	leastPaths  = 420.0 // width of a picture, for the lines at its foot
	mostPaths   = 1000.0
	// mostStretch is how much longer than they need the paths of a sheet are drawn at most.
	mostStretch = 1.6
	// functionLetters is how long a line of what a part is for may be, of which there are two.
	functionLetters = 12
)

// extent is what a symbol covers.
func (p *placedPart) extent() (left, top, right, bottom float64) {
	s := p.symbol
	if p.upright {
		return p.x - s.down, p.y - s.half, p.x + s.up, p.y + s.half
	}
	return p.x - s.half, p.y - s.up, p.x + s.half, p.y + s.down
}

// slotHeight is how much room a part needs on a path that runs down.
func (d *Drawing) slotHeight(p *Part, s *symbol) float64 {
	switch p.Kind {
	case Reference:
		return 58
	case Tap:
		return 2 * (pathLead + 14) // its further terminals are a second circle
	case Ground:
		return 2 * (pathLead + 10)
	}
	return 2 * (s.half + pathLead)
}

// railRoom is the room before the first path of a section for the names of its rails.
func (d *Drawing) railRoom(s *section, o Options) float64 {
	if !o.Upright {
		return 0
	}
	wide := 0.0
	for _, j := range []joint{s.left, s.right} {
		if n := d.graph.numberOf(j); j != none && n >= 0 {
			wide = max(wide, textWidth(o.name(d, n), numberSize))
		}
	}
	return wide + 14
}

// reachUpright is the room that a path needs to the left and to the right of its conductor.
func (d *Drawing) reachUpright(r *Rung, o Options) (left, right float64) {
	left, right = 12, leastLead
	for _, p := range r.Parts {
		sym := symbolOf(p, o.Symbols)
		for side, n := range []int{p.LeftNumber, p.RightNumber} {
			if n >= 0 && !d.onRail(p.at[side]) {
				left = max(left, numberAside+textWidth(o.name(d, n), numberSize)+2)
			}
		}
		if p.Kind == Reference {
			for _, line := range d.referenceLines(p, o) {
				half := textWidth(line, numberSize)/2 + 3
				left, right = max(left, half), max(right, half)
			}
			continue
		}
		if p.Kind == Bridge {
			continue
		}
		words := textWidth(p.Name()+"*", o.size(nameSize))
		for _, line := range d.functionLines(p, o) {
			words = max(words, textWidth(line, o.size(noteSize)))
		}
		left = max(left, sym.down+wordGap+words+2)
		right = max(right, sym.up+wordGap+textWidth("BLACK", o.size(terminalSize))+2)
		for _, t := range []circuits.Terminal{p.Left, p.Right} {
			right = max(right, terminalGap+ringRoom+textWidth(o.terminal(t)+"?", o.size(terminalSize))+2)
		}
	}
	need := 0.0
	if len(d.beside(r, o, besideLetters, 1)) > 0 {
		need = leastBelow
	}
	for _, t := range d.tables(r) {
		need = max(need, t.wide(o)+4)
	}
	return left, max(right, need-left)
}

// functionLines are what a part is for, in two lines at most; none where it is too long.
func (d *Drawing) functionLines(p *Part, o Options) []string {
	text := d.function(p, o.Symbols)
	if text == "" {
		return nil
	}
	var lines []string
	for _, l := range besideText(text, functionLetters, 3) {
		lines = append(lines, l[0].text)
	}
	if len(lines) > 2 || strings.Contains(strings.Join(lines, ""), "…") {
		return nil
	}
	return lines
}

// referenceLines are where a conductor goes on, as it is written at the end of a path.
func (d *Drawing) referenceLines(p *Part, o Options) []string {
	return strings.Split(d.referenceText(p, o), ", ")
}

// writeUpright writes what stands at a symbol of a path that runs down: on its left its name and
// what it is for, on its right its terminals.
func (sc *scene) writeUpright(p *placedPart) {
	if p.Kind == Bridge {
		return
	}
	if p.Kind == Reference {
		lines := sc.d.referenceLines(p.Part, sc.o)
		y := p.y + 8 + 10
		if p.hang {
			y = p.y - 9 - 11*float64(len(lines)-1)
		}
		for i, line := range lines {
			sc.text(label{x: p.x, y: y + 11*float64(i), size: numberSize, anchor: AtMiddle, text: line, kind: "reference"})
		}
		return
	}
	name := sc.nameOf(p.Part)
	function := sc.d.functionLines(p.Part, sc.o)
	x, y := p.x-p.symbol.down-wordGap, p.y+3.5-5.5*float64(len(function))
	if p.symbol.inside && len([]rune(name)) <= 3 {
		sc.text(label{x: p.x, y: p.y + 3.3, size: 9.5, anchor: AtMiddle, text: name, bold: true, kind: "inside"})
	} else {
		sc.text(label{x: x, y: y, size: nameSize, anchor: AtEnd, text: name, bold: true, kind: "name"})
	}
	for _, line := range function {
		y += 11
		sc.text(label{x: x, y: y, size: noteSize, anchor: AtEnd, text: line, kind: "note"})
	}
	if p.Kind == Post || p.Kind == Ground || p.Kind == Tap || sc.o.Unnumbered {
		return
	}
	for side, t := range []circuits.Terminal{p.Left, p.Right} {
		l := label{x: p.x + terminalGap, y: p.left - 3.5, size: terminalSize, text: sc.o.terminal(t), kind: "terminal"}
		if side == 1 {
			l.y = p.right + 3 + 0.78*sc.o.size(terminalSize)
		}
		if sc.leadAt(t) {
			l.x += ringRoom
		}
		sc.text(l)
	}
}

// leadLabel is where the name of a meter's lead stands beside a symbol of a path that runs down.
func (p *placedPart) leadLabel(second bool) (x, y float64) {
	x = p.x + p.symbol.up + wordGap
	switch {
	case p.symbol.half < 5:
		return x, p.y + 3.5
	case second:
		return x, p.right + 1
	}
	return x, p.left + 6.5
}

// contactTable lists the contacts of a coil with the path of each.
type contactTable struct {
	name string
	rows []contactRow
}

type contactRow struct {
	terminals, no, nc string
}

// tables are the contact tables of the coils of a path. A relay of several coils has one, at the
// first that is drawn.
func (d *Drawing) tables(r *Rung) []contactTable {
	var tables []contactTable
	for _, p := range r.Parts {
		coil := func(x *Part) bool { return x.Kind == Load && x.Device == p.Device }
		if p.Kind != Load || p.Device.Type.Kind != circuits.RelayKind || len(p.Device.Contacts) == 0 || d.first(coil) != p {
			continue
		}
		t := contactTable{name: p.Device.Name}
		for _, x := range d.references(p.Device) {
			c := p.Device.Contacts[x.Number]
			row := contactRow{terminals: c.A + "-" + c.B}
			if x.Timed {
				row.terminals += " t"
			}
			path := "\u2013"
			if x.Rung > 0 {
				path = d.numbered(x.Rung)
			}
			if x.NC {
				row.nc = path
			} else {
				row.no = path
			}
			t.rows = append(t.rows, row)
		}
		tables = append(tables, t)
	}
	return tables
}

// columns are the widths of the columns of a contact table.
func (t contactTable) columns(o Options) [3]float64 {
	size := o.size(noteSize)
	head := size + 1 // bold
	w := [3]float64{textWidth(t.name, head), textWidth("NO", head), textWidth("NC", head)}
	for _, r := range t.rows {
		for i, text := range []string{r.terminals, r.no, r.nc} {
			w[i] = max(w[i], textWidth(text, size))
		}
	}
	for i := range w {
		w[i] += 2 * tablePad
	}
	return w
}

func (t contactTable) wide(o Options) float64 {
	w := t.columns(o)
	return w[0] + w[1] + w[2]
}

func (t contactTable) high() float64 { return belowStep*float64(len(t.rows)+1) + 4 }

// wordsBelow are the lines below a path: what its file's rungs and its loads are for.
func (d *Drawing) wordsBelow(r *Rung, o Options) [][]word {
	left, right := d.reachUpright(r, o)
	return d.beside(r, o, int((left+right-6)/(letterWidth*o.size(noteSize))), mostTitle)
}

// belowRung is the room that a path needs below the lower rail.
func (d *Drawing) belowRung(r *Rung, o Options) float64 {
	y := belowGap + belowStep*float64(len(d.wordsBelow(r, o))) + 4
	if r.Parts[len(r.Parts)-1].slot >= r.section.columns {
		y += groundRoom
	}
	for _, t := range d.tables(r) {
		y += 4 + t.high()
	}
	return y
}

// below is the room that rungs need below the lower rail.
func (d *Drawing) below(rungs []Rung, o Options) float64 {
	most := belowGap
	for i := range rungs {
		most = math.Max(most, d.belowRung(&rungs[i], o))
	}
	return most
}

// writeBelow writes what stands below a path.
func (sc *scene) writeBelow(r *row, sp sectionSpace) {
	d, o := sc.d, sc.o
	left, _ := d.reachUpright(r.rung, o)
	start, y := r.at-left+3, sp.end+belowGap
	if r.rung.Parts[len(r.rung.Parts)-1].slot >= r.rung.section.columns {
		y += groundRoom
	}
	for _, line := range d.wordsBelow(r.rung, o) {
		y += belowStep
		x := start
		for _, w := range line {
			sc.text(label{x: x, y: y - 2, size: noteSize, text: w.text, bold: w.bold, kind: "below"})
			x += textWidth(w.text, o.size(noteSize)) + 5
		}
	}
	for _, t := range d.tables(r.rung) {
		y += 4
		sc.table(t, start, y)
		y += t.high()
	}
}

// table draws a contact table with its corner at a point.
func (sc *scene) table(t contactTable, left, top float64) {
	widths := t.columns(sc.o)
	right, bottom := left+t.wide(sc.o), top+belowStep*float64(len(t.rows)+1)
	rule := func(x1, y1, x2, y2 float64) {
		sc.rules = append(sc.rules, [2]Point{{x1, y1}, {x2, y2}})
	}
	y := top
	write := func(bold bool, cells ...string) {
		x := left
		for i, text := range cells {
			sc.text(label{x: x + tablePad, y: y + belowStep - 2.5, size: noteSize, text: text, bold: bold, kind: "table"})
			x += widths[i]
		}
		y += belowStep
	}
	write(true, t.name, "NO", "NC")
	rule(left, top, right, top)
	rule(left, y, right, y)
	for _, r := range t.rows {
		terminals := r.terminals
		if sc.o.Unnumbered {
			terminals = ""
		}
		write(false, terminals, r.no, r.nc)
	}
	rule(left, bottom, right, bottom)
	x := left
	rule(x, top, x, bottom)
	for _, w := range widths {
		x += w
		rule(x, top, x, bottom)
	}
}
