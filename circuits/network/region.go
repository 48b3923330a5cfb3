package network

import (
	"math/cmplx"
	"slices"

	"deadrung/circuits/joined"
)

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
	for x := root; ; {
		visit(x)
		if x = l.slot(x).next; x == root {
			return
		}
	}
}

// row gives the place of a root label in the region; less than zero for none.
func (l *Local) row(label int32) int32 { return l.slot(label).row }

// tie is a load or a leak between two root labels.
type tie struct {
	a, b  int32
	parts LoadParts
}

// findTies collects the loads and leaks that may tie the region together or to what is
// beside it.
func (l *Local) findTies(c *Change) {
	l.ties = l.ties[:0]
	add := func(p LoadParts) {
		if a, b := l.root(l.label(p.A)), l.root(l.label(p.B)); a != b {
			l.ties = append(l.ties, tie{a, b, p})
		}
	}
	for _, x := range l.loads {
		if !slices.Contains(c.OpenLoads, x) {
			add(scaled(l.net.loads[x], x, c.LoadScale))
		}
	}
	for _, k := range c.Leaks {
		if leads(k.Ohms) {
			add(LoadParts{A: k.A, B: k.B, Running: complex(k.Ohms, 0), Ohms: k.Ohms})
		}
	}
}

// settle solves the parts that changed and what loads tie to them.
func (l *Local) settle(c *Change) bool {
	if !l.findRegion(c) {
		return false
	}
	live := l.base.live
	// Islands of the region, by what loads tie together; each is held by what a source
	// holds at its edge, all on one island of the base.
	groups := joined.New(len(l.region))
	l.edge = cleared(l.edge, len(l.region))
	edge := l.edge // by region label: the held island it touches
	l.findTies(c)
	for _, t := range l.ties {
		i, k := l.row(t.a), l.row(t.b)
		switch {
		case cmplx.IsInf(t.parts.Running):
		case i >= 0 && k >= 0:
			groups.Join(i, k)
		case i < 0 && k < 0 && live.island[t.a] != live.island[t.b]:
			return false // it ties the islands of two sources together
		}
	}
	// What is left are those with an end in the region.
	l.ties = slices.DeleteFunc(l.ties, func(t tie) bool {
		return cmplx.IsInf(t.parts.Running) || l.row(t.a) < 0 && l.row(t.b) < 0
	})
	for _, t := range l.ties {
		for _, way := range [2][2]int32{{t.a, t.b}, {t.b, t.a}} {
			if i := l.row(way[0]); i >= 0 && l.isFixed(way[1]) {
				g := groups.Of(i)
				island := live.island[way[1]]
				if edge[g] != 0 && edge[g] != island {
					return false
				}
				edge[g] = island
			}
		}
	}
	l.solve(groups, edge)
	return true
}

// fixedValue is what a label has in the base.
func (l *Local) fixedValue(label int32) solved {
	v := solved{island: l.base.live.island[label]}
	for s := range min(len(l.base.live.systems), len(v.volts)) {
		v.volts[s] = l.base.live.systems[s].volts[label]
	}
	return v
}

// solve gives every label of the region its island and voltage.
func (l *Local) solve(groups *joined.Sets, edge []int32) {
	n := len(l.region)
	rows := newBuckets(n, n, func(i int) int32 { return groups.Of(int32(i)) })
	ties := newBuckets(n, len(l.ties), func(i int) int32 {
		return groups.Of(max(l.row(l.ties[i].a), l.row(l.ties[i].b)))
	})
	l.at, l.volts = cleared(l.at, n), cleared(l.volts, n)
	at, volts := l.at, l.volts // row within its group
	for g := range int32(n) {
		members := rows.of(g)
		if len(members) == 0 || edge[g] == 0 {
			continue // no head of a group, or one that floats: no voltage of its own
		}
		for k, i := range members {
			at[i] = int32(k)
		}
		for s := range l.base.live.systems {
			for k, v := range l.equations(s, len(members), at, ties.of(g)).solve() {
				volts[members[k]][s] = v
			}
		}
	}
	for i, r := range l.region {
		g := groups.Of(int32(i))
		v := solved{island: edge[g], volts: volts[i]}
		if v.island == 0 {
			v.island = int32(l.net.nodes) + 1 + g // an island that the base does not have
		}
		s := l.slot(r)
		s.value, s.known = v, true
	}
}

// cleared gives n zeros, in the room of a slice where that is large enough.
func cleared[T any](room []T, n int) []T {
	if cap(room) < n {
		return make([]T, n, n+n/2)
	}
	room = room[:n]
	clear(room)
	return room
}

// buckets are the numbers from 0 sorted by what they belong to.
type buckets struct {
	start []int32
	all   []int32
}

func newBuckets(owners, n int, owner func(i int) int32) buckets {
	b := buckets{make([]int32, owners+1), make([]int32, n)}
	for i := range n {
		b.start[owner(i)+1]++
	}
	for g := range owners {
		b.start[g+1] += b.start[g]
	}
	next := slices.Clone(b.start)
	for i := range n {
		g := owner(i)
		b.all[next[g]] = int32(i)
		next[g]++
	}
	return b
}

func (b *buckets) of(owner int32) []int32 { return b.all[b.start[owner]:b.start[owner+1]] }

// equations are the nodal equations of a group of the region at one frequency.
func (l *Local) equations(system, size int, at []int32, ties []int32) *equations {
	e := newEquations(size)
	for _, t := range ties {
		a, b := l.ties[t].a, l.ties[t].b
		i, k := l.row(a), l.row(b)
		y := 1 / l.ties[t].parts.impedance(l.base.live.systems[system].hertz)
		if i >= 0 {
			e.add(at[i], at[i], y)
		}
		if k >= 0 {
			e.add(at[k], at[k], y)
		}
		switch {
		case i >= 0 && k >= 0:
			e.add(at[i], at[k], -y)
			e.add(at[k], at[i], -y)
		case i >= 0:
			e.rhs[at[i]] += y * l.fixedValue(b).volts[system]
		default:
			e.rhs[at[k]] += y * l.fixedValue(a).volts[system]
		}
	}
	return e
}

// findRegion finds the labels that may stand otherwise: every one that changed and is not
// held by a source, then what loads tie to them. It collects their nodes and loads. It
// reports false where two that sources hold meet.
func (l *Local) findRegion(c *Change) bool {
	// What a source holds keeps its voltage.
	l.met = false
	slices.Sort(l.joined)
	l.joined = slices.Compact(l.joined)
	l.joined = slices.DeleteFunc(l.joined, func(x int32) bool { return l.slot(x).up != x })
	for _, root := range l.joined {
		held := 0
		l.eachOf(root, func(x int32) {
			if l.isFixed(x) {
				held++
			}
		})
		if held > 1 {
			l.met = true
			return false
		}
		if held == 1 {
			s := l.slot(root)
			s.value, s.known = l.fixedValue(root), true
		}
	}
	enter := func(label int32) {
		r := l.root(label)
		if s := l.slot(r); s.row < 0 && !l.isFixed(r) {
			s.row = int32(len(l.region))
			l.region = append(l.region, r)
		}
	}
	touch := func(n Node) {
		for _, x := range l.net.loadsAt[n] {
			p := &l.net.loads[x]
			l.loads = append(l.loads, x)
			if !slices.Contains(c.OpenLoads, x) {
				enter(l.label(p.A))
				enter(l.label(p.B))
			}
		}
	}
	note := func(n Node) {
		l.nodes = append(l.nodes, n)
		touch(n)
	}
	for i := range l.pieces {
		enter(int32(-1 - i))
	}
	for _, s := range l.cuts {
		enter(s)
	}
	for _, root := range l.joined {
		if !l.isFixed(root) {
			enter(root)
			continue
		}
		l.eachOf(root, func(x int32) {
			if x != root {
				l.eachNode(x, note)
			}
		})
	}
	alone := func(x Load) {
		p := &l.net.loads[x]
		l.loads = append(l.loads, x)
		enter(l.label(p.A))
		enter(l.label(p.B))
	}
	for _, x := range c.OpenLoads {
		alone(x)
	}
	for _, s := range c.LoadScale {
		alone(s.Load)
	}
	for _, k := range c.Leaks {
		enter(l.label(k.A))
		enter(l.label(k.B))
	}
	for i := 0; i < len(l.region); i++ {
		l.eachOf(l.region[i], func(label int32) { l.eachNode(label, note) })
	}
	slices.Sort(l.loads)
	l.loads = slices.Compact(l.loads)
	return true
}
