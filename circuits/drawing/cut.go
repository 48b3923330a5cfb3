package drawing

import (
	"maps"
	"math"
	"slices"

	"deadrung/circuits/joined"
)

// mostColumns is the most symbols side by side that a sheet has room for.
const mostColumns = 11

// mostSliced is the most conductors that go on elsewhere where a group is cut from top to bottom.
const mostSliced = 24

// cut parts groups that have more symbols side by side than a sheet at a conductor on their way, as
// often as it takes; at several where no one of them parts the group. They go on on lines of their own, with
// references at both ends.
func (s *section) cut(g *graph, most int) {
	for i := 0; i < len(s.groups); i++ {
		gr := s.groups[i]
		if gr.head || gr.depth <= most {
			continue
		}
		at, right := gr.waist(s, most)
		if len(at) == 0 {
			at, right = gr.slice(s, most)
		}
		if len(at) == 0 {
			continue
		}
		s.groups = slices.Insert(s.groups, i+1, gr.split(g, s, at, right))
		i-- // the first half may still be too long
	}
}

// split takes parts out of a group, which hang together with its others at some joints, and gives the
// group that they are.
func (gr *group) split(g *graph, s *section, at []joint, right map[*Part]bool) *group {
	rest := &group{order: gr.order, level: maps.Clone(gr.level)}
	var stay []*Part
	for _, p := range gr.parts {
		if right[p] {
			rest.parts = append(rest.parts, p)
		} else {
			stay = append(stay, p)
		}
	}
	gr.parts = stay
	for _, j := range at {
		k := joint(len(g.number))
		g.number = append(g.number, g.number[j])
		g.order = append(g.order, g.order[j])
		rest.level[k] = gr.level[j]
		for _, p := range rest.parts {
			for side := range p.at {
				if p.at[side] == j {
					p.at[side] = k
				}
			}
		}
		out, in := &Part{Kind: Reference, at: [2]joint{j, none}}, &Part{Kind: Reference, at: [2]joint{k, none}}
		out.twin, in.twin = in, out
		gr.parts = append(gr.parts, out)
		rest.parts = append(rest.parts, in)
	}
	for _, x := range []*group{gr, rest} {
		x.orient(s)
		x.reach(s)
	}
	return rest
}

// slice finds the joints at which a group can be cut from top to bottom so that both halves are
// shorter, and the parts to the right of them: as few as there can be, about in the middle.
func (gr *group) slice(s *section, most int) ([]joint, map[*Part]bool) {
	var best []joint
	var half map[*Part]bool
	bad := math.Inf(1)
	for c := 2; c < gr.depth-1; c++ {
		right := make(map[*Part]bool)
		for _, p := range gr.parts {
			right[p] = p.at[0] != none && gr.column[p.at[0]] >= c || p.at[0] == none && gr.column[p.at[1]] > c
		}
		at := gr.between(s, right)
		if len(at) == 0 || len(at) > mostSliced || !gr.real(right) {
			continue
		}
		longer := max(c+1, gr.depth-c+1)
		if b := float64(len(at)) + float64(longer)/float64(gr.depth); b < bad {
			best, half, bad = at, right, b
		}
	}
	return best, half
}

// between are the joints but for the rails at which some parts of a group meet the others. A part that
// meets them alone, on all of its sides, changes over.
func (gr *group) between(s *section, right map[*Part]bool) []joint {
	inner := func(j joint) bool { return j != none && j != s.left && j != s.right }
	for range gr.parts {
		moved := false
		for _, p := range gr.parts {
			alone, met := true, false
			for _, j := range p.at {
				for _, q := range gr.linked[j] {
					if inner(j) && q != p {
						met = true
						alone = alone && right[q] != right[p]
					}
				}
			}
			if alone && met && !right[p] { // only ever to the right: so it ends
				right[p], moved = true, true
			}
		}
		if !moved {
			break
		}
	}
	var at []joint
	for _, j := range gr.sorted() {
		in := func(side bool) bool {
			return slices.ContainsFunc(gr.linked[j], func(p *Part) bool { return right[p] == side })
		}
		if inner(j) && in(true) && in(false) {
			at = append(at, j)
		}
	}
	return at
}

// waist finds the joint that parts a group of many symbols side by side into pieces of about the
// same length, as few as there can be, and the parts to the right of it, which reach as far as any of
// the group does.
func (gr *group) waist(s *section, most int) ([]joint, map[*Part]bool) {
	further := max((gr.depth-2+most-3)/(most-2)-1, 1) // pieces besides the first; each cut takes a column of both
	var best []joint
	least := gr.depth
	var half map[*Part]bool
	for _, j := range gr.sorted() {
		c := gr.column[j]
		longer := max(c+1, (gr.depth-c+further)/further)
		if j == s.left || j == s.right || longer >= least || gr.depth-c+1 >= gr.depth {
			continue
		}
		right := gr.behind(s, j)
		if len(right) == 0 || !gr.deep(right) || !gr.real(right) {
			continue
		}
		best, least, half = []joint{j}, longer, right
	}
	return best, half
}

// deep tells whether some parts of a group reach as far to the right as any of it.
func (gr *group) deep(parts map[*Part]bool) bool {
	for p := range parts {
		if p.at[0] != none && gr.column[p.at[0]]+1 >= gr.depth {
			return true
		}
	}
	return false
}

// real tells whether a group has something other than references both among some of its parts and
// outside of them.
func (gr *group) real(parts map[*Part]bool) bool {
	var in, out bool
	for _, p := range gr.parts {
		if p.Kind != Reference {
			in, out = in || parts[p], out || !parts[p]
		}
	}
	return in && out
}

// behind gives the parts that hang together with what leaves a joint to the right, without
// it and the rails; none if that reaches what comes to it from the left.
func (gr *group) behind(s *section, at joint) map[*Part]bool {
	search := joined.Search[*Part, joint]{
		Beside: func(p *Part, lead func(*Part, joint, int)) {
			for _, j := range p.at {
				if j == none || j == at || j == s.left || j == s.right {
					continue
				}
				for _, q := range gr.linked[j] {
					lead(q, j, 1)
				}
			}
		},
	}
	for _, p := range gr.linked[at] {
		if p.at[0] == at {
			search.From(p, 0)
		}
	}
	right := make(map[*Part]bool)
	for _, p := range gr.parts {
		if _, reached := search.Long(p); !reached {
			continue
		}
		if p.at[1] == at {
			return nil
		}
		right[p] = true
	}
	return right
}
