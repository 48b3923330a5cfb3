package drawing

import (
	"maps"
	"slices"
)

// line is one line of the drawing: ways from left to right that do not meet, or that go
// on from one joint.
type line []way

// way is a row of parts of which each begins where the one before ends.
type way struct {
	parts       []*Part
	left, right int // columns
}

// edge is the column of the left or right end of a part.
func (gr *group) edge(p *Part, side int) int {
	if j := p.at[side]; j != none {
		return gr.column[j]
	}
	return p.slot + side
}

// span is the lines that a joint reaches over.
type span struct{ from, to int }

func (gr *group) spans(s *section, lines []line) map[joint]span {
	spans := make(map[joint]span)
	for y, l := range lines {
		for _, w := range l {
			for _, p := range w.parts {
				for _, j := range p.at {
					if j == none || j == s.left || j == s.right {
						continue
					}
					v, ok := spans[j]
					if !ok {
						v = span{y, y}
					}
					spans[j] = span{min(v.from, y), max(v.to, y)}
				}
			}
		}
	}
	return spans
}

func (w way) has(j joint) bool {
	for _, p := range w.parts {
		if p.at[0] == j || p.at[1] == j {
			return true
		}
	}
	return false
}

// putAside gives joints of one column that reach over the same lines a track each, in the
// order that crosses least.
func (gr *group) putAside(s *section) {
	gr.track = make(map[joint]int)
	spans := gr.spans(s, gr.lines)
	columns := make(map[int][]joint)
	for _, j := range gr.sorted() {
		if v, ok := spans[j]; ok && v.to >= v.from {
			columns[gr.column[j]] = append(columns[gr.column[j]], j)
		}
	}
	for _, column := range slices.Sorted(maps.Keys(columns)) {
		list := columns[column]
		clash := func(a, b joint) bool {
			x, y := spans[a], spans[b]
			return x.from <= y.to && y.from <= x.to && (x.to > x.from || y.to > y.from)
		}
		best := -1
		var tracks []int
		permute(len(list), func(order []int) {
			t := make([]int, len(list))
			for n, i := range order {
				for _, k := range order[:n] {
					if clash(list[i], list[k]) {
						t[i] = max(t[i], t[k]+1)
					}
				}
			}
			for i, j := range list {
				gr.track[j] = t[i]
			}
			n := 1000*gr.crossings(s, spans) + slices.Max(t)
			if best < 0 || n < best {
				best, tracks = n, t
			}
		})
		for i, j := range list {
			gr.track[j] = tracks[i]
		}
	}
}

// permute calls try with orders of n things: all of them for few, a handful for many.
func permute(n int, try func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	if n > 5 {
		try(order)
		slices.Reverse(order)
		try(order)
		return
	}
	var swap func(k int)
	swap = func(k int) {
		if k == n {
			try(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			swap(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	swap(0)
}

// place of a joint from left to right: its column, and its track in it.
func (gr *group) x(j joint) int { return 100*gr.column[j] + gr.track[j] }

// crossings counts where a vertical conductor crosses a line that it does not meet.
func (gr *group) crossings(s *section, spans map[joint]span) int {
	n := 0
	for j, v := range spans {
		for y := v.from; y <= v.to; y++ {
			for _, w := range gr.lines[y] {
				if w.has(j) {
					continue
				}
				left, right := 100*w.left, 100*w.right
				if a := w.parts[0].at[0]; a != none && a != s.left {
					left = gr.x(a)
				}
				if b := w.parts[len(w.parts)-1].at[1]; b != none && b != s.right {
					right = gr.x(b)
				}
				if left < gr.x(j) && gr.x(j) < right {
					n++
				}
			}
		}
	}
	return n
}
