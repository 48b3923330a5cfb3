package paper

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// Sizes of a drawn chart, in pixels.
const (
	chartRune   = 6.7 // of monospaced text of 11 pixels, no less than any font has
	chartLine   = 14.0
	chartColumn = 36 // characters in a box
	chartPad    = 6.0
	chartGap    = 34.0 // between columns
	chartSpace  = 8.0  // between boxes
	chartMouth  = 13.0 // below the top of a box, where its lines come and go
)

// drawnBox is one box of a drawn chart.
type drawnBox struct {
	lines       []string // the answer that leads here, then what is there
	answer      int      // how many of them are the answer
	end         bool
	x, y        float64 // of its upper left corner
	width, high float64
	to          []*drawnBox
}

// SVG draws a chart, from left to right.
func (f *flow) SVG(out io.Writer) error {
	root := f.box(f.stops[0], "")
	var title []string
	head := append([]string{"Fault-finding chart: " + f.book.speak.Circuit.Title,
		f.complaint() + ". " + f.summary()},
		f.book.printedCautions("where a box says so")...)
	for _, text := range append(head, noneFits+"\""+f.book.find+"\".") {
		const titleRunes = 110
		title = append(title, broken(text, titleRunes)...)
	}
	width, high := root.place(chartPad, float64(len(title))*chartLine+3*chartPad)
	for _, l := range title {
		width = max(width, float64(len([]rune(l)))*chartRune+2*chartPad)
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" role="img" font-family="monospace" font-size="11">`+"\n",
		width+chartPad, high+chartPad, width+chartPad, high+chartPad)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n",
		escaped(title[0]))
	for i, l := range title {
		weight := ""
		if i == 0 {
			weight = ` font-weight="bold"`
		}
		fmt.Fprintf(&b, "<text x=\"%g\" y=\"%.1f\"%s>%s</text>\n", chartPad,
			chartPad+float64(i+1)*chartLine, weight, escaped(l))
	}
	root.draw(&b)
	b.WriteString("</svg>\n")
	_, err := io.WriteString(out, b.String())
	return err
}

// box makes the box of a stop, with those it leads to.
func (f *flow) box(s *stop, answer string) *drawnBox {
	b := &drawnBox{end: s.number == 0}
	if answer != "" {
		b.lines = broken(answer, chartColumn)
		b.answer = len(b.lines)
	}
	for _, text := range f.boxed(s) {
		b.lines = append(b.lines, broken(text, chartColumn)...)
	}
	b.width = chartColumn*chartRune + 2*chartPad
	b.high = float64(len(b.lines))*chartLine + 2*chartPad
	if s.number > 0 {
		for _, e := range s.exits {
			b.to = append(b.to, f.box(e.to, e.text))
		}
	} else if _, end := s.proofs(); end.number > 0 {
		b.to = append(b.to, f.box(end, "proved"))
	}
	return b
}

// boxed is what stands in the box of a stop.
func (f *flow) boxed(s *stop) []string {
	if s.number > 0 {
		text := fmt.Sprintf("%d. %s", s.number, f.book.speak.Condensed(s.fork.Turn.Next.Check))
		return append(f.firstDo(s), text)
	}
	out := []string{talk.Sentence(f.end(s))}
	proofs, _ := s.proofs()
	for _, p := range proofs {
		out = append(out, "Proof: "+f.proof(p)+".")
	}
	if s.fork.Turn.Status == diagnose.GroupLeft {
		out = append(out, "No check tells them apart.")
	}
	return out
}

// firstDo says what comes before a check where the power changes.
func (f *flow) firstDo(s *stop) []string {
	switch f.notice(s).Kind {
	case talk.PowerOff:
		return []string{"LOCK OUT first."}
	case talk.PowerBack:
		return []string{"BACK TO POWER first."}
	}
	return nil
}

// place gives a box and all that it leads to their places, the first of these beside it and
// the others below, and tells how far they reach.
func (b *drawnBox) place(x, y float64) (width, bottom float64) {
	b.x, b.y, width, bottom = x, y, x+b.width, y
	for _, c := range b.to {
		w, low := c.place(x+b.width+chartGap, bottom)
		width, bottom = max(width, w), low
	}
	return width, max(bottom, y+b.high+chartSpace)
}

func (b *drawnBox) draw(out *strings.Builder) {
	stroke := 1
	if b.end {
		stroke = 3
	}
	fmt.Fprintf(out, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"#fff\" "+
		"stroke=\"#000\" stroke-width=\"%d\"/>\n", b.x, b.y, b.width, b.high, stroke)
	for i, l := range b.lines {
		weight := ""
		if i < b.answer {
			weight = ` font-weight="bold"`
		}
		fmt.Fprintf(out, "<text x=\"%.1f\" y=\"%.1f\"%s>%s</text>\n", b.x+chartPad,
			b.y+chartPad+float64(i)*chartLine+11, weight, escaped(l))
	}
	for _, c := range b.to {
		from, middle := b.y+chartMouth, b.x+b.width+chartGap/2
		fmt.Fprintf(out, "<path d=\"M%.1f %.1fH%.1fV%.1fH%.1f\" fill=\"none\" stroke=\"#000\"/>\n",
			b.x+b.width, from, middle, c.y+chartMouth, c.x)
		c.draw(out)
	}
}

// broken breaks a text into lines of so many characters.
func broken(text string, runes int) []string {
	return strings.Split(strings.TrimRight(talk.Wrapped("", "", text, runes+1), "\n"), "\n")
}

// escaped writes a text for XML.
func escaped(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a Builder takes everything
	return b.String()
}
