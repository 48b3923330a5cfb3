package work

import (
	"math"
	"math/cmplx"
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
)

// rounding is how far a computed resistance may be from the figure of the design page,
// as a share.
const rounding = 1e-9

// values reads one device with the terminals 1 and 2 on a source, and gives its
// electrical values.
func values(t *testing.T, device, source string) Electrical {
	t.Helper()
	p := small(t, "\n  G1: {type: supply, terminals: [L, N], "+source+"}\n  X1: {"+device+"}\n",
		"\n  1: [G1:L, X1:1]\n  2: [G1:N, X1:2]\n", "\n  - {step: a}\n")
	return p.Values(p.Circuit.Device("X1"))
}

// alike holds two resistances together, of which both may be open.
func alike(t *testing.T, want, got float64, what string) {
	t.Helper()
	if math.IsInf(want, 1) || math.IsInf(got, 1) {
		assert.Equal(t, want, got, what)
		return
	}
	assert.InEpsilon(t, want, got, rounding, what)
}

// The table of parts with the power off: running volt-amperes and ohmmeter value
// of parts at 120 V ac, each with the source that the page gives.
func TestElectricalDefaults(t *testing.T) {
	for _, test := range []struct {
		part   string
		device string
		va     float64 // running, at 120 V ac
		ohms   float64 // ohmmeter
		lamp   bool    // a resistance; else R + jX
		source string
	}{
		{"plug-in relay", "type: relay, coil: [1, 2]", 3, 2400, false, "common practice; an octal-base relay data sheet gives 2.2 VA"},
		{"timer coil", "type: timer, coil: [1, 2], seconds: 1", 3, 2400, false, "common practice; an octal-base relay data sheet gives 2.2 VA"},
		{"contactor coil", "type: contactor, coil: [1, 2]", 10, 240, false, "common practice, no source"},
		{"filament pilot lamp", "type: lamp", 3, 480, true, "ratio: university lecture demonstrations, 240 ohm hot, 24 ohm cold for 60 W 120 V"},
		{"LED pilot lamp", "type: lamp, kind: led", 1, openCircuit, true, "common practice: a meter's test voltage does not light it"},
		{"horn", "type: horn", 8, 900, false, "common practice, no source"},
		{"solenoid", "type: solenoid", 20, 180, false, "common practice, no source"},
		{"small motor", "type: motor", 60, 30, false, "common practice, no source"},
	} {
		t.Run(test.part, func(t *testing.T) {
			at120 := values(t, test.device, "volts: 120")
			alike(t, 120*120/test.va, cmplx.Abs(at120.Running), "running; "+test.source)
			alike(t, test.ohms, at120.Ohms, "ohmmeter; "+test.source)
			assert.Equal(t, 120.0, at120.Volts)
			assert.False(t, at120.DC)
			if test.lamp {
				assert.Zero(t, imag(at120.Running), "a lamp is a resistance")
			} else {
				alike(t, test.ohms, real(at120.Running), "an ac coil is R + jX with its ohmmeter value for R")
				assert.Positive(t, imag(at120.Running))
			}

			at24 := values(t, test.device, "volts: 24")
			alike(t, 24*24/test.va, cmplx.Abs(at24.Running), "at other voltages the same VA")
			alike(t, test.ohms*24*24/(120*120), at24.Ohms, "ohms in proportion to volts squared")

			dc := values(t, test.device, "volts: 24, current: dc")
			assert.True(t, dc.DC)
			assert.Zero(t, imag(dc.Running))
			alike(t, 24*24/test.va, real(dc.Running), "on dc the same VA")
			if test.lamp {
				alike(t, test.ohms*24*24/(120*120), dc.Ohms, "a lamp on dc is as on ac")
			} else {
				alike(t, real(dc.Running), dc.Ohms, "dc coils: running = ohmmeter")
			}
		})
	}
}

// openCircuit is what an ohmmeter reads across nothing.
var openCircuit = math.Inf(1)

// A coil's ohmmeter value is its dc resistance, 1/2 to 1/8 of its running impedance,
// whatever its volts and volt-amperes.
func TestCoilOhmsAgainstRunning(t *testing.T) {
	for _, part := range []string{"type: relay, coil: [1, 2]", "type: contactor, coil: [1, 2]",
		"type: horn", "type: solenoid", "type: motor"} {
		for _, keys := range []string{"", ", va: 1.5", ", va: 9", ", va: 60", ", volts: 48"} {
			for _, source := range []string{"volts: 120", "volts: 24", "volts: 230, hertz: 50"} {
				e := values(t, part+keys, source)
				ratio := e.Ohms / cmplx.Abs(e.Running)
				assert.LessOrEqual(t, ratio, 1/2.0+rounding, "%s%s on %s", part, keys, source)
				assert.GreaterOrEqual(t, ratio, 1/8.0-rounding, "%s%s on %s", part, keys, source)
			}
		}
	}
}

// ohms and va in the file override.
func TestElectricalOverrides(t *testing.T) {
	for _, test := range []struct {
		name    string
		device  string
		source  string
		running float64 // magnitude in ohms
		ohms    float64
		volts   float64
	}{
		{"relay, va", "type: relay, coil: [1, 2], va: 2.2", "volts: 120", 120 * 120 / 2.2, 120 * 120 / 2.2 / 2, 120},
		{"relay, ohms", "type: relay, coil: [1, 2], ohms: 2000", "volts: 120", 4800, 2000, 120},
		{"relay, both", "type: relay, coil: [1, 2], va: 6, ohms: 900", "volts: 120", 2400, 900, 120},
		{"relay, more ohms than its impedance would be", "type: relay, coil: [1, 2], ohms: 5200", "volts: 120", 5200, 5200, 120},
		{"relay, volts of its own", "type: relay, coil: [1, 2], volts: 24", "volts: 120", 192, 96, 24},
		{"dc relay, ohms", "type: relay, coil: [1, 2], ohms: 650", "volts: 24, current: dc", 650, 650, 24},
		{"dc relay, va", "type: relay, coil: [1, 2], va: 0.9", "volts: 24, current: dc", 640, 640, 24},
		{"lamp, va", "type: lamp, va: 6", "volts: 120", 2400, 240, 120},
		{"lamp, cold ohms", "type: lamp, ohms: 300", "volts: 120", 4800, 300, 120},
		{"LED, va", "type: lamp, kind: led, va: 0.5", "volts: 24, current: dc", 1152, openCircuit, 24},
		{"LED, whatever its ohms", "type: lamp, kind: led, ohms: 2000", "volts: 24", 2000, openCircuit, 24},
		{"motor, ohms and va", "type: motor, ohms: 12, va: 120", "volts: 120", 120, 12, 120},
	} {
		t.Run(test.name, func(t *testing.T) {
			e := values(t, test.device, test.source)
			alike(t, test.running, cmplx.Abs(e.Running), "running")
			alike(t, test.ohms, e.Ohms, "ohmmeter")
			assert.Equal(t, test.volts, e.Volts, "rated")
			assert.InDelta(t, 0.85*test.volts, e.PullIn, 1e-9, "IEC 60947-4-1")
			assert.InDelta(t, 0.50*test.volts, e.DropOut, 1e-9, "common practice, no source")
		})
	}
}

// A coil without volts of its own is rated for the source that it hangs on.
func TestRatedForItsSource(t *testing.T) {
	p := small(t, `
  G1: {type: supply, volts: 240}
  G2: {type: supply, volts: 24, current: dc}
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  S1: {type: selector-switch, positions: [off, on], contacts: [{no: [1, 2]}, {no: [3, 4]}, {no: [5, 6]}]}
  CR1: {type: relay, note: on the feed}
  CR2: {type: relay, note: on the transformer}
  CR3: {type: relay, note: "on 24 V, its return shared with the transformer"}
`, `
  1L: [G1:L, T1:H1, S1:1]
  2L: [S1:2, CR1:A1]
  N: [G1:N, T1:H2, CR1:A2]
  1: [T1:X1, S1:3]
  3: [S1:4, CR2:A1]
  2: [T1:X2, CR2:A2, G2:-, CR3:A2]
  +24: [G2:+, S1:5]
  4: [S1:6, CR3:A1]
`, "\n  - {step: rest}\n  - {step: on, set: {S1: on}}\n")
	for name, want := range map[string]Electrical{"CR1": {Volts: 240}, "CR2": {Volts: 120},
		"CR3": {Volts: 24, DC: true}, "T1": {Volts: 240}} {
		e := p.Values(p.Circuit.Device(name))
		assert.Equal(t, want.Volts, e.Volts, name)
		assert.Equal(t, want.DC, e.DC, name)
	}
	assert.Equal(t, "CR1 CR2 CR3", shown(p, nil, ends(p, nil)[1]))
}

// Sources with the power locked off: a transformer's secondary stays as 2 ohm (common
// practice, no source) or its own ohms; an ac supply is open at its line side; an
// electronic dc supply reads unknown.
func TestSourceWithPowerOff(t *testing.T) {
	for _, test := range []struct {
		name   string
		source string
		a, b   string
		ohms   float64
		firm   bool
	}{
		{"control transformer", "type: control-transformer, volts: 120", "X1", "X2", 2, true},
		{"control transformer with its own ohms", "type: control-transformer, volts: 120, ohms: 0.7", "X1", "X2", 0.7, true},
		{"ac supply", "type: supply, volts: 120", "L", "N", openCircuit, true},
		{"dc supply", "type: supply, volts: 24, current: dc", "+", "-", openCircuit, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := small(t, "\n  G1: {"+test.source+"}\n  H1: {type: lamp, kind: led}\n",
				"\n  1: [G1:"+test.a+", H1:1]\n  2: [G1:"+test.b+", H1:2]\n", "\n  - {step: a}\n")
			none := &Overlay{}
			st := p.LockedOut(none, 0)
			ohms, firm := p.Net.Off(st, &none.Overlay).Ohms(p.Node(circuits.Terminal("G1:"+test.a)),
				p.Node(circuits.Terminal("G1:"+test.b)))
			assert.Equal(t, test.firm, firm)
			if firm {
				alike(t, test.ohms, ohms, "between its terminals")
			}
		})
	}
}
