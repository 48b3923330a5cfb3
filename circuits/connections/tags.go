package connections

import (
	"fmt"
	"math"
	"slices"

	"deadrung/circuits/drawing"
)

// Measures of tags.
const (
	tagGap    = 6.0  // from the middle of a screw to the words
	tagHigh   = 24.0 // of two lines of words
	tagLevels = 3    // that stand over one another at most
	tagSheet  = "sheet 100"
)

// atEdges are what a wire that leaves the sheet at its edge is tried to count, in tracks: beside its own it
// takes width there. Zero is without tags.
var atEdges = []float64{2, 0}

// tag is how a wire that leaves the sheet ends at its screw where there is room for the words: with the
// terminal and the sheet where it goes on. It needs no track to the edge of the sheet.
type tag struct {
	level int // 0 nearest to the box
	left  bool
}

// end is an end of a route at a screw.
type end struct {
	*route
	at int
}

// tagExits gives tags to the wires that leave the sheet, as far as there is room between the wires of
// other screws.
func (s *scene) tagExits() {
	if s.only != nil {
		return
	}
	on := make(map[*screw][]end)
	for _, r := range s.routes {
		for i, sc := range r.screws {
			if sc != nil {
				on[sc] = append(on[sc], end{r, i})
			}
		}
	}
	s.strips = make(map[*row][2]int)
	for _, row := range s.rows {
		for side, top := range []bool{false, true} {
			var screws []*screw
			for _, b := range row.boxes {
				for _, sc := range b.screws {
					if sc.top == top && len(on[sc]) > 0 {
						screws = append(screws, sc)
					}
				}
			}
			levels := s.strips[row]
			levels[side] = s.tagSide(screws, on)
			s.strips[row] = levels
		}
	}
}

// tagSide gives tags to the wires on one side of a row, with as many levels as take the least height, and
// tells how many those are.
func (s *scene) tagSide(screws []*screw, on map[*screw][]end) int {
	best, least := 0, math.Inf(1)
	for most := range tagLevels + 1 {
		levels := s.tagUpTo(most, screws, on)
		high := tagHigh * float64(levels)
		for _, sc := range screws {
			for _, e := range on[sc] {
				if e.exit != nil && e.tag == nil {
					high += exitTrack * s.d.atEdge
				}
			}
		}
		if high < least {
			best, least = most, high
		}
	}
	levels := s.tagUpTo(best, screws, on)
	for _, sc := range screws {
		if ends := on[sc]; len(ends) == 2 && ends[0].route != ends[1].route {
			part(sc, ends)
		}
	}
	return levels
}

// tagUpTo gives tags on so many levels at most, and tells how many they take.
func (s *scene) tagUpTo(most int, screws []*screw, on map[*screw][]end) (levels int) {
	taken := make([][][2]float64, most)
	for i, sc := range screws {
		ends := on[sc]
		if len(ends) == 2 && ends[0].route == ends[1].route {
			continue // from the screw to itself
		}
		from, to := 0.0, s.right
		if i > 0 {
			from = screws[i-1].x + apart + 2
		}
		if i+1 < len(screws) {
			to = screws[i+1].x - apart - 2
		}
		for _, e := range ends {
			if e.exit == nil {
				continue
			}
			if e.tag = place(sc.x, e.tagWidth(), from, to, taken); e.tag != nil {
				levels = max(levels, e.tag.level+1)
			}
		}
	}
	return levels
}

// place finds room for words beside a screw, and takes it; nil where there is none.
func place(x, wide, from, to float64, taken [][][2]float64) *tag {
	for level := range taken {
		for _, left := range []bool{false, true} {
			span := [2]float64{x + tagGap - 3, x + tagGap + wide}
			if left {
				span = [2]float64{x - tagGap - wide, x - tagGap + 3}
			}
			if span[0] < from || span[1] > to || slices.ContainsFunc(taken[level],
				func(v [2]float64) bool { return span[0] < v[1]+2 && v[0] < span[1]+2 }) {
				continue
			}
			taken[level] = append(taken[level], span)
			return &tag{level, left}
		}
	}
	return nil
}

// part puts the two wires of a screw on the sides on which their tags are, so that they do not cross: the lower tag
// has its own side.
func part(sc *screw, ends []end) {
	first := ends[0]
	switch a, b := ends[0].tag, ends[1].tag; {
	case a == nil && b == nil:
		return
	case a == nil, a != nil && b != nil && b.level < a.level:
		first = ends[1]
	}
	away := apart
	if first.tag.left {
		away = -apart
	}
	for _, e := range ends {
		if e == first {
			e.xs[e.at] = sc.x + away
		} else {
			e.xs[e.at] = sc.x - away
		}
	}
}

// tagWidth is the room for the words of a tag; which sheet it is, is not known yet.
func (r *route) tagWidth() float64 {
	return max(width("to "+string(r.exit.terminal)+","), width(tagSheet))
}

// strip is the height of the tags above or below a row.
func (s *scene) strip(r *row, top bool) float64 { return tagHigh * float64(s.strips[r][b2i(top)]) }

// tagged draws a wire that ends at its screw, with a tag.
func (f *figure) tagged(r *route, a drawing.Point) {
	sc := r.screws[0]
	x, y, way := f.out(sc)
	y += way * (sleeve + tagHigh*(float64(r.tag.level)+0.5))
	beside, align := 1.0, drawing.AtStart
	if r.tag.left {
		beside, align = -1, drawing.AtEnd
	}
	f.line(thin, false, a, drawing.Point{X: a.X, Y: y}, drawing.Point{X: x + beside*(tagGap-1), Y: y})
	f.word(x+beside*(tagGap+1), y-2, align, "to "+string(r.exit.terminal)+",", false)
	f.word(x+beside*(tagGap+1), y+9, align, fmt.Sprintf("sheet %d", f.sheetOf[r.exit.box.row]), false)
}
