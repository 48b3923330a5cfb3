package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// flowing gives what was shown without its line breaks.
func flowing(shown fmt.Stringer) string { return strings.Join(strings.Fields(shown.String()), " ") }

// said is what was said of the last answer, and not what is asked after it.
func said(shown fmt.Stringer) string {
	text, _, _ := strings.Cut(shown.String(), "\n\n")
	return strings.Join(strings.Fields(text), " ")
}

// proposed is what a dialogue that goes on from the same log shows of its check.
func proposed(t *testing.T, d *logged) string {
	t.Helper()
	out, shown := inMemory(80)
	again := newLogged(guide.New(d.Model, d.Guide.Rules(), d.Log()), nil, out, noon)
	require.NoError(t, again.Begin())
	return flowing(shown)
}

// answered enters what a rig shows at the proposed check.
func answered(t *testing.T, d *logged, r rig) {
	t.Helper()
	reading, err := r.read(d.Turn().Next.Check)
	require.NoError(t, err)
	reading.Firm = true
	require.NoError(t, d.Take(guide.Answer{Reading: &reading}))
}

// A good circuit is called healthy only after what a single reading ruled out was looked
// at again, and each screen on the way says how it stands.
func TestSecondLook(t *testing.T) {
	for _, name := range []string{"two-lamp", "cold-store-alarm", "start-stop"} {
		t.Run(name, func(t *testing.T) {
			m := builtinModel(t, name)
			out, shown := inMemory(80)
			d := searching(m, nil, out)
			begun(t, d)
			r := newRig(m, diagnose.Good, rand.New(rand.NewPCG(1, 2)))
			looks := 0
			for d.Turn().Next != nil {
				was := guide.SecondLook(d.Turn())
				asked := proposed(t, d)
				if was {
					looks++
					assert.Equal(t, d.Speak.OnceRuledOut(d.Log()), doubted(d.Turn().Next),
						"all of them are in doubt, and nothing else")
					assert.Contains(t, asked, fmt.Sprintf("A second look at %s that a single reading rules out: ",
						talk.Count(doubted(d.Turn().Next), "fault")))
					assert.Contains(t, strings.Join(d.Speak.Reasons(d.Turn().Next, d.Turn()), "\n"),
						"is looked at again before the circuit is called good.")
					var text bytes.Buffer
					printTurn(&text, m, *d.Turn(), log.Log{}, false)
					assert.Contains(t, text.String(), ": every reading fits a good circuit, and a second look is due.")
					assert.Contains(t, text.String(), "To look again before it is called good: ")
					assert.NotContains(t, text.String(), "doubtful")
				} else {
					assert.NotContains(t, asked, "second look")
				}
				assert.NotContains(t, asked, "MADE AGAIN")

				shown.Reset()
				answered(t, d, r)
				said := said(shown)
				switch is := guide.Sound(d.Turn()); {
				case is && !was:
					assert.Contains(t, said,
						"That rules out every fault that a check shows: every reading fits a good circuit.")
				case is:
					assert.Contains(t, said, "A good circuit still fits every reading.")
				default:
					assert.NotContains(t, said, "good circuit")
				}
				if guide.SecondLook(d.Turn()) {
					assert.Regexp(t, `But \d+ faults? (is|are each) ruled out by a single reading, and a reading may be wrong: look again\.`, said)
				}
				assert.NotContains(t, said, "No fault that fits the other readings gives this one.")
			}
			assert.Positive(t, looks, "the engine asks for no second look: the test shows nothing")
			assert.Equal(t, diagnose.Healthy, d.Turn().Status)
			assert.Contains(t, strings.Join(d.Speak.Healthy(), "\n"), "no check is left that would make it surer")
			var text bytes.Buffer
			printTurn(&text, m, *d.Turn(), log.Log{}, false)
			assert.Contains(t, text.String(), ": every reading is that of a good circuit.")
			assert.Contains(t, text.String(), "\nStill possible: a good circuit")
		})
	}
}

// doubted counts the faults that a check is about.
func doubted(p *diagnose.Proposal) int {
	ids := make(map[string]bool)
	for _, a := range p.Outcomes {
		for _, id := range a.Candidates {
			ids[string(id)] = true
		}
	}
	return len(ids)
}

// A second look that finds something ends the good verdict.
func TestSecondLookFindsSomething(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	out, shown := inMemory(80)
	d := searching(m, nil, out)
	begun(t, d)
	r := newRig(m, diagnose.Good, rand.New(rand.NewPCG(1, 2)))
	for !guide.SecondLook(d.Turn()) {
		require.NotNil(t, d.Turn().Next)
		answered(t, d, r)
	}
	p := d.Turn().Next
	i := slices.IndexFunc(p.Outcomes, func(a diagnose.Answered) bool { return !a.Good })
	require.GreaterOrEqual(t, i, 0)
	shown.Reset()
	r2 := p.Outcomes[i].Reading(p.Check.Kind())
	require.NoError(t, d.Take(guide.Answer{Reading: &r2}))
	assert.False(t, guide.Sound(d.Turn()))
	noted := said(shown)
	assert.NotContains(t, noted, "good circuit")
	assert.Regexp(t, `No fault that fits the other readings gives this one\.|, if 1 reading is wrong`, noted)

	shown.Reset()
	require.NoError(t, d.Take(guide.Take("back")))
	assert.True(t, guide.SecondLook(d.Turn()))
	assert.Contains(t, said(shown), "Still possible now: a good circuit")
	assert.NotContains(t, said(shown), "That rules out")
}

// Proofs are asked for until no rival is left that one wrong reading could hide. Each that
// agrees is said to, and the verdict is proved after the last.
func TestMoreThanOneProof(t *testing.T) {
	m := builtinModel(t, "start-stop")
	several, unproved := 0, 0
	for i, f := range m.Faults() {
		out, shown := inMemory(80)
		d := simulating(m, out)
		var result simulated
		require.NoError(t, d.search(newRig(m, i, rand.New(rand.NewPCG(5, 1))), &result))
		text := flowing(shown)
		assert.NotContains(t, text, "does not agree", f.ID)
		assert.Equal(t, len(result.Proofs), strings.Count(text, "The proof agrees with the verdict."), f.ID)
		different := make(map[string]bool)
		for _, told := range strings.Split(text, "VERDICT ")[1:] {
			different[told[:20]] = true
		}
		more := strings.Count(text, "ONE MORE PROOF before anything is replaced, check ")
		verdicts := strings.Count(text, "PROOF before anything is replaced, check ") - more
		assert.LessOrEqual(t, verdicts, len(different), "%s: a verdict is proved in one go", f.ID)
		assert.Equal(t, len(result.Proofs)-verdicts, more, f.ID)
		assert.Equal(t, more, strings.Count(text, "One wrong reading could still hide another fault: one more proof."), f.ID)
		if s := d.Turn().Status; s == diagnose.Found || s == diagnose.GroupLeft {
			verdicts++
		}
		assert.Equal(t, verdicts, strings.Count(text, "VERDICT"),
			"%s: each verdict is shown once before its proof, and the last at the end", f.ID)
		for _, proof := range result.Proofs {
			assert.True(t, proof.Agrees, f.ID)
		}
		if len(result.Proofs) > 1 {
			several++
			if !d.Turn().Proved { // nothing more parts it from its rivals
				unproved++
				continue
			}
			assert.Equal(t, "A further reading has borne it out.", talk.ProofWords(d.Turn()))
		}
	}
	assert.LessOrEqual(t, unproved, several/20)
	assert.Positive(t, several, "the engine asks for no second proof: the test shows nothing")
}

// Between two proofs a verdict is not called proved, neither here nor in one turn.
func TestBetweenProofs(t *testing.T) {
	m := builtinModel(t, "start-stop")
	for i := range m.Faults() {
		out, shown := inMemory(80)
		d := searching(m, nil, out)
		begun(t, d)
		r := newRig(m, i, rand.New(rand.NewPCG(5, 1)))
		for d.Turn().Next != nil && !d.Guide.State().Further {
			answered(t, d, r)
		}
		if !d.Guide.State().Further {
			continue
		}
		assert.Equal(t, "Not proved yet: prove it before anything is replaced.", talk.ProofWords(d.Turn()))
		var text bytes.Buffer
		printTurn(&text, m, *d.Turn(), log.Log{}, false)
		assert.Contains(t, text.String(), ": found, not proved yet.\n")
		assert.Contains(t, text.String(), "To prove it before anything is replaced: ")

		shown.Reset()
		require.NoError(t, d.Take(guide.Take("back")))
		assert.Contains(t, shown.String(), "VERDICT", "taken back, the proof is the first again")
		assert.NotContains(t, shown.String(), "ONE MORE PROOF")

		for d.Turn().Next != nil {
			answered(t, d, r)
		}
		if !d.Turn().Proved {
			continue // nothing more parts it from its rivals
		}
		text.Reset()
		printTurn(&text, m, *d.Turn(), log.Log{}, false)
		assert.Contains(t, text.String(), ": found and proved.\n")
		return
	}
	t.Fatal("the engine asks for no second proof: the test shows nothing")
}

// A proof that reads as a good circuit does not bear the verdict out.
func TestProofDoesNotAgree(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	tried := 0
	for i, f := range m.Faults() {
		out, shown := inMemory(80)
		d := searching(m, nil, out)
		begun(t, d)
		r := newRig(m, i, rand.New(rand.NewPCG(5, 1)))
		for d.Turn().Next != nil && !d.Turn().Next.Proof {
			answered(t, d, r)
		}
		if d.Turn().Next == nil {
			continue
		}
		usual, err := m.Usual(d.Turn().Next.Check)
		require.NoError(t, err)
		e, err := m.Book().NewEntry(d.Turn().Next.Check, &usual)
		require.NoError(t, err)
		not := m.Disagreeing(e)
		if slices.ContainsFunc(d.Turn().Left, func(f int) bool { return !slices.Contains(not, f) }) {
			continue // too near to what one of the group shows to tell them apart
		}
		tried++
		shown.Reset()
		require.NoError(t, d.Take(guide.Answer{Reading: &usual}))
		assert.Contains(t, shown.String(), "The proof does not agree with the verdict.", f.ID)
		assert.False(t, d.Guide.State().Further)
		assert.False(t, d.Turn().Proved)
	}
	assert.Greater(t, tried, 50)
}

// Where readings contradict each other and every other check was made or cannot be made,
// one is asked for again, and the instruction says so and why.
func TestAskedAgain(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	for seed := range uint64(400) {
		random := rand.New(rand.NewPCG(seed, 3))
		out, shown := inMemory(80)
		d := searching(m, nil, out)
		enter := func(c log.Check, r *log.Reading) { known(t, d, c, r, "") }
		for range 5 {
			c := m.Checks()[random.IntN(len(m.Checks()))]
			enter(c, &log.Reading{Kind: c.Kind(), On: random.IntN(2) == 1, Firm: true,
				Value: float64(random.IntN(2) * 120)})
		}
		for d.Turn().Status == diagnose.Contradiction && d.Turn().Next != nil &&
			!guide.MadeBefore(m, d.Log(), d.Turn().Next.Check) {
			enter(d.Turn().Next.Check, nil)
		}
		if d.Turn().Status != diagnose.Contradiction || d.Turn().Next == nil {
			continue
		}
		shown.Reset()
		text := proposed(t, d)
		assert.Contains(t, text, "CHECK 6, MADE AGAIN: ")
		assert.Contains(t, text, "Why "+talk.Sentence(talk.AskedAgain(d.Turn())))
		var turn bytes.Buffer
		printTurn(&turn, m, *d.Turn(), d.Log(), guide.MadeBefore(m, d.Log(), d.Turn().Next.Check))
		assert.Contains(t, turn.String(), "\nNext check, made again: ")
		assert.Contains(t, turn.String(), "\n  Why: "+talk.AskedAgain(d.Turn())+".\n")

		// Its new answer counts, whichever it is; the old one no longer does.
		before := len(d.Log().Entries)
		reading := d.Turn().Next.Outcomes[0].Reading(d.Turn().Next.Check.Kind())
		require.NoError(t, d.Take(guide.Answer{Reading: &reading}))
		again := 0
		for _, tally := range d.Speak.Tallies(d.Log()) {
			if tally.Again {
				again++
			}
		}
		assert.Positive(t, again)
		assert.Len(t, d.Log().Entries, before+1)
		return
	}
	t.Fatal("no check is ever asked for again: the test shows nothing")
}

// A check is the same whichever way round its leads are.
func TestMadeLater(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	s := talk.NewSpeaker(m)
	var history log.Log
	for _, c := range []log.Check{
		{Volts: terms("F1:1", "T1:X2"), Step: "store warm"},
		{Look: "H1", Step: "store warm"},
		{Volts: terms("T1:X2", "F1:1"), Step: "store warm"},
	} {
		e, err := m.Book().NewEntry(c, &log.Reading{Kind: c.Kind(), Value: 120, On: true, Firm: true})
		require.NoError(t, err)
		history.Entries = append(history.Entries, e)
	}
	assert.True(t, s.MadeLater(history, 0))
	assert.False(t, s.MadeLater(history, 1))
	assert.False(t, s.MadeLater(history, 2))
	assert.Equal(t, "made again later, and counted there", s.RuledOut(s.Tallies(history)[0], 3))

	history.Entries[2].Answer = nil // it could not be made again: the first answer counts
	assert.False(t, s.MadeLater(history, 0))
	assert.True(t, guide.MadeBefore(m, history, log.Check{Volts: terms("T1:X2", "F1:1"), Step: "store warm"}))
	assert.False(t, guide.MadeBefore(m, history, log.Check{Volts: terms("T1:X2", "F1:1"), Step: "mute pressed"}))

	history.Entries[1].Repaired = true
	assert.Equal(t, "made before the repair, and no longer counts", s.RuledOut(s.Tallies(history)[0], 3))
	assert.False(t, guide.MadeBefore(m, history, log.Check{Volts: terms("F1:1", "T1:X2"), Step: "store warm"}))
}

func TestRemaining(t *testing.T) {
	for _, c := range []struct {
		turn diagnose.Turn
		want string
	}{
		{diagnose.Turn{Status: diagnose.Continue, Left: make([]int, 9), Groups: 8}, "9 faults in 8 groups"},
		{diagnose.Turn{Status: diagnose.Continue, Left: make([]int, 9), Groups: 8, GoodLeft: true}, "9 faults in 8 groups, or none at all"},
		{diagnose.Turn{Status: diagnose.Found, Left: make([]int, 1), Groups: 1}, "1 fault"},
		{diagnose.Turn{Status: diagnose.Found, Left: make([]int, 2), Groups: 1, Wrong: 1}, "2 faults, if 1 reading is wrong"},
		{diagnose.Turn{Status: diagnose.Contradiction, Left: make([]int, 2), Groups: 2, Wrong: 2}, "2 faults in 2 groups, if 2 readings are wrong"},
		{diagnose.Turn{Status: diagnose.Continue, Left: make([]int, 5), Groups: 4, Wrong: 1, GoodLeft: true}, "a good circuit; or, if 1 reading is wrong, 5 faults in 4 groups"},
		{diagnose.Turn{Status: diagnose.Healthy, Left: make([]int, 5), Groups: 4, Wrong: 2, GoodLeft: true}, "a good circuit; or, if 2 readings are wrong, 5 faults in 4 groups"},
		{diagnose.Turn{Status: diagnose.Healthy, Left: make([]int, 1), Groups: 1, GoodLeft: true}, "a good circuit, or 1 fault that no check shows"},
		{diagnose.Turn{Status: diagnose.Continue, Left: make([]int, 2), Groups: 1, GoodLeft: true}, "a good circuit, or 2 faults that no check shows"},
	} {
		assert.Equal(t, c.want, talk.Remaining(&c.turn))
	}
}
