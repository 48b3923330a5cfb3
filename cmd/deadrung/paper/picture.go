package paper

import (
	"fmt"
	"io"
	"math"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// Measures of a picture, in its own units, which are those of a screen's dots.
const (
	pictureWide   = 760.0
	pictureHigh   = 420.0
	pictureLeft   = 60.0
	pictureRight  = 36.0
	pictureTop    = 86.0
	pictureBottom = 56.0
)

// field is an SVG in the making: a field with two axes.
type field struct {
	b            strings.Builder
	mostX, mostY float64
}

// trace is one falling line: the height holds from a point until the next.
type trace struct {
	name   string
	dashed bool // and its points hollow: colour is not the only sign
	points [][2]float64
	rises  map[int]float64 // before the check of a point: what is in doubt after a repair that was not it
}

// newDrawing draws the title, the line under it and the axes. Whole numbers stand along
// the axes.
func newField(title, under, x, y string, mostX, mostY float64) *field {
	d := &field{mostX: max(mostX, 1), mostY: max(mostY, 1)}
	fmt.Fprintf(&d.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img" font-family="sans-serif" font-size="13">`+"\n", pictureWide, pictureHigh)
	fmt.Fprintf(&d.b, "<title>%s</title>\n", escaped(title))
	fmt.Fprintf(&d.b, `<rect width="%g" height="%g" fill="#fff"/>`+"\n", pictureWide, pictureHigh)
	d.text(pictureLeft, 24, "start", 16, title)
	d.text(pictureLeft, 42, "start", 12, under)
	left, base := d.at(0, 0)
	right, top := d.at(d.mostX, d.mostY)
	for _, v := range marks(d.mostY) {
		_, h := d.at(0, v)
		fmt.Fprintf(&d.b, `<path d="M%.1f %.1fH%.1f" stroke="#ddd"/>`+"\n", left, h, right)
		d.text(left-8, h+4, "end", 12, fmt.Sprintf("%g", v))
	}
	for _, v := range marks(d.mostX) {
		w, _ := d.at(v, 0)
		d.text(w, base+18, "middle", 12, fmt.Sprintf("%g", v))
	}
	fmt.Fprintf(&d.b, `<path d="M%.1f %.1fV%.1fH%.1f" fill="none" stroke="#000"/>`+"\n", left, top,
		base, right)
	d.text((left+right)/2, pictureHigh-14, "middle", 13, x)
	fmt.Fprintf(&d.b, `<text transform="translate(18 %.1f) rotate(-90)" text-anchor="middle">%s</text>`+
		"\n", (top+base)/2, escaped(y))
	return d
}

// marks are round numbers along an axis, eight at the most.
func marks(most float64) []float64 {
	step := 1.0
	for i := 0; most/step > 8; i++ {
		step *= []float64{2, 2.5, 2}[i%3] // 1 2 5 10 20 50
	}
	var out []float64
	for v := 0.0; v <= most+1e-9; v += step {
		out = append(out, v)
	}
	return out
}

// at is where a point of the field lies in the picture.
func (d *field) at(x, y float64) (w, h float64) {
	return pictureLeft + x/d.mostX*(pictureWide-pictureLeft-pictureRight),
		pictureHigh - pictureBottom - y/d.mostY*(pictureHigh-pictureTop-pictureBottom)
}

func (d *field) text(x, y float64, anchor string, size int, s string) {
	fmt.Fprintf(&d.b, `<text x="%.1f" y="%.1f" text-anchor="%s" font-size="%d">%s</text>`+"\n", x, y,
		anchor, size, escaped(s))
}

// fall draws a falling line with a numbered point where a check was made.
func (d *field) fall(t trace, numbered bool) {
	style := `stroke="#000" stroke-width="2"`
	if t.dashed {
		style = `stroke="#06c" stroke-width="2" stroke-dasharray="7 5"`
	}
	var path strings.Builder
	for i, p := range t.points {
		x, y := d.at(p[0], p[1])
		if i == 0 {
			fmt.Fprintf(&path, "M%.1f %.1f", x, y)
		} else {
			if to, ok := t.rises[i]; ok {
				_, top := d.at(0, to)
				fmt.Fprintf(&path, "V%.1f", top)
			}
			fmt.Fprintf(&path, "H%.1fV%.1f", x, y)
		}
	}
	fmt.Fprintf(&d.b, `<path d="%s" fill="none" %s><title>%s</title></path>`+"\n", path.String(), style,
		escaped(t.name))
	lastLabel := math.Inf(-1)
	for i, p := range t.points {
		x, y := d.at(p[0], p[1])
		if t.dashed {
			fmt.Fprintf(&d.b, `<rect x="%.1f" y="%.1f" width="8" height="8" fill="#fff" stroke="#06c" stroke-width="1.5"/>`+"\n", x-4, y-4)
		} else {
			fmt.Fprintf(&d.b, `<circle cx="%.1f" cy="%.1f" r="4"/>`+"\n", x, y)
		}
		if numbered && i > 0 && x-lastLabel > 16 {
			d.text(x+7, y-7, "start", 12, fmt.Sprint(i))
			lastLabel = x
		}
	}
}

// key explains the two kinds of line.
func (d *field) key(own, best string) {
	y := 60.0
	fmt.Fprintf(&d.b, `<path d="M%g %gh30" stroke="#000" stroke-width="2"/><circle cx="%g" cy="%g" r="4"/>`+"\n", pictureLeft, y, pictureLeft+15, y)
	d.text(pictureLeft+38, y+4, "start", 12, own)
	x := pictureLeft + 330
	fmt.Fprintf(&d.b, `<path d="M%g %gh30" stroke="#06c" stroke-width="2" stroke-dasharray="7 5"/><rect x="%g" y="%g" width="8" height="8" fill="#fff" stroke="#06c" stroke-width="1.5"/>`+"\n", x, y, x+11, y-4)
	d.text(x+38, y+4, "start", 12, best)
}

func (d *field) write(w io.Writer) error {
	d.b.WriteString("</svg>\n")
	_, err := io.WriteString(w, d.b.String())
	return err
}

// DrawReplay draws the doubt falling over the minutes, beside the guided search's where
// the practice is over.
func DrawReplay(w io.Writer, speak *talk.Speaker, r *training.Replay, over bool) error {
	own := trace{name: "you", points: [][2]float64{{0, r.Start.Bits}}, rises: map[int]float64{}}
	for _, c := range r.Checks {
		if c.Entry.Repaired {
			own.rises[len(own.points)] = c.Before.Bits
		}
		own.points = append(own.points, [2]float64{c.Spent, c.After.Bits})
	}
	best := trace{name: "guided search", dashed: true, points: [][2]float64{{0, r.Start.Bits}}}
	if over {
		for i, d := range r.Guided.Doubts {
			best.points = append(best.points, [2]float64{r.Guided.Spent[i], d.Bits})
		}
	}
	mostX, mostY := 0.0, r.MostDoubt()
	for _, p := range append(own.points[:len(own.points):len(own.points)], best.points...) {
		mostX, mostY = max(mostX, p[0]), max(mostY, p[1])
	}
	under := "0 bits: one group of faults is left. One bit less: half as much is still possible."
	if len(own.rises) > 0 {
		under += " It rises after a repair that was not it."
	}
	d := newField("Doubt falling: "+speak.Circuit.Title, under,
		"minutes at the panel", "doubt, bits", mostX, mostY)
	d.key(fmt.Sprintf("you: %s, %s", talk.Count(len(r.Checks), "check"),
		talk.Span(own.points[len(own.points)-1][0])),
		fmt.Sprintf("guided search: %s, %s", talk.Count(len(best.points)-1, "check"),
			talk.Span(best.points[len(best.points)-1][0])))
	if over {
		d.fall(best, false)
	}
	d.fall(own, true)
	return d.write(w)
}

// DrawDrill draws what was still possible after each check of a drill, beside halving.
func DrawDrill(w io.Writer, r *training.Run, mean float64) error {
	units := float64(len(r.Drill.Units))
	own := trace{name: "you", points: [][2]float64{{0, units}}}
	for i, c := range r.Made {
		own.points = append(own.points, [2]float64{float64(i + 1), float64(c.After)})
	}
	half := trace{name: "halving", dashed: true, points: [][2]float64{{0, units}}}
	for i, left := 1, units; left > 1; i++ {
		left = math.Ceil(left / 2)
		half.points = append(half.points, [2]float64{float64(i), left})
	}
	d := newField("What is still possible: "+r.Drill.Title,
		fmt.Sprintf("The best takes %s checks in the mean.", talk.Short(mean)),
		"checks", "still possible", float64(max(len(own.points), len(half.points))-1), units)
	d.key(fmt.Sprintf("you: %s", talk.Count(len(r.Made), "check")), "halving, the longer way each time")
	d.fall(half, false)
	d.fall(own, false)
	return d.write(w)
}

// fewScores is up to how many bars are drawn no wider than so many would be.
const fewScores = 15

// DrawScores draws every score as a bar, oldest first: the share of the checks that were
// needed.
func DrawScores(w io.Writer, scores []training.Score) error {
	const most = 60 // more bars cannot be told apart
	under := "A full bar: no more checks than the best needs. A cross: not found."
	if len(scores) > most {
		under += fmt.Sprintf(" The last %d of %d.", most, len(scores))
		scores = scores[len(scores)-most:]
	}
	d := newField("Scores of practice", under, "from the first to the last", "needed of made, %",
		float64(max(len(scores), fewScores)+1), 100)
	for i, s := range scores {
		left, top := d.at(float64(i)+0.65, 100*s.Share())
		right, base := d.at(float64(i)+1.35, 0)
		if s.Share() == 0 {
			d.text((left+right)/2, base-6, "middle", 14, "×")
		}
		fill := "#000"
		if s.Drill != "" {
			fill = "#fff"
		}
		fmt.Fprintf(&d.b, `<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s" stroke="#000"><title>%s</title></rect>`+"\n",
			left, top, right-left, max(0, base-top), fill, escaped(talk.ScoreName(s)+": "+talk.ScoreWords(s)))
	}
	fmt.Fprintf(&d.b, `<rect x="%g" y="52" width="12" height="12"/>`+"\n", pictureLeft)
	d.text(pictureLeft+20, 63, "start", 12, "circuits")
	fmt.Fprintf(&d.b, `<rect x="%g" y="52" width="12" height="12" fill="#fff" stroke="#000"/>`+"\n",
		pictureLeft+100)
	d.text(pictureLeft+120, 63, "start", 12, "drills")
	return d.write(w)
}
