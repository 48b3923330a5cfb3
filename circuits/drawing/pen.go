package drawing

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// pen draws a symbol around its middle: x to the right, y down, in the units of the
// drawing, of which a line of text is about twelve.
type pen struct {
	x, y   float64
	path   strings.Builder // stroked
	filled strings.Builder
	texts  []penText
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

func (p *pen) point(b *strings.Builder, letter string, x, y float64) {
	b.WriteString(letter + number(p.x+x) + " " + number(p.y+y))
}

// line draws straight lines through points.
func (p *pen) line(xy ...float64) { p.poly(&p.path, xy) }

// area fills what straight lines through points enclose.
func (p *pen) area(xy ...float64) {
	p.poly(&p.filled, xy)
	p.filled.WriteString("Z")
}

func (p *pen) poly(b *strings.Builder, xy []float64) {
	for i := 0; i < len(xy); i += 2 {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		p.point(b, letter, xy[i], xy[i+1])
	}
}

// circle draws one.
func (p *pen) circle(x, y, r float64) {
	p.point(&p.path, "M", x-r, y)
	fmt.Fprintf(&p.path, "a%s %s 0 1 0 %s 0a%s %s 0 1 0 %s 0", number(r), number(r), number(2*r),
		number(r), number(r), number(-2*r))
}

// arc draws a half circle, or less, from one point to another; it bulges up where up is
// true and the points go from left to right.
func (p *pen) arc(x1, y1, x2, y2, r float64, up bool) {
	p.point(&p.path, "M", x1, y1)
	fmt.Fprintf(&p.path, "A%s %s 0 0 %d %s %s", number(r), number(r), b2i(up), number(p.x+x2), number(p.y+y2))
}

// box draws a rectangle around a point.
func (p *pen) box(x, y, w, h float64) {
	p.line(x-w/2, y-h/2, x+w/2, y-h/2, x+w/2, y+h/2, x-w/2, y+h/2)
	p.path.WriteString("Z")
}

// text writes in the middle of a point.
func (p *pen) text(x, y, size float64, text string) {
	p.texts = append(p.texts, penText{p.x + x, p.y + y, text, size})
}

// write writes what was drawn.
func (p *pen) write(b *bytes.Buffer, width float64) {
	if p.path.Len() > 0 {
		fmt.Fprintf(b, `<path d="%s" fill="none" stroke-width="%s"/>`, p.path.String(), number(width))
	}
	if p.filled.Len() > 0 {
		fmt.Fprintf(b, `<path d="%s" fill="currentColor" stroke="none"/>`, p.filled.String())
	}
}
