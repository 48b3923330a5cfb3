package faultmodel_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// brake is a coil for dc behind a rectifier; ohms is what the file gives the coil.
const brake = `circuit: Brake
devices:
  PWS1: {type: supply, volts: %g}
  F1: {type: fuse, amps: 1}
  PE: {type: ground}
  S1: {type: selector-switch, positions: [off, on], contacts: [{no: [1, 2]}]}
  BR1: {type: bridge-rectifier}
  Y1: {type: solenoid, ohms: %g}
wires:
  1: [PWS1:L, F1:1]
  2: [F1:2, S1:1]
  3: [S1:2, BR1:AC1]
  4: [[PWS1:N, BR1:AC2], [PWS1:N, PE:1]]
  5: [BR1:+, Y1:1]
  6: [BR1:-, Y1:2]
operation:
  - step: off
    expect: {Y1: off}
  - step: on
    set: {S1: on}
    expect: {Y1: on}
`

var measured = regexp.MustCompile(`(?m)^(\w+)\s*=\s*([-+.0-9e]+)`)

// transient has the simulator work the circuit with four diodes through some cycles. A diode is as
// the map says, "open" or "shorted". It gives the mean volts across the coil, and from + to the
// grounded side, and the RMS amperes in the feed, over the last cycles.
func transient(t *testing.T, volts, ohms, henry float64, state map[string]string) map[string]float64 {
	var deck strings.Builder
	fmt.Fprintf(&deck, "* bridge\nV1 l 0 sin(0 %g 60)\nRfeed l ac1 0.05\nRy plus y %g\n", volts*math.Sqrt2, ohms)
	if henry > 0 {
		fmt.Fprintf(&deck, "Ly y minus %g\n", henry)
	} else {
		deck.WriteString("Ry2 y minus 1e-3\n")
	}
	deck.WriteString("Rleak minus 0 1e9\n")
	for _, d := range [][3]string{{"AC1-+", "ac1", "plus"}, {"AC2-+", "0", "plus"}, {"--AC1", "minus", "ac1"}, {"--AC2", "minus", "0"}} {
		switch state[d[0]] {
		case "open":
		case "shorted":
			fmt.Fprintf(&deck, "R%s%s %s %s 1e-3\n", d[1], d[2], d[1], d[2])
		default:
			fmt.Fprintf(&deck, "D%s%s %s %s si\n", d[1], d[2], d[1], d[2])
		}
	}
	deck.WriteString(".model si d(is=7e-9 n=1.8 rs=0.03)\n.tran 50u 150m 0 50u\n" +
		"Ecoil across 0 plus minus 1\nRcoil across 0 1e6\n" +
		".meas tran coil avg v(across) from=100m to=150m\n.meas tran ground avg v(plus) from=100m to=150m\n" +
		".meas tran amps rms i(V1) from=100m to=150m\n.end\n")
	file := filepath.Join(t.TempDir(), "deck.cir")
	require.NoError(t, os.WriteFile(file, []byte(deck.String()), 0o600))
	out, _ := exec.Command("ngspice", "-b", file).CombinedOutput() // it says that it failed where it plots nothing
	found := make(map[string]float64)
	for _, m := range measured.FindAllStringSubmatch(string(out), -1) {
		var err error
		found[m[1]], err = strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
	}
	for _, name := range []string{"coil", "ground", "amps"} {
		require.Contains(t, found, name, "%s", out)
	}
	return found
}

// What a meter on dc reads behind a rectifier is what a general circuit simulator finds with four
// real diodes, within 3 %: 0.9 times what feeds it less two drops, and half of that with any one
// diode open, with a plain resistance and with a coil, whose current the diodes that are left take
// on, which costs it some tenths of a volt more. A shorted diode draws many times what the fuse carries. Between the two sides half of the
// volts come and go, so that nothing there is firm.
func TestSimulatedRectifier(t *testing.T) {
	needSimulator(t)
	for _, volts := range []float64{24, 120, 230} {
		ohms := volts * volts / 20
		p := assembled(t, "brake", fmt.Sprintf(brake, volts, ohms))
		faults := faultmodel.List(p, faultmodel.Options{})
		plus, minus, ret := p.Node("BR1:+"), p.Node("BR1:-"), p.Node("PWS1:N")
		read := func(o *work.Overlay) (coil float64, e *work.End) {
			p.Work(o, func(step int, end *work.End) bool { e = end; return true })
			coil, firm := e.ReadVolts(plus, minus, network.MeterOhms)
			assert.True(t, firm)
			return coil, e
		}
		for _, henry := range []float64{0, ohms / 377} {
			ours, e := read(&work.Overlay{})
			theirs := transient(t, volts, ohms, henry, nil)
			assert.InEpsilon(t, theirs["coil"], ours, 0.03, "%g V, %g H", volts, henry)
			assert.Greater(t, math.Abs(theirs["ground"]), 0.3*volts, "floats against the feed")
			_, firm := e.ReadVolts(plus, ret, network.MeterOhms)
			assert.False(t, firm)
			opens, shorts := 0, 0
			for i := range faults {
				f := &faults[i]
				name := strings.TrimPrefix(strings.TrimPrefix(string(f.ID), "open-BR1:"), "shorted-BR1:")
				switch {
				case f.Effect.OpenDiode != nil:
					opens++
					ours, _ := read(&f.Overlay)
					theirs := transient(t, volts, ohms, henry, map[string]string{name: "open"})
					assert.InDelta(t, theirs["coil"], ours, max(0.8, 0.03*volts), "%g V, %g H, %s", volts, henry, f.ID)
				case f.Effect.ShortedDiode != nil:
					shorts++
					_, e := read(&f.Overlay)
					assert.True(t, slices.Contains(e.Blown, p.Device("F1")), f.ID)
					assert.Greater(t, transient(t, volts, ohms, henry, map[string]string{name: "shorted"})["amps"], 20.0, "%s", f.ID)
				}
			}
			assert.Equal(t, [2]int{4, 4}, [2]int{opens, shorts})
		}
	}
}

// Whatever touches the grounded feed behind a rectifier shorts it in one half of the cycle, and so
// does a coil that is shorted. With nothing grounded a first ground behind it stops nothing. Not even
// a leak makes a reading between the two sides firm.
func TestRectifierSides(t *testing.T) {
	grounded := fmt.Sprintf(brake, 120.0, 500.0)
	floating := strings.Replace(grounded, "4: [[PWS1:N, BR1:AC2], [PWS1:N, PE:1]]", "4: [PWS1:N, BR1:AC2]", 1)
	for text, blows := range map[string]map[string]bool{
		grounded: {"ground-5": true, "ground-6": true, "shorted-Y1": true, "short-3-5": true, "short-4-6": true, "shorted-BR1:AC1-+": true},
		floating: {"ground-5": false, "ground-6": false, "shorted-Y1": true, "short-3-5": true},
	} {
		p := assembled(t, "brake", text)
		faults := faultmodel.List(p, faultmodel.Options{})
		for id, yes := range blows {
			i, err := faultmodel.Find(faults, id)
			require.NoError(t, err)
			var last *work.End
			p.Work(&faults[i].Overlay, func(step int, e *work.End) bool { last = e; return true })
			assert.Equal(t, yes, len(last.Blown) > 0, id)
			coil, _ := last.ReadVolts(p.Node("Y1:1"), p.Node("Y1:2"), network.MeterOhms)
			assert.Equal(t, yes, coil < 1, "%s: %g V", id, coil)
		}
		var leak work.Overlay
		leak.Leaks = []network.Leak{{A: p.Node("BR1:+"), B: p.Node("PWS1:N"), Ohms: 20e3}}
		p.Work(&leak, func(step int, e *work.End) bool {
			for _, a := range []string{"+", "-"} {
				for _, b := range []string{"AC1", "AC2"} {
					_, firm := e.ReadVolts(p.Node(p.Device("BR1").Terminal(a)), p.Node(p.Device("BR1").Terminal(b)), network.MeterOhms)
					assert.False(t, firm)
				}
			}
			coil, firm := e.ReadVolts(p.Node("BR1:+"), p.Node("BR1:-"), network.MeterOhms)
			assert.True(t, firm)
			assert.Equal(t, step == 1, coil > 100)
			return true
		})
		// With the power off nothing through a diode is firm; a shorted one reads near zero, firmly.
		off := p.Net.Off(p.LockedOut(&work.Overlay{}, 0), &network.Overlay{})
		for _, pair := range [][2]string{{"AC1", "AC2"}, {"AC1", "+"}, {"+", "-"}, {"-", "AC2"}} {
			_, firm := off.Ohms(p.Node(p.Device("BR1").Terminal(pair[0])), p.Node(p.Device("BR1").Terminal(pair[1])))
			assert.False(t, firm, pair)
		}
		i, err := faultmodel.Find(faults, "shorted-BR1:AC1-+")
		require.NoError(t, err)
		off = p.Net.Off(p.LockedOut(&faults[i].Overlay, 0), &faults[i].Overlay.Overlay)
		ohms, firm := off.Ohms(p.Node("BR1:AC1"), p.Node("BR1:+"))
		assert.True(t, firm)
		assert.Zero(t, ohms)
	}
}
