package talk

import (
	"deadrung/diagnose/log"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseOwnCheck(t *testing.T) {
	s := NewSpeaker(builtinModel(t, "cold-store-alarm"))
	for _, c := range []struct {
		kind  log.Kind
		typed string
		want  log.Check
	}{
		{log.Look, "h1", log.Check{Look: "H1"}},
		{log.Volts, "CR1:22 T1:X2", log.Check{Volts: terms("CR1:22", "T1:X2")}},
		{log.Volts, "cr1:22, t1:x2", log.Check{Volts: terms("CR1:22", "T1:X2")}},
		{log.Volts, "red CR1:22 black PE:1", log.Check{Volts: terms("CR1:22", "PE:1")}},
		{log.Ohms, "cr1:a1 to cr1:a2", log.Check{Ohms: terms("CR1:A1", "CR1:A2")}},
		{log.Ohms, "H1:1 H1:2 lifted H1:1", log.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1")}},
		{log.Ohms, "H1:1 and H1:2, wires lifted off H1:1 and H1:2", log.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1", "H1:2")}},
	} {
		got, err := s.ParseCheck(c.kind, c.typed)
		require.NoError(t, err, c.typed)
		assert.Equal(t, c.want, got, c.typed)
	}
}

// What is wrong or unsafe is refused with what would be right, or why not.
func TestParseOwnCheckRefuses(t *testing.T) {
	s := NewSpeaker(builtinModel(t, "cold-store-alarm"))
	for _, c := range []struct {
		kind  log.Kind
		typed string
		says  string
	}{
		{log.Volts, "CR1:22", "type two terminals, red then black; here are 1"},
		{log.Volts, "CR1:22 T1:X2 H1:1", "here are 3"},
		{log.Volts, "CR1:22 CR1:22", "both leads on one terminal"},
		{log.Volts, "CR1:23 T1:X2", `CR1 has no terminal "23"; it has A1, A2, 11, 12, 14, 21, 22, 24`},
		{log.Volts, "CRI:22 T1:X2", "perhaps CR1 is meant"},
		{log.Volts, "CR1 T1:X2", "name the screw as well: CR1 has A1"},
		{log.Volts, "7 T1:X2", "a wire number is many screws: name one, as CR1:22"},
		{log.Volts, "banana T1:X2", `"banana" is not a terminal: type device and screw`},
		{log.Volts, "T1:H1 T1:X2", "fed from outside this circuit"},
		{log.Ohms, "T1:H1 T1:H2", "fed from outside this circuit"},
		{log.Volts, "CR1:24 T1:X2", "no wire lands on CR1:24"},
		{log.Volts, "H1:1 H1:2 lifted H1:1", "no wire is lifted in a live circuit"},
		{log.Ohms, "H1:1 H1:2 lifted", "name the terminal whose wires are lifted"},
		{log.Ohms, "H1:1 PE:1 lifted PE:1", "the bonding wires on PE:1 stay where they are"},
	} {
		_, err := s.ParseCheck(c.kind, c.typed)
		require.Error(t, err, c.typed)
		assert.Contains(t, err.Error(), c.says)
	}
}

// A wired primary is part of the circuit: leads may go there.
func TestWiredPrimary(t *testing.T) {
	s := NewSpeaker(builtinModel(t, "transformer-primary"))
	_, err := s.ParseCheck(log.Volts, "T1:H1 T1:H2")
	assert.NoError(t, err)
}
