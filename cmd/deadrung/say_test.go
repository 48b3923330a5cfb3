package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// builtinModel is the model of a built-in circuit, made once.
func builtinModel(t testing.TB, name string) *diagnose.Model {
	t.Helper()
	if m := builtinModels[name]; m != nil {
		return m
	}
	m, err := loadModel(context.Background(), name, given{},
		streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
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
	cold := talk.NewSpeaker(builtinModel(t, "cold-store-alarm"))
	star := talk.NewSpeaker(builtinModel(t, "star-delta"))
	field := talk.NewSpeaker(builtinModel(t, "field-wiring"))
	pump := talk.NewSpeaker(builtinModel(t, "hand-off-auto"))
	for _, columns := range []int{60, 80} {
		p, b := inMemory(columns)
		for _, c := range []struct {
			about string
			speak *talk.Speaker
			check log.Check
			from  guide.Standing
		}{
			{"a look, from rest", cold, log.Check{Look: "H1", Step: "door left open"}, guide.AsFound},
			{"a look, further on", cold, log.Check{Look: "CR1", Step: "mute pressed"}, guide.Standing{Step: 2, Held: -1}},
			{"volts, where it stands", cold, log.Check{Volts: terms("CR1:22", "T1:X2"), Step: "door left open"}, guide.Standing{Step: 2, Held: -1}},
			{"volts, at an earlier step", cold, log.Check{Volts: terms("CR1:22", "T1:X2"), Step: "door just opened"}, guide.Standing{Step: 2, Held: -1}},
			{"ohms", cold, log.Check{Ohms: terms("CR1:A1", "CR1:A2"), Step: "mute pressed"}, guide.AsFound},
			{"ohms, other hands before", cold, log.Check{Ohms: terms("CR1:A1", "CR1:A2")}, guide.Standing{Step: -1, Locked: true, Held: 3}},
			{"ohms, lifted", cold, log.Check{Ohms: terms("H1:1", "H1:2"), Lifted: terms("H1:1"), Step: "door just opened"}, guide.Standing{Step: -1, Locked: true, Held: 1}},
			{"ohms of a closed contact", star, log.Check{Ohms: terms("OL1:95", "OL1:96"), Step: "at rest"}, guide.AsFound},
			{"a tripped overload", star, log.Check{Look: "H4", Step: "overload trips"}, guide.Standing{Step: 7, Held: -1}},
			{"a far place", field, log.Check{Volts: terms("Y1:1", "T1:X2"), Step: "apples at the gate"}, guide.Standing{Step: 3, Held: -1}},
			{"a selector", pump, log.Check{Look: "M1", Step: "hand"}, guide.AsFound},
		} {
			p.Raw("\n" + c.about + "\n")
			p.Para("", c.speak.Title(&diagnose.Proposal{Check: c.check}, 1, false, false))
			for _, l := range c.speak.Instruction(c.check, c.from) {
				p.Point(l)
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
		k    log.Kind
		want string
	}{
		{120, log.Volts, "120 V"},
		{118.94, log.Volts, "119 V"},
		{52.37, log.Volts, "52.4 V"},
		{0, log.Volts, "0 V"},
		{2400, log.Ohms, "2400 ohm"},
		{48.2, log.Ohms, "48.2 ohm"},
		{0.4, log.Ohms, "0.4 ohm"},
		{24000, log.Ohms, "24 kohm"},
		{2.2e6, log.Ohms, "2.2 Mohm"},
	} {
		assert.Equal(t, c.want, talk.Amount(c.x, c.k))
	}
}

// Every reason is one sentence with the numbers of the check's outcomes.
func TestReason(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	s := talk.NewSpeaker(m)
	turn := m.Turn(log.Log{}, diagnose.Choosing{})
	off, on := diagnose.Answered{Saw: "off", Candidates: turn.Next.Outcomes[0].Candidates},
		diagnose.Answered{Saw: "on", Good: true}
	two := diagnose.Proposal{Check: log.Check{Look: "H1", Step: "store warm"},
		Outcomes: []diagnose.Answered{off, on}, Bits: 1}
	assert.Equal(t, fmt.Sprintf("splits the 70 faults still possible: "+
		"off leaves %d, on leaves none, as in a good circuit", len(off.Candidates)), s.Reason(&two, &turn))
	long := s.Reasons(turn.Next, &turn)
	require.Len(t, long, len(turn.Next.Outcomes)+2, "what each answer leaves, what stays either way, and what it takes")
	five := two
	for len(five.Outcomes) < 5 {
		five.Outcomes = append(five.Outcomes, on)
	}
	assert.Contains(t, s.Reason(&five, &turn), ", 1 more reading splits the rest")
	five.Outcomes = append(five.Outcomes, on)
	assert.Contains(t, s.Reason(&five, &turn), ", 2 more readings split the rest")
	assert.Contains(t, s.Reason(turn.Next, &turn), "splits the 70 faults still possible: ")
	assert.Equal(t, "a check of your own", s.Reason(&diagnose.Proposal{Check: turn.Next.Check}, &turn))
}

// What each answer leaves adds up to what is left: the faults whose reading nobody can
// foretell stay in each answer, and are said to.
func TestReasonAddsUp(t *testing.T) {
	stayed := 0
	for _, name := range []string{"cold-store-alarm", "two-lamp", "permissives", "transformer-primary"} {
		m := builtinModel(t, name)
		s := talk.NewSpeaker(m)
		for i := range m.Faults() {
			history := log.Log{}
			r := newRig(m, i, rand.New(rand.NewPCG(1, 2)))
			for range 3 {
				turn := m.Turn(history, diagnose.Choosing{Most: -1})
				if turn.Status != diagnose.Continue || turn.Thin || guide.SecondLook(&turn) {
					break
				}
				p := turn.Next
				sum := 0
				for _, a := range p.Outcomes {
					sum += len(a.Candidates)
				}
				n := talk.Staying(p)
				require.Equal(t, len(turn.Left), sum-n*(len(p.Outcomes)-1), "%s, %s", name, p.Check)
				if n > 0 {
					stayed++
					assert.Contains(t, s.Reason(p, &turn),
						fmt.Sprintf("; %d %s either way", n, talk.Verb(n, "stays", "stay")))
					assert.Contains(t, strings.Join(s.Reasons(p, &turn), "\n"), " either way: nobody can foretell ")
					var text bytes.Buffer
					printTurn(&text, m, turn, log.Log{}, false)
					assert.Contains(t, text.String(),
						fmt.Sprintf("  %s %s either way\n", talk.Count(n, "fault"), talk.Verb(n, "stays", "stay")))
				} else {
					assert.NotContains(t, s.Reason(p, &turn), "either way")
				}
				reading, err := r.read(p.Check)
				require.NoError(t, err)
				reading.Firm = true
				e, err := m.Book().NewEntry(p.Check, &reading)
				require.NoError(t, err)
				history.Entries = append(history.Entries, e)
			}
		}
	}
	assert.Positive(t, stayed, "none stays anywhere: the test shows nothing")
}
