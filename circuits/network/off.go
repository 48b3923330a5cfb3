package network

import (
	"math"
	"slices"
)

// OpenOhms is the resistance at and above which a handheld ohmmeter shows OL.
// Source: from memory, handheld meters' highest range of 40 to 60 megohm.
const OpenOhms = 40e6

// Off is the solution of a net with the power locked off: what an ohmmeter sees.
type Off struct {
	open  *resistors
	short *resistors // with unknown outputs joined; nil where there are none
}

// Off solves the net with the power off. Only the conductors of the state matter.
func (n *Net) Off(st State, o *Overlay) *Off {
	unknown := false
	for _, s := range n.sources[1:] {
		unknown = unknown || s.Unknown
	}
	f := &Off{open: n.resistors(st, o, false)}
	if unknown {
		f.short = n.resistors(st, o, true)
	}
	return f
}

// Ohms gives what an ohmmeter reads between two nodes in ohms, +Inf for OL, and
// whether that is firm. It is not where an electronic supply's output has a part in
// it.
func (f *Off) Ohms(a, b Node) (ohms float64, firm bool) {
	ohms = f.open.between(int32(a), int32(b))
	if ohms >= OpenOhms {
		ohms = math.Inf(1)
	}
	if f.short == nil {
		return ohms, true
	}
	other := f.short.between(int32(a), int32(b))
	return ohms, ohms == other || math.Abs(ohms-other) < 1e-6*(1+math.Abs(ohms))
}

func (n *Net) resistors(st State, o *Overlay, joinUnknown bool) *resistors {
	s := n.joined(st.Closed, o)
	if joinUnknown {
		for i, p := range n.sources {
			if i > 0 && p.Unknown && !slices.Contains(o.OpenSources, Source(i)) {
				s.unite(int32(p.Hot), int32(p.Return))
			}
		}
	}
	r := newResistors(s)
	for i, p := range n.sources {
		if i > 0 && !p.Unknown && !slices.Contains(o.OpenSources, Source(i)) {
			r.add(int32(p.Hot), int32(p.Return), p.WindingOhms)
		}
	}
	for i, p := range n.loads {
		if i > 0 && !slices.Contains(o.OpenLoads, Load(i)) {
			r.add(int32(p.A), int32(p.B), p.Ohms)
		}
	}
	r.reduce()
	return r
}

// resistors is a network of resistances that answers the resistance between any two
// of its nodes. Most of a panel with the power off are trees: coils that hang on the
// grounded side by one end. They are stripped leaf by leaf, each leaf remembering
// what it hung on; what is left, the core, is small, and is inverted once.
type resistors struct {
	joined *sets
	edges  map[[2]int32]float64 // siemens between two supernodes, least first
	comp   *sets                // over supernodes
	up     map[int32]hung
	core   map[int32]int // supernode: row of inv
	ground map[int32]bool
	inv    [][]float64
}

type hung struct {
	on   int32
	ohms float64
}

func newResistors(s *sets) *resistors {
	return &resistors{joined: s, edges: make(map[[2]int32]float64), comp: newSets(len(s.parent))}
}

func (r *resistors) add(a, b int32, ohms float64) {
	a, b = r.joined.find(a), r.joined.find(b)
	if a == b || math.IsInf(ohms, 1) {
		return
	}
	if a > b {
		a, b = b, a
	}
	r.edges[[2]int32{a, b}] += 1 / ohms
	r.comp.unite(a, b)
}

// reduce strips the leaves and inverts the core.
func (r *resistors) reduce() {
	next := make(map[int32]map[int32]float64)
	link := func(a, b int32, g float64) {
		if next[a] == nil {
			next[a] = make(map[int32]float64)
		}
		next[a][b] = g
	}
	for e, g := range r.edges {
		link(e[0], e[1], g)
		link(e[1], e[0], g)
	}
	var leaves []int32
	for x, m := range next {
		if len(m) == 1 {
			leaves = append(leaves, x)
		}
	}
	slices.Sort(leaves)
	r.up = make(map[int32]hung)
	for len(leaves) > 0 {
		x := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		if len(next[x]) != 1 {
			continue // the last of its tree
		}
		for y, g := range next[x] {
			r.up[x] = hung{y, 1 / g}
			delete(next[y], x)
			if len(next[y]) == 1 {
				leaves = append(leaves, y)
			}
		}
		delete(next, x)
	}
	// Rows of the core; one node of each component is its ground.
	r.core = make(map[int32]int)
	var nodes []int32
	for x := range next {
		if len(next[x]) > 0 {
			nodes = append(nodes, x)
		}
	}
	slices.Sort(nodes)
	grounded := make(map[int32]bool)
	r.ground = make(map[int32]bool)
	for _, x := range nodes {
		if c := r.comp.find(x); !grounded[c] {
			grounded[c] = true
			r.ground[x] = true
			continue
		}
		r.core[x] = len(r.core)
	}
	n := len(r.core)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, 2*n)
		m[i][n+i] = 1
	}
	for _, x := range nodes {
		i, ok := r.core[x]
		if !ok {
			continue
		}
		for y, g := range next[x] {
			m[i][i] += g
			if j, ok := r.core[y]; ok {
				m[i][j] -= g
			}
		}
	}
	invert(m)
	r.inv = m
	for i := range r.inv {
		r.inv[i] = r.inv[i][n:]
	}
}

// between gives the resistance between two nodes in ohms, +Inf where nothing joins
// them.
func (r *resistors) between(a, b int32) float64 {
	a, b = r.joined.find(a), r.joined.find(b)
	if a == b {
		return 0
	}
	if r.comp.find(a) != r.comp.find(b) {
		return math.Inf(1)
	}
	// Climb from both until the paths meet or both stand in the core.
	from := map[int32]float64{a: 0}
	var sum float64
	for {
		h, ok := r.up[a]
		if !ok {
			break
		}
		a = h.on
		sum += h.ohms
		from[a] = sum
	}
	var way float64
	for {
		if d, ok := from[b]; ok {
			return way + d
		}
		h, ok := r.up[b]
		if !ok {
			break
		}
		b = h.on
		way += h.ohms
	}
	return way + sum + r.within(a, b)
}

// within gives the resistance between two nodes of the core.
func (r *resistors) within(a, b int32) float64 {
	i, oki := r.core[a]
	j, okj := r.core[b]
	switch {
	case oki && okj:
		return r.inv[i][i] + r.inv[j][j] - 2*r.inv[i][j]
	case oki:
		return r.inv[i][i]
	case okj:
		return r.inv[j][j]
	}
	return 0
}

// invert turns the right half of an n by 2n matrix, given as the identity, into the
// inverse of its left half, by Gauss-Jordan elimination with partial pivoting.
func invert(m [][]float64) {
	n := len(m)
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		m[c], m[p] = m[p], m[c]
		f := 1 / m[c][c]
		for k := range m[c] {
			m[c][k] *= f
		}
		for r := range m {
			if r == c || m[r][c] == 0 {
				continue
			}
			f := m[r][c]
			for k := range m[r] {
				m[r][k] -= f * m[c][k]
			}
		}
	}
}
