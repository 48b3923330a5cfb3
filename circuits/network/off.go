package network

import (
	"math"
	"slices"

	"deadrung/circuits/joined"
)

// OpenOhms is the resistance at and above which a handheld ohmmeter shows OL.
// Source: from memory, handheld meters' highest range of 40 to 60 megohm.
const OpenOhms = 40e6

// joinedOhms stands for an unknown output that is taken as joined: far below what a meter
// shows, and not so far below a coil that digits are lost.
const joinedOhms = 1e-3

// Off is the solution of a net with the power locked off: what an ohmmeter sees.
type Off struct {
	open  *resistors
	short *resistors // with unknown outputs joined; nil where there are none
}

// Off solves the net with the power off. Only the conductors of the state matter.
func (n *Net) Off(st State, o *Overlay) *Off { return n.offWith(st, o, nil) }

// offWith is Off with nodes that are kept in the core as the sides of sources are.
func (n *Net) offWith(st State, o *Overlay, rails []Node) *Off {
	unknown := false
	for _, s := range n.sources[1:] {
		unknown = unknown || s.Unknown
	}
	f := &Off{open: n.resistors(st, o, rails, false)}
	if unknown {
		f.short = n.resistors(st, o, rails, true)
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
	return ohms, sameOhms(ohms, f.short.between(int32(a), int32(b)))
}

// Least gives the ohms between two nodes with every electronic output taken as joined: no output
// makes them less.
func (f *Off) Least(a, b Node) float64 {
	if f.short == nil {
		return f.open.between(int32(a), int32(b))
	}
	return f.short.between(int32(a), int32(b))
}

// sameOhms tells whether two resistances differ by less than a meter shows.
func sameOhms(x, y float64) bool { return x == y || math.Abs(x-y) < shows+showsShare*x }

// SameOhms tells whether a meter shows two resistances, in ohms, as one.
func SameOhms(x, y float64) bool { return sameOhms(min(x, y), max(x, y)) }

// Super gives the least node that conductors join a node to.
func (f *Off) Super(n Node) Node { return Node(f.open.super[n]) }

// Differing gives the nodes that stand otherwise in another solution of the same net:
// between any two others the resistance is the same in both. It reports false where
// that cannot be told so, and any resistance may differ.
func (f *Off) Differing(other *Off) (nodes []Node, ok bool) {
	nodes, ok = f.open.differing(other.open)
	if f.short == nil || !ok {
		return nodes, ok
	}
	more, ok := f.short.differing(other.short)
	nodes = append(nodes, more...)
	slices.Sort(nodes)
	return slices.Compact(nodes), ok
}

func (n *Net) resistors(st State, o *Overlay, rails []Node, joinUnknown bool) *resistors {
	r := newResistors(n.joined(st.Closed, o), int(n.nodes)+1)
	for _, x := range rails {
		r.keep(int32(x))
	}
	for i, p := range n.sources[1:] {
		r.keep(int32(p.Hot))
		r.keep(int32(p.Return))
		switch {
		case slices.Contains(o.OpenSources, Source(i+1)):
		case !p.Unknown:
			r.add(int32(p.Hot), int32(p.Return), p.WindingOhms)
		case joinUnknown:
			r.add(int32(p.Hot), int32(p.Return), joinedOhms)
			for _, in := range p.Input {
				if in != 0 {
					r.add(int32(p.Hot), int32(in), joinedOhms)
				}
			}
		}
	}
	for i := 1; i < len(n.loads); i++ {
		if p := o.Parts(n, Load(i)); !slices.Contains(o.OpenLoads, Load(i)) {
			r.add(int32(p.A), int32(p.B), p.Ohms)
		}
	}
	for _, x := range o.resistances(n, st.Closed) {
		r.add(int32(x.A), int32(x.B), x.Ohms)
	}
	r.reduce()
	return r
}

// resistors is a network of resistances that answers the resistance between any two
// of its nodes. Most of a panel with the power off are trees: coils that hang on the
// grounded side by one end. They are stripped leaf by leaf, each leaf remembering
// what it hung on; what is left, the core, is small, and is inverted once. The sides
// of sources are always left in the core, so that trees hang on the same nodes
// whatever a fault changes elsewhere.
type resistors struct {
	nodes int     // of the net, and one more; lifted ones come behind
	super []int32 // by node
	edges []edge
	comp  *joined.Sets // over supernodes
	kept  []bool       // by supernode
	up    []hung       // by supernode: what it hung on; on is zero for none
	row   []int32
	core  []int32     // the supernodes of the core, in order
	inv   [][]float64 // by row, against the ground of each component
}

type edge struct {
	a, b int32 // supernodes, the lesser first
	g    float64
}

type hung struct {
	on   int32
	ohms float64
}

func newResistors(s *joined.Sets, nodes int) *resistors {
	n := s.Len()
	r := &resistors{nodes: nodes, super: make([]int32, n), comp: joined.New(n), kept: make([]bool, n),
		up: make([]hung, n), row: make([]int32, n)}
	for i := range r.super {
		r.super[i] = s.Of(int32(i))
	}
	return r
}

func (r *resistors) keep(a int32) { r.kept[r.super[a]] = true }

func (r *resistors) add(a, b int32, ohms float64) {
	a, b = r.super[a], r.super[b]
	if a == b || math.IsInf(ohms, 1) {
		return
	}
	r.edges = append(r.edges, edge{min(a, b), max(a, b), 1 / ohms})
	r.comp.Join(a, b)
}

// reduce strips the leaves and inverts the core.
func (r *resistors) reduce() {
	r.joinParallel()
	degree, gone := r.strip()
	r.invertCore(degree, gone)
}

// joinParallel makes parallel resistances one edge.
func (r *resistors) joinParallel() {
	slices.SortFunc(r.edges, func(x, y edge) int {
		if x.a != y.a {
			return int(x.a - y.a)
		}
		return int(x.b - y.b)
	})
	n := 0
	for i, e := range r.edges {
		if i > 0 && e.a == r.edges[n-1].a && e.b == r.edges[n-1].b {
			r.edges[n-1].g += e.g
			continue
		}
		r.edges[n] = e
		n++
	}
	r.edges = r.edges[:n]
}

// strip hangs each leaf on what it is tied to, until only the core is left. It gives how
// many edges each supernode has left, and which edges are gone.
func (r *resistors) strip() (degree []int32, gone []bool) {
	// Beside their number, the exclusive or of a supernode's edges, which is the last
	// one's index when one is left.
	degree = make([]int32, len(r.super))
	last := make([]int32, len(r.super))
	for i, e := range r.edges {
		for _, x := range [2]int32{e.a, e.b} {
			degree[x]++
			last[x] ^= int32(i)
		}
	}
	var leaves []int32
	for x, d := range degree {
		if d == 1 && !r.kept[x] {
			leaves = append(leaves, int32(x))
		}
	}
	gone = make([]bool, len(r.edges))
	for len(leaves) > 0 {
		x := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		if degree[x] != 1 {
			continue // the last of its tree
		}
		i := last[x]
		e := r.edges[i]
		y := e.a + e.b - x
		gone[i] = true
		r.up[x] = hung{y, 1 / e.g}
		degree[x]--
		degree[y]--
		last[y] ^= i
		if degree[y] == 1 && !r.kept[y] {
			leaves = append(leaves, y)
		}
	}
	return degree, gone
}

// invertCore gives each supernode of the core its row, but for one of each component, which
// is its ground, and inverts their conductances.
func (r *resistors) invertCore(degree []int32, gone []bool) {
	grounded := make(map[int32]bool)
	for x := range degree {
		if degree[x] == 0 {
			continue
		}
		r.core = append(r.core, int32(x))
		r.row[x] = -1
		if c := r.comp.Of(int32(x)); !grounded[c] {
			grounded[c] = true
			continue
		}
		r.row[x] = int32(len(r.inv))
		r.inv = append(r.inv, nil)
	}
	size := len(r.inv)
	for i := range r.inv {
		r.inv[i] = make([]float64, 2*size)
		r.inv[i][size+i] = 1
	}
	for i, e := range r.edges {
		if gone[i] {
			continue
		}
		a, b := r.row[e.a], r.row[e.b]
		if a >= 0 {
			r.inv[a][a] += e.g
		}
		if b >= 0 {
			r.inv[b][b] += e.g
		}
		if a >= 0 && b >= 0 {
			r.inv[a][b] -= e.g
			r.inv[b][a] -= e.g
		}
	}
	invert(r.inv)
	for i := range r.inv {
		r.inv[i] = r.inv[i][size:]
	}
}

// between gives the resistance between two nodes in ohms, +Inf where nothing joins
// them.
func (r *resistors) between(a, b int32) float64 {
	a, b = r.super[a], r.super[b]
	if a == b {
		return 0
	}
	if r.comp.Read(a) != r.comp.Read(b) {
		return math.Inf(1)
	}
	// Climb from both until the paths meet or both stand in the core.
	var sum float64
	for x := a; ; x = r.up[x].on {
		if x == b {
			return sum
		}
		if r.up[x].on == 0 {
			break
		}
		sum += r.up[x].ohms
	}
	var way float64
	for y := b; ; y = r.up[y].on {
		var d float64
		for x := a; ; x = r.up[x].on {
			if x == y {
				return way + d
			}
			if r.up[x].on == 0 {
				break
			}
			d += r.up[x].ohms
		}
		if r.up[y].on == 0 {
			return way + sum + r.within(r.top(a), y)
		}
		way += r.up[y].ohms
	}
}

// top is the end of a supernode's climb.
func (r *resistors) top(x int32) int32 {
	for r.up[x].on != 0 {
		x = r.up[x].on
	}
	return x
}

// within gives the resistance between two nodes of the core.
func (r *resistors) within(a, b int32) float64 {
	i, j := r.row[a], r.row[b]
	switch {
	case i >= 0 && j >= 0:
		return r.inv[i][i] + r.inv[j][j] - 2*r.inv[i][j]
	case i >= 0:
		return r.inv[i][i]
	case j >= 0:
		return r.inv[j][j]
	}
	return 0
}

// differing lists the nodes whose supernode, or whose way to the core, is another
// than in other. It reports false where the cores differ.
func (r *resistors) differing(other *resistors) ([]Node, bool) {
	if !slices.Equal(r.core, other.core) {
		return nil, false
	}
	for _, x := range r.core {
		if r.row[x] != other.row[x] {
			return nil, false // what hangs together is other
		}
	}
	for i := range r.inv {
		for k := range r.inv {
			if math.Abs(r.inv[i][k]-other.inv[i][k]) > 1e-9*math.Abs(r.inv[i][k]) {
				return nil, false
			}
		}
	}
	n := len(r.super)
	differs := make([]int8, n) // by supernode: 0 not known, 1 the same, 2 another way
	way := func(x int32) bool {
		var path []int32
		state := int8(1)
		for y := x; ; {
			if differs[y] != 0 {
				state = differs[y]
				break
			}
			path = append(path, y)
			if r.up[y] != other.up[y] {
				state = 2
				break
			}
			if r.up[y].on == 0 {
				break
			}
			y = r.up[y].on
		}
		for _, y := range path {
			differs[y] = state
		}
		return state == 2
	}
	var nodes []Node
	for i := 1; i < min(r.nodes, other.nodes); i++ {
		if x := r.super[i]; x != other.super[i] || way(x) || r.comp.Read(x) != other.comp.Read(x) {
			nodes = append(nodes, Node(i))
		}
	}
	return nodes, true
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
