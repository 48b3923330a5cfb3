package network

import (
	"math/cmplx"

	"deadrung/circuits/joined"
)

// blocks is the network at one frequency once conductors are joined: supernodes,
// tied by sources into clusters of known differences, and loads between clusters.
//
//	V(supernode) = V(cluster) + offset(supernode)
//
// Supernodes are numbered in the order of their least nodes; all slices are indexed by
// that number. Zero is the node that stands for none, and so no supernode.
type blocks struct {
	parent  []int32      // union-find with offsets over supernodes
	offset  []complex128 // V(x) - V(parent of x)
	branch  []branch
	islands *joined.Sets // over cluster roots
	ref     []int32      // by island root: its reference cluster
	name    []int32      // by island root: the node it is named by
	shift   []complex128 // by island root: volts of that node against the reference
	block   []int32      // by cluster: index into members, -1 for a reference
	members [][]int32    // by block: its clusters
	rows    []int32      // by cluster: its row in its block
	v       []complex128 // by cluster
	at      [][]int32    // by block: its branches
}

type branch struct {
	a, b int32 // supernodes
	y    complex128
}

func newBlocks(n int) *blocks {
	b := &blocks{parent: make([]int32, n), offset: make([]complex128, n)}
	for i := range b.parent {
		b.parent[i] = int32(i)
	}
	return b
}

// cluster gives the root of a supernode's cluster and its offset from the root.
func (b *blocks) cluster(x int32) (int32, complex128) {
	var off complex128
	for b.parent[x] != x {
		off += b.offset[x]
		x = b.parent[x]
	}
	return x, off
}

// tie holds V(hot) - V(ret) at emf. It reports false where they are tied already at
// another difference.
func (b *blocks) tie(hot, ret int32, emf complex128) bool {
	ch, oh := b.cluster(hot)
	cr, or := b.cluster(ret)
	if ch == cr {
		return cmplx.Abs(oh-or-emf) < 1e-6
	}
	// V(ch) = V(hot) - oh = V(ret) + emf - oh = V(cr) + or + emf - oh
	b.parent[ch] = cr
	b.offset[ch] = or + emf - oh
	return true
}

func (b *blocks) load(x, y int32, z complex128) {
	if x != y {
		b.branch = append(b.branch, branch{x, y, 1 / z})
	}
}

// solve finds the islands and the voltage of every cluster.
func (b *blocks) solve() {
	n := len(b.parent)
	b.islands = joined.New(n)
	ends := make([][2]int32, len(b.branch)) // cluster roots of each branch
	for i, br := range b.branch {
		ca, _ := b.cluster(br.a)
		cb, _ := b.cluster(br.b)
		ends[i] = [2]int32{ca, cb}
		b.islands.Join(ca, cb)
	}
	// The reference of an island is a cluster that holds a source, else its least.
	b.ref = make([]int32, n)
	tied := make([]bool, n)
	for x := range b.parent {
		if b.parent[x] != int32(x) {
			c, _ := b.cluster(int32(x))
			tied[c] = true
		}
	}
	for x := n - 1; x >= 0; x-- {
		if b.parent[x] == int32(x) {
			r := b.islands.Of(int32(x))
			if b.ref[r] == 0 || tied[x] || !tied[b.ref[r]] {
				b.ref[r] = int32(x)
			}
		}
	}
	// What is left of an island without its reference falls into blocks.
	groups := joined.New(n)
	isRef := func(c int32) bool { return b.ref[b.islands.Of(c)] == c }
	for _, e := range ends {
		if !isRef(e[0]) && !isRef(e[1]) {
			groups.Join(e[0], e[1])
		}
	}
	b.block = make([]int32, n)
	b.rows = make([]int32, n)
	b.v = make([]complex128, n)
	for i := range b.block {
		b.block[i] = -1
	}
	index := make(map[int32]int32)
	add := func(c int32) {
		if isRef(c) || b.block[c] >= 0 {
			return
		}
		g := groups.Of(c)
		k, ok := index[g]
		if !ok {
			k = int32(len(b.members))
			index[g] = k
			b.members = append(b.members, nil)
			b.at = append(b.at, nil)
		}
		b.block[c] = k
		b.rows[c] = int32(len(b.members[k]))
		b.members[k] = append(b.members[k], c)
	}
	for i, e := range ends {
		if e[0] == e[1] {
			continue
		}
		add(e[0])
		add(e[1])
		k := b.block[e[0]]
		if k < 0 {
			k = b.block[e[1]]
		}
		b.at[k] = append(b.at[k], int32(i))
	}
	for k := range b.members {
		x := b.equations(int32(k)).solve()
		for i, c := range b.members[k] {
			b.v[c] = x[i]
		}
	}
}

// equations gives the nodal equations of a block: admittances, and the currents that
// the offsets and the reference (at zero volts) drive into it.
func (b *blocks) equations(k int32) *equations {
	e := newEquations(len(b.members[k]))
	for _, i := range b.at[k] {
		br := b.branch[i]
		ca, oa := b.cluster(br.a)
		cb, ob := b.cluster(br.b)
		drive := br.y * (oa - ob)
		if b.block[ca] == k {
			r := b.rows[ca]
			e.add(r, r, br.y)
			e.rhs[r] -= drive
			if b.block[cb] == k {
				e.add(r, b.rows[cb], -br.y)
			}
		}
		if b.block[cb] == k {
			r := b.rows[cb]
			e.add(r, r, br.y)
			e.rhs[r] += drive
			if b.block[ca] == k {
				e.add(r, b.rows[ca], -br.y)
			}
		}
	}
	return e
}

// christen names every island by the given node of its first source, and measures
// its voltages from there; an island without a source goes by its least node. So a
// fault leaves the names and voltages of what it does not touch as they were.
func (b *blocks) christen(returns, number, least []int32) {
	b.name = make([]int32, len(b.parent))
	b.shift = make([]complex128, len(b.parent))
	for _, node := range returns {
		c, off := b.cluster(number[node])
		if r := b.islands.Of(c); b.name[r] == 0 {
			b.name[r] = node
			b.shift[r] = b.v[c] + off
		}
	}
	for r := range b.name {
		if b.name[r] == 0 {
			b.name[r] = least[r]
		}
	}
}

// island names the island of a supernode.
func (b *blocks) island(s int32) int32 {
	c, _ := b.cluster(s)
	return b.name[b.islands.Of(c)]
}

// volts is the voltage of a supernode against the node that names its island.
func (b *blocks) volts(s int32) complex128 {
	c, off := b.cluster(s)
	return b.v[c] + off - b.shift[b.islands.Of(c)]
}

// between gives the impedance between two supernodes of one island with every
// source at rest.
func (b *blocks) between(x, y int32) complex128 {
	cx, _ := b.cluster(x)
	cy, _ := b.cluster(y)
	if cx == cy {
		return 0
	}
	// One ampere in at cx and out at cy.
	rise := func(k int32) func(c int32) complex128 {
		if k < 0 {
			return func(int32) complex128 { return 0 }
		}
		e := b.equations(k)
		clear(e.rhs)
		if b.block[cx] == k {
			e.rhs[b.rows[cx]]++
		}
		if b.block[cy] == k {
			e.rhs[b.rows[cy]]--
		}
		v := e.solve()
		return func(c int32) complex128 { return v[b.rows[c]] }
	}
	kx, ky := b.block[cx], b.block[cy]
	if kx == ky {
		v := rise(kx)
		return v(cx) - v(cy)
	}
	var z complex128
	if kx >= 0 {
		z += rise(kx)(cx)
	}
	if ky >= 0 {
		z -= rise(ky)(cy)
	}
	return z
}
