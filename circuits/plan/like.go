package plan

import (
	"slices"

	"deadrung/circuits"
)

// matching pairs the elements of the drawing with those of a plan, and with them the terminals.
type matching struct {
	drawn, planned *wiring
	pairs          []pair // by element of the drawing
	// like tells by conductor of the drawing, and of the plan, how much of what meets there is
	// the same, from 0 to 1.
	like [][]float64
}

// How much a pairing loses where it pairs a contact with one of another kind, or what has a
// direction with its ends exchanged. Both ends alike are worth 2.
const (
	otherKind = 0.8
	exchanged = 0.8
	itsOwn    = 0.02 // gained by an element that stands for itself
)

// mostRounds bounds how often conductors and elements are compared in turn.
const mostRounds = 10

// match pairs a plan with the drawing: exactly where it is right or can become so, else as well
// as it can be.
func match(drawn, planned *wiring) *matching {
	m := &matching{drawn: drawn, planned: planned}
	for _, numbered := range []bool{true, false} {
		if pairs, ok := grow(drawn, planned, numbered); ok {
			m.pairs = pairs
			m.compare()
			return m
		}
	}
	m.compareParts()
	for range mostRounds {
		before := m.pairs
		m.pair()
		m.compare()
		if slices.Equal(before, m.pairs) {
			break
		}
	}
	m.settle()
	return m
}

// parts counts what meets at each conductor, by label and end.
func parts(w *wiring) []map[string]int {
	meets := make([]map[string]int, w.nodes)
	for n := range meets {
		meets[n] = make(map[string]int)
		for _, b := range w.blocks(n) {
			meets[n][b.Name]++
		}
		if w.earthed(n) {
			meets[n]["ground"]++
		}
	}
	for i, e := range w.hw.elements {
		if !w.touched[i] || e.contact && !w.used[i] {
			continue
		}
		for k, t := range e.ends {
			if n := w.node[t]; n >= 0 {
				label := e.label
				if e.directed {
					label += string(rune('0' + k))
				}
				meets[n][label]++
			}
		}
	}
	return meets
}

// compareParts compares conductors by what meets there alone.
func (m *matching) compareParts() {
	drawn, planned := parts(m.drawn), parts(m.planned)
	m.like = make([][]float64, len(drawn))
	for a, x := range drawn {
		m.like[a] = make([]float64, len(planned))
		for b, y := range planned {
			both, all := 0, 0
			for label, n := range x {
				both += min(n, y[label])
				all += n
			}
			for _, n := range y {
				all += n
			}
			if all > both {
				m.like[a][b] = float64(both) / float64(all-both)
			}
		}
	}
}

// compare compares conductors by the elements that are paired.
func (m *matching) compare() {
	hw := m.drawn.hw
	like := make([][]float64, m.drawn.nodes)
	from, to := make([]int, m.drawn.nodes), make([]int, m.planned.nodes)
	for a := range like {
		like[a] = make([]float64, m.planned.nodes)
	}
	for e, p := range m.pairs {
		if !m.drawn.used[e] {
			continue
		}
		for i, t := range hw.elements[e].ends {
			a := m.drawn.node[t]
			from[a]++
			if p.of < 0 {
				continue
			}
			if b := m.planned.node[p.end(hw, i)]; b >= 0 {
				like[a][b]++
				to[b]++
			}
		}
	}
	const kept = 0.1 // of what parts alone say
	for a := range like {
		for b := range like[a] {
			if all := from[a] + to[b] - int(like[a][b]); all > 0 {
				like[a][b] /= float64(all)
			}
			if m.like != nil {
				like[a][b] = (1-kept)*like[a][b] + kept*m.like[a][b]
			}
		}
	}
	m.like = like
}

// alike tells how well an element of the plan stands for one of the drawing.
func (m *matching) alike(e int, p pair) float64 {
	hw := m.drawn.hw
	worth := 0.0
	for i, t := range hw.elements[e].ends {
		if b := m.planned.node[p.end(hw, i)]; b >= 0 {
			worth += m.like[m.drawn.node[t]][b]
		}
	}
	if hw.elements[e].label != hw.elements[p.of].label {
		worth -= otherKind
	}
	switch {
	case p.flip && hw.elements[e].directed:
		worth -= exchanged
	case e == p.of && !p.flip:
		worth += itsOwn
	}
	return worth
}

// best pairs two elements the way round that is better; false where they cannot be paired.
func (m *matching) best(e, f int) (pair, float64, bool) {
	x, y := &m.drawn.hw.elements[e], &m.drawn.hw.elements[f]
	if x.label != y.label && !(x.contact && y.contact) {
		return pair{}, 0, false
	}
	p, worth := pair{of: f}, m.alike(e, pair{of: f})
	if other := m.alike(e, pair{f, true}); other > worth {
		p, worth = pair{f, true}, other
	}
	return p, worth, worth > 0 || x.label == y.label
}

// pair pairs the elements of each device.
func (m *matching) pair() {
	hw := m.drawn.hw
	m.pairs = make([]pair, len(hw.elements))
	of := make(map[*circuits.Device][2][]int)
	for i, e := range hw.elements {
		m.pairs[i].of = -1
		both := of[e.device]
		if m.drawn.used[i] {
			both[0] = append(both[0], i)
		}
		if m.planned.touched[i] {
			both[1] = append(both[1], i)
		}
		of[e.device] = both
	}
	for _, d := range hw.circuit.Devices {
		m.pairDevice(of[d][0], of[d][1])
	}
}

// pairDevice pairs elements of one device: the best first, and then any two exchanged where
// that is better.
func (m *matching) pairDevice(drawn, planned []int) {
	free := slices.Clone(planned)
	open := slices.Clone(drawn)
	for len(open) > 0 && len(free) > 0 {
		var at [2]int
		var best pair
		most, found := 0.0, false
		for i, e := range open {
			for k, f := range free {
				if p, worth, ok := m.best(e, f); ok && (!found || worth > most) {
					at, best, most, found = [2]int{i, k}, p, worth, true
				}
			}
		}
		if !found {
			break
		}
		m.pairs[open[at[0]]] = best
		open, free = slices.Delete(open, at[0], at[0]+1), slices.Delete(free, at[1], at[1]+1)
	}
	for m.better(drawn, planned) {
	}
}

// better changes the pairing of a device in the first way that makes it better as a whole:
// an element gets another pair, that of another element if one has it. False where none does.
func (m *matching) better(drawn, planned []int) bool {
	const least = 1e-9
	was := m.worth(drawn, planned)
	for _, e := range drawn {
		mine := m.pairs[e]
		for _, f := range planned {
			p, _, ok := m.best(e, f)
			if !ok || f == mine.of {
				continue
			}
			other := slices.IndexFunc(drawn, func(x int) bool { return m.pairs[x].of == f })
			m.pairs[e] = p
			if other < 0 {
				if m.worth(drawn, planned) > was+least {
					return true
				}
				m.pairs[e] = mine
				continue
			}
			x := drawn[other]
			theirs := m.pairs[x]
			m.pairs[x] = pair{of: -1}
			if mine.of >= 0 {
				if q, _, ok := m.best(x, mine.of); ok {
					m.pairs[x] = q
				}
			}
			if m.worth(drawn, planned) > was+least {
				return true
			}
			m.pairs[e], m.pairs[x] = mine, theirs
		}
	}
	return false
}

// worth tells how well the elements of a device are paired: how alike they are, less what is lost
// by terminals with a wire for which no pair speaks.
func (m *matching) worth(drawn, planned []int) float64 {
	const unsaid = 0.6
	hw := m.drawn.hw
	sum := 0.0
	var said []int
	for _, e := range drawn {
		if p := m.pairs[e]; p.of >= 0 {
			sum += m.alike(e, p)
			said = append(said, hw.elements[p.of].ends[:]...)
		}
	}
	for _, f := range planned {
		for _, t := range hw.elements[f].ends {
			if len(m.planned.landed[t]) > 0 && !slices.Contains(said, t) {
				sum -= unsaid
				said = append(said, t)
			}
		}
	}
	return sum
}
