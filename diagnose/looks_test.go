package diagnose

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// ofText is the model of a circuit file.
func ofText(t *testing.T, text string) *Model {
	t.Helper()
	c, problems := read.Read("looks.yaml", []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), Options{})
	require.NoError(t, err)
	return m
}

// alternating is a panel of one relay that changes over each time its coil lets go.
func alternating(t *testing.T) *Model {
	t.Helper()
	return ofText(t, `
circuit: Two pumps by turns
devices:
  G1: {type: supply, volts: 120, amps: 2}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  ALT1: {type: alternating-relay, contacts: [{common: 11, nc: 12, no: 14}]}
  H1: {type: lamp}
  H2: {type: lamp}
wires:
  1: [G1:L, F1:1]
  2: [G1:N, ALT1:A2, H1:2, H2:2]
  3: [F1:2, PB1:13, ALT1:11]
  4: [PB1:14, ALT1:A1]
  5: [ALT1:12, H1:1]
  6: [ALT1:14, H2:1]
operation:
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`)
}

// usualAt is what a good circuit shows at a look.
func usualAt(t *testing.T, m *Model, c log.Check) log.Reading {
	t.Helper()
	r, err := m.Usual(c)
	require.NoError(t, err, "%s", c)
	return r
}

// A device with two looks shows each in its own time: the contacts of an alternating relay
// change over as its coil lets go.
func TestTwoLooksAtOneDevice(t *testing.T) {
	m := alternating(t)
	for _, test := range []struct {
		step       string
		over, coil bool
	}{{"rest", false, false}, {"pressed", false, true}, {"let go", true, false}} {
		over := usualAt(t, m, log.Check{Look: "ALT1", Step: test.step})
		coil := usualAt(t, m, log.Check{Look: "ALT1", Part: "coil", Step: test.step})
		assert.Equal(t, [2]bool{test.over, test.coil}, [2]bool{over.On, coil.On}, test.step)
		assert.True(t, over.Firm && coil.Firm, test.step)
	}
	listed := 0
	for _, c := range m.Checks() {
		if c.Part == "coil" {
			listed++
		}
	}
	assert.Equal(t, 3, listed, "looks at the coil, one for each step")

	// An open coil never pulls in; of a stuck armature nobody can tell.
	for i, f := range m.Faults() {
		c := log.Check{Look: "ALT1", Part: "coil", Step: "pressed"}
		r, err := m.Meter(i).Read(c)
		require.NoError(t, err)
		l, err := m.book.Locate(c)
		require.NoError(t, err)
		assert.Equal(t, r, m.foretell(i, l), "%s", f.Text)
		switch {
		case strings.HasSuffix(string(f.ID), "ALT1-coil-open"):
			assert.Equal(t, log.Reading{Kind: log.Look, Firm: true}, r, "%s", f.Text)
		case f.Effect.Stuck == "ALT1":
			assert.False(t, r.Firm, "%s", f.Text)
		}
	}
}

// A look at a part is another check than the look at the device, and what a device has no
// part of is refused with what it has.
func TestLookAtAPart(t *testing.T) {
	m := alternating(t)
	key := func(c log.Check) any {
		l, err := m.book.Locate(c)
		require.NoError(t, err)
		assert.Equal(t, c, m.book.Check(l))
		return m.book.Key(l)
	}
	assert.NotEqual(t, key(log.Check{Look: "ALT1", Step: "rest"}), key(log.Check{Look: "ALT1", Part: "coil", Step: "rest"}))
	for _, test := range []struct{ check, says string }{
		{`{"look":"ALT1","part":"flag","step":"rest"}`, `ALT1 has no part "flag" that can be looked at; it has "coil"`},
		{`{"look":"H1","part":"coil","step":"rest"}`, `H1 has no part "coil" that can be looked at: there is one look at a lamp`},
		{`{"volts":["F1:2","ALT1:A2"],"part":"coil","step":"rest"}`, `it is for looks only`},
	} {
		c, err := log.ParseCheck([]byte(test.check))
		require.NoError(t, err)
		_, err = m.book.Locate(c)
		assert.ErrorContains(t, err, test.says, test.check)
	}
}

// A second look at one device in the same step costs the look alone.
func TestSecondLookCostsTheLookAlone(t *testing.T) {
	m := alternating(t)
	l, err := m.book.Locate(log.Check{Look: "ALT1", Part: "coil", Step: "let go"})
	require.NoError(t, err)
	assert.InDelta(t, LookMinutes, m.making(l), 1e-9)
	first, err := m.book.Locate(log.Check{Look: "ALT1", Step: "let go"})
	require.NoError(t, err)
	here, _, _ := m.book.Area(first)
	assert.Zero(t, m.walking(here, l, false))
}
