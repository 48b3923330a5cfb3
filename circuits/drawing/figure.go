package drawing

import "math"

// Point is a place on a drawing, in its own units: x to the right, y down.
type Point struct{ X, Y float64 }

// Figure is a drawing, or one sheet of it, as lines, areas and words, for whoever draws it in
// another form than SVG.
type Figure struct {
	Width, Height float64
	Lines         []Line
	Areas         [][]Point // filled
	Words         []Word
}

// Line is drawn straight from point to point. What is round is many short pieces.
type Line struct {
	Points []Point
	Width  float64
	Dashed bool
	Red    bool // the mark of the red lead, which is named as well
}

// Word is a text on one line. At is on its baseline: where it begins, its middle or its end.
type Word struct {
	At          Point
	Size        float64
	Align       Align
	Text        string
	Bold, Under bool
}

// Align says which point of a text is given.
type Align int

const (
	AtStart Align = iota
	AtMiddle
	AtEnd
)

// dotSize is the radius of the dot where conductors join.
const dotSize = 2.2

// Figure gives the drawing as lines, areas and words.
func (d *Drawing) Figure(o Options) Figure {
	return d.newScene(o).figure()
}

func (sc *scene) figure() Figure {
	f := Figure{Width: sc.width, Height: sc.height}
	for _, w := range sc.wires {
		l := Line{Points: []Point{{w.x1, w.y1}, {w.x2, w.y2}}, Width: thinLine}
		thick, dashed := sc.style(w)
		if thick {
			l.Width = thickLine
		}
		l.Dashed = dashed
		f.Lines = append(f.Lines, l)
	}
	for _, r := range sc.rules {
		f.Lines = append(f.Lines, Line{Points: []Point{r[0], r[1]}, Width: ruleLine})
	}
	for _, k := range sc.locks {
		f.Lines = append(f.Lines, Line{Points: k.points, Width: thinLine, Dashed: true})
		if k.triangle != nil {
			f.Lines = append(f.Lines, Line{Points: k.outline(), Width: thinLine})
		}
	}
	for _, p := range sc.parts {
		pen, width := sc.draw(p)
		for _, s := range pen.strokes {
			f.Lines = append(f.Lines, Line{Points: s.flat(), Width: width})
		}
		f.Areas = append(f.Areas, pen.areas...)
		for _, t := range pen.texts {
			f.Words = append(f.Words, Word{At: Point{t.x, t.y}, Size: sc.o.size(t.size), Align: AtMiddle, Text: t.text})
		}
	}
	for _, at := range sc.dots {
		f.Areas = append(f.Areas, stroke{points: []Point{{at[0], at[1]}}, r: dotSize}.flat())
	}
	for _, r := range sc.rings {
		f.Lines = append(f.Lines, Line{Points: stroke{points: []Point{{r.x, r.y}}, r: ringSize}.flat(),
			Width: ringLine, Dashed: r.black, Red: !r.black})
	}
	for _, l := range sc.labels {
		f.Words = append(f.Words, Word{At: Point{l.x, l.y}, Size: l.size, Align: l.anchor, Text: l.text,
			Bold: l.bold, Under: l.under})
	}
	return f
}

// flat gives the points of straight lines that follow a stroke.
func (s stroke) flat() []Point {
	const pieces = 48 // of a whole circle
	switch {
	case s.r == 0 && s.closed:
		return append(s.points[:len(s.points):len(s.points)], s.points[0])
	case s.r == 0:
		return s.points
	case len(s.points) == 1:
		return around(s.points[0], s.r, 0, 2*math.Pi, pieces)
	}
	a, b := s.points[0], s.points[1]
	chord := math.Hypot(b.X-a.X, b.Y-a.Y)
	r := math.Max(s.r, chord/2)
	// The middle of the circle lies square to the middle of the chord, on the side that the arc
	// does not bulge to.
	off := math.Sqrt(r*r-chord*chord/4) / chord
	if !s.up {
		off = -off
	}
	c := Point{(a.X+b.X)/2 - (b.Y-a.Y)*off, (a.Y+b.Y)/2 + (b.X-a.X)*off}
	from, to := math.Atan2(a.Y-c.Y, a.X-c.X), math.Atan2(b.Y-c.Y, b.X-c.X)
	for s.up && to < from {
		to += 2 * math.Pi
	}
	for !s.up && to > from {
		to -= 2 * math.Pi
	}
	return around(c, r, from, to, pieces/2)
}

// Around gives the points of a circle.
func Around(middle Point, r float64) []Point { return around(middle, r, 0, 2*math.Pi, 48) }

// around gives points around a middle, from one angle to another.
func around(c Point, r, from, to float64, pieces int) []Point {
	var points []Point
	for i := range pieces + 1 {
		angle := from + (to-from)*float64(i)/float64(pieces)
		points = append(points, Point{c.X + r*math.Cos(angle), c.Y + r*math.Sin(angle)})
	}
	return points
}

// style tells how a conductor is drawn: thick where a step energises it, dashed where it does not.
func (sc *scene) style(w conductor) (thick, dashed bool) {
	if sc.o.State == nil {
		return false, false
	}
	hot := sc.o.State.hot(w.number)
	return hot, !hot
}

// draw draws the symbol of a part, and gives the width of its lines.
func (sc *scene) draw(p placedPart) (*pen, float64) {
	pen := &pen{x: p.x, y: p.y, turned: sc.o.Upright}
	look := look{}
	width := thinLine
	if p.Device != nil {
		look.off = p.Device.OffDelay
		look.letter = colourLetter(p.Device.Note)
		look.emergency, look.stays = emergency(p.Device.Note), !p.Device.Momentary
	}
	if p.Kind == Contact {
		look.nc = p.Device.ClosedAtRest(p.Index)
		look.closed = sc.o.State.closed(p.Part)
	}
	look.back = p.backward()
	if p.Kind == Link {
		look.closed = sc.o.State.fed(p.Device)
	}
	p.symbol.draw(pen, look)
	if loadLike(p.Part) && sc.o.State != nil && sc.o.State.On[p.Device] {
		width = thickLine
	}
	if len(p.Also) > 0 && !sc.o.Unnumbered { // further terminals of a tap
		pen.circle(10, 0, 4)
	}
	return pen, width
}
