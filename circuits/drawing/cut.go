package drawing

import (
	"slices"

	"deadrung/circuits/joined"
)

// mostColumns is the most symbols side by side that a sheet has room for.
const mostColumns = 11

// cut parts groups that are too long for a sheet at a conductor on their way. It goes on
// on a line of its own, with references at both ends.
func (s *section) cut(g *graph) {
	for i := 0; i < len(s.groups); i++ {
		gr := s.groups[i]
		if gr.head || gr.whole || gr.depth <= mostColumns {
			continue
		}
		at, right := gr.waist(s)
		if at == none {
			continue
		}
		k := joint(len(g.number))
		g.number = append(g.number, g.number[at])
		g.order = append(g.order, g.order[at])
		rest := &group{order: gr.order, level: make(map[joint]float64)}
		for j, v := range gr.level {
			rest.level[j] = v
		}
		rest.level[k] = gr.level[at]
		var stay []*Part
		for _, p := range gr.parts {
			if !right[p] {
				stay = append(stay, p)
				continue
			}
			for side := range p.at {
				if p.at[side] == at {
					p.at[side] = k
				}
			}
			rest.parts = append(rest.parts, p)
		}
		gr.parts = append(stay, &Part{Kind: Reference, at: [2]joint{at, none}})
		rest.parts = append(rest.parts, &Part{Kind: Reference, at: [2]joint{k, none}})
		before := gr.depth
		for _, x := range []*group{gr, rest} {
			x.orient(s)
			x.whole = x.reach(s) >= before
		}
		s.groups = slices.Insert(s.groups, i+1, rest)
		i-- // the first half may still be too long
	}
}

// waist finds the joint that parts a group into two halves of about the same length, and
// the parts of its right half.
func (gr *group) waist(s *section) (joint, map[*Part]bool) {
	best, least := none, gr.depth
	var half map[*Part]bool
	for _, j := range gr.sorted() {
		c := gr.column[j]
		longer := max(c+1, gr.depth-c+1)
		if j == s.left || j == s.right || longer >= least {
			continue
		}
		right := gr.behind(s, j)
		if len(right) == 0 || len(right) == len(gr.parts) {
			continue
		}
		best, least, half = j, longer, right
	}
	return best, half
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
