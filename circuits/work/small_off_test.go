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
			if !local.Solve(p.LockedBase(p.Net, step, false, nil), &o, lifted) {
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
