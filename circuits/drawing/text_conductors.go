package drawing

import (
	"fmt"
)

// meeting is what meets at a place: the ways that conductors leave it, and whether they are
// energised.
type meeting struct {
	ways int
	hot  bool
	j    joint
}

func (c *canvas) jointAt(gr *group, s *section, j joint) int {
	switch j {
	case s.left:
		return c.at[0]
	case s.right:
		return c.at[s.columns]
	}
	return c.at[gr.column[j]] + textTrack*gr.track[j]
}

// verticals puts the conductors between rungs.
func (c *canvas) verticals(rungs []Rung, first []int, ways map[[2]int]meeting) {
	type key struct {
		gr *group
		j  joint
	}
	spans := make(map[key]span)
	s := rungs[0].section
	shown := make(map[int]bool)
	for i, r := range rungs {
		shown[r.Number] = true
		for _, p := range r.Parts {
			for _, j := range p.at {
				if j == none {
					continue
				}
				k := key{r.group, j}
				if j == s.left || j == s.right {
					k.gr = nil
				}
				v, ok := spans[k]
				if !ok {
					v = span{first[i], first[i]}
				}
				spans[k] = span{min(v.from, first[i]), max(v.to, first[i])}
			}
		}
	}
	for k, v := range spans {
		x := 0
		if k.gr == nil {
			x = c.jointAt(nil, s, k.j)
		} else {
			x = c.jointAt(k.gr, s, k.j)
			for _, p := range k.gr.linked[k.j] { // on rungs that are not shown
				if shown[p.Rung] {
					continue
				}
				y := len(c.cell) - 1
				for i := len(rungs) - 1; i >= 0 && rungs[i].Number > p.Rung; i-- {
					y = max(first[i]-2, 0)
				}
				v.from, v.to = min(v.from, y), max(v.to, y)
			}
		}
		hot := c.o.State.hot(c.d.graph.numberOf(k.j))
		for y := v.from; y <= v.to; y++ {
			w := 0
			if y > v.from {
				w |= upWay
			}
			if y < v.to {
				w |= downWay
			}
			if k.gr == nil && v.from == v.to {
				w = upWay | downWay
			}
			if old, ok := ways[[2]int{x, y}]; ok && old.j != k.j {
				continue
			}
			ways[[2]int{x, y}] = meeting{w, hot, k.j}
		}
	}
}

// rung puts the conductors and symbols of a rung.
func (c *canvas) rung(r *Rung, y int, ways map[[2]int]meeting) {
	s, gr := r.section, r.group
	c.put(0, y, fmt.Sprintf("%3d", r.Number))
	across := func(from, to int, j joint) { // both ends included
		hot := c.o.State.hot(c.d.graph.numberOf(j))
		for x := from; x <= to; x++ {
			v, ok := ways[[2]int{x, y}]
			if ok && v.j != j {
				continue // it is crossed
			}
			if x > from {
				v.ways |= leftWay
			}
			if x < to {
				v.ways |= rightWay
			}
			ways[[2]int{x, y}] = meeting{v.ways, hot, j}
		}
	}
	previous := -1
	for i, p := range r.Parts {
		symbol := c.symbol(p)
		n := len([]rune(symbol))
		from, to := 0, 0
		if p.slot < s.columns {
			from, to = c.at[p.slot], c.at[p.slot+1]
			for j, k := range gr.track {
				if gr.column[j] == p.slot {
					from = max(from, c.at[p.slot]+textTrack*k)
				}
			}
		} else {
			from = c.at[s.columns]
			to = from + n + 3
		}
		x := from + 1 + (to-from-n)/2
		if p.Kind == Reference && p.hang {
			x = to - n
		} else if p.Kind == Reference || p.slot >= s.columns {
			x = from + 2 - b2i(c.under != nil)
		}
		if p.at[0] != none {
			start := c.jointAt(gr, s, p.at[0])
			if i > 0 && r.Parts[i-1].at[1] == p.at[0] {
				start = previous
			}
			across(start, x, p.at[0])
		}
		next := r.after(i)
		previous = x + n - 1
		if p.at[1] != none && (next == nil || next.at[0] != p.at[1]) {
			across(previous, c.jointAt(gr, s, p.at[1]), p.at[1])
		}
		c.spot[p] = spot{x, n}
	}
}

// corners writes the conductors.
func (c *canvas) corners(ways map[[2]int]meeting) {
	for at, w := range ways {
		x, y := at[0], at[1]
		mark := c.marks.corner[w.ways]
		if w.hot {
			mark = c.marks.hotCorner[w.ways]
		}
		if mark != "" && y < len(c.cell) {
			c.cell[y][x] = []rune(mark)[0]
		}
	}
}
