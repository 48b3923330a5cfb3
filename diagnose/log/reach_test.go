package log

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// Who holds a button hears the horn, and does not see the lamp that is somewhere else.
func TestHornIsHeardFromElsewhere(t *testing.T) {
	c, problems := read.Read("call.yaml", []byte(`
circuit: Call
places: {hopper: 5}
devices:
  PWS1: {type: supply, volts: 120}
  PB1: {type: push-button, place: hopper, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: door}
  B1: {type: horn, place: door}
wires:
  1: [PWS1:L, PB1:13]
  2: [PWS1:N, H1:2, B1:2]
  3: [PB1:14, H1:1, B1:1]
operation:
  - step: at rest
    expect: {H1: off, B1: off}
  - step: call
    set: {PB1: pressed}
    expect: {H1: on, B1: on}
`))
	require.NoError(t, problems.Err())
	b := NewBook(work.Assemble(c), nil)
	look := func(device, step string) Located {
		l, err := b.Locate(Check{Look: device, Step: step})
		require.NoError(t, err)
		return l
	}
	place := func(l Located) int { area, _, _ := b.Area(l); return area }
	assert.True(t, b.Within(look("B1", "call")))
	assert.Equal(t, b.AreaOf("hopper"), place(look("B1", "call")))
	assert.Equal(t, b.AreaOf("door"), place(look("B1", "at rest")))
	assert.False(t, b.Within(look("H1", "call")))
	b.Obey(Rules{OutOfReach: []string{"door"}})
	assert.True(t, b.Within(look("B1", "call")))
	assert.False(t, b.Within(look("H1", "at rest")))
}

// Where the lead of a meter reaches, and what the rules of a site leave, on a lamp in the field
// that is switched in the panel.
func TestWithinReachAndRules(t *testing.T) {
	c, problems := read.Read("lamp.yaml", []byte(`
circuit: Lamp
devices:
  PWS1: {type: supply, volts: 120}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, place: panel, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: field}
wires:
  1: [PWS1:L, F1:1]
  2: [PWS1:N, H1:2]
  3: [F1:2, PB1:13]
  4: [PB1:14, H1:1]
operation:
  - step: let go
    expect: {H1: off}
`))
	require.NoError(t, problems.Err())
	b := NewBook(work.Assemble(c), nil)
	within := func(r Rules, check Check) bool {
		b.Obey(r)
		check.Step = "let go"
		l, err := b.Locate(check)
		require.NoError(t, err)
		return b.Within(l)
	}
	pair := func(a, z circuits.Terminal) []circuits.Terminal { return []circuits.Terminal{a, z} }
	plain := Check{Ohms: pair("F1:1", "F1:2")}
	lifted := Check{Ohms: pair("H1:1", "H1:2"), Lifted: []circuits.Terminal{"H1:1"}}
	across := Check{Ohms: pair("F1:2", "H1:2")}
	live := Check{Volts: pair("F1:1", "F1:2")}
	look := Check{Look: "H1"}
	for _, test := range []struct {
		about                             string
		rules                             Rules
		plain, lifted, across, live, look bool
	}{
		{"no rules", Rules{}, true, true, false, true, true},
		{"no lifting", Rules{NoLift: true}, true, false, false, true, true},
		{"no live work", Rules{NoLive: true}, true, true, false, false, true},
		{"looks only", Rules{LooksOnly: true}, false, false, false, false, true},
		{"a long lead", Rules{LongLead: true}, true, true, true, true, true},
	} {
		assert.Equal(t, test.plain, within(test.rules, plain), test.about)
		assert.Equal(t, test.lifted, within(test.rules, lifted), test.about)
		assert.Equal(t, test.across, within(test.rules, across), test.about)
		assert.Equal(t, test.live, within(test.rules, live), test.about)
		assert.Equal(t, test.look, within(test.rules, look), test.about)
	}
	b.Obey(Rules{})
	for check, want := range map[circuits.Terminal]bool{"H1:2": true, "PB1:13": false} {
		l, err := b.Locate(Check{Ohms: pair("F1:2", check), Step: "let go"})
		require.NoError(t, err)
		assert.Equal(t, want, b.Across(l), "%s", check)
	}
}
