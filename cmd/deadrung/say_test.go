package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
)

// builtinModel is the model of a built-in circuit, made once.
func builtinModel(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	if m := builtinModels[name]; m != nil {
		return m
	}
	m, err := loadModel(name, given{}, streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
	require.NoError(t, err)
	builtinModels[name] = m
	return m
}

var builtinModels = make(map[string]*diagnose.Model)

// noon is the clock of the tests.
func noon() time.Time { return time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC) }

// The wording of checks, at the width of a narrow screen: reviewed by reading the
// golden file.
func TestInstructions(t *testing.T) {
	cold := newSpeaker(builtinModel(t, "cold-store-alarm"))
	star := newSpeaker(builtinModel(t, "star-delta"))
	field := newSpeaker(builtinModel(t, "field-wiring"))
	pump := newSpeaker(builtinModel(t, "hand-off-auto"))
	for _, columns := range []int{60, 80} {
		p, b := sheet(columns)
		for _, c := range []struct {
			about string
			speak *speaker
			check diagnose.Check
			from  standing
		}{
			{"a look, from rest", cold, diagnose.Check{Look: "H1", Step: "door left open"}, asFound},
			{"a look, further on", cold, diagnose.Check{Look: "CR1", Step: "mute pressed"}, standing{step: 2, held: -1}},
			{"volts, where it stands", cold, diagnose.Check{Volts: terms("CR1:22", "T1:X2"), Step: "door left open"}, standing{step: 2, held: -1}},
			{"volts, at an earlier step", cold, diagnose.Check{Volts: terms("CR1:22", "T1:X2"), Step: "door just opened"}, standing{step: 2, held: -1}},
			{"ohms", cold, diagnose.Check{Ohms: terms("CR1:A1", "CR1:A2"), Step: "mute pressed"}, asFound},
			{"ohms, other hands before", cold, diagnose.Check{Ohms: terms("CR1:A1", "CR1:A2")}, standing{step: -1, locked: true, held: 3}},
			{"ohms, lifted", cold, diagnose.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1"), Step: "door just opened"}, standing{step: -1, locked: true, held: 1}},
			{"ohms of a closed contact", star, diagnose.Check{Ohms: terms("OL1:95", "OL1:96"), Step: "at rest"}, asFound},
			{"a tripped overload", star, diagnose.Check{Look: "H4", Step: "overload trips"}, standing{step: 7, held: -1}},
			{"a far place", field, diagnose.Check{Volts: terms("Y1:1", "T1:X2"), Step: "apples at the gate"}, standing{step: 3, held: -1}},
			{"a selector", pump, diagnose.Check{Look: "M1", Step: "hand"}, asFound},
		} {
			p.raw("\n" + c.about + "\n")
			p.para("", c.speak.title(&diagnose.Proposal{Check: c.check}, 1))
			for _, l := range c.speak.instruction(c.check, c.from) {
				p.point(l)
			}
		}
		for line := range strings.Lines(b.String()) {
			assert.Less(t, len([]rune(line)), columns+1)
		}
		golden(t, fmt.Sprintf("find/instructions-%d.txt", columns), b.String())
	}
}

// terms makes terminals of texts.
func terms(texts ...string) []circuits.Terminal {
	out := make([]circuits.Terminal, len(texts))
	for i, s := range texts {
		out[i] = circuits.Terminal(s)
	}
	return out
}

func TestAmount(t *testing.T) {
	for _, c := range []struct {
		x    float64
		k    diagnose.Kind
		want string
	}{
		{120, diagnose.Volts, "120 V"},
		{118.94, diagnose.Volts, "119 V"},
		{52.37, diagnose.Volts, "52.4 V"},
		{0, diagnose.Volts, "0 V"},
		{2400, diagnose.Ohms, "2400 ohm"},
		{48.2, diagnose.Ohms, "48.2 ohm"},
		{0.4, diagnose.Ohms, "0.4 ohm"},
		{24000, diagnose.Ohms, "24 kohm"},
		{2.2e6, diagnose.Ohms, "2.2 Mohm"},
	} {
		assert.Equal(t, c.want, amount(c.x, c.k))
	}
}

// Every reason is one sentence with the numbers of the check's outcomes.
func TestReason(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	s := newSpeaker(m)
	turn := m.Turn(diagnose.Log{}, diagnose.Choosing{})
	text := s.reason(turn.Next, &turn)
	assert.Regexp(t, `^splits the 70 faults still possible: \S+ leaves \d+, \S+ leaves \d+$`, text)
	long := s.reasons(turn.Next, &turn)
	require.Len(t, long, len(turn.Next.Outcomes)+1)
	assert.Contains(t, long[len(long)-1], "A half-split is worth 1 bit.")
	five := *turn.Next
	for len(five.Outcomes) < 5 {
		five.Outcomes = append(five.Outcomes, turn.Next.Outcomes[0])
	}
	assert.Contains(t, s.reason(&five, &turn), ", 1 more reading splits the rest")
	five.Outcomes = append(five.Outcomes, turn.Next.Outcomes[0])
	assert.Contains(t, s.reason(&five, &turn), ", 2 more readings split the rest")
	assert.Equal(t, "a check of your own", s.reason(&diagnose.Proposal{Check: turn.Next.Check}, &turn))
}
