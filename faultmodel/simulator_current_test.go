package faultmodel_test

import (
	"fmt"
	"math/cmplx"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// What hangs on a current transformer gets the current that a simulator finds in its primary, by its
// ratio, less what magnetizes the core: a relay set 3 % below it pulls in, one set 3 % above does
// not. So it is in the good circuit, with the ammeter in the loop shorted, and not with the relay bridged.
func TestSimulatedCurrent(t *testing.T) {
	sim := needSimulator(t)
	file, err := os.ReadFile("../diagnose/testdata/parts/current.yaml")
	require.NoError(t, err)
	with := func(amps float64) *work.Panel {
		return assembled(t, "current", strings.Replace(string(file), "current-relay, amps: 2", fmt.Sprintf("current-relay, amps: %.4f", amps), 1))
	}
	theirs := func(p *work.Panel, o *network.Overlay, e *work.End) float64 {
		solve := func(s *statement) nodeVolts {
			solved, err := sim.Solve(t.TempDir(), 50, []*statement{s})
			require.NoError(t, err)
			return solved[0]
		}
		v := solve(live(p, e.State, o, 50))
		var line complex128
		for i := 1; i <= p.Net.Loads(); i++ {
			l := p.Net.Load(network.Load(i))
			switch p.Node("MTR1:T1") {
			case l.A:
				line += (v[l.A] - v[l.B]) / l.Running
			case l.B:
				line += (v[l.B] - v[l.A]) / l.Running
			}
		}
		require.Greater(t, cmplx.Abs(line), 1.0)
		const ratio = 10.0 / 5
		s := live(p, e.State, o, 50)
		s.add('i', "current transformer", "dc 0 ac "+number(cmplx.Abs(line)/ratio), int(p.Node("CT1:S2")), int(p.Node("CT1:S1")))
		v = solve(s)
		coil := p.Net.Load(p.Load(p.Device("CS1")))
		return cmplx.Abs((v[coil.A] - v[coil.B]) / coil.Running)
	}
	for _, at := range []struct {
		says string
		o    func(*work.Panel) network.Overlay
	}{
		{"good", func(*work.Panel) network.Overlay { return network.Overlay{} }},
		{"ammeter shorted", func(p *work.Panel) network.Overlay {
			return network.Overlay{ShortedLoads: []network.Load{p.Load(p.Device("AM1"))}}
		}},
	} {
		amps := 2.0
		for range 4 { // the burden depends on what the relay is set to
			p := with(amps)
			o := at.o(p)
			p.Work(&work.Overlay{Overlay: o}, func(step int, e *work.End) bool {
				if step == 1 {
					amps = theirs(p, &o, e)
				}
				return true
			})
		}
		assert.Greater(t, amps, 0.5, at.says)
		for factor, in := range map[float64]bool{0.97: true, 1.03: false} {
			p := with(amps * factor)
			p.Work(&work.Overlay{Overlay: at.o(p)}, func(step int, e *work.End) bool {
				on, _ := p.Look(&work.Overlay{Overlay: at.o(p)}, e, p.Device("CS1"))
				assert.Equal(t, step == 1 && in, on, "%s, %.3f A, set to %.2f of it", at.says, amps, factor)
				return true
			})
		}
	}
	p := with(0.5)
	bridged := &work.Overlay{Overlay: network.Overlay{ShortedLoads: []network.Load{p.Load(p.Device("CS1"))}}}
	p.Work(bridged, func(_ int, e *work.End) bool {
		on, _ := p.Look(bridged, e, p.Device("CS1"))
		assert.False(t, on)
		return true
	})
}
