package network

import (
	"maps"
	"math/cmplx"
	"slices"
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
