package drawing

import (
	"maps"
	"math/rand/v2"
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

// Weights of what makes a drawing hard to read, in lines of vertical conductor.
const (
	crossingWeight = 200
	besideWeight   = 12 // two conductors side by side in one column
	lineWeight     = 3
	orderWeight    = 0.25 // a way above one that was found before it
	mainWeight     = 4    // a way above the first, which goes from rail to rail
)

// wideGroup is the number of ways above which a line is moved by a few places only.
const (
	wideGroup = 24
	window    = 6
)

// arrange puts the ways of a group on lines: so that as few conductors cross as can be
// found by moving one way at a time, and then with little vertical conductor.
func (gr *group) arrange(s *section) {
	lines := make([]line, 0, len(gr.rows))
	first := make(map[*Part]int)
	for i, row := range gr.rows {
		w := way{parts: row, left: gr.edge(row[0], 0), right: gr.edge(row[len(row)-1], 1)}
		lines = append(lines, line{w})
		first[row[0]] = i
	}
	gr.lines, _ = gr.improve(s, lines, first)
	best := gr.cost(s, gr.lines, first)
	// Again from other orders: the search stops where no single move helps.
	for n := range starts(len(lines)) {
		order := slices.Clone(lines)
		shuffle(order, uint64(n))
		if try, cost := gr.improve(s, order, first); cost < best-1e-9 {
			gr.lines, best = try, cost
		}
	}
	gr.putAside(s)
}

// starts is from how many other orders the lines of a group are arranged again.
func starts(ways int) int {
	switch {
	case ways < 3:
		return 0
	case ways <= 10:
		return 12
	case ways <= wideGroup:
		return 5
	}
	return 0
}

// shuffle puts lines in an order that depends on n alone; the first is from below.
func shuffle(lines []line, n uint64) {
	if n == 0 {
		slices.Reverse(lines)
		return
	}
	r := rand.New(rand.NewPCG(n, uint64(len(lines))))
	r.Shuffle(len(lines), func(i, k int) { lines[i], lines[k] = lines[k], lines[i] })
}

// improve moves one way at a time until no move helps.
func (gr *group) improve(s *section, lines []line, first map[*Part]int) ([]line, float64) {
	best := gr.cost(s, lines, first)
	for improved, pass := true, 0; improved && pass < 12; pass++ {
		improved = false
		for i := 0; i < len(lines); i++ {
			for k := 0; i < len(lines) && k < len(lines[i]); k++ {
				if next, cost := gr.move(s, lines, first, i, k, best); next != nil {
					lines, best, improved = next, cost, true
					break
				}
			}
		}
	}
	return lines, best
}

// edge is the column of the left or right end of a part.
func (gr *group) edge(p *Part, side int) int {
	if j := p.at[side]; j != none {
		return gr.column[j]
	}
	return p.slot + side
}

// move tries every other place for one way; it gives nil where none is better.
func (gr *group) move(s *section, lines []line, first map[*Part]int, i, k int, best float64) ([]line, float64) {
	w := lines[i][k]
	rest := make([]line, 0, len(lines)+1)
	at := i
	for n, l := range lines {
		if n == i {
			l = slices.Delete(slices.Clone(l), k, k+1)
			if len(l) == 0 {
				continue
			}
		}
		rest = append(rest, l)
	}
	from, to := 0, len(rest)
	if len(lines) > wideGroup {
		from, to = max(0, at-window), min(len(rest), at+window)
	}
	var found []line
	for n := from; n <= to; n++ {
		try := slices.Insert(slices.Clone(rest), n, line{w})
		if cost := gr.cost(s, try, first); cost < best-1e-9 {
			found, best = try, cost
		}
		if n == len(rest) {
			break
		}
		joined, ok := join(rest[n], w)
		if !ok {
			continue
		}
		try = slices.Clone(rest)
		try[n] = joined
		if cost := gr.cost(s, try, first); cost < best-1e-9 {
			found, best = try, cost
		}
	}
	return found, best
}

// join puts a way on a line with others, if it meets none of them but end to end.
func join(l line, w way) (line, bool) {
	for _, o := range l {
		a, b := o, w
		if a.left > b.left {
			a, b = b, a
		}
		end, start := a.parts[len(a.parts)-1].at[1], b.parts[0].at[0]
		if a.right > b.left || a.right == b.left && (end == none || end != start) {
			return nil, false
		}
	}
	out := append(slices.Clone(l), w)
	slices.SortFunc(out, func(a, b way) int { return a.left - b.left })
	return out, true
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

// cost is how hard an arrangement is to read.
func (gr *group) cost(s *section, lines []line, first map[*Part]int) float64 {
	cost := lineWeight * float64(len(lines))
	spans := gr.spans(s, lines)
	byColumn := make(map[int][]span)
	for j, v := range spans {
		cost += float64(v.to - v.from)
		c := gr.column[j]
		for _, o := range byColumn[c] {
			if v.from <= o.to && o.from <= v.to && (v.to > v.from || o.to > o.from) {
				cost += besideWeight
			}
		}
		byColumn[c] = append(byColumn[c], v)
		for y := v.from + 1; y < v.to; y++ {
			for _, w := range lines[y] {
				if w.left < c && c < w.right && !w.has(j) {
					cost += crossingWeight
				}
			}
		}
	}
	last := -1
	for _, l := range lines {
		lead := len(first)
		for _, w := range l {
			lead = min(lead, first[w.parts[0]])
		}
		if lead < last {
			cost += orderWeight
		}
		if lead == 0 && last > 0 {
			cost += mainWeight
		}
		last = max(last, lead)
	}
	return cost
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
