package work_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// With the power off, a fault that is worked out against the panel locked off reads as when the
// whole is solved with it: bad joints, leaks, shorts, opens, and wires lifted off a terminal.
func TestSmallChangesWithThePowerOff(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, r *rand.Rand, p *work.Panel) {
		terminals := p.Terminals()
		local := p.OffLocal(p.Net)
		told := 0
		for range 60 {
			o := randomFault(r, p)
			at := terminals[r.IntN(len(terminals))]
			joint := network.Conductor(1 + r.IntN(p.Net.Conductors()))
			if wires := p.Landings(p.Node(at)); len(wires) > 0 && r.IntN(2) == 0 {
				joint = wires[r.IntN(len(wires))]
			}
			o.Joints = []network.Joint{{Conductor: joint, Ohms: math.Pow(10, 4*r.Float64())}}
			for range r.IntN(3) {
				k := network.Leak{A: p.Node(at), B: p.Node(terminals[r.IntN(len(terminals))]),
					Ohms: math.Pow(10, 1+4*r.Float64())}
				k.Inside = r.IntN(2) == 0
				o.Leaks = append(o.Leaks, k)
			}
			if r.IntN(4) == 0 {
				o.LoadScale = []network.LoadScale{{Load: network.Load(1 + r.IntN(p.Net.Loads())),
					Factor: 0.5 + r.Float64()}}
			}
			var lifted []circuits.Terminal
			whole := o
			if p.Wired(at) && r.IntN(3) > 0 {
				lifted = []circuits.Terminal{at}
				var err error
				whole, err = p.Lift(o, lifted)
				require.NoError(t, err)
			}
			step := r.IntN(len(p.Circuit.Steps))
			if !local.Solve(p.LockedBase(p.Net, step, false, nil), &o, lifted, p.Locking(&whole).Kept(step)) {
				continue
			}
			told++
			off := p.Net.Off(p.Semiconductors(p.LockedOut(&whole, step), false), &whole.Overlay)
			for range 40 {
				x, y := terminals[r.IntN(len(terminals))], terminals[r.IntN(len(terminals))]
				if r.IntN(3) == 0 {
					x = at
				}
				want, firm := off.Ohms(p.Node(x), p.Node(y))
				got, sure := local.Ohms(p.Node(x), p.Node(y))
				require.Equal(t, firm, sure, "%s to %s, %g %g %+v, lifted %v", x, y, want, got, o, lifted)
				if firm {
					require.True(t, network.SameOhms(want, got), "%s to %s: %g, %g; %+v, lifted %v", x, y, want, got,
						o, lifted)
				}
			}
		}
		require.NotZero(t, told)
	})
}

// From a base that others branch off, faults read as when the whole is solved with them, the wires
// lifted off one terminal or two, that of a source among them.
func TestLargeChangesWithThePowerOff(t *testing.T) {
	onRandomPanels(t, func(t *testing.T, r *rand.Rand, p *work.Panel) {
		told, branched := 0, 0
		terminals := p.Terminals()
		local := p.OffLocal(p.Net)
		root := p.LockedBranch(p.Net, 0, false)
		for range 60 {
			o := randomFault(r, p)
			var lifted []circuits.Terminal
			for range r.IntN(3) {
				at := terminals[r.IntN(len(terminals))]
				if len(lifted) == 1 && r.IntN(3) == 0 {
					n := p.Node(lifted[0])
					at = p.Terminal(p.Net.Other(p.Landings(n)[0], n)) // the other end of a wire
				}
				if p.Wired(at) && (len(lifted) == 0 || lifted[0] != at) {
					lifted = append(lifted, at)
				}
			}
			whole, err := p.Lift(o, lifted)
			at, ok := local.SolveFrom(root, &o, lifted, make(network.Own))
			if !ok {
				continue
			}
			require.NoError(t, err)
			told++
			if len(lifted) > 0 && at != root {
				branched++
			}
			off := p.Net.Off(p.Semiconductors(p.LockedOut(&whole, 0), false), &whole.Overlay)
			for range 60 {
				x, y := terminals[r.IntN(len(terminals))], terminals[r.IntN(len(terminals))]
				if len(lifted) > 0 && r.IntN(3) == 0 {
					x = lifted[r.IntN(len(lifted))]
				}
				want, firm := off.Ohms(p.Node(x), p.Node(y))
				got, sure := local.Ohms(p.Node(x), p.Node(y))
				require.Equal(t, firm, sure, "%s to %s, %g %g %+v, lifted %v", x, y, want, got, o, lifted)
				if firm {
					require.True(t, network.SameOhms(want, got), "%s to %s: %g, %g; %+v, lifted %v", x, y, want, got, o, lifted)
				}
			}
		}
		require.Greater(t, told, 30)
		require.NotZero(t, branched)
	})
}
