package drawing

import (
	"cmp"
	"math"
	"slices"
)

// section is what is drawn between one pair of rails, the sources that feed them first.
type section struct {
	left, right joint // none for what no source reaches
	groups      []*group
	columns     int
}

// group is a piece of a section that hangs together without its rails.
type group struct {
	parts   []*Part
	head    bool // how a source feeds the rails
	order   float64
	level   map[joint]float64 // how hot a joint is, 1 to 0
	foreign map[joint]joint   // a conductor of its own: the rail of another section that it is
	rank    map[joint]int     // joints from left to right
	rows    [][]*Part         // ways as they were found
	lines   []line            // as they are drawn
	column  map[joint]int
	track   map[joint]int
	depth   int
	linked  map[joint][]*Part
}

// rail walks from one side of a source through fuses, pins and block terminals to where
// the circuit branches. It gives the joint there and the parts on the way.
func (g *graph) rail(source int, side int) (joint, []*Part) {
	at, from := g.parts[source].at[side], source
	var way []*Part
	for at != none && len(g.order[at]) == 2 {
		next := g.order[at][0]
		if next>>1 == from {
			next = g.order[at][1]
		}
		p := g.parts[next>>1]
		if next>>1 == from || p.Kind != Link && p.Kind != Pin && p.Kind != Post && p.Kind != Bridge {
			break
		}
		to := p.at[1-next&1]
		if to == none || slices.Contains(p.at[:], g.parts[source].at[1-side]) {
			break
		}
		way = append(way, p)
		at, from = to, next>>1
	}
	return at, way
}

// sections finds the rails and what hangs between them.
func (g *graph) sections() []*section {
	var all []*section
	rails := make(map[joint]bool)
	inHead := make(map[*Part]bool)
	level := make(map[joint][]float64)
	for i, p := range g.parts {
		if p.Kind != Source || p.at[0] == none || p.at[1] == none {
			continue
		}
		l, hot := g.rail(i, 0)
		r, ret := g.rail(i, 1)
		if l == r || slices.ContainsFunc(hot, func(x *Part) bool { return inHead[x] || slices.Contains(ret, x) }) ||
			slices.ContainsFunc(ret, func(x *Part) bool { return inHead[x] }) {
			l, r, hot, ret = p.at[0], p.at[1], nil, nil
			if l == r {
				continue
			}
		}
		head := &group{head: true}
		for _, x := range slices.Backward(hot) {
			head.parts = append(head.parts, x)
		}
		head.parts = append(head.parts, p)
		head.parts = append(head.parts, ret...)
		for _, x := range head.parts {
			inHead[x] = true
		}
		rails[l], rails[r] = true, true
		level[l] = append(level[l], 1)
		level[r] = append(level[r], 0)
		var s *section
		for _, x := range all {
			if x.left == l && x.right == r || x.left == r && x.right == l {
				s = x
			}
		}
		if s == nil {
			s = &section{left: l, right: r}
			all = append(all, s)
		}
		s.groups = append(s.groups, head)
	}
	heat := make(map[joint]float64)
	for j, v := range level {
		sum := 0.0
		for _, x := range v {
			sum += x
		}
		heat[j] = sum / float64(len(v))
	}
	// What hangs together without the rails.
	owner := make([]int, len(g.number))
	for j := range owner {
		owner[j] = j
	}
	var find func(j int) int
	find = func(j int) int {
		if owner[j] != j {
			owner[j] = find(owner[j])
		}
		return owner[j]
	}
	outlets := g.outletsOf(rails, inHead)
	free := func(j joint) bool { return j != none && !rails[j] && outlets[j] == nil }
	for _, p := range g.parts {
		if !inHead[p] && free(p.at[0]) && free(p.at[1]) {
			owner[find(int(p.at[0]))] = find(int(p.at[1]))
		}
	}
	groups := make(map[int]*group)
	var list []*group
	put := func(p *Part) {
		key := -1
		for _, j := range p.at {
			if free(j) {
				key = find(int(j))
			}
		}
		gr := groups[key]
		if key < 0 || gr == nil {
			gr = &group{}
			list = append(list, gr)
			if key >= 0 {
				groups[key] = gr
			}
		}
		gr.parts = append(gr.parts, p)
	}
	for _, p := range g.parts {
		if !inHead[p] && (p.Kind != Post || outlets[p.at[1]] != p) {
			put(p)
		}
	}
	for _, gr := range list {
		gr.lead(g, outlets)
	}
	var loose *section
	for _, gr := range list {
		s := g.home(gr, all)
		if s == nil {
			if loose == nil {
				loose = &section{left: none, right: none}
			}
			s = loose
		}
		s.groups = append(s.groups, gr)
	}
	if loose != nil {
		all = append(all, loose)
	}
	if len(all) == 0 && len(g.grounds)+len(g.taps) > 0 {
		all = append(all, &section{left: none, right: none})
	}
	for _, list := range [][]*Part{g.grounds, g.taps} {
		for _, p := range list {
			g.attach(p, all, rails, find, groups, outlets)
		}
	}
	for _, s := range all {
		for _, gr := range s.groups {
			gr.order = g.place(gr)
			gr.refer(g, s, rails)
			gr.heat(s, heat)
		}
		slices.SortStableFunc(s.groups, func(a, b *group) int {
			if a.head != b.head {
				return cmp.Compare(b2i(b.head), b2i(a.head))
			}
			return cmp.Compare(a.order, b.order)
		})
	}
	if len(g.c.Drawn()) > 0 {
		slices.SortStableFunc(all, func(a, b *section) int { return cmp.Compare(a.first(), b.first()) })
	}
	return all
}

// first is where the first group of a section stands.
func (s *section) first() float64 {
	least := math.Inf(1)
	for _, gr := range s.groups {
		least = min(least, gr.order)
	}
	return least
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// home gives the section of a group: one whose rails it touches both, else its left one,
// else its right one, else none.
func (g *graph) home(gr *group, all []*section) *section {
	var best *section
	most := 0
	for _, s := range all {
		score := 0
		for _, p := range gr.parts {
			for _, j := range p.at {
				switch j {
				case s.left:
					score |= 2
				case s.right:
					score |= 1
				}
			}
		}
		if score > most {
			best, most = s, score
		}
	}
	return best
}

// outletsOf gives the outlets that hang on a rail, by way of others or straight.
func (g *graph) outletsOf(rails map[joint]bool, inHead map[*Part]bool) map[joint]*Part {
	on := make(map[joint]*Part)
	for found := true; found; {
		found = false
		for j, p := range g.outlets {
			if on[j] == nil && !inHead[p] && !rails[j] && (rails[p.at[0]] || on[p.at[0]] != nil) {
				on[j], found = p, true
			}
		}
	}
	return on
}

// lead gives a group the outlets that lead to it, each in its own way from the rail.
func (gr *group) lead(g *graph, outlets map[joint]*Part) {
	own := make(map[joint]joint)
	for i := 0; i < len(gr.parts); i++ { // what is added may hang on another outlet
		p := gr.parts[i]
		for side, j := range p.at {
			o := outlets[j]
			if j == none || o == nil {
				continue
			}
			if _, ok := own[j]; !ok {
				own[j] = joint(len(g.number))
				g.number = append(g.number, g.number[j])
				g.order = append(g.order, nil)
				again := *o
				again.at[1] = own[j]
				gr.parts = append(gr.parts, &again)
			}
			p.at[side] = own[j]
		}
	}
}

// attach adds a part with one side to the group that its joint is in, or to the head of a
// section where it is a rail's.
func (g *graph) attach(p *Part, all []*section, rails map[joint]bool, find func(int) int,
	groups map[int]*group, outlets map[joint]*Part) {
	j := p.at[0]
	if outlets[j] != nil {
		gr := &group{parts: []*Part{p}}
		gr.lead(g, outlets)
		s := g.home(gr, all) // an outlet hangs on a rail
		s.groups = append(s.groups, gr)
		return
	}
	for _, s := range all {
		for _, gr := range s.groups {
			if gr.head && (s.left == j || s.right == j ||
				slices.ContainsFunc(gr.parts, func(x *Part) bool { return slices.Contains(x.at[:], j) })) {
				gr.parts = append(gr.parts, p)
				return
			}
		}
	}
	if gr := groups[find(int(j))]; gr != nil && !rails[j] {
		gr.parts = append(gr.parts, p)
		return
	}

	gr := &group{parts: []*Part{p}} // nothing else is on its conductor
	groups[find(int(j))] = gr
	for _, s := range all {
		if s.left == none {
			s.groups = append(s.groups, gr)
			return
		}
	}
	if len(all) > 0 {
		all[len(all)-1].groups = append(all[len(all)-1].groups, gr)
	}
}

// place is where a group stands among the others: by the first of its rungs where the file
// draws them, else by the wire numbers that are its own.
func (g *graph) place(gr *group) float64 {
	first := g.rungOf(gr.parts)
	if first < len(g.c.Drawn()) {
		return float64(first)
	}
	return float64(len(g.c.Drawn())) + g.numbered(gr)
}

// numbered is where a group stands by the wire numbers that are its own.
func (g *graph) numbered(gr *group) float64 {
	order := math.Inf(1)
	for _, p := range gr.parts {
		for _, j := range p.at {
			if j != none && len(g.order[j]) > 0 {
				order = min(order, float64(g.number[j]))
			}
		}
	}
	own := math.Inf(1)
	for _, p := range gr.parts {
		for side, j := range p.at {
			other := p.at[1-side]
			if j != none && other != none && g.number[j] > g.number[other] {
				own = min(own, float64(g.number[j]))
			}
		}
	}
	if !math.IsInf(own, 1) {
		return own
	}
	return order
}

// refer gives a group a conductor of its own for a rail that is not its section's, and for
// the second side of a part with both sides on one conductor; each ends in a reference.
func (gr *group) refer(g *graph, s *section, rails map[joint]bool) {
	alias := make(map[joint]joint)
	gr.foreign = make(map[joint]joint)
	fresh := func(j joint) joint {
		k := joint(len(g.number))
		g.number = append(g.number, g.number[j])
		g.order = append(g.order, nil)
		gr.parts = append(gr.parts, &Part{Kind: Reference, at: [2]joint{k, none}})
		return k
	}
	for _, p := range slices.Clone(gr.parts) {
		if p.at[0] == p.at[1] {
			p.at[1] = fresh(p.at[0])
		}
		for side, j := range p.at {
			if j == none || j == s.left || j == s.right || !rails[j] {
				continue
			}
			if _, ok := alias[j]; !ok {
				alias[j] = fresh(j)
				gr.foreign[alias[j]] = j
			}
			p.at[side] = alias[j]
		}
	}
}

// heat tells how hot each joint of a group is, from 1 on the left rail to 0 on the right,
// as if every contact were closed. It orders what lies left and right.
func (gr *group) heat(s *section, rail map[joint]float64) {
	gr.level = make(map[joint]float64)
	if gr.head {
		n := 0.0
		for _, p := range gr.parts {
			if p.at[0] != none && p.at[1] != none {
				n++
			}
		}
		at, done := s.left, map[*Part]bool{}
		gr.level[at] = 1
		for k := 1.0; k <= n; k++ {
			for _, p := range gr.parts {
				if done[p] || p.at[0] == none || p.at[1] == none || !slices.Contains(p.at[:], at) {
					continue
				}
				done[p] = true
				at = p.at[0] + p.at[1] - at
				gr.level[at] = 1 - k/n
				break
			}
		}
		return
	}
	var joints []joint
	index := make(map[joint]int)
	var fixed []float64
	for _, p := range gr.parts {
		for _, j := range p.at {
			if j == none {
				continue
			}
			if _, ok := index[j]; ok {
				continue
			}
			index[j] = len(joints)
			joints = append(joints, j)
			v := math.NaN()
			switch j {
			case s.left:
				v = 1
			case s.right:
				v = 0
			}
			fixed = append(fixed, v)
		}
	}
	for j, other := range gr.foreign {
		fixed[index[j]] = rail[other]
	}
	if !slices.ContainsFunc(fixed, func(v float64) bool { return v == 1 }) && len(fixed) > 0 {
		for i, v := range fixed {
			if math.IsNaN(v) {
				fixed[i] = 1
				break
			}
		}
	}
	for i, v := range solve(gr.parts, index, fixed) {
		gr.level[joints[i]] = v
	}
}

// loadShare is how well a load conducts, measured by a contact: so that what comes before a
// load is hot, and what comes after it is not.
const loadShare = 0.01

// closedShare is how well a normally closed contact conducts, measured by an open one: so
// that between two ways to a conductor the one that is worked decides what is hot.
const closedShare = 0.3

// solve gives the levels of joints that parts join as resistors, by elimination.
func solve(parts []*Part, index map[joint]int, fixed []float64) []float64 {
	n := len(fixed)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
	}
	for _, p := range parts {
		if p.at[0] == none || p.at[1] == none || p.at[0] == p.at[1] {
			continue
		}
		x, y := index[p.at[0]], index[p.at[1]]
		g := 1.0
		switch {
		case loadLike(p):
			g = loadShare
		case p.Kind == Contact && p.Device.ClosedAtRest(p.Index):
			g = closedShare
		}
		a[x][x] += g
		a[y][y] += g
		a[x][y] -= g
		a[y][x] -= g
	}
	for i, v := range fixed {
		if !math.IsNaN(v) {
			clear(a[i])
			a[i][i], a[i][n] = 1, v
		}
		if a[i][i] == 0 {
			a[i][i] = 1
		}
	}
	for k := range n {
		if math.Abs(a[k][k]) < 1e-12 {
			a[k][k] = 1 // a piece that nothing fixes
		}
		for i := k + 1; i < n; i++ {
			f := a[i][k] / a[k][k]
			if f == 0 {
				continue
			}
			for m := k; m <= n; m++ {
				a[i][m] -= f * a[k][m]
			}
		}
	}
	x := make([]float64, n)
	for k := n - 1; k >= 0; k-- {
		v := a[k][n]
		for m := k + 1; m < n; m++ {
			v -= a[k][m] * x[m]
		}
		x[k] = v / a[k][k]
	}
	return x
}
