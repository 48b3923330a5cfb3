package drawing

import (
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Measures of a drawing, in its own units. A sheet of A4 or letter paper shows about a
// thousand of them side by side.
const (
	leftMargin   = 34.0
	rightMargin  = 150.0
	headHeight   = 44.0
	sectionGap   = 26.0
	gapHeight    = 14.0 // between rungs of which some are not shown
	trackStep    = 11.0
	nameSize     = 10.5
	numberSize   = 10.0
	terminalSize = 8.5
	terminalGap  = 3.5 // from a symbol, which a working load thickens
	noteSize     = 8.5
	groundRoom   = 40.0 // past a rail
	titleSize    = 14.0
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

// label is a text of the drawing.
type label struct {
	x, y, size float64 // of its baseline
	anchor     Align
	text       string
	bold       bool
	under      bool // underlined
	kind       string
}

// placedPart is a symbol where it is drawn.
type placedPart struct {
	*Part
	symbol *symbol
	x, y   float64
	left   float64 // where its left terminal is; how far down, on a path that runs down
	right  float64
	// upright tells that it is on a path that runs down.
	upright bool
}

// scene is a drawing with every place worked out.
type scene struct {
	d             *Drawing
	o             Options
	width, height float64
	labels        []label
	wires         []conductor
	rules         [][2]Point // lines of tables
	dots          [][2]float64
	parts         []placedPart
	locks         []interlock
	rings         []leadMark // leads of the meter
	railed        []rail     // that are drawn
	rows          []row      // of this sheet

	// On a page: where its rungs begin and end, and what goes on beyond them.
	top, bottom   float64
	before, after []crossing
	sheets        []pageSheet
}

type leadMark struct {
	x, y  float64
	black bool
}

// newScene works out every place of a drawing, or of one of its sheets.
func (d *Drawing) newScene(o Options) *scene {
	if o.Page != nil {
		p := d.paging(o)
		return p.scene(p.sheets(), max(o.Sheet, 1))
	}
	sc := &scene{d: d, o: o}
	sheets := d.breaks(o)
	rungs := d.Rungs
	if o.Sheet > 0 && o.Sheet <= len(sheets) {
		rungs = sheets[o.Sheet-1]
	}
	if len(o.Rungs) > 0 {
		rungs = slices.DeleteFunc(slices.Clone(d.Rungs),
			func(r Rung) bool { return !slices.Contains(o.Rungs, r.Number) })
	}
	if o.Upright {
		sc.width = max(sc.layRows(rungs, leftMargin)+leftMargin, leastPaths,
			textWidth(d.Circuit.Title, titleSize)+2*leftMargin)
		spaces, length := d.columns(o, headHeight+pathHead, 0)
		sc.head()
		sc.lines(spaces)
		sc.height = sc.foot(headHeight + pathHead + length + d.below(rungs, o))
		return sc
	}
	height := sc.layRows(rungs, headHeight) + 8
	width := math.Min(mostWidth, math.Max(leastWidth, height/sheetShape))
	spaces, length := d.columns(o, leftMargin, width-leftMargin-rightMargin)
	sc.width = leftMargin + length + rightMargin
	sc.head()
	sc.lines(spaces)
	sc.height = sc.foot(height)
	return sc
}

// lines draws what is on the rungs of a sheet, and what joins them.
func (sc *scene) lines(spaces map[*section]sectionSpace) {
	for i := range sc.rows {
		sc.place(&sc.rows[i], spaces[sc.rows[i].rung.section])
	}
	sc.verticals(spaces)
	sc.leads()
	sc.interlocks()
}

// point is a place on the drawing, by how far it is along its rung and which rung that is.
func (sc *scene) point(along, across float64) (x, y float64) {
	if sc.o.Upright {
		return across, along
	}
	return along, across
}

func (sc *scene) text(l label) {
	l.size = sc.o.size(l.size)
	if l.text != "" {
		sc.labels = append(sc.labels, l)
	}
}

// place places the parts of a rung, and the conductors between them.
func (sc *scene) place(r *row, sp sectionSpace) {
	s, gr := r.rung.section, r.rung.group
	sc.numberRung(r, sp)
	var previous *placedPart
	for i, p := range r.rung.Parts {
		sym := symbolOf(p, sc.o.Symbols)
		left, right := 0.0, 0.0
		if p.slot < s.columns {
			left, right = sp.x[p.slot]+gr.aside(p.slot), sp.x[p.slot+1]
		} else {
			left = sp.x[s.columns]
			right = left + groundRoom
		}
		at := (left + right) / 2
		switch {
		case p.Kind == Reference && p.hang:
			at = right - 18
		case p.Kind == Reference:
			at = left + 16
		}
		pp := placedPart{Part: p, symbol: sym, left: at - sym.half, right: at + sym.half,
			upright: sc.o.Upright}
		pp.x, pp.y = sc.point(at, r.at)
		joined := previous != nil && p.at[0] != none && previous.at[1] == p.at[0]
		if p.at[0] != none {
			from := sp.jointX(gr, s, p.at[0])
			if joined {
				from = previous.right
			}
			sc.wire(from, pp.left, r.at, p.at[0])
		}
		sc.parts = append(sc.parts, pp)
		if sc.o.Upright {
			sc.writeUpright(&pp)
		} else {
			sc.write(&pp)
		}
		if next := r.rung.after(i); p.at[1] != none && (next == nil || next.at[0] != p.at[1]) {
			sc.wire(pp.right, sp.jointX(gr, s, p.at[1]), r.at, p.at[1])
		}
		previous = &sc.parts[len(sc.parts)-1]
	}
	if sc.o.Upright {
		sc.writeBelow(r, sp)
	} else {
		sc.writeBeside(r, sp, previous)
	}
}

// numberRung writes the number of a rung where it begins.
func (sc *scene) numberRung(r *row, sp sectionSpace) {
	l := label{x: leftMargin - 8, y: r.at + 4, size: rungSize, anchor: AtEnd, text: r.rung.label,
		bold: true, kind: "rung"}
	if sc.o.Upright {
		l.x, l.y, l.anchor = r.at, sp.x[0]-7, AtMiddle
	}
	sc.text(l)
}

// writeBeside writes what stands beside a rung whose last part is given.
func (sc *scene) writeBeside(r *row, sp sectionSpace, last *placedPart) {
	x := sp.end + 12
	if last.slot >= r.rung.section.columns {
		x = last.x + 17 + textWidth(last.Name(), nameSize) + 10
	}
	start := x
	lines := sc.d.beside(r.rung, sc.o, r.rung.besideRoom(), mostTitle)
	y := r.at + 4 - 6*float64(max(len(lines)-1, 0))
	for _, line := range lines {
		for _, w := range line {
			sc.text(label{x: x, y: y, size: noteSize + 0.5, text: w.text, under: w.nc, bold: w.bold,
				kind: "beside"})
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

// write writes what stands at a symbol of a rung that runs across: its name, its terminals, what
// it is for.
func (sc *scene) write(p *placedPart) {
	d := sc.d
	name := sc.nameOf(p.Part)
	switch p.Kind {
	case Reference:
		l := label{x: p.x + 12, y: p.y + 3.5, size: numberSize, text: d.referenceText(p.Part, sc.o),
			kind: "reference"}
		if p.hang {
			l.x, l.anchor = p.x-4, AtEnd
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
		sc.text(label{x: p.x, y: p.y + 3.3, size: size, anchor: AtMiddle, text: name, bold: true,
			kind: "inside"})
	} else {
		sc.text(label{x: p.x, y: p.y - max(p.symbol.up, 10) - 4, size: nameSize, anchor: AtMiddle,
			text: name, bold: true, kind: "name"})
	}
	if p.Kind == Post {
		return
	}
	for side, t := range []circuits.Terminal{p.Left, p.Right} {
		terminal := sc.o.terminal(t)
		if terminal == "" || sc.o.Unnumbered {
			continue
		}
		l := label{x: p.left - terminalGap, y: p.y + 10.5, size: terminalSize, anchor: AtEnd,
			text: terminal, kind: "terminal"}
		if side == 1 {
			l.x, l.anchor = p.right+terminalGap, AtStart
		}
		if sc.leadAt(t) {
			l.y += ringRoom
		}
		sc.text(l)
	}
	if note := d.function(p.Part, sc.o.Symbols); note != "" && p.slotRoom(sc) >= textWidth(note, noteSize) &&
		!sc.leadOn(p.Part) {
		sc.text(label{x: p.x, y: p.y + max(p.symbol.down, 12) + 10, size: noteSize, anchor: AtMiddle,
			text: note, kind: "note"})
	}
}

// nameOf is how a part is written at its symbol, with a mark where it works or is in doubt.
func (sc *scene) nameOf(p *Part) string {
	name := p.Name()
	if sc.o.State.operated(p) || sc.o.State != nil && sc.o.State.On[p.Device] && loadLike(p) {
		name += "*"
	}
	return sc.o.marked(p, name)
}

// slotRoom is the room below a symbol.
func (p *placedPart) slotRoom(sc *scene) float64 {
	return 2*p.symbol.half + 2*sc.d.need(p.Part) - 6
}

// function is what a part that a person or the process works is for, in a word or two; of a lamp
// of IEC 60617 its colour.
func (d *Drawing) function(p *Part, by Symbols) string {
	if p.Kind == Load && symbolOf(p, by).coloured {
		return colourCode(p.Device.Note)
	}
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

// leadAt tells whether a lead of the meter is on a terminal.
func (sc *scene) leadAt(t circuits.Terminal) bool {
	return slices.ContainsFunc(sc.o.Leads, func(l Lead) bool { return l.Terminal == t })
}

// leadOn tells whether a lead of the meter is on a part.
func (sc *scene) leadOn(p *Part) bool {
	return slices.ContainsFunc(sc.o.Leads,
		func(l Lead) bool { return slices.Contains(p.Terminals(), l.Terminal) })
}

// leads marks the terminals that the leads of the meter are on.
func (sc *scene) leads() {
	for _, l := range sc.o.Leads {
		for i := range sc.parts {
			p := &sc.parts[i]
			if !slices.Contains(p.Terminals(), l.Terminal) || p.Kind == Reference {
				continue
			}
			second := p.Right == l.Terminal && p.Left != l.Terminal
			ring := leadMark{p.x, p.y, l.Black}
			if p.symbol.half >= 5 {
				along := p.left
				if second {
					along = p.right
				}
				if sc.o.Upright {
					ring.y = along
				} else {
					ring.x = along
				}
			}
			t := label{x: ring.x - 2, y: p.y + 19.5 + ringRoom, size: terminalSize, anchor: AtEnd, text: l.Colour(),
				bold: true, kind: "lead"}
			switch {
			case sc.o.Upright:
				t.x, t.y = p.leadLabel(second)
				t.anchor = AtStart
			case p.symbol.half < 5:
				t.x, t.anchor = p.x, AtMiddle
			case second:
				t.x, t.anchor = p.right+2, AtStart
			}
			sc.rings = append(sc.rings, ring)
			sc.text(t)
			break
		}
	}
}
