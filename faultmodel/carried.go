package faultmodel

import (
	"math"
	"math/cmplx"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// carried is what a conductor carries for the loads behind it: their current, and the volts
// at the greatest of them.
type carried struct {
	amps  complex128
	load  float64 // amperes of the greatest load
	volts complex128
}

// add puts what a load takes beside the rest.
func (c *carried) add(other carried) {
	c.amps += other.amps
	if other.load > c.load {
		c.load, c.volts = other.load, other.volts
	}
}

// taken is the same current the other way round.
func (c carried) taken() carried {
	c.amps = -c.amps
	return c
}

// greater is the one of the two with more current.
func (c carried) greater(other carried) carried {
	if cmplx.Abs(other.amps) > cmplx.Abs(c.amps) {
		return other
	}
	return c
}

// halving gives the resistance in series that leaves half of the volts at what is carried, as
// long as its impedance Z = volts / amps stays as it is:
//
//	|R + Z| = 2·|Z|, so R = √(4·|Z|² - X²) - Re Z
func (c carried) halving() float64 {
	z := c.volts / c.amps
	re, x := math.Abs(real(z)), imag(z)
	return math.Sqrt(math.Max(0, 4*(re*re+x*x)-x*x)) - re
}

// loading finds what each conductor of the good circuit carries at the end of the step where
// that is most; nothing where no current that the loads decide goes through it. What shares
// its current with another way in every step, as a start button with the seal around it,
// carries what it has to until that closes.
func loading(p *work.Panel) []carried {
	most := make([]carried, p.Net.Conductors()+1)
	shared := make([]carried, p.Net.Conductors()+1)
	flow := newFlow(p.Net)
	p.Work(&work.Overlay{}, func(_ int, e *work.End) bool {
		if len(e.Phases) > 0 || len(e.Collapsed) > 0 {
			return true
		}
		for system := range e.Live.Systems() {
			flow.solve(e, system)
			for c := range most {
				most[c] = most[c].greater(flow.through[c])
				shared[c] = shared[c].greater(flow.shared[c])
			}
		}
		return true
	})
	for c := range most {
		if most[c].load == 0 {
			most[c] = shared[c]
		}
	}
	return most
}

// flow is Kirchhoff's current law on the closed conductors of a net, which join nodes to
// trees: a conductor carries what is taken behind it. Where there are two ways, as past a
// button by its seal, neither is told.
type flow struct {
	net     *network.Net
	at      [][]network.Conductor // by node
	through []carried             // by conductor
	shared  []carried             // by conductor in a ring: what it carries with the others of it open

	taken  []carried // by node
	parent []network.Conductor
	depth  []int32 // by node; zero for one that was not reached
	ring   []int32 // by node: how many rings its conductor to the parent is in, as differences
	order  []network.Node
	closes map[network.Conductor]bool // those that close a ring
}

func newFlow(n *network.Net) *flow {
	f := &flow{net: n, at: make([][]network.Conductor, n.Nodes()+1),
		through: make([]carried, n.Conductors()+1), shared: make([]carried, n.Conductors()+1)}
	for c := network.Conductor(1); int(c) <= n.Conductors(); c++ {
		a, b := n.Ends(c)
		f.at[a], f.at[b] = append(f.at[a], c), append(f.at[b], c)
	}
	f.taken, f.parent = make([]carried, n.Nodes()+1), make([]network.Conductor, n.Nodes()+1)
	f.depth, f.ring = make([]int32, n.Nodes()+1), make([]int32, n.Nodes()+1)
	return f
}

// solve finds what goes through the conductors at the end of a step, at one frequency.
func (f *flow) solve(e *work.End, system int) {
	clear(f.through)
	clear(f.shared)
	clear(f.taken)
	clear(f.depth)
	clear(f.ring)
	f.order, f.closes = f.order[:0], make(map[network.Conductor]bool)
	for l := network.Load(1); int(l) <= f.net.Loads(); l++ {
		p := f.net.Load(l)
		if e.Live.Island(p.A) != e.Live.Island(p.B) || cmplx.IsInf(p.Running) || p.Running == 0 {
			continue
		}
		v := e.Live.Potential(p.A, system) - e.Live.Potential(p.B, system)
		c := carried{v / p.Running, cmplx.Abs(v / p.Running), v}
		f.taken[p.A].add(c)
		f.taken[p.B].add(c.taken())
	}
	// A tree begins where a source feeds it, so that the loads are behind.
	sources := make(map[network.Node]int)
	for s := network.Source(1); int(s) <= f.net.Sources(); s++ {
		p := f.net.Source(s)
		for _, n := range []network.Node{p.Hot, p.Return} {
			f.grow(n, e.State.Closed)
			sources[n]++
		}
	}
	for n := network.Node(1); int(n) <= f.net.Nodes(); n++ {
		f.grow(n, e.State.Closed)
	}
	fed := make([]bool, len(f.depth)) // a source somewhere behind: what it gives is not known here
	for i := len(f.order) - 1; i >= 0; i-- {
		n := f.order[i]
		fed[n] = fed[n] || sources[n] > 0
		c := f.parent[n]
		if c == 0 {
			continue
		}
		above := f.other(c, n)
		if f.ring[n] == 0 && !fed[n] {
			f.through[c] = f.taken[n]
		}
		f.ring[above] += f.ring[n]
		fed[above] = fed[above] || fed[n]
		f.taken[above].add(f.taken[n])
	}
	for c := range f.closes {
		f.share(c, fed)
	}
}

// share gives each conductor of a ring the most that any of them carries with the ring open
// where it closes.
func (f *flow) share(closes network.Conductor, fed []bool) {
	a, b := f.net.Ends(closes)
	top := f.meet(a, b)
	var most carried
	for _, n := range [2]network.Node{a, b} {
		for ; n != top; n = f.other(f.parent[n], n) {
			if !fed[n] {
				most = most.greater(f.taken[n])
			}
		}
	}
	f.shared[closes] = f.shared[closes].greater(most)
	for _, n := range [2]network.Node{a, b} {
		for ; n != top; n = f.other(f.parent[n], n) {
			c := f.parent[n]
			f.shared[c] = f.shared[c].greater(most)
		}
	}
}

func (f *flow) other(c network.Conductor, n network.Node) network.Node {
	a, b := f.net.Ends(c)
	if a == n {
		return b
	}
	return a
}

// grow reaches all that closed conductors join to a node, the nearest first, and notes the
// rings: a conductor that leads to a node reached before adds one to both of its ends and
// takes two from where their ways to the root meet, so that the sum below a conductor tells
// how many rings go through it.
func (f *flow) grow(root network.Node, closed []bool) {
	if f.depth[root] > 0 {
		return
	}
	f.depth[root], f.parent[root] = 1, 0
	first := len(f.order)
	f.order = append(f.order, root)
	for i := first; i < len(f.order); i++ {
		n := f.order[i]
		for _, c := range f.at[n] {
			if !closed[c] || c == f.parent[n] || f.closes[c] {
				continue
			}
			other := f.other(c, n)
			if f.depth[other] == 0 {
				f.depth[other], f.parent[other] = f.depth[n]+1, c
				f.order = append(f.order, other)
				continue
			}
			if f.parent[other] == c {
				continue
			}
			f.closes[c] = true
			f.ring[n]++
			f.ring[other]++
			f.ring[f.meet(n, other)] -= 2
		}
	}
}

// meet is where the ways of two nodes to their root meet.
func (f *flow) meet(a, b network.Node) network.Node {
	for a != b {
		if f.depth[a] < f.depth[b] {
			a, b = b, a
		}
		a = f.other(f.parent[a], a)
	}
	return a
}
