package diagnose

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

const withSensors = `
circuit: sensors
devices:
  PS1: {type: supply, volts: 120}
  F1: {type: fuse}
  PRX1: {type: proximity-switch, contacts: [{no: [3, 4]}]}
  PRX2: {type: proximity-switch, contacts: [{nc: [1, 2]}]}
  PB1: {type: push-button, contacts: [{no: [3, 4]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
wires:
  1: [PS1:L, F1:1]
  2: [F1:2, PRX1:3, PB1:3, CR1:13]
  3: [PRX1:4, PRX2:1]
  4: [PRX2:2, CR1:A1, PB1:4]
  5: [CR1:14, "H1:1"]
  N: [PS1:N, CR1:A2, "H1:2"]
operation:
  - {step: nothing there, expect: {CR1: off, H1: off}}
  - {step: something there, set: {PRX1: operated}, expect: {CR1: on, H1: on}}
  - {step: gone, set: {PRX1: normal}, expect: {CR1: off, H1: off}}
  - {step: button held, set: {PB1: pressed}, expect: {CR1: on, H1: on}}
`

const withKeepers = `
circuit: sensors on direct current
devices:
  G1: {type: supply, current: dc, volts: 24}
  F1: {type: fuse, amps: 2}
  PRX1: {type: proximity-switch, contacts: [{no: [3, 4]}]}
  PRX2: {type: proximity-switch, contacts: [{nc: [1, 2]}]}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  CR2: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
rungs:
  - {feed: [G1, F1]}
  - [PRX1, PB1, CR1]
  - [PRX2, CR2]
  - [CR1 no, CR2 no, H1]
operation:
  - {step: nothing there, expect: {CR1: off, CR2: on, H1: off}}
  - {step: button held, set: {PRX1: operated, PB1: pressed}, expect: {CR1: on, CR2: on, H1: on}}
  - {step: second one too, set: {PRX2: operated}, expect: {CR1: on, CR2: off, H1: off}}
`

// A sensor of two wires keeps up to 8 V of direct current while it conducts (IEC 60947-5-2, from memory):
// what is read across it then, or at its load, is that of a good circuit, and its load is in. More than
// that is a bad joint.
func TestSensorsOfTwoWiresKeepVolts(t *testing.T) {
	c, problems := read.Read("keepers.yaml", []byte(withKeepers))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	require.Empty(t, p.Verify([]byte(withKeepers)))
	m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{})
	require.NoError(t, err)
	fits := func(red, black circuits.Terminal, volts float64) bool {
		l, err := m.book.Locate(log.Check{Volts: []circuits.Terminal{red, black}, Step: "button held"})
		require.NoError(t, err)
		usual, err := m.Usual(m.book.Check(l))
		require.NoError(t, err)
		require.True(t, usual.Firm)
		return m.agree(l, usual, log.Reading{Kind: log.Volts, Value: volts, Firm: true})
	}
	usual, err := m.Usual(log.Check{Volts: []circuits.Terminal{"PRX1:3", "PRX1:4"}, Step: "button held"})
	require.NoError(t, err)
	assert.InDelta(t, circuits.SensorDrop, usual.Value, 1e-6)
	for _, volts := range []float64{0.4, 3, 5.5, 8} {
		assert.True(t, fits("PRX1:3", "PRX1:4", volts), "%g V across a sensor that conducts", volts)
		assert.True(t, fits("CR1:A1", "CR1:A2", 24-volts), "%g V of it", volts)
		assert.Equal(t, volts < 2.4, fits("PB1:13", "PB1:14", volts), "%g V across a button", volts)
	}
	assert.False(t, fits("PRX1:3", "PRX1:4", 11))
	assert.False(t, fits("CR1:A1", "CR1:A2", 13))
	for f := range m.faults {
		endsInGroup(t, m, f, truthful(t, m, f, ByMinutes))
	}
}

// With the power off a sensor is not held, and ohms through it decide nothing: not what is
// wrong in it, and not what lies behind it.
func TestOhmsThroughASensorDecideNothing(t *testing.T) {
	c, problems := read.Read("sensors.yaml", []byte(withSensors))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{})
	require.NoError(t, err)
	electronic := func(d *circuits.Device) bool { return d.Type.Electronic }

	ohms, through, decided := 0, 0, 0
	for i, l := range m.checks {
		if l.Kind != log.Ohms {
			continue
		}
		ohms++
		assert.Contains(t, []int{0, 3}, l.Step, "a sensor alone is held: %s", m.book.Check(l))
		a, _ := p.Terminal(l.A).Split()
		b, _ := p.Terminal(l.B).Split()
		if a == b && electronic(p.Device(a)) {
			through++
			assert.False(t, m.usual[i].Firm, "%s", m.book.Check(l))
		}
		if m.usual[i].Firm {
			decided++
		}
		readings := m.Readings(l)
		for f, fault := range m.faults {
			inside := slices.ContainsFunc(p.Concerns(&fault.Overlay), electronic)
			if inside {
				assert.True(t, sameReading(m.usual[i], readings[f]), "%s tells of %s", m.book.Check(l), fault.ID)
			}
		}
	}
	assert.Positive(t, through)
	assert.Positive(t, decided)
	assert.Less(t, decided, ohms)
	for f := range m.faults {
		endsInGroup(t, m, f, truthful(t, m, f, ByMinutes))
	}
}

// What an ohmmeter may find with semiconductors in the way is worked out by small changes as
// it is by solving the panel whole.
func TestSemiconductorsSmallAndWhole(t *testing.T) {
	c, problems := read.Read("sensors.yaml", []byte(withSensors))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{})
	require.NoError(t, err)
	for _, l := range m.checks {
		if l.Kind != log.Ohms {
			continue
		}
		readings := m.Readings(l)
		for f, fault := range m.faults {
			whole := m.offs(f).read(l)
			require.Equal(t, whole.Firm, readings[f].Firm, "%s with %s", m.book.Check(l), fault.ID)
			require.True(t, !whole.Firm || sameReading(whole, readings[f]), "%s with %s", m.book.Check(l), fault.ID)
		}
	}
}
