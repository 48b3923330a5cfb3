package drawing

import (
	"cmp"
	"slices"
	"strconv"
)

// Most is the most symbols that stand side by side.
func (d *Drawing) Most() int {
	most := 0
	for _, s := range d.sections {
		most = max(most, s.columns)
	}
	return most
}

// Folded is the same drawing for narrower paper: with so many symbols side by side at most, where that
// can be. A rung that is longer goes on on a line of its own, with references at both ends. Numbers stay:
// what goes on has the number of its rung and a letter, so that the numbers of lists and of other drawings lead to
// it.
func (d *Drawing) Folded(most int) *Drawing {
	f := lay(d.Circuit, d.panel, most)
	f.lines = d.lines
	rungs := make(map[partKey]int)
	for _, r := range d.Rungs {
		for _, p := range r.Parts {
			if k := p.key(); p.Kind != Reference && rungs[k] == 0 {
				rungs[k] = r.Number
			}
		}
	}
	told := make(map[int]int)
	n := 1
	for i := range f.Rungs {
		r := &f.Rungs[i]
		for _, p := range r.Parts {
			if k := rungs[p.key()]; k > 0 {
				n = k
				break
			}
		}
		r.label = strconv.Itoa(n) + letters(told[n])
		told[n]++
	}
	return f
}

// partKey tells a part of one layout in another.
type partKey struct {
	kind  Kind
	name  string
	index int
}

func (p *Part) key() partKey {
	if p.Device == nil {
		return partKey{kind: p.Kind}
	}
	terminals := p.Terminals()
	slices.SortFunc(terminals, cmp.Compare)
	return partKey{p.Kind, string(terminals[0]), p.Index}
}

// letters are behind the number of the line on which a rung goes on for the nth time: none, a, b.
func letters(n int) string {
	if n == 0 {
		return ""
	}
	return letters((n-1)/26) + string(rune('a'+(n-1)%26))
}

// numbered is how a rung is numbered on the sheet.
func (d *Drawing) numbered(rung int) string {
	if rung < 1 || rung > len(d.Rungs) {
		return strconv.Itoa(rung)
	}
	return d.Rungs[rung-1].label
}
