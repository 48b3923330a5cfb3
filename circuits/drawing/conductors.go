package drawing

import (
	"slices"
)

// conductor is a straight piece of conductor.
type conductor struct {
	x1, y1, x2, y2 float64
	joint          joint
	number         int
	rail           bool
}

// wire draws a conductor along a rung.
func (sc *scene) wire(from, to, across float64, j joint) {
	if from == to {
		return
	}
	sc.join(from, across, to, across, j, false)
}

// join draws a conductor between two points, along and across.
func (sc *scene) join(along1, across1, along2, across2 float64, j joint, rail bool) {
	x1, y1 := sc.point(along1, across1)
	x2, y2 := sc.point(along2, across2)
	sc.wires = append(sc.wires, conductor{x1, y1, x2, y2, j, sc.d.graph.numberOf(j), rail})
}

// dotAt puts a dot on the drawing.
func (sc *scene) dotAt(along, across float64) {
	x, y := sc.point(along, across)
	sc.dots = append(sc.dots, [2]float64{x, y})
}

// verticals draws rails, the conductors between lines, the dots and the wire numbers.
func (sc *scene) verticals(spaces map[*section]sectionSpace) {
	type key struct {
		gr *group
		j  joint
	}
	seen := make(map[key][]float64) // the lines that it is on
	var order []key
	here := make(map[int]bool)
	for _, r := range sc.rows {
		here[r.rung.Number] = true
	}
	rails := make(map[*section][2][]float64)
	var sections []*section
	for _, r := range sc.rows {
		s := r.rung.section
		if !slices.Contains(sections, s) {
			sections = append(sections, s)
		}
		var at []joint
		for _, p := range r.rung.Parts {
			for _, j := range p.at {
				if j != none && !slices.Contains(at, j) {
					at = append(at, j)
				}
			}
		}
		for _, j := range at {
			if j == s.left || j == s.right {
				v := rails[s]
				v[b2i(j == s.right)] = append(v[b2i(j == s.right)], r.at)
				rails[s] = v
				continue
			}
			k := key{r.rung.group, j}
			if seen[k] == nil {
				order = append(order, k)
			}
			seen[k] = append(seen[k], r.at)
		}
	}
	for _, s := range sections {
		sp := spaces[s]
		for side, j := range []joint{s.left, s.right} {
			ys := rails[s][side]
			if j == none {
				continue
			}
			start, end, ok := sc.railSpan(s, j, ys)
			if !ok {
				continue
			}
			sc.railed = append(sc.railed, rail{s, j})
			x := sp.x[side*(len(sp.x)-1)]
			sc.join(x, start, x, end, j, true)
			for _, y := range ys {
				sc.dotAt(x, y)
			}
			if n := sc.d.graph.numberOf(j); n >= 0 {
				l := label{x: x, y: start - 3, size: numberSize, anchor: AtMiddle,
					text: sc.o.name(sc.d, n), bold: true, kind: "number"}
				if sc.o.Upright {
					l.x, l.y, l.anchor = start-4, x+3.5, AtEnd
				}
				sc.text(l)
			}
		}
	}
	for _, k := range order {
		v := seen[k]
		s := sectionOf(sc.rows, k.gr)
		x := spaces[s].jointX(k.gr, s, k.j)
		top, bottom := slices.Min(v), slices.Max(v)
		for _, p := range k.gr.linked[k.j] {
			if !here[p.Rung] && sc.o.Page == nil {
				y := sc.hidden(p.Rung, s)
				top, bottom = min(top, y), max(bottom, y)
			}
		}
		top, bottom = sc.leaves(k.gr, k.j, top, bottom)
		if bottom > top {
			sc.join(x, top, x, bottom, k.j, false)
		}
		sc.dot(k.gr, k.j, x, top, bottom)
		sc.numberAt(k.gr, k.j, spaces[s], v[0])
	}
}

// hidden is where on the sheet a rung would be that is not on it.
func (sc *scene) hidden(rung int, s *section) float64 {
	last := 0.0
	for _, r := range sc.rows {
		if r.rung.section != s {
			continue
		}
		if r.rung.Number > rung {
			if r.gap > 0 {
				return r.gap
			}
			return r.at - 30
		}
		last = r.at + 26
	}
	return last
}

func sectionOf(rows []row, gr *group) *section {
	for _, r := range rows {
		if r.rung.group == gr {
			return r.rung.section
		}
	}
	return nil
}

// dot puts a dot where three conductors or more meet.
func (sc *scene) dot(gr *group, j joint, x, top, bottom float64) {
	for _, r := range sc.rows {
		if r.rung.group != gr || r.at < top || r.at > bottom {
			continue
		}
		ways := b2i(r.at > top) + b2i(r.at < bottom)
		on := false
		for _, p := range r.rung.Parts {
			if p.at[0] == j || p.at[1] == j {
				ways++
				on = true
			}
		}
		if on && ways > 2 {
			sc.dotAt(x, r.at)
		}
	}
}

// numberAt writes the wire number of a joint above the conductor: to the right of it where
// the conductor goes on, else to the left; beside all conductors of its column. On a path that runs
// down it stands to the left, below or above them.
func (sc *scene) numberAt(gr *group, j joint, sp sectionSpace, y float64) {
	n := sc.d.graph.numberOf(j)
	if n < 0 {
		return
	}
	column := gr.column[j]
	l := label{x: sp.x[column] + gr.aside(column) + 4, y: y - 3.5, size: numberSize,
		text: sc.o.name(sc.d, n), kind: "number"}
	goesOn := false
	for _, r := range sc.rows {
		if r.at == y {
			for _, p := range r.rung.Parts {
				goesOn = goesOn || p.at[0] == j && p.Kind != Reference
				if p.Kind == Reference && (p.at[0] == j || p.at[1] == j) {
					return // the reference says it
				}
			}
		}
	}
	switch {
	case sc.o.Upright && goesOn:
		l.x, l.y, l.anchor = y-numberAside, sp.x[column]+gr.aside(column)+numberBelow, AtEnd
	case sc.o.Upright:
		l.x, l.y, l.anchor = y-numberAside, sp.x[column]-3.5, AtEnd
	case !goesOn:
		l.x, l.anchor = sp.x[column]-4, AtEnd
	}
	sc.text(l)
}
