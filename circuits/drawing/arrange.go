package drawing

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Weights of what makes a drawing hard to read, in lines of vertical conductor.
const (
	crossingWeight = 200
	besideWeight   = 12 // two conductors side by side in one column
	lineWeight     = 3
	orderWeight    = 0.25 // a way above one that was found before it
	mainWeight     = 4    // a way above the first, which goes from rail to rail
	writtenWeight  = 40   // a way above one of a rung that the file has before it
)

// manyWays is the number of ways above which only single ways are moved, and by a few
// places.
const (
	manyWays = 40
	window   = 6
)

// arrangement searches for the order of ways that is easiest to read. Ways and joints are
// numbered, so that trying an order is quick.
type arrangement struct {
	ways   []way
	rung   []int     // by way: the rung of the file that it is of; their number for none
	meets  [][]int32 // by way: the joints on it that are no rails
	has    [][]bool  // by way, by joint
	column []int     // by joint
	beside [][]int   // by joint: those before it that are in its column
	from   []int     // by joint, of the order that is tried
	to     []int
}

// arrange puts the ways of a group on lines: so that as few conductors cross as can be
// found by moving ways and runs of lines, and then with little vertical conductor.
func (gr *group) arrange(g *graph, s *section) {
	a := &arrangement{}
	index := make(map[joint]int32)
	for _, row := range gr.rows {
		w := way{parts: row, left: gr.edge(row[0], 0), right: gr.edge(row[len(row)-1], 1)}
		var meets []int32
		for _, p := range row {
			for _, j := range p.at {
				if j == none || j == s.left || j == s.right {
					continue
				}
				i, ok := index[j]
				if !ok {
					i = int32(len(a.column))
					index[j] = i
					a.column = append(a.column, gr.column[j])
				}
				if !slices.Contains(meets, i) {
					meets = append(meets, i)
				}
			}
		}
		a.ways = append(a.ways, w)
		a.rung = append(a.rung, g.rungOf(row))
		a.meets = append(a.meets, meets)
	}
	a.from, a.to = make([]int, len(a.column)), make([]int, len(a.column))
	for j, c := range a.column {
		var list []int
		for k := range j {
			if a.column[k] == c {
				list = append(list, k)
			}
		}
		a.beside = append(a.beside, list)
	}
	lines := make([][]int, len(a.ways))
	for i := range a.ways {
		lines[i] = []int{i}
		has := make([]bool, len(a.column))
		for _, j := range a.meets[i] {
			has[j] = true
		}
		a.has = append(a.has, has)
	}
	slices.SortStableFunc(lines, func(x, y []int) int { return a.rung[x[0]] - a.rung[y[0]] })
	best, least := a.improve(lines)
	// Again from other orders: the search stops where no move helps.
	for n := range starts(len(lines)) {
		order := slices.Clone(lines)
		shuffle(order, uint64(n))
		if try, cost := a.improve(order); cost < least-1e-9 {
			best, least = try, cost
		}
	}
	gr.lines = nil
	for _, l := range best {
		var out line
		for _, w := range l {
			out = append(out, a.ways[w])
		}
		gr.lines = append(gr.lines, out)
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
	case ways <= 20:
		return 3
	case ways <= manyWays:
		return 1
	}
	return 0
}

// shuffle puts lines in an order that depends on n alone; the first is from below.
func shuffle(lines [][]int, n uint64) {
	if n == 0 {
		slices.Reverse(lines)
		return
	}
	r := rand.New(rand.NewPCG(n, uint64(len(lines))))
	r.Shuffle(len(lines), func(i, k int) { lines[i], lines[k] = lines[k], lines[i] })
}

// improve moves ways and runs of lines until no move helps.
func (a *arrangement) improve(lines [][]int) ([][]int, float64) {
	best := a.cost(lines, math.Inf(1))
	for improved, pass := true, 0; improved && pass < 12; pass++ {
		improved = false
		for i := 0; i < len(lines); i++ {
			for k := 0; i < len(lines) && k < len(lines[i]); k++ {
				if next, cost := a.move(lines, i, k, best); next != nil {
					lines, best, improved = next, cost, true
					break
				}
			}
		}
		if len(lines) <= manyWays && (!improved || best >= crossingWeight) {
			if next, cost := a.moveRuns(lines, best); next != nil {
				lines, best, improved = next, cost, true
			}
		}
	}
	return lines, best
}

// move tries every other place for one way; it gives nil where none is better.
func (a *arrangement) move(lines [][]int, i, k int, best float64) ([][]int, float64) {
	w := lines[i][k]
	rest := make([][]int, 0, len(lines)+1)
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
	if len(lines) > manyWays {
		from, to = max(0, i-window), min(len(rest), i+window)
	}
	var found [][]int
	keep := func(try [][]int) {
		if cost := a.cost(try, best); cost < best-1e-9 {
			found, best = slices.Clone(try), cost
		}
	}
	try := make([][]int, 0, len(rest)+1)
	for n := from; n <= to; n++ {
		try = append(append(append(try[:0], rest[:n]...), []int{w}), rest[n:]...)
		keep(try)
		if n == len(rest) {
			break
		}
		if joined, ok := a.join(rest[n], w); ok {
			try = append(try[:0], rest...)
			try[n] = joined
			keep(try)
		}
	}
	return found, best
}

// moveRuns tries every run of lines in every other place, as it is and turned over; it
// gives nil where none is better.
func (a *arrangement) moveRuns(lines [][]int, best float64) ([][]int, float64) {
	var found [][]int
	try := make([][]int, 0, len(lines))
	for i := range lines {
		for k := i + 2; k <= len(lines); k++ {
			run := slices.Clone(lines[i:k])
			for turned := range 2 {
				if turned == 1 {
					slices.Reverse(run)
				}
				for n := 0; n <= len(lines)-len(run); n++ {
					if n == i && turned == 0 {
						continue
					}
					try = try[:0]
					for m, l := range lines {
						if m >= i && m < k {
							continue
						}
						if len(try) == n {
							try = append(try, run...)
						}
						try = append(try, l)
					}
					if len(try) == n {
						try = append(try, run...)
					}
					if len(try) != len(lines) {
						continue
					}
					if cost := a.cost(try, best); cost < best-1e-9 {
						found, best = slices.Clone(try), cost
					}
				}
			}
		}
	}
	return found, best
}

// join puts a way on a line with others, if it meets none of them but end to end.
func (a *arrangement) join(l []int, w int) ([]int, bool) {
	for _, o := range l {
		x, y := a.ways[o], a.ways[w]
		if x.left > y.left {
			x, y = y, x
		}
		end, start := x.parts[len(x.parts)-1].at[1], y.parts[0].at[0]
		if x.right > y.left || x.right == y.left && (end == none || end != start) {
			return nil, false
		}
	}
	out := append(slices.Clone(l), w)
	slices.SortFunc(out, func(x, y int) int { return a.ways[x].left - a.ways[y].left })
	return out, true
}

// cost is how hard an arrangement is to read. It stops counting above a bound.
func (a *arrangement) cost(lines [][]int, bound float64) float64 {
	for j := range a.from {
		a.from[j] = -1
	}
	for y, l := range lines {
		for _, w := range l {
			for _, j := range a.meets[w] {
				if a.from[j] < 0 {
					a.from[j] = y
				}
				a.to[j] = y
			}
		}
	}
	cost := float64(lineWeight * len(lines))
	for j, from := range a.from {
		to, c := a.to[j], a.column[j]
		cost += float64(to - from)
		if cost > bound {
			return cost
		}
		for _, k := range a.beside[j] {
			if from <= a.to[k] && a.from[k] <= to && (to > from || a.to[k] > a.from[k]) {
				cost += besideWeight
			}
		}
		for y := from + 1; y < to; y++ {
			for _, w := range lines[y] {
				if a.ways[w].left < c && c < a.ways[w].right && !a.has[w][j] {
					cost += crossingWeight
					if cost > bound {
						return cost
					}
				}
			}
		}
	}
	last, written := -1, -1
	for _, l := range lines {
		lead := slices.Min(l)
		rung := a.rung[l[0]]
		for _, w := range l {
			rung = min(rung, a.rung[w])
		}
		if rung < written {
			cost += writtenWeight
		}
		written = max(written, rung)
		if lead < last {
			cost += orderWeight
			if lead == 0 {
				cost += mainWeight
			}
		}
		last = max(last, lead)
	}
	return cost
}
