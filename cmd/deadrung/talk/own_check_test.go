package talk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose"
)

func TestParseOwnCheck(t *testing.T) {
	s := NewSpeaker(builtinModel(t, "cold-store-alarm"))
	for _, c := range []struct {
		kind  diagnose.Kind
		typed string
		want  diagnose.Check
	}{
		{diagnose.Look, "h1", diagnose.Check{Look: "H1"}},
		{diagnose.Volts, "CR1:22 T1:X2", diagnose.Check{Volts: terms("CR1:22", "T1:X2")}},
		{diagnose.Volts, "cr1:22, t1:x2", diagnose.Check{Volts: terms("CR1:22", "T1:X2")}},
		{diagnose.Volts, "red CR1:22 black PE:1", diagnose.Check{Volts: terms("CR1:22", "PE:1")}},
		{diagnose.Ohms, "cr1:a1 to cr1:a2", diagnose.Check{Ohms: terms("CR1:A1", "CR1:A2")}},
		{diagnose.Ohms, "H1:1 H1:2 lifted H1:1", diagnose.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1")}},
		{diagnose.Ohms, "H1:1 and H1:2, wires lifted off H1:1 and H1:2", diagnose.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1", "H1:2")}},
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
		kind  diagnose.Kind
		typed string
		says  string
	}{
		{diagnose.Volts, "CR1:22", "type two terminals, red then black; here are 1"},
		{diagnose.Volts, "CR1:22 T1:X2 H1:1", "here are 3"},
		{diagnose.Volts, "CR1:22 CR1:22", "both leads on one terminal"},
		{diagnose.Volts, "CR1:23 T1:X2", `CR1 has no terminal "23"; it has A1, A2, 11, 12, 14, 21, 22, 24`},
		{diagnose.Volts, "CRI:22 T1:X2", "perhaps CR1 is meant"},
		{diagnose.Volts, "CR1 T1:X2", "name the screw as well: CR1 has A1"},
		{diagnose.Volts, "7 T1:X2", "a wire number is many screws: name one, as CR1:22"},
		{diagnose.Volts, "banana T1:X2", `"banana" is no terminal: type device and screw`},
		{diagnose.Volts, "T1:H1 T1:X2", "fed from outside this circuit"},
		{diagnose.Ohms, "T1:H1 T1:H2", "fed from outside this circuit"},
		{diagnose.Volts, "CR1:24 T1:X2", "no wire lands on CR1:24"},
		{diagnose.Volts, "H1:1 H1:2 lifted H1:1", "no wire is lifted in a live circuit"},
		{diagnose.Ohms, "H1:1 H1:2 lifted", "name the terminal whose wires are lifted"},
		{diagnose.Ohms, "H1:1 PE:1 lifted PE:1", "the bonding wires on PE:1 stay where they are"},
	} {
		_, err := s.ParseCheck(c.kind, c.typed)
		require.Error(t, err, c.typed)
		assert.Contains(t, err.Error(), c.says)
	}
}

// A wired primary is part of the circuit: leads may go there.
func TestWiredPrimary(t *testing.T) {
	s := NewSpeaker(builtinModel(t, "transformer-primary"))
	_, err := s.ParseCheck(diagnose.Volts, "T1:H1 T1:H2")
	assert.NoError(t, err)
}
