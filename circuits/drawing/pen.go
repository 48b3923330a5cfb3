package drawing

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// pen draws a symbol around its middle: x to the right, y down, in the units of the
// drawing, of which a line of text is about twelve. Turned, it draws what runs to the right
// so that it runs down.
type pen struct {
	x, y    float64
	turned  bool
	strokes []stroke
	areas   [][]Point // filled
	texts   []penText
}

// stroke is one line of a symbol: straight from point to point, or round.
type stroke struct {
	points []Point // of a circle its middle, of an arc its two ends
	closed bool
	r      float64 // of what is round; 0: it is straight
	up     bool    // an arc bulges up where it goes from left to right
}

type penText struct {
	x, y float64
	text string
	size float64
}

// number writes a coordinate in the fewest characters, to a tenth.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// line draws straight lines through points.
func (p *pen) line(xy ...float64) {
	p.strokes = append(p.strokes, stroke{points: p.places(xy)})
}

// outline draws straight lines through points and back to the first.
func (p *pen) outline(xy ...float64) {
	p.strokes = append(p.strokes, stroke{points: p.places(xy), closed: true})
}

// area fills what straight lines through points enclose.
func (p *pen) area(xy ...float64) { p.areas = append(p.areas, p.places(xy)) }

// places gives points on the drawing that are given around the middle of the symbol.
func (p *pen) places(xy []float64) []Point {
	var points []Point
	for i := 0; i < len(xy); i += 2 {
		points = append(points, p.place(xy[i], xy[i+1]))
	}
	return points
}

// place gives a point on the drawing that is given around the middle of the symbol.
func (p *pen) place(x, y float64) Point {
	if p.turned {
		x, y = -y, x
	}
	return Point{p.x + x, p.y + y}
}

// upright draws what is not turned with the symbol.
func (p *pen) upright(draw func()) {
	turned := p.turned
	p.turned = false
	draw()
	p.turned = turned
}

// circle draws one.
func (p *pen) circle(x, y, r float64) {
	p.strokes = append(p.strokes, stroke{points: p.places([]float64{x, y}), r: r})
}

// arc draws a half circle, or less, from one point to another; it bulges up where up is
// true and the points go from left to right.
func (p *pen) arc(x1, y1, x2, y2, r float64, up bool) {
	p.strokes = append(p.strokes, stroke{points: p.places([]float64{x1, y1, x2, y2}), r: r, up: up})
}

// box draws a rectangle around a point.
func (p *pen) box(x, y, w, h float64) {
	p.outline(x-w/2, y-h/2, x+w/2, y-h/2, x+w/2, y+h/2, x-w/2, y+h/2)
}

// text writes with the middle of its baseline at a point. It is never turned: only its middle
// moves.
func (p *pen) text(x, y, size float64, text string) {
	half := capShare * size / 2
	at := p.place(x, y-half)
	p.texts = append(p.texts, penText{at.X, at.Y + half, text, size})
}

// write writes what was drawn.
func (p *pen) write(b *bytes.Buffer, width float64) {
	if len(p.strokes) > 0 {
		b.WriteString(`<path d="`)
		for _, s := range p.strokes {
			s.write(b)
		}
		fmt.Fprintf(b, `" fill="none" stroke-width="%s"/>`, number(width))
	}
	if len(p.areas) > 0 {
		b.WriteString(`<path d="`)
		for _, points := range p.areas {
			stroke{points: points, closed: true}.write(b)
		}
		b.WriteString(`" fill="currentColor" stroke="none"/>`)
	}
}

// write writes a stroke as a piece of an SVG path.
func (s stroke) write(b *bytes.Buffer) {
	first := s.points[0]
	switch r := number(s.r); {
	case s.r > 0 && len(s.points) == 1:
		fmt.Fprintf(b, "M%s %sa%s %s 0 1 0 %s 0a%s %s 0 1 0 %s 0", number(first.X-s.r), number(first.Y),
			r, r, number(2*s.r), r, r, number(-2*s.r))
		return
	case s.r > 0:
		fmt.Fprintf(b, "M%s %sA%s %s 0 0 %d %s %s", number(first.X), number(first.Y), r, r, b2i(s.up),
			number(s.points[1].X), number(s.points[1].Y))
		return
	}
	for i, at := range s.points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		b.WriteString(letter + number(at.X) + " " + number(at.Y))
	}
	if s.closed {
		b.WriteString("Z")
	}
}
