package drawing

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"deadrung/circuits"
)

// Widths of lines, in the units of the drawing.
const (
	thinLine  = 1.3
	thickLine = 3.4
	ringLine  = 2.4 // of the mark of a lead
	ruleLine  = 0.8 // of a table
)

// SVG draws the circuit as one <svg> element, to stand alone or in a page. It has no
// colours of its own but those of the meter's leads, which are named as well.
func (d *Drawing) SVG(o Options) []byte {
	sc := d.newScene(o)
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" `+
		`stroke="currentColor" stroke-width="%s" fill="none" font-family="sans-serif">`,
		number(sc.width), number(sc.height), number(thinLine))
	b.WriteString("\n<title>")
	escape(&b, d.Circuit.Title)
	b.WriteString("</title>\n<desc>")
	escape(&b, d.describe(o))
	b.WriteString("</desc>\n")
	for _, w := range sc.wires {
		sc.writeWire(&b, w)
	}
	for _, r := range sc.rules {
		fmt.Fprintf(&b, `<path class="rule" d="M%s %sL%s %s" stroke-width="%s"/>`+"\n", number(r[0].X),
			number(r[0].Y), number(r[1].X), number(r[1].Y), number(ruleLine))
	}
	for _, k := range sc.locks {
		k.write(&b)
	}
	for _, p := range sc.parts {
		sc.writePart(&b, p)
	}
	for _, at := range sc.dots {
		fmt.Fprintf(&b, `<circle class="dot" cx="%s" cy="%s" r="2.2" fill="currentColor" stroke="none"/>`+
			"\n", number(at[0]), number(at[1]))
	}
	b.WriteString(sc.doubts())
	for _, r := range sc.rings {
		if r.black {
			fmt.Fprintf(&b, `<circle class="lead black" cx="%s" cy="%s" r="%s" stroke-width="2" stroke-dasharray="2.5 2"/>`+"\n",
				number(r.x), number(r.y), number(ringSize))
		} else {
			fmt.Fprintf(&b, `<circle class="lead red" cx="%s" cy="%s" r="%s" stroke="#d00000" stroke-width="2.4"/>`+"\n",
				number(r.x), number(r.y), number(ringSize))
		}
	}
	for _, l := range sc.labels {
		writeLabel(&b, l)
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// SVG writes the figure as one <svg> element with a title and words that describe it.
func (f Figure) SVG(title, describe string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" `+
		`stroke="currentColor" fill="none" font-family="sans-serif">`, number(f.Width), number(f.Height))
	b.WriteString("\n<title>")
	escape(&b, title)
	b.WriteString("</title>\n<desc>")
	escape(&b, describe)
	b.WriteString("</desc>\n")
	for _, l := range f.Lines {
		b.WriteString(`<path d="`)
		stroke{points: l.Points}.write(&b)
		fmt.Fprintf(&b, `" stroke-width="%s"`, number(l.Width))
		if l.Dashed {
			b.WriteString(` stroke-dasharray="6 3"`)
		}
		if l.Red {
			b.WriteString(` stroke="#d00000"`)
		}
		b.WriteString("/>\n")
	}
	for _, area := range f.Areas {
		b.WriteString(`<path d="`)
		stroke{points: area, closed: true}.write(&b)
		b.WriteString(`" fill="currentColor" stroke="none"/>` + "\n")
	}
	for _, w := range f.Words {
		writeLabel(&b, label{x: w.At.X, y: w.At.Y, size: w.Size, anchor: w.Align, text: w.Text, bold: w.Bold,
			under: w.Under, kind: "word"})
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// Size is how wide and how high the picture of SVG is, in its own units.
func (d *Drawing) Size(o Options) (width, height float64) {
	sc := d.newScene(o)
	return sc.width, sc.height
}

// describe says in words what the picture shows.
func (d *Drawing) describe(o Options) string {
	text := fmt.Sprintf("Ladder drawing of %d rungs, %s", len(d.Rungs), o.State.Title())
	if o.Upright {
		text = fmt.Sprintf("Drawing of %d current paths, %s", len(d.Rungs), o.State.Title())
	}
	for _, l := range o.Leads {
		colour := "red"
		if l.Black {
			colour = "black"
		}
		text += fmt.Sprintf("; %s lead on %s, %s %s", colour, l.Terminal, o.line(), d.numbered(d.Of(l.Terminal)))
	}
	if n := len(o.Doubts); n > 0 {
		text += fmt.Sprintf("; %d things still in doubt", n)
	}
	return text + "."
}

func escape(b *bytes.Buffer, text string) { b.WriteString(html.EscapeString(text)) }

func (sc *scene) writeWire(b *bytes.Buffer, w conductor) {
	name := ""
	if w.number >= 0 {
		name = sc.o.name(sc.d, w.number)
	}
	style := ""
	switch thick, dashed := sc.style(w); {
	case thick:
		style = fmt.Sprintf(` stroke-width="%s"`, number(thickLine))
	case dashed:
		style = ` stroke-dasharray="6 3"`
	}
	class := "wire"
	if w.rail {
		class = "wire rail"
	}
	fmt.Fprintf(b, `<path class="%s" data-wire="`, class)
	escape(b, name)
	fmt.Fprintf(b, `" d="M%s %sL%s %s"%s/>`+"\n", number(w.x1), number(w.y1), number(w.x2),
		number(w.y2), style)
}

func (sc *scene) writePart(b *bytes.Buffer, p placedPart) {
	fmt.Fprintf(b, `<g class="part" data-name="`)
	escape(b, p.Name())
	ends := ` data-x1="%s" data-x2="%s" data-y="%s"`
	across := p.y
	if sc.o.Upright {
		ends, across = ` data-y1="%s" data-y2="%s" data-x="%s"`, p.x
	}
	fmt.Fprintf(b, `" data-kind="%s" data-rung="%d"`+ends, p.Kind, p.Rung, number(p.left), number(p.right),
		number(across))
	if len(p.Also) > 0 && !sc.o.Unnumbered {
		b.WriteString(` data-also="`)
		for i, t := range p.Also {
			escape(b, strings.Repeat(" ", min(i, 1))+string(t))
		}
		b.WriteString(`"`)
	}
	if n := max(p.LeftNumber, p.RightNumber); p.Kind == Reference && n >= 0 {
		b.WriteString(` data-wire="`)
		escape(b, sc.o.name(sc.d, n))
		b.WriteString(`"`)
	}
	for side, t := range []circuits.Terminal{p.Left, p.Right} {
		if t == "" || sc.o.Unnumbered {
			continue
		}
		fmt.Fprintf(b, ` data-%s="`, []string{"left", "right"}[side])
		escape(b, string(t))
		fmt.Fprintf(b, `"`)
	}
	b.WriteString(">")
	pen, width := sc.draw(p)
	pen.write(b, width)
	b.WriteString("</g>\n")
	for _, t := range pen.texts {
		writeLabel(b, label{x: t.x, y: t.y, size: t.size, anchor: AtMiddle, text: t.text, kind: "symbol"})
	}
}

func writeLabel(b *bytes.Buffer, l label) {
	fmt.Fprintf(b, `<text class="%s" x="%s" y="%s" font-size="%s" fill="currentColor" stroke="none"`,
		l.kind, number(l.x), number(l.y), number(l.size))
	switch l.anchor {
	case AtMiddle:
		b.WriteString(` text-anchor="middle"`)
	case AtEnd:
		b.WriteString(` text-anchor="end"`)
	}
	if l.bold {
		b.WriteString(` font-weight="bold"`)
	}
	if l.under {
		b.WriteString(` text-decoration="underline"`)
	}
	b.WriteString(">")
	escape(b, l.text)
	b.WriteString("</text>\n")
}
