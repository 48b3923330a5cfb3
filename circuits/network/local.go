package network

import (
	"maps"
	"math/cmplx"
	"slices"
)

// Base is a solved state of a net against which small changes are worked out.
type Base struct {
	net     *Net
	closed  []bool
	live    *Live
	start   []int32 // by supernode, and one more: where its nodes begin in members
	members []Node
	fixed   []bool // by supernode: a live source holds it
	// loose is set where only loads tie two sources together: opening one could part
	// islands that keep their voltages.
	loose bool
}

// NewBase prepares a solved state. The state's slice is kept: it must not change.
func (n *Net) NewBase(st State, live *Live) *Base {
	n.index()
	b := &Base{net: n, closed: st.Closed, live: live}
	size := int(n.nodes) + 1
	b.start = make([]int32, size+1)
	for _, s := range live.super {
		b.start[s+1]++
	}
	for i := range size {
		b.start[i+1] += b.start[i]
	}
	b.members = make([]Node, size)
	fill := slices.Clone(b.start)
	for i, s := range live.super {
		b.members[fill[s]] = Node(i)
		fill[s]++
	}
	b.fixed = make([]bool, size)
	ties := newSets(size)
	for _, s := range n.sources[1:] {
		b.fixed[live.super[s.Hot]] = true
		b.fixed[live.super[s.Return]] = true
		ties.unite(live.super[s.Hot], live.super[s.Return])
	}
	for _, s := range n.sources[1:] {
		for _, o := range n.sources[1:] {
			x, y := live.super[s.Return], live.super[o.Return]
			b.loose = b.loose || live.island[x] == live.island[y] && ties.find(x) != ties.find(y)
		}
	}
	return b
}

// Live is the solution of the base.
func (b *Base) Live() *Live { return b.live }

// Closed tells whether a conductor is closed in the base.
func (b *Base) Closed(c Conductor) bool { return b.closed[c] }

// index makes the lists of what meets at each node, once.
func (n *Net) index() {
	n.once.Do(func() {
		n.conductorsAt = make([][]Conductor, n.nodes+1)
		for i, p := range n.conductors {
			if i > 0 {
				n.conductorsAt[p.a] = append(n.conductorsAt[p.a], Conductor(i))
				n.conductorsAt[p.b] = append(n.conductorsAt[p.b], Conductor(i))
			}
		}
		n.loadsAt = make([][]Load, n.nodes+1)
		for i, p := range n.loads {
			if i > 0 {
				n.loadsAt[p.A] = append(n.loadsAt[p.A], Load(i))
				n.loadsAt[p.B] = append(n.loadsAt[p.B], Load(i))
			}
		}
	})
}

// Change is how a state differs from its base.
type Change struct {
	Opened    []Conductor // closed in the base
	Joins     [][2]Node   // joined now: conductors that closed, shorts, shorted loads
	OpenLoads []Load
}

// Local works out small changes to a solved state: only supernodes that the change
// splits or joins, and those that loads tie to them, are solved again. It holds the
// working space of one goroutine.
//
// Where a conductor opens within a supernode, searches set out from both of its ends
// in step with each other; the one that comes to an end first has found all of its
// piece, however large the other is. So cutting one rung off a rail costs the rung,
// not the rail.
type Local struct {
	net  *Net
	base *Base

	epoch  int32
	seen   []int32 // by node: epoch in which piece is valid
	piece  []int32 // by node: its piece
	pieces []piece
	opened map[Conductor]bool

	labels map[int32]int32   // union-find over labels that a join concerns
	class  map[int32][]int32 // by root: its labels, where there are several

	value map[int32]solved // by root label
	nodes []Node
	loads []Load
}

// piece is a part of a supernode that was cut off. Its label is minus its index less
// one, so that it cannot be taken for a supernode.
type piece struct {
	nodes []Node
}

type solved struct {
	island int32
	volts  [2]complex128
	fixed  bool
}

// NewLocal makes the working space for a net with at most two frequencies; ok is
// false for others.
func (n *Net) NewLocal() (l *Local, ok bool) {
	n.index()
	size := int(n.nodes) + 1
	return &Local{
		net: n, seen: make([]int32, size), piece: make([]int32, size), opened: make(map[Conductor]bool),
	}, len(n.hertz) <= 2
}

// Solve works out a change. It reports false where the change is not a small one: it
// reaches a source itself, shorts one, or ties islands together. The state must then
// be solved as a whole.
func (l *Local) Solve(b *Base, c *Change) bool {
	if b.loose {
		return false
	}
	l.base = b
	l.epoch++
	l.pieces = l.pieces[:0]
	l.nodes, l.loads = l.nodes[:0], l.loads[:0]
	l.labels = make(map[int32]int32)
	l.class = nil
	l.value = make(map[int32]solved)
	clear(l.opened)
	for _, o := range c.Opened {
		l.opened[o] = true
	}
	done := make(map[int32]bool)
	for _, o := range c.Opened {
		s := b.live.super[l.net.conductors[o].a]
		if !done[s] {
			done[s] = true
			l.cut(s, c.Opened)
		}
	}
	for _, j := range c.Joins {
		l.join(l.label(j[0]), l.label(j[1]))
	}
	for _, p := range l.net.sources[1:] {
		if l.label(p.Hot) != b.live.super[p.Hot] || l.label(p.Return) != b.live.super[p.Return] {
			return false
		}
	}
	return l.settle(c, done)
}

// label names the part of the network that a node belongs to: its supernode, or the
// piece that was cut off it.
func (l *Local) label(n Node) int32 {
	if l.seen[n] == l.epoch {
		return -1 - l.piece[n]
	}
	return l.base.live.super[n]
}

func (l *Local) root(x int32) int32 {
	for {
		up, ok := l.labels[x]
		if !ok || up == x {
			return x
		}
		x = up
	}
}

// join ties two labels together; one that a source holds becomes the root.
func (l *Local) join(a, b int32) {
	a, b = l.root(a), l.root(b)
	if a == b {
		return
	}
	if l.isFixed(b) && !l.isFixed(a) {
		a, b = b, a
	}
	l.labels[b] = a
	if l.class == nil {
		l.class = make(map[int32][]int32)
	}
	if l.class[a] == nil {
		l.class[a] = []int32{a}
	}
	more := l.class[b]
	if more == nil {
		more = []int32{b}
	}
	l.class[a] = append(l.class[a], more...)
	delete(l.class, b)
}

func (l *Local) isFixed(label int32) bool { return label >= 0 && l.base.fixed[label] }

// cut finds the pieces that a supernode falls into. All but the last to be found get
// labels of their own; that one keeps the supernode's.
func (l *Local) cut(s int32, opened []Conductor) {
	type search struct {
		nodes []Node
		next  int
	}
	var searches []search
	first := int32(len(l.pieces))
	// The searches number their finds provisionally behind the pieces found so far.
	start := func(n Node) {
		if l.base.live.super[n] != s || l.seen[n] == l.epoch {
			return
		}
		l.seen[n] = l.epoch
		l.piece[n] = first + int32(len(searches))
		searches = append(searches, search{nodes: []Node{n}})
	}
	for _, o := range opened {
		p := l.net.conductors[o]
		if l.base.live.super[p.a] == s {
			start(p.a)
			start(p.b)
		}
	}
	into := make([]int, len(searches)) // union-find over searches
	for i := range into {
		into[i] = i
	}
	find := func(i int) int {
		for into[i] != i {
			i = into[i]
		}
		return i
	}
	active := len(searches)
	for active > 1 {
		for i := range searches {
			if find(i) != i || searches[i].next >= len(searches[i].nodes) {
				continue
			}
			n := searches[i].nodes[searches[i].next]
			searches[i].next++
			for _, c := range l.net.conductorsAt[n] {
				if !l.base.closed[c] || l.opened[c] {
					continue
				}
				p := l.net.conductors[c]
				other := p.a
				if other == n {
					other = p.b
				}
				if l.seen[other] != l.epoch {
					l.seen[other] = l.epoch
					l.piece[other] = first + int32(i)
					searches[i].nodes = append(searches[i].nodes, other)
					continue
				}
				if k := find(int(l.piece[other] - first)); k != i {
					// The two meet: k goes on as part of i.
					into[k] = i
					rest := searches[k]
					done := searches[i].nodes[:searches[i].next]
					todo := searches[i].nodes[searches[i].next:]
					joined := slices.Concat(rest.nodes[:rest.next], done, rest.nodes[rest.next:], todo)
					searches[i] = search{joined, rest.next + len(done)}
					active--
				}
			}
			if searches[i].next >= len(searches[i].nodes) {
				active--
			}
			if active <= 1 {
				break
			}
		}
	}
	// One search may still be under way: what it has not seen keeps the supernode's
	// label, and so must what it has seen. If all came to an end, the one that holds a
	// source's node keeps it, else the largest.
	keep := -1
	for i := range searches {
		if find(i) != i {
			continue
		}
		if searches[i].next < len(searches[i].nodes) {
			keep = i
			break
		}
		if keep < 0 || len(searches[i].nodes) > len(searches[keep].nodes) {
			keep = i
		}
	}
	if searches[keep].next >= len(searches[keep].nodes) {
		for _, p := range l.net.sources[1:] {
			for _, n := range [2]Node{p.Hot, p.Return} {
				if l.base.live.super[n] == s && l.seen[n] == l.epoch {
					keep = find(int(l.piece[n] - first))
				}
			}
		}
	}
	for i := range searches {
		if find(i) != i {
			continue
		}
		if i == keep {
			for _, n := range searches[i].nodes {
				l.seen[n] = 0
			}
			continue
		}
		index := int32(len(l.pieces))
		l.pieces = append(l.pieces, piece{searches[i].nodes})
		for _, n := range searches[i].nodes {
			l.piece[n] = index
			l.seen[n] = l.epoch
		}
	}
}

// eachNode visits the nodes of a label.
func (l *Local) eachNode(label int32, visit func(Node)) {
	if label < 0 {
		for _, n := range l.pieces[-1-label].nodes {
			visit(n)
		}
		return
	}
	for _, n := range l.base.members[l.base.start[label]:l.base.start[label+1]] {
		if l.seen[n] != l.epoch {
			visit(n)
		}
	}
}

// eachOf visits the labels that are one now.
func (l *Local) eachOf(root int32, visit func(label int32)) {
	if all := l.class[root]; all != nil {
		for _, x := range all {
			visit(x)
		}
		return
	}
	visit(root)
}

// settle solves the parts that changed and what loads tie to them.
func (l *Local) settle(c *Change, cut map[int32]bool) bool {
	live := l.base.live
	openLoad := func(x Load) bool { return slices.Contains(c.OpenLoads, x) }
	// What a source holds keeps its voltage; two that sources hold must not meet.
	for root, all := range l.class {
		held := 0
		for _, x := range all {
			if l.isFixed(x) {
				held++
			}
		}
		if held > 1 {
			return false
		}
		if held == 1 {
			l.value[root] = l.fixedValue(root)
		}
	}
	// The region: every label that changed and is not held, then its neighbours.
	var region []int32
	in := make(map[int32]bool)
	enter := func(label int32) {
		r := l.root(label)
		if !l.isFixed(r) && !in[r] {
			in[r] = true
			region = append(region, r)
		}
	}
	touch := func(n Node) {
		for _, x := range l.net.loadsAt[n] {
			p := l.net.loads[x]
			l.loads = append(l.loads, x)
			if !openLoad(x) {
				enter(l.label(p.A))
				enter(l.label(p.B))
			}
		}
	}
	for i := range l.pieces {
		enter(int32(-1 - i))
	}
	for _, s := range slices.Sorted(maps.Keys(cut)) {
		enter(s)
	}
	for _, root := range slices.Sorted(maps.Keys(l.class)) {
		all := l.class[root]
		if !l.isFixed(root) {
			enter(root)
			continue
		}
		for _, x := range all {
			if x != root {
				l.eachNode(x, func(n Node) {
					l.nodes = append(l.nodes, n)
					touch(n)
				})
			}
		}
	}
	for _, x := range c.OpenLoads {
		p := l.net.loads[x]
		l.loads = append(l.loads, x)
		enter(l.label(p.A))
		enter(l.label(p.B))
	}
	for i := 0; i < len(region); i++ {
		l.eachOf(region[i], func(label int32) {
			l.eachNode(label, func(n Node) {
				l.nodes = append(l.nodes, n)
				touch(n)
			})
		})
	}
	// Islands of the region, by what loads tie together; each is held by what a source
	// holds at its edge, all on one island of the base.
	rows := make(map[int32]int, len(region))
	for i, r := range region {
		rows[r] = i
	}
	groups := newSets(len(region))
	edge := make([]int32, len(region)) // by region label: the held island it touches
	var branches []Load
	slices.Sort(l.loads)
	l.loads = slices.Compact(l.loads)
	for _, x := range l.loads {
		if openLoad(x) || cmplx.IsInf(l.net.loads[x].Running) {
			continue
		}
		p := l.net.loads[x]
		a, b := l.root(l.label(p.A)), l.root(l.label(p.B))
		if a == b {
			continue
		}
		i, oka := rows[a]
		k, okb := rows[b]
		switch {
		case oka && okb:
			groups.unite(int32(i), int32(k))
		case !oka && !okb:
			if live.island[a] != live.island[b] {
				return false // it ties the islands of two sources together
			}
			continue
		}
		branches = append(branches, x)
	}
	for _, x := range branches {
		p := l.net.loads[x]
		a, b := l.root(l.label(p.A)), l.root(l.label(p.B))
		for _, pair := range [2][2]int32{{a, b}, {b, a}} {
			if i, ok := rows[pair[0]]; ok && l.isFixed(pair[1]) {
				g := groups.find(int32(i))
				island := live.island[pair[1]]
				if edge[g] != 0 && edge[g] != island {
					return false
				}
				edge[g] = island
			}
		}
	}
	l.solve(region, rows, groups, edge, branches)
	return true
}

func (l *Local) fixedValue(label int32) solved {
	v := solved{island: l.base.live.island[label], fixed: true}
	for s := range min(len(l.base.live.systems), len(v.volts)) {
		v.volts[s] = l.base.live.systems[s].volts[label]
	}
	return v
}

// solve gives every label of the region its island and voltage.
func (l *Local) solve(region []int32, rows map[int32]int, groups *sets, edge []int32, branches []Load) {
	// Rows within each group.
	at := make([]int, len(region))
	var heads []int32
	size := make(map[int32]int)
	for i := range region {
		g := groups.find(int32(i))
		if size[g] == 0 {
			heads = append(heads, g)
		}
		at[i] = size[g]
		size[g]++
	}
	own := make(map[int32][]Load)
	for _, x := range branches {
		p := l.net.loads[x]
		i, ok := rows[l.root(l.label(p.A))]
		if !ok {
			i = rows[l.root(l.label(p.B))]
		}
		g := groups.find(int32(i))
		own[g] = append(own[g], x)
	}
	systems := l.base.live.systems
	volts := make([][2]complex128, len(region))
	for _, g := range heads {
		if edge[g] == 0 {
			continue // floats: no voltage of its own
		}
		n := size[g]
		for s := range systems {
			m := make([][]complex128, n)
			for i := range m {
				m[i] = make([]complex128, n)
			}
			rhs := make([]complex128, n)
			for _, x := range own[g] {
				p := l.net.loads[x]
				y := 1 / p.impedance(systems[s].hertz)
				a, b := l.root(l.label(p.A)), l.root(l.label(p.B))
				i, oka := rows[a]
				k, okb := rows[b]
				if oka {
					m[at[i]][at[i]] += y
				}
				if okb {
					m[at[k]][at[k]] += y
				}
				switch {
				case oka && okb:
					m[at[i]][at[k]] -= y
					m[at[k]][at[i]] -= y
				case oka:
					rhs[at[i]] += y * l.fixedValue(b).volts[s]
				case okb:
					rhs[at[k]] += y * l.fixedValue(a).volts[s]
				}
			}
			x := eliminate(m, rhs)
			for i := range region {
				if groups.find(int32(i)) == g {
					volts[i][s] = x[at[i]]
				}
			}
		}
	}
	for i, r := range region {
		g := groups.find(int32(i))
		v := solved{island: edge[g], volts: volts[i]}
		if v.island == 0 {
			v.island = int32(l.net.nodes) + 1 + g // an island that the base does not have
		}
		l.value[r] = v
	}
}

// Nodes are those whose island or voltage may have changed, without order.
func (l *Local) Nodes() []Node { return l.nodes }

// Loads are those whose voltage may have changed, in rising order.
func (l *Local) Loads() []Load { return l.loads }

// At gives the island of a node and its voltage by frequency.
func (l *Local) At(n Node) (island Node, volts [2]complex128) {
	label := l.label(n)
	root := l.root(label)
	if v, ok := l.value[root]; ok {
		return Node(v.island), v.volts
	}
	v := l.fixedValue(l.base.live.super[n])
	return Node(v.island), v.volts
}

// Between gives the voltage between two nodes; zero if they are on two islands.
func (l *Local) Between(a, b Node) float64 {
	ia, va := l.At(a)
	ib, vb := l.At(b)
	if ia != ib {
		return 0
	}
	var most float64
	for s := range va {
		most = max(most, cmplx.Abs(va[s]-vb[s]))
	}
	return most
}
