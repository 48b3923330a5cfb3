package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// crossing is a conductor that goes on upon another sheet.
type crossing struct {
	gr   *group
	at   joint
	rung int // the nearest rung there that it meets
}

// crossings are the conductors of a group, but for the rails, that go from a sheet of rungs over
// one of its ends, from the right: so none passes the reference of another.
func (d *Drawing) crossings(cut, start, end int) []crossing {
	if cut == 0 || cut == len(d.Rungs) || d.Rungs[cut].group != d.Rungs[cut-1].group {
		return nil
	}
	r := &d.Rungs[cut]
	var found []crossing
	for j, parts := range r.group.linked {
		if j == r.section.left || j == r.section.right {
			continue
		}
		here, there := false, 0
		for _, p := range parts {
			switch {
			case p.Rung > start && p.Rung <= end:
				here = true
			case (p.Rung > cut) == (cut == end) && (there == 0 || near(p.Rung, there, cut)):
				there = p.Rung
			}
		}
		if here && there > 0 {
			found = append(found, crossing{r.group, j, there})
		}
	}
	slices.SortFunc(found, func(a, b crossing) int {
		return cmp.Or(r.group.column[b.at]-r.group.column[a.at], r.group.track[b.at]-r.group.track[a.at])
	})
	return found
}

// near tells whether one rung is nearer to a cut than another on the same side of it.
func near(a, b, cut int) bool {
	return math.Abs(float64(a-cut)-0.5) < math.Abs(float64(b-cut)-0.5)
}

// goesOnUpright is the label of what leaves a sheet of paths that run down, at a height: past the
// last path, or before the first one.
func (sc *scene) goesOnUpright(y float64, last bool, text string) label {
	l := label{x: sc.bottom + wordGap, y: y + 3.5, size: noteSize, text: text, kind: "goes on"}
	if !last {
		l.x, l.anchor = sc.top-wordGap, AtEnd
	}
	return l
}

// goOn writes where rails and conductors go on that leave the sheet.
func (sc *scene) goOn(sh pageSheet, number int, spaces map[*section]sectionSpace) {
	if len(sh.rungs) == 0 {
		return
	}
	first, last := sh.rungs[0], sh.rungs[len(sh.rungs)-1]
	end := func(r Rung, y, step float64, text string, over []crossing) {
		sp := spaces[r.section]
		at := y + step - 2
		if step < 0 {
			at = y - 5 // above the wire number of a rail
		}
		for side, j := range []joint{r.section.left, r.section.right} {
			before, after := sc.elsewhere(r.section, j)
			if !slices.Contains(sc.railed, rail{r.section, j}) || step < 0 && !before || step > 0 && !after {
				continue
			}
			l := label{x: sp.x[0] - 8, y: at, size: noteSize, text: text, kind: "goes on"}
			switch {
			case sc.o.Upright:
				l = sc.goesOnUpright(sp.x[side*(len(sp.x)-1)], step > 0, text)
			case side == 1:
				l.x, l.anchor = sp.x[len(sp.x)-1]+8, AtEnd
			}
			sc.text(l)
		}
		for i, c := range over {
			x, where := sp.jointX(c.gr, r.section, c.at), sc.d.goesTo(sc.o, c.rung, sheetOf(sc.sheets, c.rung))
			if sc.o.Upright {
				sc.text(sc.goesOnUpright(x, step > 0, where))
				continue
			}
			sc.text(label{x: x + 4, y: at + step*float64(i+1), size: noteSize, text: where, kind: "goes on"})
		}
	}
	if n := first.Number - 1; n > 0 && sc.d.Rungs[n-1].section == first.section {
		end(first, sc.top, -levelStep, fmt.Sprintf("from sheet %d", number-1), sh.before)
	}
	if n := last.Number; n < len(sc.d.Rungs) && sc.d.Rungs[n].section == last.section {
		end(last, sc.bottom, levelStep, fmt.Sprintf("to sheet %d", number+1), sh.after)
	}
}

// leaves gives how far up and down a conductor is drawn that goes on upon another sheet: beside
// the text that says where.
func (sc *scene) leaves(gr *group, j joint, top, bottom float64) (float64, float64) {
	for i, c := range sc.before {
		switch {
		case c.gr != gr || c.at != j:
		case sc.o.Upright:
			top = sc.top
		default:
			top = sc.top - levelStep*float64(i+1) - levelStep + 2
		}
	}
	for i, c := range sc.after {
		switch {
		case c.gr != gr || c.at != j:
		case sc.o.Upright:
			bottom = sc.bottom
		default:
			bottom = sc.bottom + levelStep*float64(i+2) - 2
		}
	}
	return top, bottom
}

// rail is a rail of a section.
type rail struct {
	s *section
	j joint
}

// elsewhere tells whether a rail of a section has rungs on the sheets before and after this one.
func (sc *scene) elsewhere(s *section, rail joint) (before, after bool) {
	if sc.o.Page == nil {
		return false, false
	}
	on := func(rungs []Rung) bool {
		return slices.ContainsFunc(rungs, func(r Rung) bool {
			return r.section == s && slices.ContainsFunc(r.Parts, func(p *Part) bool { return p.at[0] == rail || p.at[1] == rail })
		})
	}
	first, last := sc.rows[0].rung.Number, sc.rows[len(sc.rows)-1].rung.Number
	return on(sc.d.Rungs[:first-1]), on(sc.d.Rungs[last:])
}

// railSpan is from where to where a rail is drawn that has rungs on the sheet at some places; false
// where it is not on the sheet. It goes right through a sheet that lies between two that it is on.
func (sc *scene) railSpan(s *section, rail joint, at []float64) (start, end float64, ok bool) {
	before, after := sc.elsewhere(s, rail)
	if len(at) == 0 && !(before && after) {
		return 0, 0, false
	}
	start, end = sc.top+8, sc.bottom
	if sc.o.Upright {
		start = sc.top + sc.d.railRoom(s, sc.o)
	}
	if len(at) > 0 && !before {
		start = at[0] - 18
	}
	if len(at) > 0 && !after {
		end = at[len(at)-1] + 12
	}
	return start, end, true
}

// joinRoom is the room for references where a sheet begins or ends in the middle of a section.
func (d *Drawing) joinRoom(cut, start, end int, o Options) float64 {
	if cut == 0 || cut == len(d.Rungs) || d.Rungs[cut].section != d.Rungs[cut-1].section {
		return 0
	}
	if o.Upright {
		widest := "from sheet 10"
		if len(d.crossings(cut, start, end)) > 0 {
			widest = d.goesTo(o, len(d.Rungs), 10)
		}
		return textWidth(widest, o.size(noteSize)) + 2*wordGap
	}
	return levelStep*float64(len(d.crossings(cut, start, end))+1) + 4
}

// goesTo says where a conductor goes on.
func (d *Drawing) goesTo(o Options, rung, sheet int) string {
	return fmt.Sprintf("%s %s, sheet %d", o.line(), d.numbered(rung), sheet)
}

// sheetOf is on which sheet a rung is.
func sheetOf(sheets []pageSheet, rung int) int {
	return 1 + slices.IndexFunc(sheets, func(sh pageSheet) bool {
		return len(sh.rungs) > 0 && sh.rungs[0].Number <= rung && rung <= sh.rungs[len(sh.rungs)-1].Number
	})
}
