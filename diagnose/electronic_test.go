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
