package plan

import (
	"deadrung/circuits"
	"deadrung/circuits/joined"
)

// pair is the element of the plan that stands for one of the drawing.
type pair struct {
	of   int // index into the elements; -1 where none does
	flip bool
}

// end gives the terminal that stands for an end of the drawing's element.
func (p pair) end(hw *hardware, i int) int {
	if p.flip {
		i = 1 - i
	}
	return hw.elements[p.of].ends[i]
}

// growth looks for a pairing with which a plan can grow into what the drawing is: every terminal
// with a wire stands for one of the drawing, and what is joined belongs to one conductor. Where
// everything is wired already, such a plan is right.
type growth struct {
	drawn, planned *wiring
	at             [][]int          // by terminal: the elements that end there
	like           map[string][]int // by label: the elements of the drawing
	class          []int            // by terminal: what is or has to be joined, by wires or by one number
	to             []int            // by class: its conductor on the drawing; -1 while open
	pairs          []pair           // by element of the drawing
	taken          []bool           // by element of the plan
	said           []int            // by terminal: how many pairs speak for it
	loose          map[*circuits.Device]int
	tries          int
}

// grow pairs the elements of a plan that can still become right; false where it cannot, or where
// none was found in a number of tries that grows with the circuit. Numbered takes what has the
// same wire number for joined.
func grow(drawn, planned *wiring, numbered bool) ([]pair, bool) {
	hw := drawn.hw
	g := &growth{drawn: drawn, planned: planned, at: make([][]int, len(hw.terminals)),
		like: make(map[string][]int), pairs: make([]pair, len(hw.elements)), taken: make([]bool, len(hw.elements)),
		said: make([]int, len(hw.terminals)), loose: loose(drawn), tries: 5000 + 20*len(hw.elements)}
	for i, e := range hw.elements {
		g.pairs[i].of = -1
		for _, t := range e.ends {
			g.at[t] = append(g.at[t], i)
		}
		if drawn.used[i] {
			g.like[e.label] = append(g.like[e.label], i)
		}
	}
	g.join(numbered)
	for t, d := range hw.device {
		if n := drawn.node[t]; d.Type.Kind == circuits.GroundKind && n >= 0 {
			g.to[g.class[t]] = n
		}
	}
	return g.pairs, g.on()
}

// loose counts by device the terminals with a wire at which no element of the drawing ends.
func loose(drawn *wiring) map[*circuits.Device]int {
	counted := make(map[*circuits.Device]int)
	ends := make([]bool, len(drawn.landed))
	for i, e := range drawn.hw.elements {
		if drawn.used[i] {
			ends[e.ends[0]], ends[e.ends[1]] = true, true
		}
	}
	for t, wires := range drawn.landed {
		if len(wires) > 0 && !ends[t] {
			counted[drawn.hw.device[t]]++
		}
	}
	return counted
}

// join makes the classes of terminals.
func (g *growth) join(numbered bool) {
	hw, p := g.drawn.hw, g.planned
	sets := joined.New(len(hw.terminals))
	for _, f := range hw.fixed {
		sets.Join(int32(f[0]), int32(f[1]))
	}
	first := make(map[string]int)
	for i, w := range p.wires {
		if !p.can(i) {
			continue
		}
		sets.Join(int32(p.ends[i][0]), int32(p.ends[i][1]))
		if was, ok := first[w.Number]; ok && numbered && w.Number != "" {
			sets.Join(int32(was), int32(p.ends[i][0]))
		}
		first[w.Number] = p.ends[i][0]
	}
	g.class = make([]int, len(hw.terminals))
	for t := range g.class {
		g.class[t] = int(sets.Of(int32(t)))
	}
	g.to = unset(len(hw.terminals))
}

func unset(n int) []int {
	s := make([]int, n)
	for i := range s {
		s[i] = -1
	}
	return s
}

// option is one way to say what a terminal stands for: an element of the drawing and its pair.
// It is the zero pair of no element where a terminal stands for nothing, as the drawing has it
// on that device too.
type option struct {
	element int // -1: none
	pair    pair
}

// fits tells whether two elements can be paired now.
func (g *growth) fits(e int, p pair) bool {
	hw := g.drawn.hw
	if p.flip && hw.elements[e].directed {
		return false
	}
	var to [2]int
	for i, t := range hw.elements[e].ends {
		to[i] = g.to[g.class[p.end(hw, i)]]
		if to[i] >= 0 && to[i] != g.drawn.node[t] {
			return false
		}
	}
	ends := hw.elements[p.of].ends
	return g.class[ends[0]] != g.class[ends[1]]
}

// options lists what a terminal can stand for, no more than a number of them.
func (g *growth) options(t, most int) []option {
	var options []option
	hw := g.drawn.hw
	for _, f := range g.at[t] {
		if g.taken[f] {
			continue
		}
		for _, e := range g.like[hw.elements[f].label] {
			if g.pairs[e].of >= 0 {
				continue
			}
			for _, flip := range []bool{false, true} {
				if p := (pair{f, flip}); g.fits(e, p) {
					if options = append(options, option{e, p}); len(options) == most {
						return options
					}
				}
			}
		}
	}
	if g.loose[hw.device[t]] > 0 {
		options = append(options, option{element: -1})
	}
	return options
}

// open tells whether a terminal has a wire, and nothing yet says what it stands for.
func (g *growth) open(t int) bool {
	if len(g.planned.landed[t]) == 0 || g.said[t] > 0 {
		return false
	}
	kind := g.drawn.hw.device[t].Type.Kind
	return kind != circuits.BlockKind && kind != circuits.GroundKind
}

// on says what all open terminals stand for, that with the fewest options first, and then pairs
// the elements that are left.
func (g *growth) on() bool {
	best, fewest := -1, 1<<30
	for t := range g.said {
		if !g.open(t) {
			continue
		}
		if n := len(g.options(t, fewest)); n < fewest {
			if best, fewest = t, n; n <= 1 {
				break
			}
		}
	}
	if best < 0 {
		return g.rest(0)
	}
	for _, o := range g.options(best, 1<<30) {
		if g.tries--; g.tries < 0 {
			return false
		}
		if o.element < 0 {
			d := g.drawn.hw.device[best]
			g.said[best]++
			g.loose[d]--
			if g.on() {
				return true
			}
			g.loose[d]++
			g.said[best]--
			continue
		}
		undo := g.take(o)
		if g.on() {
			return true
		}
		undo()
	}
	return false
}

// take pairs two elements; what it gives undoes that.
func (g *growth) take(o option) (undo func()) {
	hw := g.drawn.hw
	var set []int
	for i, t := range hw.elements[o.element].ends {
		at := o.pair.end(hw, i)
		g.said[at]++
		if c := g.class[at]; g.to[c] < 0 {
			g.to[c] = g.drawn.node[t]
			set = append(set, c)
		}
	}
	g.pairs[o.element], g.taken[o.pair.of] = o.pair, true
	return func() {
		for i := range hw.elements[o.element].ends {
			g.said[o.pair.end(hw, i)]--
		}
		for _, c := range set {
			g.to[c] = -1
		}
		g.pairs[o.element], g.taken[o.pair.of] = pair{of: -1}, false
	}
}

// rest pairs the elements that no wire reaches yet, from one on.
func (g *growth) rest(from int) bool {
	hw := g.drawn.hw
	for from < len(hw.elements) && (!g.drawn.used[from] || g.pairs[from].of >= 0) {
		from++
	}
	if from == len(hw.elements) {
		return true
	}
	for f := range hw.elements {
		if g.taken[f] || hw.elements[f].label != hw.elements[from].label {
			continue
		}
		for _, flip := range []bool{false, true} {
			if !g.fits(from, pair{f, flip}) {
				continue
			}
			if g.tries--; g.tries < 0 {
				return false
			}
			undo := g.take(option{from, pair{f, flip}})
			if g.rest(from + 1) {
				return true
			}
			undo()
		}
	}
	return false
}
