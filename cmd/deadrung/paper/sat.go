package paper

import (
	"fmt"
	"html/template"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
)

// satSheet is one fault on a candidate's sheet.
type satSheet struct {
	exam.Marked
	Told   string // the complaint
	Named  string
	Rows   []satRow
	Danger []danger
	Curve  template.HTML
	Ladder template.HTML
	Doubts template.HTML // the drawing after every check
}

type satRow struct {
	Text, Reading, Waste, Better string
	Share                        float64 // of the best check's bits
	Bits, Best                   float64
	Left                         int
}

type danger struct{ Text, Right, Source string }

// satAt lays out one candidate's work on one fault.
func satAt(m *diagnose.Model, d exam.Marked) (satSheet, error) {
	speak := talk.NewSpeaker(m)
	s := satSheet{Marked: d, Named: speak.Texts[d.Stated]}
	for _, c := range d.Checks {
		row := satRow{Text: talk.PlainCheck(m, c.Check), Reading: speak.Answer(c.Check, &c.Saw),
			Waste: string(c.Waste), Bits: c.Bits, Best: c.Best, Left: c.Left}
		if c.Best > 0 {
			row.Share = c.Bits / c.Best
		}
		if c.Better != nil {
			row.Better = talk.PlainCheck(m, *c.Better)
		}
		s.Rows = append(s.Rows, row)
	}
	for _, u := range d.Unsafe {
		right, source := u.Kind.Right()
		s.Danger = append(s.Danger, danger{u.Kind.Text(), right, source})
	}
	if d.Replay == nil || len(d.Checks) == 0 {
		return s, nil
	}
	var curve strings.Builder
	if err := DrawReplay(&curve, speak, d.Replay, true); err != nil {
		return s, err
	}
	s.Curve = template.HTML(curve.String())
	s.Ladder = leadsDrawn(drawing.New(m.Panel().Circuit), d.Checks)
	var err error
	s.Doubts, err = DoubtsDrawn(m, d.Replay)
	return s, err
}

// Measures of the marks on the drawing, in its units.
const (
	leadRing  = 5.0
	leadAbove = 9.0
	leadLine  = 10.0
	leadRoom  = 24.0 // around the drawing, for marks at its edge
	leadsMost = 4    // marks told at one terminal
)

// leadsDrawn is the drawing of a circuit with the leads of the checks on it, each with the
// number of its check: R the red lead, B the black one. Looks have a frame. It is empty where
// nothing of them is drawn.
func leadsDrawn(d *drawing.Drawing, checks []exam.MarkedCheck) template.HTML {
	points := d.Points(drawing.Options{})
	width, height := d.Size(drawing.Options{})
	at := make(map[[2]float64][]string)
	var order [][2]float64
	put := func(p [2]float64, word string) {
		if len(at[p]) == 0 {
			order = append(order, p)
		}
		at[p] = append(at[p], word)
	}
	looked := make(map[[2]float64]bool)
	for i, c := range checks {
		if c.Check.Kind() == log.Look {
			if p, ok := middleOf(d.Circuit.Device(c.Check.Look), points); ok {
				put(p, fmt.Sprint(i+1))
				looked[p] = true
			}
			continue
		}
		for k, t := range c.Check.Leads() {
			if p, ok := points[t]; ok {
				put(p, fmt.Sprintf("%d%c", i+1, "RB"[min(k, 1)]))
			}
		}
	}
	if len(order) == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="leads" viewBox="%g %g %.0f %.0f" role="img" aria-label="The drawing with the checks on it">`,
		-leadRoom, -leadRoom, width+2*leadRoom, height+2*leadRoom)
	fmt.Fprintf(&b, `<svg x="0" y="0" width="%.0f" height="%.0f">%s</svg>`, width, height,
		d.SVG(drawing.Options{}))
	for _, p := range order {
		words := at[p]
		if len(words) > leadsMost {
			words = append(words[:leadsMost-1:leadsMost-1], "…")
		}
		if looked[p] {
			fmt.Fprintf(&b, `<rect class="looked" x="%.1f" y="%.1f" width="56" height="44" rx="6"/>`, p[0]-28, p[1]-22)
			fmt.Fprintf(&b, `<text class="lead beside" x="%.1f" y="%.1f">%s</text>`, p[0]-32, p[1]-leadAbove,
				strings.Join(words, ", "))
			continue
		}
		fmt.Fprintf(&b, `<circle class="lead" cx="%.1f" cy="%.1f" r="%g"/>`, p[0], p[1], leadRing)
		for i, word := range words {
			y := p[1] - leadAbove - float64(len(words)-1-i)*leadLine
			fmt.Fprintf(&b, `<text class="lead" x="%.1f" y="%.1f">%s</text>`, p[0], y, word)
		}
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// middleOf is where a thing to look at is drawn; false where its ends are on two rungs.
func middleOf(d *circuits.Device, points map[circuits.Terminal][2]float64) (at [2]float64, ok bool) {
	if d == nil || len(d.Ends) < 2 {
		return at, false
	}
	a, okA := points[d.Terminal(d.Ends[0])]
	b, okB := points[d.Terminal(d.Ends[1])]
	return [2]float64{(a[0] + b[0]) / 2, a[1]}, okA && okB && a[1] == b[1]
}
