package work_test

import (
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// onRandomPanels runs a test on random panels.
func onRandomPanels(t *testing.T, test func(t *testing.T, r *rand.Rand, p *work.Panel)) {
	t.Helper()
	for seed := range uint64(60) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			text := generate.Panel(seed, generate.Options{Rungs: 2 + int(seed)%15})
			c, problems := read.Read("generated.yaml", []byte(text))
			require.NoError(t, problems.Err())
			test(t, rand.New(rand.NewPCG(seed, 0)), work.Assemble(c))
		})
	}
}

// randomFault gives an overlay that opens a conductor, opens a load or lets two nodes
// touch; sometimes none.
func randomFault(r *rand.Rand, p *work.Panel) work.Overlay {
	var o work.Overlay
	node := func() network.Node { return network.Node(1 + r.IntN(p.Net.Nodes())) }
	switch r.IntN(4) {
	case 0:
		o.Open = []network.Conductor{network.Conductor(1 + r.IntN(p.Net.Conductors()))}
	case 1:
		o.OpenLoads = []network.Load{network.Load(1 + r.IntN(p.Net.Loads()))}
	case 2:
		o.Joins = [][2]network.Node{{node(), node()}}
	}
	return o
}

// With the wires lifted off a terminal, an ohmmeter never finds less than before,
// whatever is wrong and whichever terminals it is put on: paths go, none comes.
func TestLiftedWireNeverLowersOhms(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, r *rand.Rand, p *work.Panel) {
		terminals := p.Terminals()
		terminal := func() circuits.Terminal { return terminals[r.IntN(len(terminals))] }
		raised := 0
		for range 50 {
			step := r.IntN(len(p.Circuit.Steps))
			o := randomFault(r, p)
			at := terminal()
			if !p.Wired(at) {
				_, err := p.Lift(o, []circuits.Terminal{at})
				require.ErrorContains(t, err, string(at))
				continue
			}
			lifted, err := p.Lift(o, []circuits.Terminal{at})
			require.NoError(t, err)
			st := p.LockedOut(&o, step)
			before, after := p.Net.Off(st, &o.Overlay), p.Net.Off(st, &lifted.Overlay)
			for range 20 {
				x, y := terminal(), terminal()
				if r.IntN(2) == 0 {
					x = at
				}
				was, _ := before.Ohms(p.Node(x), p.Node(y))
				is, _ := after.Ohms(p.Node(x), p.Node(y))
				require.LessOrEqual(t, was, is+1e-9*(1+is), "%s to %s with the wires off %s", x, y, at)
				if is > was+1 {
					raised++
				}
			}
		}
		require.NotZero(t, raised, "lifting never changed anything")
	})
}

// A panel that is locked off at one step after another stands as one that is locked off there at once.
func TestLockingStepByStep(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		p := work.Assemble(c)
		for range 20 {
			o := randomFault(r, p)
			locking := p.Locking(&o)
			for range 5 {
				step := r.IntN(len(p.Circuit.Steps))
				require.Equal(t, p.LockedOut(&o, step), locking.At(step), "%s, step %d", name, step)
			}
		}
	}
}

// A wire that is open reads in ohms as one that is lifted at either end.
func TestOpenWireIsALiftedOne(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, r *rand.Rand, p *work.Panel) {
		terminals := p.Terminals()
		for range 20 {
			i := r.IntN(len(p.Circuit.Numbers))
			k := r.IntN(len(p.Circuit.Numbers[i].Wires))
			wire := p.Wire(i, k)
			a, b := p.Net.Ends(wire)
			if a == b {
				continue // both ends on the bonded metalwork
			}
			step := r.IntN(len(p.Circuit.Steps))
			open := network.Overlay{Open: []network.Conductor{wire}}
			st := p.LockedOut(&work.Overlay{}, step)
			want := p.Net.Off(st, &open)
			for _, end := range []network.Node{a, b} {
				o := network.Overlay{}.Lift(p.Net, end, []network.Conductor{wire})
				got := p.Net.Off(st, &o)
				for range 10 {
					x, y := p.Node(terminals[r.IntN(len(terminals))]), p.Node(terminals[r.IntN(len(terminals))])
					was, firm := want.Ohms(x, y)
					is, firm2 := got.Ohms(x, y)
					require.Equal(t, firm, firm2)
					if was != is { // not so where both are +Inf
						require.InDelta(t, was, is, 1e-9*(1+was))
					}
				}
			}
		}
	})
}

// Half the supply gives half of every voltage, at the same angle: between its moves a
// panel is linear, but for what sensors and diodes keep for themselves.
func TestVoltagesInProportionToTheSupply(t *testing.T) {
	var linear atomic.Int32
	t.Cleanup(func() { require.Greater(t, linear.Load(), int32(30)) })
	onRandomPanels(t, func(t *testing.T, r *rand.Rand, p *work.Panel) {
		if p.Net.Diodes() {
			return
		}
		linear.Add(1)
		o := randomFault(r, p)
		p.Work(&o, func(step int, e *work.End) bool {
			half := network.State{Closed: e.State.Closed, EMF: make([]complex128, len(e.State.EMF))}
			for i, v := range e.State.EMF {
				half.EMF[i] = v / 2
			}
			l := p.Net.Live(half, &o.Overlay)
			if len(l.Shorts()) > 0 || len(e.Collapsed) > 0 {
				return false
			}
			for range 50 {
				x, y := network.Node(1+r.IntN(p.Net.Nodes())), network.Node(1+r.IntN(p.Net.Nodes()))
				v, firm := e.Live.Between(x, y)
				v2, firm2 := l.Between(x, y)
				require.Equal(t, firm, firm2)
				require.InDelta(t, v/2, v2, 1e-9*(1+v))
			}
			return true
		})
	})
}
