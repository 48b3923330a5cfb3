package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Measures of a drawing, in its own units. A sheet of A4 or letter paper shows about a
// thousand of them side by side.
const (
	leftMargin   = 34.0
	rightMargin  = 168.0
	headHeight   = 44.0
	sectionGap   = 26.0
	trackStep    = 11.0
	nameSize     = 10.5
	numberSize   = 10.0
	terminalSize = 8.5
	noteSize     = 8.5
	rungSize     = 11.0
	ringSize     = 4.6 // radius of the mark of a lead
	ringRoom     = 4.0 // that it takes from the text below it
	leastLead    = 12.0
	leastWidth   = 760.0
	mostWidth    = 1000.0
	// sheetShape is the height of what prints on a sheet in its width: the printable part
	// of letter paper (8.5 by 11 inches, ANSI/ASME Y14.1) with margins of half an inch,
	// less a line for the name of the file. A4 (ISO 216) is longer.
	sheetShape = 1.3
)

// letterWidth is the width of a character in its size. Common practice, no source: the
// mean of sans-serif digits and capitals, rounded up.
const letterWidth = 0.62

func textWidth(s string, size float64) float64 {
	return letterWidth * size * float64(len([]rune(s)))
}

// label is a text of the drawing.
type label struct {
	x, y, size float64 // of its baseline
	anchor     anchor
	text       string
	bold       bool
	under      bool // underlined
	kind       string
}

type anchor int

const (
	begins anchor = iota // at x
	middle
	ends
)

// rect is what a text or symbol covers.
type rect struct{ x1, y1, x2, y2 float64 }

func (l label) rect() rect {
	w := textWidth(l.text, l.size)
	x := l.x
	switch l.anchor {
	case middle:
		x -= w / 2
	case ends:
		x -= w
	}
	return rect{x, l.y - 0.78*l.size, x + w, l.y + 0.2*l.size}
}

// conductor is a straight piece of conductor.
type conductor struct {
	x1, y1, x2, y2 float64
	joint          joint
	number         int
	rail           bool
}

// placedPart is a symbol where it is drawn.
type placedPart struct {
	*Part
	symbol *symbol
	x, y   float64
	left   float64 // where its left terminal is
	right  float64
}

// scene is a drawing with every place worked out.
type scene struct {
	d             *Drawing
	o             Options
	width, height float64
	labels        []label
	wires         []conductor
	dots          [][2]float64
	parts         []placedPart
	rings         []ring0 // leads of the meter
	rows          []row   // of this sheet
}

type ring0 struct {
	x, y  float64
	black bool
}

// row is a rung on the sheet.
type row struct {
	rung *Rung
	y    float64
}

// sectionSpace is where the columns of a section are.
type sectionSpace struct {
	x []float64 // of column 0 to the last, which is the right rail
}

// need is how wide the lead of a part must be on either side of its symbol.
func (d *Drawing) need(p *Part) (lead float64) {
	lead = leastLead
	for _, t := range []circuits.Terminal{p.Left, p.Right} {
		if _, name := t.Split(); name != "" && p.Kind != Post && p.Kind != Tap && p.Kind != Bridge {
			lead = max(lead, textWidth(name, terminalSize)+6)
		}
	}
	if p.LeftNumber >= 0 {
		lead = max(lead, textWidth(d.Circuit.Numbers[p.LeftNumber].Name, numberSize)+6+ringSize+2)
	}
	return lead
}

// slotWidth is how much room a part needs between two columns.
func (d *Drawing) slotWidth(p *Part, by Symbols) float64 {
	s := symbolOf(p, by)
	w := 2*s.half + 2*d.need(p)
	switch p.Kind {
	case Reference:
		return textWidth(d.referenceText(p), numberSize) + 34
	case Tap, Ground:
		return 2 * (textWidth(p.Name(), nameSize) + 24)
	}
	return max(w, textWidth(p.Name()+"*", nameSize)+10)
}

// referenceText says where a conductor goes on.
func (d *Drawing) referenceText(p *Part) string {
	n := max(p.LeftNumber, p.RightNumber)
	name := ""
	if n >= 0 {
		name = d.Circuit.Numbers[n].Name
	}
	if to := d.GoesOn(p); to > 0 {
		return fmt.Sprintf("%s, rung %d", name, to)
	}
	return name
}

// GoesOn gives the rung on which the conductor of a reference goes on: another reference to
// it, else one that has the number.
func (d *Drawing) GoesOn(p *Part) int {
	n := max(p.LeftNumber, p.RightNumber)
	other := 0
	for _, r := range d.Rungs {
		for _, q := range r.Parts {
			if q == p || q.LeftNumber != n && q.RightNumber != n {
				continue
			}
			if q.Kind == Reference {
				return r.Number
			}
			if other == 0 && r.Number != p.Rung {
				other = r.Number
			}
		}
	}
	return other
}

// columns places the columns of every section between the margins.
func (d *Drawing) columns(by Symbols, width float64) (map[*section]sectionSpace, float64) {
	spaces := make(map[*section]sectionSpace)
	widths := make(map[*section][]float64)
	tracks := make(map[*section][]int)
	most := width - leftMargin - rightMargin
	for _, s := range d.sections {
		w := make([]float64, s.columns)
		t := make([]int, s.columns+1)
		for _, gr := range s.groups {
			for j, k := range gr.track {
				t[gr.column[j]] = max(t[gr.column[j]], k)
			}
			for _, p := range gr.parts {
				if p.slot < s.columns {
					w[p.slot] = max(w[p.slot], d.slotWidth(p, by))
				}
			}
		}
		sum := 0.0
		for i := range w {
			if w[i] == 0 {
				w[i] = 10
			}
			w[i] += trackStep * float64(t[i])
			sum += w[i]
		}
		widths[s], tracks[s] = w, t
		most = max(most, sum)
	}
	for _, s := range d.sections {
		sum := 0.0
		for _, w := range widths[s] {
			sum += w
		}
		space := sectionSpace{x: []float64{leftMargin}}
		at := leftMargin
		for _, w := range widths[s] {
			at += w * most / sum
			space.x = append(space.x, at)
		}
		spaces[s] = space
	}
	return spaces, most + leftMargin + rightMargin
}

// aside is how far the conductors of a column reach to the right of it.
func (gr *group) aside(column int) float64 {
	most := 0
	for j, k := range gr.track {
		if gr.column[j] == column {
			most = max(most, k)
		}
	}
	return trackStep * float64(most)
}

// jointX is where a joint is.
func (sp sectionSpace) jointX(gr *group, s *section, j joint) float64 {
	if j == s.right {
		return sp.x[len(sp.x)-1]
	}
	if j == s.left {
		return sp.x[0]
	}
	return sp.x[gr.column[j]] + trackStep*float64(gr.track[j])
}

// newScene works out every place of a drawing, or of one of its sheets.
func (d *Drawing) newScene(o Options) *scene {
	sc := &scene{d: d, o: o}
	width := leastWidth
	sheets := d.breaks(o.Symbols)
	rungs := d.Rungs
	if o.Sheet > 0 && o.Sheet <= len(sheets) {
		rungs = sheets[o.Sheet-1]
	}
	height := sc.layRows(rungs)
	width = math.Min(mostWidth, math.Max(width, height/sheetShape))
	spaces, width := d.columns(o.Symbols, width)
	sc.width = width
	sc.head()
	for i := range sc.rows {
		sc.place(&sc.rows[i], spaces[sc.rows[i].rung.section])
	}
	sc.verticals(spaces)
	sc.leads()
	sc.height = sc.foot(height)
	return sc
}

// reach is the room that a rung needs above and below its conductor: for its symbols, and
// for what is written at and beside it.
func (d *Drawing) reach(r *Rung, by Symbols) (above, below float64) {
	above, below = 26, 18
	for _, p := range r.Parts {
		sym := symbolOf(p, by)
		above = max(above, sym.up+6+nameSize)
		down := max(sym.down, 12) + 4
		if d.function(p) != "" {
			down += noteSize + 2
		}
		below = max(below, down)
	}
	half := 6*float64(len(d.beside(r, besideLetters, 2))) + 3
	return max(above, half), max(below, half, 28)
}

// layRows gives every rung its height on the sheet.
func (sc *scene) layRows(rungs []Rung) float64 {
	y := headHeight
	var last *section
	for i := range rungs {
		r := &rungs[i]
		if last != nil && r.section != last {
			y += sectionGap
		}
		last = r.section
		above, below := sc.d.reach(r, sc.o.Symbols)
		sc.rows = append(sc.rows, row{r, y + above})
		y += above + below
	}
	return y + 8
}

// breaks cuts the drawing into sheets.
func (d *Drawing) breaks(by Symbols) [][]Rung {
	room := sheetShape*mostWidth - headHeight - 70
	height := func(r *Rung) float64 {
		above, below := d.reach(r, by)
		return above + below
	}
	var sheets [][]Rung
	start, y, fits := 0, 0.0, 0
	for i := range d.Rungs {
		r := &d.Rungs[i]
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
			start, y = cut, 0
			for k := start; k <= i; k++ {
				y += height(&d.Rungs[k])
			}
		}
	}
	return append(sheets, d.Rungs[start:])
}

// Sheets is how many sheets of A4 or letter paper the drawing takes.
func (d *Drawing) Sheets(by Symbols) int { return len(d.breaks(by)) }

func (sc *scene) text(l label) { sc.labels = append(sc.labels, l) }

// head writes the title.
func (sc *scene) head() {
	title := sc.d.Circuit.Title
	sc.text(label{x: leftMargin, y: 18, size: 14, text: title, bold: true, kind: "title"})
	line := "at rest, power off"
	if sc.o.State != nil {
		line = "at the end of step: " + sc.o.State.Step
	}
	if sc.o.Sheet > 0 {
		line += fmt.Sprintf(" · sheet %d of %d", sc.o.Sheet, sc.d.Sheets(sc.o.Symbols))
	}
	sc.text(label{x: leftMargin, y: 33, size: 10, text: line, kind: "title"})
}

// place places the parts of a rung, and the conductors between them.
func (sc *scene) place(r *row, sp sectionSpace) {
	d, s, gr := sc.d, r.rung.section, r.rung.group
	sc.text(label{x: leftMargin - 8, y: r.y + 4, size: rungSize, anchor: ends, text: fmt.Sprint(r.rung.Number), bold: true, kind: "rung"})
	var previous *placedPart
	for i, p := range r.rung.Parts {
		sym := symbolOf(p, sc.o.Symbols)
		left, right := 0.0, 0.0
		if p.slot < s.columns {
			left, right = sp.x[p.slot]+gr.aside(p.slot), sp.x[p.slot+1]
		} else {
			left = sp.x[s.columns]
			right = left + 40
		}
		pp := placedPart{Part: p, symbol: sym, x: (left + right) / 2, y: r.y}
		switch {
		case p.Kind == Reference && p.hang:
			pp.x = right - 18
		case p.Kind == Reference:
			pp.x = left + 16
		case p.Kind == Ground:
			pp.x = (left + right) / 2
		}
		pp.left, pp.right = pp.x-sym.half, pp.x+sym.half
		joined := previous != nil && p.at[0] != none && previous.at[1] == p.at[0]
		if p.at[0] != none {
			from := sp.jointX(gr, s, p.at[0])
			if joined {
				from = previous.right
			}
			sc.wire(from, r.y, pp.left, r.y, p.at[0])
		}
		sc.parts = append(sc.parts, pp)
		sc.write(&pp)
		if next := r.rung.after(i); p.at[1] != none && (next == nil || next.at[0] != p.at[1]) {
			sc.wire(pp.right, r.y, sp.jointX(gr, s, p.at[1]), r.y, p.at[1])
		}
		previous = &sc.parts[len(sc.parts)-1]
	}
	x := sp.x[len(sp.x)-1] + 12
	if last := r.rung.Parts[len(r.rung.Parts)-1]; last.slot >= s.columns {
		x = previous.x + 17 + textWidth(last.Name(), nameSize) + 10
	}
	start := x
	lines := d.beside(r.rung, besideLetters, 2)
	y := r.y + 4 - 6*float64(max(len(lines)-1, 0))
	for _, line := range lines {
		for _, w := range line {
			sc.text(label{x: x, y: y, size: noteSize + 0.5, text: w.text, under: w.nc, bold: w.bold, kind: "beside"})
			x += textWidth(w.text, noteSize+0.5) + 5
		}
		x = start
		y += 12
	}
}

// after gives the part that follows one on a rung.
func (r *Rung) after(i int) *Part {
	if i+1 < len(r.Parts) {
		return r.Parts[i+1]
	}
	return nil
}

func (sc *scene) wire(x1, y1, x2, y2 float64, j joint) {
	if x1 == x2 && y1 == y2 {
		return
	}
	sc.wires = append(sc.wires, conductor{x1, y1, x2, y2, j, sc.d.graph.numberOf(j), false})
}

// write writes what stands at a symbol: its name, its terminals, what it is for.
func (sc *scene) write(p *placedPart) {
	d := sc.d
	name := p.Name()
	if sc.o.State.operated(p.Part) || sc.o.State != nil && sc.o.State.On[p.Device] && loadLike(p.Part) {
		name += "*"
	}
	switch p.Kind {
	case Reference:
		l := label{x: p.x + 12, y: p.y + 3.5, size: numberSize, text: d.referenceText(p.Part), kind: "reference"}
		if p.hang {
			l.x, l.anchor = p.x-4, ends
		}
		sc.text(l)
		return
	case Bridge:
		return
	case Ground, Tap:
		sc.text(label{x: p.x + 17, y: p.y + 4, size: nameSize, text: name, bold: true, kind: "name"})
		return
	}
	if p.symbol.inside && len([]rune(name)) <= 4 {
		size := 9.5
		if len([]rune(name)) > 3 {
			size = 8.5
		}
		sc.text(label{x: p.x, y: p.y + 3.3, size: size, anchor: middle, text: name, bold: true, kind: "inside"})
	} else {
		sc.text(label{x: p.x, y: p.y - max(p.symbol.up, 10) - 4, size: nameSize, anchor: middle, text: name, bold: true, kind: "name"})
	}
	if p.Kind == Post {
		return
	}
	for side, t := range []circuits.Terminal{p.Left, p.Right} {
		_, terminal := t.Split()
		if terminal == "" {
			continue
		}
		l := label{x: p.left - 2, y: p.y + 10.5, size: terminalSize, anchor: ends, text: terminal, kind: "terminal"}
		if side == 1 {
			l.x, l.anchor = p.right+2, begins
		}
		if sc.leadAt(t) {
			l.y += ringRoom
		}
		sc.text(l)
	}
	if note := d.function(p.Part); note != "" && p.slotRoom(sc) >= textWidth(note, noteSize) && !sc.leadOn(p.Part) {
		sc.text(label{x: p.x, y: p.y + max(p.symbol.down, 12) + 10, size: noteSize, anchor: middle, text: note, kind: "note"})
	}
}

// slotRoom is the room below a symbol.
func (p *placedPart) slotRoom(sc *scene) float64 {
	return 2*p.symbol.half + 2*sc.d.need(p.Part) - 6
}

// function is what a part that a person or the process works is for, in a word or two.
func (d *Drawing) function(p *Part) string {
	if p.Kind != Contact || p.Device.Type.Kind != circuits.OperatorKind {
		return ""
	}
	c := p.Device.Contacts[p.Index]
	if c.Form == circuits.InPositions || len(p.Device.Positions) > 2 {
		return "in " + strings.Join(closedIn(p.Device, c), ", ")
	}
	note, _, _ := strings.Cut(p.Device.Note, ",")
	return note
}

func closedIn(dev *circuits.Device, c circuits.Contact) []string {
	var names []string
	for i, on := range c.Closed {
		if on {
			names = append(names, dev.Positions[i])
		}
	}
	return names
}

// verticals draws rails, the conductors between lines, the dots and the wire numbers.
func (sc *scene) verticals(spaces map[*section]sectionSpace) {
	type key struct {
		gr *group
		j  joint
	}
	type reach struct {
		rows []float64
		cut  bool // goes on on another sheet
	}
	seen := make(map[key]*reach)
	var order []key
	here := make(map[int]bool)
	for _, r := range sc.rows {
		here[r.rung.Number] = true
	}
	rails := make(map[*section][2][]float64)
	var sections []*section
	for _, r := range sc.rows {
		s := r.rung.section
		if !slices.Contains(sections, s) {
			sections = append(sections, s)
		}
		var at []joint
		for _, p := range r.rung.Parts {
			for _, j := range p.at {
				if j != none && !slices.Contains(at, j) {
					at = append(at, j)
				}
			}
		}
		for _, j := range at {
			if j == s.left || j == s.right {
				v := rails[s]
				v[b2i(j == s.right)] = append(v[b2i(j == s.right)], r.y)
				rails[s] = v
				continue
			}
			k := key{r.rung.group, j}
			if seen[k] == nil {
				seen[k] = &reach{}
				order = append(order, k)
			}
			seen[k].rows = append(seen[k].rows, r.y)
		}
	}
	for _, s := range sections {
		sp := spaces[s]
		for side, j := range []joint{s.left, s.right} {
			ys := rails[s][side]
			if j == none || len(ys) == 0 {
				continue
			}
			x := sp.x[side*(len(sp.x)-1)]
			sc.wires = append(sc.wires, conductor{x, ys[0] - 18, x, ys[len(ys)-1] + 12, j, sc.d.graph.numberOf(j), true})
			for _, y := range ys {
				sc.dots = append(sc.dots, [2]float64{x, y})
			}
			if n := sc.d.graph.numberOf(j); n >= 0 {
				l := label{x: x, y: ys[0] - 21, size: numberSize, anchor: middle, text: sc.d.Circuit.Numbers[n].Name, bold: true, kind: "number"}
				sc.text(l)
			}
		}
	}
	for _, k := range order {
		v := seen[k]
		s := sectionOf(sc.rows, k.gr)
		x := spaces[s].jointX(k.gr, s, k.j)
		top, bottom := slices.Min(v.rows), slices.Max(v.rows)
		above, below := false, false
		for _, p := range k.gr.linked[k.j] {
			if !here[p.Rung] {
				above = above || p.Rung < sc.rows[0].rung.Number
				below = below || p.Rung > sc.rows[0].rung.Number
			}
		}
		if above {
			top = sc.rows[0].y - 30
		}
		if below {
			bottom = sc.rows[len(sc.rows)-1].y + 26
		}
		if bottom > top {
			sc.wires = append(sc.wires, conductor{x, top, x, bottom, k.j, sc.d.graph.numberOf(k.j), false})
		}
		sc.dot(k.gr, k.j, x, top, bottom)
		sc.numberAt(k.gr, k.j, spaces[s], v.rows[0])
	}
}

func sectionOf(rows []row, gr *group) *section {
	for _, r := range rows {
		if r.rung.group == gr {
			return r.rung.section
		}
	}
	return nil
}

// dot puts a dot where three conductors or more meet.
func (sc *scene) dot(gr *group, j joint, x, top, bottom float64) {
	for _, r := range sc.rows {
		if r.rung.group != gr || r.y < top || r.y > bottom {
			continue
		}
		ways := b2i(r.y > top) + b2i(r.y < bottom)
		on := false
		for _, p := range r.rung.Parts {
			if p.at[0] == j || p.at[1] == j {
				ways++
				on = true
			}
		}
		if on && ways > 2 {
			sc.dots = append(sc.dots, [2]float64{x, r.y})
		}
	}
}

// numberAt writes the wire number of a joint above the conductor: to the right of it where
// the conductor goes on, else to the left.
// A number stands beside all conductors of its column.
func (sc *scene) numberAt(gr *group, j joint, sp sectionSpace, y float64) {
	n := sc.d.graph.numberOf(j)
	if n < 0 {
		return
	}
	column := gr.column[j]
	l := label{x: sp.x[column] + gr.aside(column) + 4, y: y - 3.5, size: numberSize, text: sc.d.Circuit.Numbers[n].Name, kind: "number"}
	goesOn := false
	for _, r := range sc.rows {
		if r.y == y {
			for _, p := range r.rung.Parts {
				goesOn = goesOn || p.at[0] == j && p.Kind != Reference
				if p.Kind == Reference && (p.at[0] == j || p.at[1] == j) {
					return // the reference says it
				}
			}
		}
	}
	if !goesOn {
		l.x, l.anchor = sp.x[column]-4, ends
	}
	sc.text(l)
}

// leadAt tells whether a lead of the meter is on a terminal.
func (sc *scene) leadAt(t circuits.Terminal) bool {
	return slices.ContainsFunc(sc.o.Leads, func(l Lead) bool { return l.Terminal == t })
}

// leadOn tells whether a lead of the meter is on a part.
func (sc *scene) leadOn(p *Part) bool {
	return slices.ContainsFunc(sc.o.Leads, func(l Lead) bool { return slices.Contains(p.Terminals(), l.Terminal) })
}

// leads marks the terminals that the leads of the meter are on.
func (sc *scene) leads() {
	for _, l := range sc.o.Leads {
		for _, p := range sc.parts {
			if !slices.Contains(p.Terminals(), l.Terminal) || p.Kind == Reference {
				continue
			}
			x, t := p.left, label{x: p.left - 2, y: p.y + 19.5 + ringRoom, size: terminalSize, anchor: ends, text: "RED", bold: true, kind: "lead"}
			if p.Right == l.Terminal && p.Left != l.Terminal {
				x, t.x, t.anchor = p.right, p.right+2, begins
			}
			if p.symbol.half < 5 {
				x, t.x, t.anchor = p.x, p.x, middle
			}
			if l.Black {
				t.text = "BLACK"
			}
			sc.rings = append(sc.rings, ring0{x, p.y, l.Black})
			sc.text(t)
			break
		}
	}
}
