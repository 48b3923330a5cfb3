package guide

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// chooser chooses one of so many.
type chooser interface{ IntN(n int) int }

// script is a chooser that takes its choices from a text, and the first once that is used up.
type script []byte

func (s *script) IntN(n int) int {
	if len(*s) == 0 {
		return 0
	}
	b := int((*s)[0])
	*s = (*s)[1:]
	if n > 256 && len(*s) > 0 {
		b = b<<8 | int((*s)[0])
		*s = (*s)[1:]
	}
	return b % n
}

func oneOf[T any](c chooser, all ...T) T { return all[c.IntN(len(all))] }

// oddWords are texts that a person may type anywhere.
var oddWords = []string{" ", "\n", "x\ny", "\x00", "\xff\xfe", `"`, `\`, "{}", "burnt", "ölig", "F1", "H1", "f1",
	"nothing", "\u2028", "S1:21", "3", "1-2", strings.Repeat("long ", 300)}

// anything gives some answer to a question, of a form that it asks for. It may be one that has
// to be refused.
func anything(s Session, c chooser) Answer {
	q := s.Ask()
	p := s.Model().Panel()
	device := func() *circuits.Device { return p.Circuit.Devices[c.IntN(len(p.Circuit.Devices))] }
	terminal := func() circuits.Terminal {
		d := device()
		if len(d.Terminals) == 0 {
			return "none"
		}
		return d.Terminal(d.Terminals[c.IntN(len(d.Terminals))])
	}
	visible := p.Visible()
	if q.Wants != OnlyChoice && c.IntN(3) > 0 {
		switch q.Wants {
		case AReading:
			return Answer{Reading: someReading(q.Check.Kind(), c)}
		case AWhere:
			return Answer{Where: oneOf(c, device().Name, string(terminal()), oneOf(c, oddWords...),
				string(s.Model().Faults()[c.IntN(len(s.Model().Faults()))].ID))}
		case ASight:
			return Answer{Where: oneOf(c, device().Name, string(terminal()), oneOf(c, oddWords...)), Text: oneOf(c, oddWords...)}
		case AText:
			return Answer{Text: oneOf(c, oddWords...)}
		case AComplaint:
			look := log.Check{Look: oneOf(c, visible[c.IntN(len(visible))].Name, device().Name), Step: p.Circuit.Steps[c.IntN(len(p.Circuit.Steps))].Name}
			return Answer{Check: &look, Reading: someReading(log.Look, c)}
		case ACheck:
			pair := []circuits.Terminal{terminal(), terminal()}
			switch q.Kind {
			case log.Volts:
				return Answer{Check: &log.Check{Volts: pair}}
			case log.Ohms:
				ohms := &log.Check{Ohms: pair}
				if c.IntN(3) == 0 {
					ohms.Lifted = pair[:1+c.IntN(2)]
				}
				return Answer{Check: ohms}
			}
			return Answer{Check: &log.Check{Look: visible[c.IntN(len(visible))].Name}}
		}
	}
	return Answer{Take: q.Choices[c.IntN(len(q.Choices))], About: oneOf(c, "", "1", "-1", "99", "open-H1"),
		Wait: oneOf(c, 0.0, 1, 2.5, -1, math.Inf(1), math.NaN())}
}

// someReading is a reading that a person may give, or that nobody can have read.
func someReading(kind log.Kind, c chooser) *log.Reading {
	r := log.Reading{Kind: kind, Firm: true, Unsure: c.IntN(6) == 0}
	if kind == log.Look {
		r.On = c.IntN(2) == 1
		r.Seems = oneOf(c, "", "", "", "", log.Dim, log.Chatters, log.Flashing, log.Unknown, log.Seeming("lilac"))
		return &r
	}
	r.Value = oneOf(c, 0, 0, 60, 118.9, 120, 120, 24, 1, 144, 2400, log.OL, log.OL, 59.123456789, 1e-9, 1e12, -3,
		math.NaN(), math.Inf(-1), math.MaxFloat64)
	return &r
}

// wander gives so many answers in a session under some rules, and then leads it to its end.
func wander(t testing.TB, m *diagnose.Model, rules int, c chooser, answers int) {
	hidden := c.IntN(len(m.Faults()))
	var s Session
	switch rules % 5 {
	case 0:
		s = New(m, Finding(diagnose.ByMinutes), log.Log{})
	case 1:
		s = New(m, Simulating(diagnose.ByChecks), log.Log{})
	case 2:
		s = At(training.NewSitting(m, hidden, uint64(hidden)), Practising(diagnose.ByMinutes, Coach(c.IntN(3))))
	default:
		s = At(training.NewSittingAt(m, nil), Examining(rules%5 == 3))
	}
	r := begun(t, s)
	for range answers {
		if r.s.Over() {
			break
		}
		r.fits()
		if c.IntN(4) == 0 {
			r.s = r.stored()
		}
		_, _, err := r.s.Answer(oneOf(c, Take("nonsense"), Answer{}))
		require.Error(t, err, "nonsense is taken: %s", asked(t, r.s))
		r.offer(anything(r.s, c))
	}
	r.stored()
	r.toItsEnd(hidden)
}

// fits holds what is asked against itself.
func (r *run) fits() {
	q := r.s.Ask()
	require.NotEmpty(r, q.Choices, "%s", q.Ask)
	seen := map[Key]bool{}
	for _, k := range q.Choices {
		require.False(r, seen[k], "%s has %s twice", q.Ask, k)
		seen[k] = true
	}
}

// offer gives an answer, which the session may refuse; it is then as it was.
func (r *run) offer(a Answer) {
	a.At = noon
	before, _ := json.Marshal(r.s.State())
	next, told, err := r.s.Answer(a)
	after, _ := json.Marshal(r.s.State())
	require.Equal(r, string(before), string(after), "an answer leaves the session as it was")
	if err == nil {
		r.took(next, told)
	}
}

// toItsEnd leads a session to its end by true answers: whatever was said before, there is one.
func (r *run) toItsEnd(hidden int) {
	m := r.s.Model()
	meter := m.Meter(hidden)
	const most = 400
	for n := 0; !r.s.Over(); n++ {
		q := r.s.Ask()
		require.Less(r, n, most, "there is no end: %s", asked(r, r.s))
		switch q.Ask {
		case Idle:
			return // nothing is left to check, and the person is told so
		case Complaint:
			r.take(Take("none"))
		case Works:
			r.take(Take("fails"))
		case Check:
			reading, err := meter.Read(*q.Check)
			require.NoError(r, err)
			reading.Firm = true
			r.take(Answer{Reading: &reading})
		case Repair:
			meter = m.Meter(diagnose.Good)
			r.take(Take("repaired"))
		case Operation:
			r.take(Take("right"))
		case Act:
			switch {
			case q.Has("give-up"):
				r.take(Take("give-up"))
			default:
				r.take(Take("name"))
			}
		case GiveUp, Confirm:
			r.take(Take("yes"))
		case Fault:
			r.take(Answer{Where: string(m.Faults()[hidden].ID)})
		case Lift:
			r.take(Take("none"))
		default:
			r.take(Take("return"))
		}
	}
}

// TestWandering: whatever is answered, a session knows what to ask, comes back from what is
// stored, and has an end.
func TestWandering(t *testing.T) {
	m := modelOf(t, "two-lamp")
	for seed := range uint64(100) {
		wander(t, m, int(seed), rand.New(rand.NewPCG(seed, 1)), 40)
	}
}

// smallPanels are quick to search, so that many sessions go through them: a lamp on a button, and
// a relay between the two.
var smallPanels = []string{`
circuit: Lamp
devices:
  PWS1: {type: supply, volts: 120}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
wires:
  1: [PWS1:L, PB1:13]
  2: [PWS1:N, H1:2]
  3: [PB1:14, H1:1]
operation:
  - step: let go
    expect: {H1: off}
  - step: pressed
    set: {PB1: pressed}
    expect: {H1: on}
`, `
circuit: Lamp by a relay
devices:
  PWS1: {type: supply, volts: 24, current: dc}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [11, 14]}]}
  H1: {type: lamp, place: field}
wires:
  1: [PWS1:+, PB1:13, CR1:11]
  2: [PWS1:-, CR1:A2, H1:2]
  3: [PB1:14, CR1:A1]
  4: [CR1:14, H1:1]
operation:
  - step: let go
    expect: {CR1: off, H1: off}
  - step: pressed
    set: {PB1: pressed}
    expect: {CR1: on, H1: on}
`}

// FuzzSession: as TestWandering, the answers from a text.
func FuzzSession(f *testing.F) {
	var models []*diagnose.Model
	for i, text := range smallPanels {
		models = append(models, modelOfText(f, fmt.Sprintf("small-%d.yaml", i), []byte(text)))
	}
	models = append(models, models[0], models[1], modelOf(f, "two-lamp"))
	for seed := range uint64(20) {
		chance := rand.New(rand.NewPCG(seed, 2))
		text := make([]byte, 200)
		for i := range text {
			text[i] = byte(chance.UintN(256))
		}
		f.Add(uint8(seed), text)
	}
	f.Fuzz(func(t *testing.T, rules uint8, text []byte) {
		s := script(text)
		wander(t, models[int(rules/5)%len(models)], int(rules), &s, min(len(text)/5, 30))
	})
}

// FuzzStored: a state that came from anywhere is refused, or is one at which the session asks,
// answers and is stored again.
func FuzzStored(f *testing.F) {
	m := modelOf(f, "two-lamp")
	var histories []log.Log
	for _, text := range []string{"", `{"look":"H1","step":"bay shut","saw":"off"}` + "\n" + `{"look":"H2","step":"bay shut","saw":"on"}` + "\n",
		`{"look":"H1","step":"bay shut","saw":"off"}` + "\n" + `{"volts":["H1:1","H1:2"],"step":"bay shut","read":120}` + "\n"} {
		history, problems := m.Book().ReadLog("kept", []byte(text))
		require.Empty(f, problems)
		histories = append(histories, history)
	}
	sit := training.NewSitting(m, 3, 7)
	sessions := []Session{At(sit, Practising(diagnose.ByMinutes, CoachAsked)), At(training.NewSittingAt(m, nil), Examining(true)),
		At(training.NewSittingAt(m, nil), Examining(false))}
	for _, history := range histories {
		sessions = append(sessions, New(m, Finding(diagnose.ByMinutes), history), New(m, Simulating(diagnose.ByMinutes), history))
	}
	for i := range sessions {
		for seed := range uint64(6) {
			chance := rand.New(rand.NewPCG(seed, 3))
			r := begun(f, sessions[i])
			for range 3 * seed {
				if !r.s.Over() {
					r.offer(anything(r.s, chance))
				}
			}
			text, err := json.Marshal(r.s.State())
			require.NoError(f, err)
			f.Add(uint8(i), text, []byte{byte(seed), 3, 1, 4, 1, 5, 9, 2, 6})
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, state, answers []byte) {
		var st State
		if json.Unmarshal(state, &st) != nil {
			return
		}
		s, err := sessions[int(which)%len(sessions)].Stored(st)
		if err != nil {
			return
		}
		if s.state.At == Unbegun {
			s, _, err = s.Begin(noon)
			require.NoError(t, err)
		}
		choose := script(answers)
		for range min(len(answers), 20) {
			if s.Over() {
				return
			}
			require.NotEmpty(t, s.Ask().Choices, "%s", state)
			if next, _, err := s.Answer(anything(s, &choose)); err == nil {
				s = next
			}
			text, err := json.Marshal(s.State())
			require.NoError(t, err)
			var back State
			require.NoError(t, json.Unmarshal(text, &back))
			_, err = s.Stored(back)
			require.NoError(t, err, "%s", text)
		}
	})
}
