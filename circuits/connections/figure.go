package connections

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// Widths of lines.
const (
	thin  = 0.9
	thick = 1.6
)

// sceneOf works out the sheet that options ask for, its wires untangled.
func (d *Diagram) sceneOf(o Options) *scene {
	s := d.tangled(o)
	s.untangle()
	return s
}

func (d *Diagram) tangled(o Options) *scene {
	rows := d.rows
	if o.Page != nil {
		sheets, _ := d.sheets(*o.Page, 0)
		s := d.scene(sheets[max(o.Sheet, 1)-1], nil)
		s.sheetOf = make(map[*row]int)
		for i, on := range sheets {
			for _, r := range on {
				s.sheetOf[r] = o.Before + i + 1
			}
		}
		return s
	}
	if len(o.Only) == 0 {
		return d.scene(rows, nil)
	}
	return sceneOfOnly(d.Circuit, o.Only, screenWidth)
}

// sceneOfOnly works out a sheet of some devices, those of a place close together in rows of a width.
func sceneOfOnly(c *circuits.Circuit, names []string, most float64) *scene {
	d := newWide(c, wide(most), true)
	only := make(map[*box]bool)
	var rows []*row
	for _, r := range d.rows {
		for _, b := range r.boxes {
			if !slices.Contains(names, b.device.Name) {
				continue
			}
			only[b] = true
			n := len(rows)
			if n == 0 || rows[n-1].place != r.place || rows[n-1].end()+boxGap+b.w > most {
				rows = append(rows, &row{place: r.place, index: n, odd: n%2 == 1})
				n++
			}
			b.row = rows[n-1]
			b.x = 0
			if len(b.row.boxes) > 0 {
				b.x = b.row.end() + boxGap
			}
			b.row.boxes = append(b.row.boxes, b)
			b.placeScrews()
		}
	}
	return d.scene(rows, only)
}

// end is where the last box of a row ends.
func (r *row) end() float64 {
	if len(r.boxes) == 0 {
		return 0
	}
	last := r.boxes[len(r.boxes)-1]
	return last.x + last.w
}

// Figure gives the diagram as lines, areas and words.
func (d *Diagram) Figure(o Options) drawing.Figure { return d.sceneOf(o).figure(o) }

func (s *scene) figure(o Options) drawing.Figure {
	f := &figure{Figure: drawing.Figure{Width: s.width, Height: s.height}, scene: s}
	f.frames()
	for _, r := range s.rows {
		for _, b := range r.boxes {
			if s.only == nil || s.only[b] {
				f.box(b)
			}
		}
	}
	for _, r := range s.routes {
		f.wire(r)
	}
	f.leads(o.Leads)
	return f.Figure
}

// SVG draws the diagram as one <svg> element, to stand alone or in a page.
func (d *Diagram) SVG(o Options) []byte {
	text := "Connection diagram"
	for _, l := range o.Leads {
		text += fmt.Sprintf("; %s lead on %s", l.Colour(), l.Terminal)
	}
	return d.Figure(o).SVG(d.Circuit.Title, text+".")
}

// figure is a figure while it is drawn.
type figure struct {
	drawing.Figure
	*scene
}

func (f *figure) line(width float64, dashed bool, points ...drawing.Point) {
	f.Lines = append(f.Lines, drawing.Line{Points: points, Width: width, Dashed: dashed})
}

func (f *figure) rect(width float64, dashed bool, left, top, right, bottom float64) {
	f.line(width, dashed, drawing.Point{X: left, Y: top}, drawing.Point{X: right, Y: top},
		drawing.Point{X: right, Y: bottom}, drawing.Point{X: left, Y: bottom}, drawing.Point{X: left, Y: top})
}

func (f *figure) word(x, y float64, align drawing.Align, text string, bold bool) {
	f.Words = append(f.Words, drawing.Word{At: drawing.Point{X: x, Y: y}, Size: textSize, Align: align,
		Text: text, Bold: bold})
}

// frames draws the outline of every place.
func (f *figure) frames() {
	top := 0.0
	for i, c := range f.channels {
		if c.above == nil {
			top = edge
			if i > 0 {
				top = c.y - track - frameHead
			}
		}
		if c.below != nil || c.above == nil {
			continue
		}
		left, right := f.left-frameGap/2, f.left+f.scene.right+frameGap/2
		bottom := c.y + c.step*float64(len(c.tracks)) + frameGap/2
		f.rect(thin, true, left, top, right, bottom)
		f.word(left+6, top+13, drawing.AtStart, c.above.place, true)
	}
}

// box draws a device with its screws.
func (f *figure) box(b *box) {
	left, y := f.left+b.x, b.row.y
	f.rect(thick, false, left, y, left+b.w, y+boxHeight)
	f.word(left+5, y+boxHeight/2+4, drawing.AtStart, b.device.Name, true)
	for _, u := range b.units {
		f.unit(u, y)
		for _, s := range slices.Concat(u.top, u.bottom) {
			f.screw(s)
		}
	}
	f.bridges(b)
}

// Where on a box the names of terminals stand, and what is drawn between them.
const (
	nameAt  = 15.0 // from the edge to the foot of a name above
	glyphAt = 30.0
)

// unit draws what is between the sides of a unit.
func (f *figure) unit(u placed, y float64) {
	if len(u.top) == 0 || len(u.bottom) == 0 || u.glyph == nothing {
		return
	}
	x, from, to := f.left+u.top[0].x, y+glyphAt, y+boxHeight-glyphAt
	middle := (from + to) / 2
	at := func(dx, dy float64) drawing.Point { return drawing.Point{X: x + dx, Y: middle + dy} }
	switch u.glyph {
	case plain:
		f.line(thin, false, at(0, from-middle), at(0, to-middle))
		return
	case coil:
		f.rect(thin, false, x-6, middle-6, x+6, middle+6)
		f.line(thin, false, at(0, from-middle), at(0, -6))
		f.line(thin, false, at(0, 6), at(0, to-middle))
		return
	}
	for _, way := range []float64{-1, 1} {
		f.line(thin, false, at(0, way*(to-middle)), at(0, way*4))
		f.line(thin, false, at(-6, way*4), at(6, way*4))
	}
	if u.glyph == closed {
		f.line(thin, false, at(-7, 8), at(7, -8))
	}
}

// bridges draws the bridges between the terminals of a block that stand in one box.
func (f *figure) bridges(b *box) {
	x := make(map[string]float64)
	for _, u := range b.units {
		if len(u.top) > 0 {
			x[u.tops[0]] = f.left + u.top[0].x
		}
	}
	y := b.row.y + boxHeight/2
	for _, pair := range b.device.Bridges {
		from, there := x[pair[0]]
		if to, both := x[pair[1]]; there && both {
			f.line(2*thick, false, drawing.Point{X: from, Y: y}, drawing.Point{X: to, Y: y})
		}
	}
}

// out is where a screw sits, and which way its wires leave it.
func (s *scene) out(sc *screw) (x, y, way float64) {
	if sc.top {
		return s.left + sc.x, sc.box.row.y, -1
	}
	return s.left + sc.x, sc.box.row.y + boxHeight, 1
}

// screw draws a screw with its name, and the number on the wires that it has.
func (f *figure) screw(s *screw) {
	x, y, way := f.out(s)
	f.Lines = append(f.Lines, drawing.Line{Points: circle(x, y, 3), Width: thin})
	name := y + nameAt
	if !s.top {
		name = y - nameAt + 8
	}
	f.word(x, name, drawing.AtMiddle, s.name, false)
	if len(s.wires) == 0 {
		return
	}
	number := s.wires[0].number
	half := width(number)/2 + 2
	near, far := y+way*6, y+way*19
	f.line(thin, false, drawing.Point{X: x, Y: y + way*3}, drawing.Point{X: x, Y: near})
	f.rect(thin, false, x-half, min(near, far), x+half, max(near, far))
	f.word(x, max(near, far)-3, drawing.AtMiddle, number, false)
}

// wire draws a wire from sleeve to sleeve.
func (f *figure) wire(r *route) {
	start := func(i int) drawing.Point {
		x, y, way := f.out(r.screws[i])
		return drawing.Point{X: x - r.screws[i].x + r.xs[i], Y: y + way*19}
	}
	onTrack := func(x float64, i int) drawing.Point {
		return drawing.Point{X: x, Y: f.trackY(r.at[i], r.track[i])}
	}
	a := start(0)
	points := []drawing.Point{a, onTrack(a.X, 0)}
	switch {
	case r.tag != nil:
		f.tagged(r, a)
		return
	case r.exit != nil:
		x, gap, align := f.left-f.exitEnd(), -3.0, drawing.AtEnd
		if r.right {
			x, gap, align = f.width-f.exits[1], 3, drawing.AtStart
		}
		end := onTrack(x, 0)
		points = append(points, end)
		f.word(end.X+gap, end.Y+3.5, align, f.exitText(r), false)
	case r.duct < 0:
		b := start(1)
		points = append(points, onTrack(b.X, 0), b)
	default:
		x, b := f.ductX(r.left, r.duct), start(1)
		points = append(points, onTrack(x, 0), onTrack(x, 1), onTrack(b.X, 1), b)
	}
	f.line(thin, false, points...)
}

// exitText says where a wire goes that leaves the sheet.
func (s *scene) exitText(r *route) string {
	text := r.wire.number + " to " + string(r.exit.terminal)
	if sheet := s.sheetOf[r.exit.box.row]; sheet > 0 {
		text += fmt.Sprintf(", sheet %d", sheet)
	}
	return text
}

// exitEnd is how far to the left of the rows the wires end that leave the sheet there.
func (s *scene) exitEnd() float64 { return s.left - s.exits[0] - edge/2 }

// leads marks the terminals that the leads of a meter are on.
func (f *figure) leads(leads []drawing.Lead) {
	for _, l := range leads {
		s := f.screwOf(l.Terminal)
		if s == nil {
			continue
		}
		x, y, way := f.out(s)
		f.Lines = append(f.Lines, drawing.Line{Points: circle(x, y, 7), Width: 2.2, Dashed: l.Black, Red: !l.Black})
		at := y - way*27
		if s.top {
			at += 4
		} else {
			at += 3
		}
		f.word(x, at, drawing.AtMiddle, l.Colour(), true)
	}
}

// screwOf gives the screw of a terminal on the sheet, one with a wire before others.
func (s *scene) screwOf(t circuits.Terminal) *screw {
	var found *screw
	for _, r := range s.rows {
		for _, b := range r.boxes {
			for _, sc := range b.screws {
				if sc.terminal == t && s.has(sc) && (found == nil || len(found.wires) == 0) {
					found = sc
				}
			}
		}
	}
	return found
}

// circle gives the points of a circle.
func circle(x, y, r float64) []drawing.Point { return drawing.Around(drawing.Point{X: x, Y: y}, r) }
