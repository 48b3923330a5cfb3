package paper

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// leadMarks is the drawing of a circuit as the screens of a chart show it: it is in the
// file once, as the background of what shows a part of it, and each screen has marks of
// its own above that. Copies by reference would be as many drawings for the browser.
type leadMarks struct {
	style         template.CSS // the drawing
	circuit       *circuits.Circuit
	drawing       *drawing.Drawing
	points        map[circuits.Terminal][2]float64
	width, height float64
}

// Sizes of the part that a screen shows, in the units of the drawing, of which a line of
// text is about twelve.
const (
	viewWidth  = 300.0
	viewHeight = 130.0
	viewMargin = 60.0
	viewMost   = 420.0 // leads further apart are shown each by itself
	viewHead   = 44.0  // of the drawing, where its title stands
)

func newLeadMarks(c *circuits.Circuit) *leadMarks {
	l := &leadMarks{circuit: c, drawing: drawing.New(c)}
	l.points = l.drawing.Points(drawing.Options{})
	l.width, l.height = l.drawing.Size(drawing.Options{})
	// In an address only these stand for something else; the rest may be as it is.
	coded := strings.NewReplacer("%", "%25", "#", "%23", `"`, "'", "'", "%27", "<", "%3C", ">", "%3E",
		"\n", " ", "\\", "%5C").Replace(string(l.drawing.SVG(drawing.Options{})))
	l.style = template.CSS(`.ladder { background-image: url("data:image/svg+xml,` + coded + "\"); }\n")
	return l
}

// mark is one mark on a drawing.
type mark struct {
	at           [2]float64
	class, label string
	tells        string // for who does not see it
	anchor       string // where its label begins or ends; the middle if empty
}

// on shows where a check is made: the parts of the drawing around its marks, and the whole.
func (l *leadMarks) on(c log.Check) template.HTML {
	marks := l.marks(c)
	if len(marks) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(`<div class="drawn">`)
	left, top, right, low := bounds(marks)
	if right-left <= viewMost && low-top <= viewMost/2 {
		l.view(&b, marks, left, top, right, low)
	} else {
		for _, m := range marks {
			l.view(&b, []mark{m}, m.at[0], m.at[1], m.at[0], m.at[1])
		}
	}
	b.WriteString(`<details><summary>Whole drawing</summary><div class="scroll">`)
	l.svg(&b, marks, "whole", 0, 0, l.width, l.height)
	b.WriteString("</div></details></div>\n")
	return template.HTML(b.String())
}

// marks gives the marks of a check: its leads, or the thing to look at.
func (l *leadMarks) marks(c log.Check) []mark {
	var marks []mark
	if c.Kind() == log.Look {
		d := l.circuit.Device(c.Look)
		if at, ok := drawing.Middle(l.points, d); ok {
			marks = append(marks, mark{at: at, class: "look",
				tells: fmt.Sprintf("%s, on rung %d", talk.Called(d), l.drawing.OfLoad(d))})
		}
		return marks
	}
	for i, t := range c.Leads() {
		at, ok := l.points[t]
		if !ok {
			continue
		}
		colour := []string{"red", "black"}[i]
		marks = append(marks, mark{at: at, class: "lead " + colour, label: strings.ToUpper(colour),
			tells: fmt.Sprintf("%s lead on %s, rung %d", colour, t, l.drawing.Of(t))})
	}
	if len(marks) == 2 && math.Abs(marks[0].at[1]-marks[1].at[1]) < labelHeight &&
		math.Abs(marks[0].at[0]-marks[1].at[0]) < labelWidth {
		left, right := &marks[0], &marks[1]
		if left.at[0] > right.at[0] {
			left, right = right, left
		}
		left.anchor, right.anchor = "end", "start" // away from each other
	}
	return marks
}

// What the label of a lead takes, in the units of the drawing.
const (
	labelWidth  = 50.0
	labelHeight = 14.0
)

func bounds(marks []mark) (left, top, right, low float64) {
	left, top, right, low = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, m := range marks {
		left, right = min(left, m.at[0]), max(right, m.at[0])
		top, low = min(top, m.at[1]), max(low, m.at[1])
	}
	return left, top, right, low
}

// view shows the part of the drawing around some of its marks.
func (l *leadMarks) view(b *strings.Builder, marks []mark, left, top, right, low float64) {
	w := min(max(viewWidth, right-left+2*viewMargin), l.width)
	h := min(max(viewHeight, low-top+2*viewMargin), l.height)
	x := min(max(0, (left+right-w)/2), l.width-w)
	y := max(0, min(max(viewHead, (top+low-h)/2), l.height-h))
	l.svg(b, marks, "part", x, y, w, h)
}

// svg shows a part of the drawing with marks on it.
func (l *leadMarks) svg(b *strings.Builder, marks []mark, class string, x, y, w, h float64) {
	var tells []string
	for _, m := range marks {
		tells = append(tells, m.tells)
	}
	// A background is placed by the share of what it has beyond what is seen.
	share := func(at, seen, all float64) float64 {
		if all-seen < 1 {
			return 0
		}
		return 100 * at / (all - seen)
	}
	fmt.Fprintf(b, `<div class="view %s" style="aspect-ratio:%.0f/%.0f"><div class="ladder" style="background-size:%.2f%% %.2f%%;background-position:%.2f%% %.2f%%"></div>`,
		class, w, h, 100*l.width/w, 100*l.height/h, share(x, w, l.width), share(y, h, l.height))
	fmt.Fprintf(b, `<svg viewBox="%.1f %.1f %.1f %.1f" role="img" aria-label="%s">`, x, y, w, h,
		template.HTMLEscapeString(talk.SentenceStart(strings.Join(tells, "; "))))
	for _, m := range marks {
		if m.class == "look" {
			fmt.Fprintf(b, `<rect class="look" x="%.1f" y="%.1f" width="56" height="44" rx="6"/>`,
				m.at[0]-28, m.at[1]-22)
			continue
		}
		fmt.Fprintf(b,
			`<circle class="%s" cx="%.1f" cy="%.1f" r="6"/><text class="%s" x="%.1f" y="%.1f"%s>%s</text>`,
			m.class, m.at[0], m.at[1], m.class, m.at[0], m.at[1]+27, anchored(m.anchor), m.label)
	}
	b.WriteString("</svg></div>")
}

// anchored is the style of a label that does not stand in the middle.
func anchored(anchor string) string {
	if anchor == "" {
		return ""
	}
	return ` style="text-anchor:` + anchor + `"`
}
