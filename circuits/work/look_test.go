package work

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
)

// A coil pulls in at 85 % of its rated volts or more. Source: IEC 60947-4-1, must operate
// at 85 to 110 %.
func TestPullIn(t *testing.T) {
	for _, test := range []struct {
		name    string
		percent float64 // of its rated 120 V
		keys    string  // of the coil
		on      bool
	}{
		{"85 %", 85, "", true},
		{"84.9 %", 84.9, "", false},
		{"110 %", 110, "", true},
		{"its own 75 %", 75, ", pull-in: 75", true},
		{"below its own 75 %", 74.9, ", pull-in: 75", false},
		{"its own 95 %", 90, ", pull-in: 95", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := small(t, fmt.Sprintf("\n  G1: {type: supply, volts: %g}\n  CR1: {type: relay, volts: "+
				"120%s}\n", 1.2*test.percent, test.keys),
				"\n  L: [G1:L, CR1:A1]\n  N: [G1:N, CR1:A2]\n", "\n  - {step: a}\n")
			on, firm := p.Look(&Overlay{}, ends(p, nil)[0], p.Circuit.Device("CR1"))
			assert.Equal(t, test.on, on)
			assert.True(t, firm)
		})
	}
}

// Once in, a coil holds down to 50 % of its rated volts. Common practice, no source;
// IEC 60947-4-1 bounds it: must not release above 75 %, must have released at 20 % ac,
// 10 % dc.
func TestHold(t *testing.T) {
	// A dc coil of 100 ohm behind a resistance that a button bridges: a motor that is
	// nothing but its ohms. So the coil has 100 / (100 + ohms) of its rated 24 V.
	for _, test := range []struct {
		name   string
		series float64 // ohms
		keys   string  // of the coil
		want   []string
	}{
		{"86 % pulls in as well", 16.3, "", []string{"", "CR1", "CR1", "CR1"}},
		{"75 %: must not release above it", 33.3, "", []string{"", "", "CR1", "CR1"}},
		{"50.1 %", 99.6, "", []string{"", "", "CR1", "CR1"}},
		{"49.9 %", 100.4, "", []string{"", "", "CR1", ""}},
		{"10 %: must have released", 900, "", []string{"", "", "CR1", ""}},
		{"33 % with its own drop-out of 30 %", 200, ", drop-out: 30", []string{"", "", "CR1", "CR1"}},
		{"29 % with its own drop-out of 30 %", 240, ", drop-out: 30", []string{"", "", "CR1", ""}},
		{"42 % with its own pull-in of 40 %", 140, ", pull-in: 40", []string{"", "CR1", "CR1", "CR1"}},
		{"39 % with its own pull-in of 40 %", 156, ", pull-in: 40", []string{"", "", "CR1", ""}},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := small(t, fmt.Sprintf(`
  G1: {type: supply, current: dc, volts: 24}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}], note: bridges the resistance}
  M1: {type: motor, ohms: %g}
  CR1: {type: relay, ohms: 100%s}
`, test.series, test.keys), `
  1: [G1:+, PB1:13]
  2: [PB1:14, PB2:13, M1:1]
  3: [PB2:14, M1:2, CR1:A1]
  4: [G1:-, CR1:A2]
`, `
  - {step: rest}
  - {step: through the resistance, set: {PB1: pressed}}
  - {step: bridged, set: {PB2: pressed}}
  - {step: through the resistance again, set: {PB2: released}}
`)
			var got []string
			for _, e := range ends(p, nil) {
				on, firm := p.Look(&Overlay{}, e, p.Circuit.Device("CR1"))
				assert.True(t, firm)
				got = append(got, map[bool]string{true: "CR1"}[on])
			}
			assert.Equal(t, test.want, got)
		})
	}
}

// An ac coil is R + jX, so the voltages of a lamp and a coil
// in series do not add up as numbers do.
func TestCoilAndLampInSeriesOnAC(t *testing.T) {
	p := small(t, `
  H1: {type: lamp, va: 3}
  CR1: {type: relay, va: 3}
`, "\n  L: [G1:L, H1:1]\n  1: [H1:2, CR1:A1]\n  N: [G1:N, CR1:A2]\n", "\n  - {step: a}\n")
	e := ends(p, nil)[0]
	// Both 3 VA at 120 V, so 4800 ohm each; the coil's R is 2400 ohm, its X the rest.
	const r, lamp, coil = 2400.0, 4800.0, 4800.0
	x := math.Sqrt(coil*coil - r*r)
	each := 120 * coil / math.Hypot(lamp+r, x)
	for _, leads := range [][2]circuits.Terminal{{"H1:1", "H1:2"}, {"CR1:A1", "CR1:A2"}} {
		v, firm := e.ReadVolts(p.Node(leads[0]), p.Node(leads[1]), network.MeterOhms)
		assert.True(t, firm)
		assert.InDelta(t, each, v, 0.1, "%v", leads) // the meter takes 0.05 % of it
	}
	assert.InDelta(t, 69.3, each, 0.05)
	assert.Greater(t, 2*each, 120.0, "a sum of magnitudes would have been 120")
	assert.Equal(t, "H1", shown(p, nil, e), "the lamp is lit through the coil, which does not pull in")
}

// Loads in series share the supply: what a person sees of a partial voltage is firm
// only where it is plain, and holds for every lamp or coil that the file leaves room for:
// of lamps that the file gives no ohms, one may get most of the supply. Common practice, no
// source.
func TestPartialVoltage(t *testing.T) {
	lamps := func(n int, given string) worked {
		wires := fmt.Sprintf("\n  L: [G1:L, H1:1]\n  N: [G1:N, H%d:2]\n", n)
		for i := 1; i < n; i++ {
			wires += fmt.Sprintf("  %d: [H%d:2, H%d:1]\n", i, i, i+1)
		}
		return worked{devices: repeated("  H#: {type: lamp"+given+"}\n", n), wires: wires}
	}
	const known = ", va: 3"
	unequal := lamps(2, known)
	unequal.devices = "  H1: {type: lamp, va: 3}\n  H2: {type: lamp, va: 6}\n"
	hornAndSolenoid := func(horn, solenoid string) worked {
		return worked{
			devices: "\n  B1: {type: horn" + horn + "}\n  Y1: {type: solenoid" + solenoid + "}\n",
			wires:   "\n  L: [G1:L, B1:1]\n  1: [B1:2, Y1:1]\n  N: [G1:N, Y1:2]\n",
		}
	}
	for _, c := range []struct {
		worked
		name  string
		fault func(*Panel) *Overlay
		want  string
	}{
		{name: "two lamps in series burn at half, or one takes most", worked: lamps(2, ""), want: "H1? H2?"},
		{name: "the greater of two known lamps burns", worked: unequal, want: "H1 H2?"},
		{name: "four glimmer", worked: lamps(4, ""), want: "H1? H2? H3? H4?"},
		{name: "four known lamps glimmer", worked: lamps(4, known), want: "H1? H2? H3? H4?"},
		{name: "sixteen known lamps are dark", worked: lamps(16, known), want: ""},
		{name: "of three one may take most", worked: lamps(3, ""), want: "H1? H2? H3?"},
		{name: "one open puts out all", worked: lamps(2, ""), fault: openLoad("H2"), want: ""},
		{name: "one shorted gives the other all", worked: lamps(2, ""), fault: shorted("H2"), want: "H1"},
		{name: "a horn in series with a solenoid may hum, or the solenoid pull in", worked: hornAndSolenoid("", ""), want: "B1? Y1?"},
		{name: "a known solenoid in series with a known horn stays out", worked: hornAndSolenoid(", va: 10", ", va: 20"), want: "B1?"},
	} {
		c.worked.name, c.worked.fault, c.worked.want = c.name, c.fault, []string{c.want}
		c.steps = "\n  - {step: a}\n"
		c.run(t)
	}
}

// Across the only open point of a rung the meter reads the full supply; across a
// closed contact 0 V; across an open contact in a rung with a second open, whatever
// stray coupling gives. The meter is a branch of 10 megohm (handheld meter manuals).
func TestMeterInARung(t *testing.T) {
	p := small(t, `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay}
`, `
  L: [G1:L, PB1:13]
  1: [PB1:14, PB2:13]
  2: [PB2:14, CR1:A1]
  N: [G1:N, CR1:A2]
`, `
  - {step: both open}
  - {step: one open, set: {PB2: pressed}}
  - {step: both closed, set: {PB1: pressed}}
`)
	all := ends(p, nil)
	type want struct {
		step  int
		a, b  circuits.Terminal
		volts float64
		firm  bool
	}
	for _, w := range []want{
		{1, "PB1:13", "PB1:14", 120, true},
		{1, "PB2:13", "PB2:14", 0, true},
		{0, "PB1:13", "PB1:14", 0, false},
		{0, "PB2:13", "PB2:14", 0, false},
		{0, "PB1:14", "G1:N", 0, false},
		{0, "CR1:A1", "G1:N", 0, true}, // the coil ties it to the grounded side
		{1, "CR1:A1", "G1:N", 0, true},
		{2, "CR1:A1", "G1:N", 120, true},
		{2, "PB1:13", "PB1:14", 0, true},
	} {
		v, firm := all[w.step].ReadVolts(p.Node(w.a), p.Node(w.b), network.MeterOhms)
		assert.Equal(t, w.firm, firm, "%v", w)
		if w.firm {
			assert.InDelta(t, w.volts, v, 0.1, "%v", w)
		}
	}

	// The meter's own current: 4800 ohm of coil in series with 10 megohm.
	v, _ := all[1].ReadVolts(p.Node("PB1:13"), p.Node("PB1:14"), network.MeterOhms)
	assert.Less(t, v, 120.0)
	assert.InDelta(t, 120*10e6/math.Hypot(10e6+2400, 4157), v, 1e-3)

	// Low-impedance mode, about 3 kilohm (handheld meter manuals), nearly pulls the relay
	// in: about a third of the supply is left across the open contact.
	v, firm := all[1].ReadVolts(p.Node("PB1:13"), p.Node("PB1:14"), network.LowImpedanceOhms)
	assert.True(t, firm)
	assert.InDelta(t, 120*3000/math.Hypot(5400, 4157), v, 0.1)
	assert.Less(t, v, 60.0)
}

// An open on the grounded side makes everything up to and past the load read hot; a
// broken return shared by several loads back-feeds through the others. Both
// come out of the network.
func TestOpenOnTheGroundedSide(t *testing.T) {
	const devices = `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
  H2: {type: lamp}
  H3: {type: lamp, note: beside H2 on a return of its own}
`
	// The return of H1 and H2 is one wire, N1: H2:2 to G1:N.
	const wires = `
  L: [G1:L, PB1:13, PB2:13]
  1: [PB1:14, H1:1]
  2: [PB2:14, H2:1, H3:1]
  N:
    - [G1:N, H2:2, H1:2]
    - [G1:N, H3:2]
`
	const steps = "\n  - {step: rest}\n  - {step: first, set: {PB1: pressed}}\n  - {step: both, set: " +
		"{PB2: pressed}}\n"
	p := small(t, devices, wires, steps)
	broken := &Overlay{Overlay: network.Overlay{Open: []network.Conductor{p.Wire(3, 0)}}}
	require.Equal(t, "wire N from G1:N to H2:2", p.Name(p.Wire(3, 0)))

	all := ends(p, broken)
	read := func(step int, at circuits.Terminal) float64 {
		t.Helper()
		v, firm := all[step].ReadVolts(p.Node(at), p.Node("G1:N"), network.MeterOhms)
		require.True(t, firm)
		return v
	}
	// First button: H1 feeds back through H2 and H3 in series to the return of H3.
	assert.InDelta(t, 120, read(1, "H1:1"), 1e-6)
	assert.InDelta(t, 80, read(1, "H1:2"), 0.1)
	assert.InDelta(t, 80, read(1, "H2:2"), 0.1)
	assert.InDelta(t, 40, read(1, "H2:1"), 0.1)
	assert.Equal(t, "H1? H2? H3?", shown(p, broken, all[1]))
	// Both: the shared return is hot, past both loads.
	for _, at := range []circuits.Terminal{"H1:1", "H1:2", "H2:1", "H2:2"} {
		assert.InDelta(t, 120, read(2, at), 0.1, "%s", at)
	}
	assert.Equal(t, "H3", shown(p, broken, all[2]))
	assert.Equal(t, "H1 H2 H3", shown(p, nil, ends(p, nil)[2]))
}

// The lights of a safety relay's channels burn with its supply: without it they tell nothing of the
// channels, which are made.
func TestChannelLightsNeedTheSupply(t *testing.T) {
	text, ok := circuits.BuiltinText("guard-door")
	require.True(t, ok)
	c, problems := read.Read("guard-door.yaml", text)
	require.NoError(t, problems.Err())
	p := Assemble(c)
	d := p.Device("SR1")
	dead := &Overlay{Overlay: network.Overlay{OpenLoads: []network.Load{p.Coil(d, 0)}}}
	for _, o := range []*Overlay{{}, dead} {
		p.Work(o, func(step int, e *End) bool {
			for look := range d.Type.Looks {
				if d.Type.Looks[look].Follows != circuits.TheInput {
					continue
				}
				on, firm := p.See(o, e, Sight{d, look})
				assert.True(t, firm, c.Steps[step].Name)
				door := slices.Contains([]string{"door open", "door opened while running", "emergency stop"}, c.Steps[step].Name)
				assert.Equal(t, !door && o != dead, on, "%s, look %d", c.Steps[step].Name, look)
			}
			return true
		})
	}
}
