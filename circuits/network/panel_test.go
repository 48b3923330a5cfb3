package network

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

const randomPanels = 500

// panelNet is a net of the shape of a panel: the two rails of each supply in links, rungs of
// contacts and a load between them, and here and there a bridge from rung to rung.
type panelNet struct {
	net   *Net
	state State
	joins [][2]Node // beside the conductors
}

// on gives a random node.
func (p *panelNet) on(r *rand.Rand) Node { return Node(1 + r.IntN(p.net.Nodes())) }

// randomPanel draws a panel of one or two supplies. The second has direct current, its output
// unknown with the power off if so wanted.
func randomPanel(r *rand.Rand, unknown bool) *panelNet {
	n := New()
	p := &panelNet{net: n}
	var middle []Node
	supplies := 1 + r.IntN(2)
	for s := range supplies {
		source := SourceParts{Volts: 120, Hertz: 60, WindingOhms: 2}
		if s == 1 {
			source = SourceParts{Volts: 24, WindingOhms: math.Inf(1), Unknown: unknown}
		}
		source.Hot, source.Return = n.AddNode(), n.AddNode()
		n.AddSource(source)
		hot, ret := source.Hot, source.Return
		for range 2 + r.IntN(5) {
			hot = n.next(hot)
			if r.IntN(3) > 0 {
				ret = n.next(ret)
			}
			at := hot
			for range 1 + r.IntN(3) {
				at = n.next(at)
				middle = append(middle, at)
			}
			ohms := 100 + 1000*r.Float64()
			for range 1 + r.IntN(2) {
				n.AddLoad(LoadParts{A: at, B: ret, Running: complex(ohms, ohms*r.Float64()), Ohms: ohms})
			}
			if r.IntN(3) == 0 { // two loads in series
				far := n.AddNode()
				n.AddLoad(LoadParts{A: at, B: far, Running: complex(ohms, 0), Ohms: ohms})
				n.AddLoad(LoadParts{A: far, B: ret, Running: complex(2*ohms, 0), Ohms: 2 * ohms})
				middle = append(middle, far)
			}
			if r.IntN(8) == 0 { // what an ohmmeter does not light
				n.AddLoad(LoadParts{A: at, B: ret, Running: complex(ohms, 0), Ohms: math.Inf(1)})
			}
			if r.IntN(8) == 0 {
				n.AddLoad(LoadParts{A: hot, B: ret, Running: complex(20*ohms, 0), Ohms: 20 * ohms})
			}
		}
	}
	for range r.IntN(4) {
		if a, b := middle[r.IntN(len(middle))], middle[r.IntN(len(middle))]; a != b {
			n.AddConductor(a, b)
		}
	}
	p.state = n.NewState()
	for i := range p.state.Closed {
		p.state.Closed[i] = r.IntN(4) > 0
	}
	if r.IntN(3) == 0 {
		p.joins = append(p.joins, [2]Node{middle[r.IntN(len(middle))], middle[r.IntN(len(middle))]})
	}
	return p
}

// next adds a node behind a conductor.
func (n *Net) next(from Node) Node {
	to := n.AddNode()
	n.AddConductor(from, to)
	return to
}

// randomChange draws what opens, closes, touches, leaks and burns out, and gives the same as an overlay
// on the base.
func (p *panelNet) randomChange(r *rand.Rand) (*Change, *Overlay) {
	c, o := &Change{}, &Overlay{Joins: slices.Clone(p.joins)}
	for range 1 + r.IntN(3) {
		x := Conductor(1 + r.IntN(p.net.Conductors()))
		a, b := p.net.Ends(x)
		ohms := math.Pow(10, 4*r.Float64())
		switch _, bad := o.Joint(x); {
		case slices.Contains(c.Opened, x) || slices.Contains(o.Closed, x) || bad:
		case r.IntN(4) == 0: // closed, with a bad joint
			if p.state.Closed[x] {
				c.Opened = append(c.Opened, x)
			} else {
				o.Closed = append(o.Closed, x)
			}
			o.Joints = append(o.Joints, Joint{x, ohms / 3}, Joint{x, ohms * 2 / 3})
			c.Leaks = append(c.Leaks, Leak{A: a, B: b, Ohms: ohms})
		case p.state.Closed[x]:
			c.Opened, o.Open = append(c.Opened, x), append(o.Open, x)
		default:
			c.Joins, o.Closed = append(c.Joins, [2]Node{a, b}), append(o.Closed, x)
		}
	}
	if r.IntN(3) == 0 {
		j := [2]Node{p.on(r), p.on(r)}
		c.Joins, o.Joins = append(c.Joins, j), append(o.Joins, j)
	}
	if r.IntN(3) == 0 {
		k := Leak{A: p.on(r), B: p.on(r), Ohms: math.Pow(10, 6*r.Float64())}
		c.Leaks, o.Leaks = append(c.Leaks, k), append(o.Leaks, k)
	}
	if r.IntN(3) == 0 {
		c.LoadScale = []LoadScale{{Load(1 + r.IntN(p.net.Loads())), math.Pow(10, 2*r.Float64()-1)}}
		o.LoadScale = c.LoadScale
	}
	for range r.IntN(3) {
		x := Load(1 + r.IntN(p.net.Loads()))
		if !slices.Contains(c.OpenLoads, x) {
			c.OpenLoads = append(c.OpenLoads, x)
		}
	}
	o.OpenLoads = c.OpenLoads
	return c, o
}

// onPanels runs a test on random panels whose good state shorts nothing.
func onPanels(t *testing.T, unknown bool, test func(t *testing.T, r *rand.Rand, p *panelNet, base *Live)) {
	t.Helper()
	tried := 0
	for seed := range uint64(randomPanels) {
		r := rand.New(rand.NewPCG(seed, 31))
		p := randomPanel(r, unknown)
		live := p.net.Live(p.state, &Overlay{Joins: p.joins})
		if len(live.Shorts()) == 0 {
			tried++
			test(t, r, p, live)
		}
	}
	require.Greater(t, tried, randomPanels/2)
}
