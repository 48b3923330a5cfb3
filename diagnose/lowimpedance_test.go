package diagnose

import (
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// In low-impedance mode (about 3 kilohm: handheld meter manuals) a floating conductor
// reads 0 V, firmly, and what is fed back through a coil reads a part of the supply.
func TestLowImpedance(t *testing.T) {
	text, _ := circuits.BuiltinText("cold-store-alarm")
	c, problems := read.Read("cold-store-alarm.yaml", text)
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m := made(p, faultmodel.List(p, faultmodel.Options{}), Options{LowImpedance: true})
	fault := func(id string) int {
		i, err := faultmodel.Find(m.faults, id)
		require.NoError(t, err)
		return i
	}
	read := func(f int, c log.Check) log.Reading {
		r, err := m.Meter(f).Read(c)
		require.NoError(t, err)
		return r
	}
	// Wire 3 past the blown fuse floats with the door shut; with a coil on it it is tied
	// to the grounded side.
	floats := log.Check{Volts: terminals("F1:2", "T1:X2"), Step: "door shut, cold"}
	low := floats
	low.LowImpedance = true
	r := read(fault("open-F1"), floats)
	assert.False(t, r.Firm)
	r = read(fault("open-F1"), low)
	assert.True(t, r.Firm)
	assert.Zero(t, r.Value)

	// With the return of TR1 open its A2 is fed through the coil: a high-impedance meter
	// reads the full supply, a low-impedance one what the coil lets through.
	fed := log.Check{Volts: terminals("TR1:A2", "T1:X2"), Step: "door just opened"}
	f := fault("open-T1:X2-TR1:A2")
	assert.InDelta(t, 120, read(f, fed).Value, 0.2)
	fed.LowImpedance = true
	coils := p.Net.Load(p.Load(c.Device("TR1"))).Running
	// All loads share the broken return; only TR1 is energised on the hot side here.
	want := 120 * network.LowImpedanceOhms / cmplx.Abs(coils+network.LowImpedanceOhms)
	got := read(f, fed)
	assert.True(t, got.Firm)
	assert.InDelta(t, want, got.Value, 0.02*want)

	// It is put between a point and the grounded side only: across an open contact it
	// could nearly pull a small relay in.
	offered := 0
	for _, c := range m.Checks() {
		if c.LowImpedance {
			offered++
			assert.Equal(t, circuits.Terminal("T1:X2"), c.Volts[1], "%s", c)
		}
	}
	assert.Positive(t, offered)
	for i := 0; i < len(m.faults); i += 5 {
		endsInGroup(t, m, i, truthful(t, m, i, ByMinutes))
	}
	_, err := m.Usual(log.Check{Ohms: terminals("F1:1", "F1:2"), LowImpedance: true})
	assert.ErrorContains(t, err, "volts checks only")
}

// The faults of a new build end in their groups as well.
func TestWiringErrorsEndInTheirGroup(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			text, _ := circuits.BuiltinText(name)
			c, problems := read.Read(name, text)
			require.NoError(t, problems.Err())
			p := work.Assemble(c)
			m := made(p, faultmodel.List(p, faultmodel.Options{WiringErrors: true}), Options{})
			tried := 0
			for i, f := range m.faults {
				if (f.Key == faultmodel.MiswiredEnd || f.Key == faultmodel.WiresExchanged) && i%2 == 0 {
					endsInGroup(t, m, i, truthful(t, m, i, ByChecks))
					tried++
				}
			}
			require.Greater(t, tried, 10)
		})
	}
}
