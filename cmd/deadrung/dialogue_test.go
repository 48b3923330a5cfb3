package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// typed is a dialogue on a built-in circuit with these lines typed, and what it shows.
func typed(t *testing.T, circuit string, answers ...string) (*logged, *bytes.Buffer) {
	t.Helper()
	var shown bytes.Buffer
	out := talk.NewPage(&shown)
	ask := &talk.Lines{Keys: talk.NewKeyboard(context.Background(),
		strings.NewReader(strings.Join(answers, "\n")+"\n")), Out: out, Echo: true}
	return searching(builtinModel(t, circuit), audited{t, ask}, out), &shown
}

// searching is a dialogue of a search on a real panel.
func searching(m *diagnose.Model, ask talk.Asker, out *talk.Page) *logged {
	return newLogged(guide.New(m, guide.Finding(diagnose.ByMinutes), log.Log{}), ask, out, noon)
}

// simulating is a dialogue of a search that a simulated panel answers.
func simulating(m *diagnose.Model, out *talk.Page) *logged {
	return newLogged(guide.New(m, guide.Simulating(diagnose.ByMinutes), log.Log{}), nil, out, noon)
}

// held holds a dialogue from its beginning.
func held(d *logged) error {
	d.Opening(d.logName())
	if err := d.Begin(); err != nil {
		return err
	}
	return d.Run()
}

// begun begins a dialogue whose complaint is that nothing is known.
func begun(t *testing.T, d *logged) {
	t.Helper()
	require.NoError(t, d.Begin())
	if d.Guide.State().At == guide.Complaint {
		require.NoError(t, d.Take(guide.Take("none")))
	}
}

// known puts an answer into the log of a dialogue that goes on from there, and tells nothing.
func known(t *testing.T, d *logged, c log.Check, r *log.Reading, note string) {
	t.Helper()
	e, err := d.Model.Book().NewEntry(c, r)
	require.NoError(t, err)
	e.Note, e.At, e.Repaired = note, d.At(), note == guide.RepairedNote
	history := log.Log{Entries: append(slices.Clone(d.Log().Entries), e)}
	d.Guide, _, err = guide.New(d.Model, d.Guide.Rules(), history).Begin(d.At())
	require.NoError(t, err)
}

// audited holds that the help of every question names choices as they are shown: by their
// words where lines are asked, by their texts in a menu.
type audited struct {
	t testing.TB
	talk.Asker
}

func (a audited) Choose(q talk.Question) (int, error) {
	a.audit(q)
	return a.Asker.Choose(q)
}

func (a audited) Line(q talk.Question) (string, int, error) {
	a.audit(q)
	return a.Asker.Line(q)
}

var inQuotes = regexp.MustCompile(`"([^"]*)"`)

func (a audited) audit(q talk.Question) {
	a.t.Helper()
	var shownWords, shownTexts []string
	for _, c := range q.Choices {
		shownWords, shownTexts = append(shownWords, c.Word), append(shownTexts, c.Text)
	}
	assert.NotEmpty(a.t, q.Help, q.Text)
	for _, m := range inQuotes.FindAllStringSubmatch(q.Help, -1) {
		assert.Contains(a.t, shownWords, m[1], q.Text)
	}
	for _, m := range inQuotes.FindAllStringSubmatch(q.MenuHelp(), -1) {
		assert.Contains(a.t, shownTexts, m[1], q.Text)
	}
}

// truthful answers every question of a session as a panel with the fault would, until
// so many checks are answered; then it stops.
type truthful struct {
	rig   rig
	d     *logged
	left  int
	extra func(d *logged, q talk.Question) (string, bool) // answers some questions itself
}

func (a *truthful) Choose(q talk.Question) (int, error) {
	word := ""
	if a.extra != nil {
		if w, ok := a.extra(a.d, q); ok {
			word = w
		}
	}
	switch {
	case word != "":
	case q.Choices[0].Word == "none":
		word = "none"
	case strings.Contains(talk.Words(q.Choices), "why"):
		if a.left == 0 {
			return 0, io.EOF
		}
		a.left--
		r, err := a.rig.read(a.d.Turn().Next.Check)
		if err != nil {
			return 0, err
		}
		word = map[bool]string{true: "on", false: "off"}[r.On]
	default:
		word = "stop"
	}
	i := talk.Matching(word, q.Choices)
	if i < 0 {
		return 0, fmt.Errorf("%q is no answer to %q", word, q.Text)
	}
	return i, nil
}

func (a *truthful) Line(q talk.Question) (string, int, error) {
	if q.Listed {
		i, err := a.Choose(q)
		return "", i, err
	}
	if a.left == 0 {
		return "", -1, io.EOF
	}
	a.left--
	r, err := a.rig.read(a.d.Turn().Next.Check)
	r.Firm = true
	return a.d.Speak.Answer(a.d.Turn().Next.Check, &r), -1, err
}

// What cannot be made, and what is taken back, rule nothing out and are not said to.
func TestCannotAndBack(t *testing.T) {
	d, shown := typed(t, "cold-store-alarm", "none", "cannot", "back", "stop")
	require.ErrorIs(t, held(d), dialogue.ErrStopped)
	assert.Contains(t, shown.String(), "Noted: it cannot be made here.")
	assert.Contains(t, shown.String(), "Taken back: "+d.Speak.Brief(d.Turn().Next.Check))
	assert.NotContains(t, shown.String(), "rules out nothing new")
	assert.Empty(t, d.Log().Entries)
}

// Every fault of a circuit is led to its own verdict, its proof, its repair, and the
// proof of operation. What is read is written as the dialogue itself writes readings,
// so it also shows that people can type back what they see.
func TestDialogueLeadsToEveryFault(t *testing.T) {
	m := builtinModel(t, "start-stop")
	repaired := func(d *logged, q talk.Question) (string, bool) {
		w := talk.Words(q.Choices)
		switch {
		case strings.Contains(w, "repaired"):
			return "repaired", true
		case strings.Contains(w, "right"):
			return "right", true
		}
		return "", false
	}
	for i, f := range m.Faults() {
		if m.Hidden(i) {
			continue
		}
		out, shown := inMemory(80)
		ask := &truthful{rig: newRig(m, i, rand.New(rand.NewPCG(1, 2))), left: 100, extra: repaired}
		d := searching(m, ask, out)
		ask.d = d
		require.NoError(t, held(d), "%s\n%s", f.ID, shown)
		assert.Contains(t, d.Turn().Left, i, f.ID)
		assert.True(t, d.Guide.Finished(), f.ID)
		for _, o := range d.Guide.Proving() {
			assert.Equal(t, guide.WorkedRight, o)
		}
	}
}

// The way back to power and the start from rest do not contradict each other: the power
// stays off until the operators are at rest.
func TestBackToPowerStartsFromRest(t *testing.T) {
	order := regexp.MustCompile(`BACK TO POWER .* Switch on only where the start from rest, below, comes to it\. .*` +
		`Start from rest: control power off, LS1 normal, TS1 normal, PB1 released; then switch on\.`)
	m := builtinModel(t, "cold-store-alarm")
	out, shown := inMemory(80)
	d := searching(m, nil, out)
	var err error
	d.Guide, err = d.Guide.Stored(guide.State{At: guide.OwnCheck, Back: guide.Check, Kind: log.Look,
		Step: d.Speak.Circuit.Step("door left open"), Stand: guide.Standing{Step: -1, Locked: true, Held: 2}})
	require.NoError(t, err)
	require.NoError(t, d.Take(guide.Answer{Check: &log.Check{Look: "H1"}}))
	assert.Regexp(t, order, flowing(shown))

	out, repaired := inMemory(80)
	d = searching(m, nil, out)
	d.Guide, err = d.Guide.Stored(guide.State{At: guide.Repair, Stand: guide.LockedOff})
	require.NoError(t, err)
	require.NoError(t, d.Take(guide.Take("repaired")))
	assert.Regexp(t, order, flowing(repaired))
	for _, text := range []string{flowing(shown), flowing(repaired)} {
		assert.Equal(t, 1, strings.Count(text, "witch on."), "switched on once")
	}
}

// Readings that no single fault explains: the dialogue names the doubtful ones, and a
// new reading takes the place of an old one.
func TestContradiction(t *testing.T) {
	m := builtinModel(t, "start-stop")
	var d *logged
	var shown *bytes.Buffer
	for seed := uint64(0); d == nil || d.Turn().Status != diagnose.Contradiction ||
		d.Turn().Next == nil; seed++ {
		require.Less(t, seed, uint64(100), "no contradiction comes of readings at random")
		random := rand.New(rand.NewPCG(seed, 3))
		var out *talk.Page
		out, shown = inMemory(80)
		d = searching(m, nil, out)
		for range 6 {
			c := m.Checks()[random.IntN(len(m.Checks()))]
			r := log.Reading{Kind: c.Kind(), On: random.IntN(2) == 1, Firm: true, Value: float64(random.IntN(2) * 120)}
			known(t, d, c, &r, "")
		}
	}
	most := d.Turn().Conflicts[0]
	check := d.Log().Entries[most.Index].Check
	answer := "0\n"
	if check.Kind() == log.Look {
		answer = "off\n"
	}
	d.Ask = &talk.Lines{Keys: talk.NewKeyboard(context.Background(),
		strings.NewReader("repeat\n2\n"+answer)), Out: d.Out, Echo: true}
	d.Guide = guide.New(m, d.Guide.Rules(), d.Log())
	require.NoError(t, d.Begin())
	require.ErrorIs(t, d.Run(), io.EOF)
	assert.Contains(t, shown.String(), "CONTRADICTION: no single fault fits every reading.")
	assert.Contains(t, shown.String(), "CHECK 7, MADE AGAIN: ")
	assert.Contains(t, shown.String(), "Why        The new reading takes the place of the old one.")
	assert.Contains(t, strings.Join(strings.Fields(shown.String()), " "), "If all stand, there are two faults")
	assert.Contains(t, shown.String(), "Which one is measured again?")
	require.Len(t, d.Log().Entries, 7)
	assert.Equal(t, check.String(), d.Log().Entries[6].Check.String())
	assert.True(t, d.Speak.Tallies(d.Log())[most.Index].Again)
}

// A partial voltage that nothing explains is likely a stray one.
func TestStray(t *testing.T) {
	speak := talk.NewSpeaker(builtinModel(t, "cold-store-alarm"))
	check := log.Check{Volts: terms("F1:2", "T1:X2"), Step: "door shut, cold"}
	low, high := 40.0, 50.0
	for _, c := range []struct {
		value    float64
		outcomes []diagnose.Answered
		stray    bool
	}{
		{0.3, nil, false},
		{118, nil, false},
		{43, []diagnose.Answered{{Low: &low, High: &high}}, false}, // a divider that the check foretells
		{43, nil, true},
	} {
		r := log.Reading{Kind: log.Volts, Value: c.value, Firm: true}
		assert.Equal(t, c.stray, speak.Stray(&diagnose.Proposal{Check: check, Outcomes: c.outcomes}, r),
			"%v V", c.value)
	}
}

// A stray voltage is said to be one, with how to see that, and is taken back like any other.
func TestStrayIsTold(t *testing.T) {
	d, shown := typed(t, "cold-store-alarm", "none", "other", "volts", "1", "back", "other", "volts",
		"door shut, cold", "F1:2 T1:X2", "43", "back", "back", "stop")
	require.ErrorIs(t, held(d), dialogue.ErrStopped)
	text := flowing(shown)
	assert.Contains(t, text, "It may be a stray voltage")
	assert.Contains(t, text, "Taken back: volts F1:2 to T1:X2 in \"door shut, cold\": 43.0 V.")
	assert.Contains(t, text, "There is nothing to take back.")
	assert.Empty(t, d.Log().Entries)
}

func TestComplaintIsLogged(t *testing.T) {
	d, shown := typed(t, "cold-store-alarm", "4", "B1", "door just opened", "return", "none")
	assert.ErrorIs(t, held(d), io.EOF)
	require.Len(t, d.Log().Entries, 1)
	e := d.Log().Entries[0]
	assert.Equal(t, log.Check{Look: "B1", Step: "door left open"}, e.Check)
	assert.False(t, e.Answer.On, "it was not as it should be")
	assert.Equal(t, talk.ComplaintNote, e.Note)
	assert.Equal(t, "2031-05-06T12:00:00Z", e.At)
	assert.Contains(t, shown.String(), "horn B1 was silent (should be sounding)")
	assert.Contains(t, shown.String(), "CHECK 1:", "what was known before is no check")
}

// Not right after the repair: what was wrong goes into the log and the search goes on.
func TestNotRightAfterTheRepair(t *testing.T) {
	m := builtinModel(t, "start-stop")
	i := 0
	for k, f := range m.Faults() {
		if f.ID == "open-H1" {
			i = k
		}
	}
	out, shown := inMemory(80)
	tried := 0
	ask := &truthful{rig: newRig(m, i, rand.New(rand.NewPCG(1, 2))), left: 100,
		extra: func(_ *logged, q talk.Question) (string, bool) {
			w := talk.Words(q.Choices)
			switch {
			case strings.Contains(w, "repaired") && tried == 0:
				return "repaired", true
			case strings.Contains(w, "wrong"):
				tried++
				return "wrong", true
			case strings.HasPrefix(q.Text, "What was wrong"):
				return "H2", true
			}
			return "", false
		}}
	d := searching(m, ask, out)
	ask.d = d
	err := held(d)
	assert.ErrorIs(t, err, dialogue.ErrStopped)
	assert.Contains(t, shown.String(), "Not right yet: the log goes on.")
	assert.Equal(t, guide.WorkedWrong, d.Guide.Proving()[0])
	var after []log.Entry
	for _, e := range d.Log().Entries {
		if e.Note == "after the repair" {
			after = append(after, e)
		}
	}
	require.Len(t, after, 1)
	assert.Equal(t, "H2", after[0].Check.Look)
	assert.False(t, after[0].Answer.On)
}

func TestHealthy(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	out, shown := inMemory(80)
	ask := &truthful{rig: newRig(m, diagnose.Good, rand.New(rand.NewPCG(1, 2))), left: 100}
	d := searching(m, ask, out)
	ask.d = d
	assert.ErrorIs(t, held(d), dialogue.ErrStopped)
	assert.Equal(t, diagnose.Healthy, d.Turn().Status)
	assert.Contains(t, shown.String(), "HEALTHY: every reading fits a good circuit")
	assert.Contains(t, shown.String(), "Measure while the trouble is there.")
}

// Where every check that would tell is out of reach, several groups are left, and the
// dialogue says what to do.
func TestGroupsLeft(t *testing.T) {
	m := builtinModel(t, "cold-store-alarm")
	i := 0
	for k, f := range m.Faults() {
		if f.ID == "open-B1" {
			i = k
		}
	}
	out, shown := inMemory(80)
	d := searching(m, nil, out)
	r := newRig(m, i, rand.New(rand.NewPCG(1, 2)))
	begun(t, d)
	for d.Turn().Status == diagnose.Continue {
		c := d.Turn().Next.Check
		if c.Kind() == log.Look {
			reading, err := r.read(c)
			require.NoError(t, err)
			known(t, d, c, &reading, "")
		} else {
			known(t, d, c, nil, "")
		}
	}
	require.Equal(t, diagnose.GroupLeft, d.Turn().Status)
	d.Ask = &talk.Lines{Keys: talk.NewKeyboard(context.Background(), strings.NewReader("stop\n")),
		Out: out, Echo: true}
	d.Guide = guide.New(m, d.Guide.Rules(), d.Log())
	require.NoError(t, d.Begin())
	assert.ErrorIs(t, d.Run(), dialogue.ErrStopped)
	assert.Contains(t, shown.String(), "no check that can be made tells them apart")
	assert.Contains(t, shown.String(), "Said to be out of reach:")
	assert.Contains(t, shown.String(), "LOCK OUT before the repair")
}

// Whatever is typed, nothing breaks, and the file holds just what the session does.
func TestDialogueTakesNonsense(t *testing.T) {
	vocabulary := []string{"", "?", "help", "1", "2", "3", "4", "5", "6", "7", "8", "9", "12", "-1",
		"on", "off", "why", "back", "possible",
		"other", "cannot", "again", "return", "none", "repaired", "right", "wrong", "repeat", "verdict",
		"look", "volts", "ohms",
		"120", "118,9 V", "0", "60", "2.4k", "OL", "0.2", "240 ohm", "H1", "M1:A1 T1:X2",
		"M1:A1 M1:A2 lifted M1:A1", "at rest", "start pressed",
		"seen M1 burnt", "seen", "M1:A1 loose", "unsure", "note it rattles", "complaint", "dim", "chatters", "unknown",
		"M1 does not pull in", "lamp H1 stays dark", "24", "120 dc?",
		"banana", "\x1b[A", "🔧", "T1:H1 T1:X2", "file", "start-stop"}
	for seed := range uint64(12) {
		random := rand.New(rand.NewPCG(seed, 9))
		var answers []string
		for range 150 {
			answers = append(answers, vocabulary[random.IntN(len(vocabulary))])
		}
		d, shown := typed(t, "start-stop", answers...)
		name := filepath.Join(t.TempDir(), "nonsense.log")
		o := findOptions{circuit: "start-stop", log: name, report: filepath.Join(t.TempDir(), "r.md"), now: noon}
		var errs bytes.Buffer
		require.NoError(t, d.open(o, streams{err: &errs}))
		err := held(d)
		require.True(t, err == nil || !failed(err), "seed %d: %v", seed, err)
		require.NoError(t, d.close(o, err))
		assert.NotContains(t, shown.String(), "\x1b")

		text, err := os.ReadFile(name)
		require.NoError(t, err)
		log, problems := d.Model.Book().ReadLog(name, text)
		require.Empty(t, problems, "seed %d", seed)
		require.Len(t, log.Entries, len(d.Log().Entries), "seed %d", seed)
		require.Len(t, log.Seen, len(d.Log().Seen), "seed %d", seed)
		for i, s := range log.Seen {
			assert.Equal(t, d.Log().Seen[i].Where+d.Log().Seen[i].Text, s.Where+s.Text)
			assert.Equal(t, d.Log().Seen[i].Before, s.Before)
		}
		for i := range log.Entries {
			assert.Equal(t, log.Entries[i].Check.String(), d.Log().Entries[i].Check.String())
			assert.Equal(t, log.Entries[i].Answer == nil, d.Log().Entries[i].Answer == nil)
			if a, b := log.Entries[i].Answer, d.Log().Entries[i].Answer; a != nil && b != nil {
				assert.Equal(t, b.Seems, a.Seems)
				assert.Equal(t, b.Unsure, a.Unsure)
			}
		}
		report, err := os.ReadFile(o.report)
		require.NoError(t, err)
		assert.Contains(t, string(report), "# Fault report: Grain-dryer fan")
	}
}

// A fault's name behind "why" is no answer to the question, and other words take nothing
// behind them.
func TestWordWithAName(t *testing.T) {
	var about string
	choices := []talk.Choice{{Word: "why", Text: "why this check?", About: &about}, dialogue.StopChoice}
	for typed, want := range map[string]int{"why": 0, "WHY  open-B1": 0, "why this check?": 0,
		"stop it": -1, "whyopen": -1, "stop": 1, "w": 0} {
		about = ""
		assert.Equal(t, want, talk.Matching(typed, choices), typed)
		if strings.Contains(typed, "B1") {
			assert.Equal(t, "open-b1", about)
		} else {
			assert.Empty(t, about, typed)
		}
	}
}
