package drawing

import (
	"cmp"
	"slices"

	"deadrung/circuits/joined"
)

// orient puts the hotter side of each part on its left, and lays the joints of a group in
// columns: contacts close to the left rail, what comes after a load close to the right.
func (gr *group) orient(s *section) {
	gr.linked = make(map[joint][]*Part)
	for _, p := range gr.parts {
		for _, j := range p.at {
			if j != none {
				gr.linked[j] = append(gr.linked[j], p)
			}
		}
	}
	gr.align(s)
	rank := gr.rank
	for _, p := range gr.parts {
		if p.at[0] != none && p.at[1] != none && rank[p.at[0]] > rank[p.at[1]] {
			p.at[0], p.at[1] = p.at[1], p.at[0]
			p.Left, p.Right = p.Right, p.Left
		}
		// An open end is drawn to the right, but where the other is on the right rail.
		stub := p.Kind == Ground || p.Kind == Tap || p.Kind == Reference || p.at[0] != none && p.at[1] != none
		if !stub && (p.at[0] == none) != (p.at[0]+p.at[1]-none == s.right) {
			p.at[0], p.at[1] = p.at[1], p.at[0]
			p.Left, p.Right = p.Right, p.Left
		}
	}
	for _, p := range gr.parts {
		if p.Kind != Reference || p.hang {
			continue
		}
		into := slices.ContainsFunc(gr.linked[p.at[0]],
			func(q *Part) bool { return q != p && q.at[1] == p.at[0] })
		if !into {
			p.hang = true
			p.at = [2]joint{none, p.at[0]}
		}
	}
}

// align orders the joints of a group from hot to grounded: by level, then by how far they
// are from a rail.
func (gr *group) align(s *section) {
	far := joined.Search[joint, *Part]{
		Beside: func(j joint, lead func(joint, *Part, int)) {
			for _, p := range gr.linked[j] {
				if p.at[0] != none && p.at[1] != none {
					lead(p.at[0], p, 1)
					lead(p.at[1], p, 1)
				}
			}
		},
	}
	var all []joint
	for _, p := range gr.parts {
		for _, j := range p.at {
			if j != none && !slices.Contains(all, j) {
				all = append(all, j)
			}
		}
	}
	nowhere := true
	for _, j := range all {
		if j == s.left || j == s.right || slices.ContainsFunc(gr.linked[j],
			func(p *Part) bool { return p.Kind == Reference }) {
			far.From(j, 0)
			nowhere = false
		}
	}
	if nowhere && len(all) > 0 {
		far.From(all[0], 0)
	}
	slices.SortStableFunc(all, func(a, b joint) int {
		switch {
		case a == b:
			return 0
		case a == s.left || b == s.right:
			return -1
		case b == s.left || a == s.right:
			return 1
		}
		if d := gr.level[a] - gr.level[b]; d > 1e-9 || d < -1e-9 {
			return cmp.Compare(gr.level[b], gr.level[a])
		}
		fromA, _ := far.Long(a)
		fromB, _ := far.Long(b)
		return cmp.Compare(fromA, fromB)
	})
	gr.rank = make(map[joint]int, len(all))
	for i, j := range all {
		gr.rank[j] = i
	}
}

// reach is how many columns a group needs.
func (gr *group) reach(s *section) int {
	gr.column = make(map[joint]int)
	order := gr.sorted()
	depth := 0
	for _, j := range order {
		for _, p := range gr.linked[j] {
			if p.at[1] != j {
				continue
			}
			c := 1
			if p.at[0] != none {
				c = gr.column[p.at[0]] + 1
			}
			gr.column[j] = max(gr.column[j], c)
		}
		if j != s.left && s.left != none {
			gr.column[j] = max(gr.column[j], 1)
		}
		depth = max(depth, gr.column[j])
		if j != s.right && s.right != none {
			depth = max(depth, gr.column[j]+1) // the last column is the rail's
		}
		for _, p := range gr.linked[j] {
			if p.at[0] == j && p.at[1] == none && j != s.right {
				depth = max(depth, gr.column[j]+1)
			}
		}
	}
	gr.depth = max(depth, 1)
	return gr.depth
}

// sorted gives the joints of a group from left to right.
func (gr *group) sorted() []joint {
	order := make([]joint, 0, len(gr.rank))
	for j := range gr.rank {
		order = append(order, j)
	}
	slices.SortFunc(order, func(a, b joint) int { return gr.rank[a] - gr.rank[b] })
	return order
}

// settle gives each joint and each symbol its column, in a section of so many.
func (gr *group) settle(s *section) {
	order := gr.sorted()
	after := make(map[joint]bool) // only loads lead to it
	for _, j := range order {
		if j == s.left {
			continue
		}
		n, ok := 0, true
		for _, p := range gr.linked[j] {
			if p.at[1] == j {
				n++
				ok = ok && (loadLike(p) || p.at[0] != none && after[p.at[0]])
			}
		}
		after[j] = ok && n > 0
	}
	for _, j := range slices.Backward(order) {
		if j == s.right {
			gr.column[j] = s.columns
			continue
		}
		if !after[j] {
			continue
		}
		c := s.columns - b2i(s.right != none)
		for _, p := range gr.linked[j] {
			if p.at[0] != j {
				continue
			}
			if p.at[1] == none {
				c = min(c, s.columns-1)
			} else {
				c = min(c, gr.column[p.at[1]]-1)
			}
		}
		gr.column[j] = max(gr.column[j], c)
	}
	for _, p := range gr.parts {
		switch {
		case p.at[0] == none:
			p.slot = gr.column[p.at[1]] - 1
		case p.at[1] == none:
			p.slot = gr.column[p.at[0]]
		case loadLike(p) || after[p.at[0]]:
			p.slot = gr.column[p.at[1]] - 1
		default:
			p.slot = gr.column[p.at[0]]
		}
	}
}

func loadLike(p *Part) bool { return p.Kind == Load || p.Kind == Primary }

// lay takes the parts of a group into rows: each from a conductor to the right as far as
// there is something that no other row has.
func (gr *group) lay(g *graph, s *section) {
	place := make(map[*Part]int, len(g.parts))
	for i, p := range g.parts {
		place[p] = i
	}
	out := func(j joint) []*Part {
		var list []*Part
		if int(j) < len(g.order) {
			for _, end := range g.order[j] {
				if p := g.parts[end>>1]; p.at[0] == j && slices.Contains(gr.linked[j], p) {
					list = append(list, p)
				}
			}
		}
		for _, p := range gr.linked[j] {
			if p.at[0] == j && !slices.Contains(list, p) {
				list = append(list, p)
			}
		}
		slices.SortStableFunc(list, func(p, q *Part) int { return g.rung(p) - g.rung(q) })
		return list
	}
	done := make(map[*Part]bool)
	reached := map[joint]bool{}
	if s.left != none {
		reached[s.left] = true
	}
	next := func(j joint) *Part {
		for _, p := range out(j) {
			if !done[p] {
				return p
			}
		}
		return nil
	}
	take := func(p *Part) {
		// Back to where the way begins, then to the right.
		row := []*Part{p}
		done[p] = true
		for {
			j := row[0].at[0]
			if j == none || reached[j] {
				break
			}
			var before *Part
			for _, q := range gr.linked[j] {
				if q.at[1] == j && !done[q] {
					before = q
					break
				}
			}
			if before == nil {
				break
			}
			done[before] = true
			row = append([]*Part{before}, row...)
		}
		for {
			j := row[len(row)-1].at[1]
			if j == none || j == s.right || reached[j] {
				break
			}
			q := next(j)
			if q == nil {
				break
			}
			done[q] = true
			row = append(row, q)
		}
		for _, q := range row {
			for _, j := range q.at {
				if j != none {
					reached[j] = true
				}
			}
		}
		gr.rows = append(gr.rows, row)
	}
	for {
		// Rows branch off where the one before went furthest right, so that what lies
		// between two conductors stays together.
		var pick *Part
		for _, row := range slices.Backward(gr.rows) {
			for _, q := range slices.Backward(row) {
				if q.at[0] != none && q.at[0] != s.left {
					if p := next(q.at[0]); p != nil && pick == nil {
						pick = p
					}
				}
			}
		}
		if pick == nil && s.left != none {
			pick = next(s.left)
		}
		if pick == nil {
			for _, p := range gr.parts {
				if !done[p] {
					pick = p
					break
				}
			}
		}
		if pick == nil {
			return
		}
		take(pick)
	}
}
