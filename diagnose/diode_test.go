package diagnose

import (
	"context"
	"math"
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

const withDiodes = `
circuit: Lamp test
devices:
  G1: {type: supply, current: dc, volts: 24}
  F1: {type: fuse, amps: 2}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  D1: {type: diode}
  H1: {type: lamp}
  CR1: {type: relay}
  D2: {type: diode}
rungs:
  - {feed: [G1, F1]}
  - [PB1, wire 10, H1]
  - [PB2, D1, wire 10]
  - [PB2:14, {parallel: [CR1, D2:K-A]}]
operation:
  - {step: at rest, expect: {H1: off, CR1: off}}
  - {step: test, set: {PB2: pressed}, expect: {H1: on, CR1: on}}
  - {step: lamp, set: {PB2: released, PB1: pressed}, expect: {H1: on, CR1: off}}
`

// A diode test has a direction: forward a silicon diode shows 0.4 to 0.8 V, the other way round OL; open it
// shows OL both ways, shorted nothing. A coil across it hides it: 192 ohm (3 VA at 24 V) take less of the
// meter's volts than the diode needs.
func TestDiodeTest(t *testing.T) {
	c, problems := read.Read("diodes.yaml", []byte(withDiodes))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{})
	require.NoError(t, err)
	alone := func(d circuits.Terminal) []circuits.Terminal { return []circuits.Terminal{d} }
	forward := log.Check{Diode: []circuits.Terminal{"D1:A", "D1:K"}, Lifted: alone("D1:A")}
	back := log.Check{Diode: []circuits.Terminal{"D1:K", "D1:A"}, Lifted: alone("D1:A")}
	for _, x := range []struct {
		fault         string
		forward, back float64
	}{
		{"", DiodeShows, log.OL}, {"open-D1", log.OL, log.OL}, {"shorted-D1", 0, 0}, {"open-CR1", DiodeShows, log.OL},
	} {
		f := Good
		if x.fault != "" {
			f = slices.IndexFunc(m.faults, func(f faultmodel.Fault) bool { return string(f.ID) == x.fault })
			require.GreaterOrEqual(t, f, 0, x.fault)
		}
		meter := m.Meter(f)
		for check, want := range map[*log.Check]float64{&forward: x.forward, &back: x.back} {
			r, err := meter.Read(*check)
			require.NoError(t, err)
			assert.True(t, r.Firm, "%s %s", x.fault, check)
			assert.Equal(t, want, r.Value, "%s %s", x.fault, check)
			l, err := m.book.Locate(*check)
			require.NoError(t, err)
			believed := m.foretell(f, l)
			assert.True(t, m.agree(l, believed, r), "%s %s: %+v", x.fault, check, believed)
			assert.True(t, m.decides(l, believed), "%s %s: %+v", x.fault, check, believed)
		}
	}

	// Across the coil, the contact of the button that leads elsewhere open: the volts of a divider.
	coil := log.Check{Diode: []circuits.Terminal{"D2:A", "D2:K"}, Step: "at rest"}
	open := slices.IndexFunc(m.faults, func(f faultmodel.Fault) bool { return f.ID == "open-D1" })
	r, err := m.Meter(open).Read(coil)
	require.NoError(t, err)
	assert.True(t, r.Firm)
	assert.InDelta(t, TestVolts*192/(192+TestOhms), r.Value, 0.01)
	l, err := m.book.Locate(coil)
	require.NoError(t, err)
	assert.False(t, m.decides(l, m.foretell(open, l)), "nobody gave the ohms of the coil")

	// Two for each diode are on the list, and they part what nothing else does.
	listed := 0
	for _, l := range m.checks {
		if l.Kind == log.Diode {
			listed++
		}
	}
	assert.Equal(t, 4, listed)
	for f := range m.faults {
		endsInGroup(t, m, f, truthful(t, m, f, ByMinutes))
	}
}

// A reading of a diode test is held against what is foretold as its band says.
func TestDiodeBand(t *testing.T) {
	good := log.Reading{Kind: log.Diode, Value: DiodeShows, Firm: true, Known: true}
	for v, in := range map[float64]bool{0.02: false, 0.35: false, 0.45: true, 0.58: true, 0.79: true, 0.9: false, math.Inf(1): false} {
		assert.Equal(t, in, diodeBand(good).holds(v), "%g", v)
	}
	assert.True(t, diodeBand(log.Reading{Value: log.OL, Known: true}).holds(log.OL))
	assert.False(t, diodeBand(log.Reading{Known: true}).holds(0.5))
}

// Circuits without diodes have no diode tests on their lists.
func TestNoDiodeTestsWithoutDiodes(t *testing.T) {
	with := 0
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		p := work.Assemble(c)
		n := len(p.DiodeConductors())
		with += min(n, 1)
		if n > 0 {
			continue
		}
		m := &Model{worked: &worked{panel: p}}
		m.listDiodes(func(log.Located) { t.Errorf("%s has a diode test", name) })
	}
	assert.Positive(t, with)
}
