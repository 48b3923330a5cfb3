package drawing

import (
	"slices"

	"deadrung/circuits"
)

func textWidth(s string, size float64) float64 {
	return letterWidth * size * float64(len([]rune(s)))
}

// sectionSpace is where the columns of a section are.
type sectionSpace struct {
	end float64   // the rightmost conductor, beside which there is room for words
	x   []float64 // of column 0 to the last, which is the right rail
}

// need is how wide the lead of a part must be on either side of its symbol.
func (d *Drawing) need(p *Part) (lead float64) {
	lead = leastLead
	for _, t := range []circuits.Terminal{p.Left, p.Right} {
		if _, name := t.Split(); name != "" && p.Kind != Post && p.Kind != Tap && p.Kind != Bridge {
			lead = max(lead, textWidth(name, terminalSize)+6)
		}
	}
	for side, n := range []int{p.LeftNumber, p.RightNumber} {
		if n >= 0 && !d.onRail(p.at[side]) {
			lead = max(lead, textWidth(d.Circuit.Numbers[n].Name, numberSize)+6+ringSize+2)
		}
	}
	return lead
}

// onRail tells whether a joint is a rail, which has its number at its top.
func (d *Drawing) onRail(j joint) bool {
	return slices.ContainsFunc(d.sections, func(s *section) bool { return s.left == j || s.right == j })
}

// slotWidth is how much room a part needs between two columns.
func (d *Drawing) slotWidth(p *Part, o Options) float64 {
	s := symbolOf(p, o.Symbols)
	if o.Upright {
		return d.slotHeight(p, s)
	}
	w := 2*s.half + 2*d.need(p)
	switch p.Kind {
	case Reference:
		return textWidth(d.referenceText(p, o), numberSize) + 34
	case Tap, Ground:
		return 2 * (textWidth(p.Name(), nameSize) + 24)
	}
	return max(w, textWidth(p.Name()+"*", nameSize)+10)
}

// columns places the columns of every section, from a place on and over a length at least, and gives
// the length that they take.
func (d *Drawing) columns(o Options, from, most float64) (map[*section]sectionSpace, float64) {
	spaces := make(map[*section]sectionSpace)
	widths := make(map[*section][]float64)
	tracks := make(map[*section][]int)
	for _, s := range d.sections {
		w := make([]float64, s.columns)
		t := make([]int, s.columns+1)
		for _, gr := range s.groups {
			for j, k := range gr.track {
				t[gr.column[j]] = max(t[gr.column[j]], k)
			}
			for _, p := range gr.parts {
				if p.slot < s.columns {
					w[p.slot] = max(w[p.slot], d.slotWidth(p, o))
				}
			}
		}
		sum := 0.0
		for i := range w {
			if w[i] == 0 {
				w[i] = 10
			}
			w[i] += trackStep * float64(t[i])
			sum += w[i]
		}
		widths[s], tracks[s] = w, t
		most = max(most, sum)
	}
	for _, s := range d.sections {
		sum := 0.0
		for _, w := range widths[s] {
			sum += w
		}
		space := sectionSpace{x: []float64{from}}
		at := from
		for _, w := range widths[s] {
			at += w * most / sum
			space.x = append(space.x, at)
		}
		space.end = at + trackStep*float64(tracks[s][s.columns])
		most = max(most, space.end-from)
		spaces[s] = space
	}
	return spaces, most
}

// aside is how far the conductors of a column reach to the right of it.
func (gr *group) aside(column int) float64 {
	most := 0
	for j, k := range gr.track {
		if gr.column[j] == column {
			most = max(most, k)
		}
	}
	return trackStep * float64(most)
}

// jointX is where a joint is.
func (sp sectionSpace) jointX(gr *group, s *section, j joint) float64 {
	if j == s.right {
		return sp.x[len(sp.x)-1]
	}
	if j == s.left {
		return sp.x[0]
	}
	return sp.x[gr.column[j]] + trackStep*float64(gr.track[j])
}
