package guide

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// walker holds every proposal of the searches that it walks against what one person at the
// panel can do, written apart from what decides there.
type walker struct {
	testing.TB
	m     *diagnose.Model
	panel *work.Panel
	held  map[string]bool // checks that were held against reach and hands already

	name                string
	searches, proposals int
}

// searched walks the search for one fault to its end. At the turn called astray the answer is
// that of the second likeliest outcome, if there is one; -1 for nowhere.
func (w *walker) searched(fault, astray int) {
	w.searches++
	var history log.Log
	ghost := rand.New(rand.NewPCG(7, uint64(fault)))
	meter := w.m.Meter(fault)
	spell := spell{panel: w.panel}
	for n := 0; ; n++ {
		turn := w.m.Turn(history, diagnose.Choosing{By: diagnose.ByMinutes, Most: 3})
		for _, p := range turn.Others {
			w.hold(p.Check)
		}
		if turn.Next == nil {
			return
		}
		require.Less(w, n, 80, "the search does not end")
		c := turn.Next.Check
		w.hold(c)
		w.proposals++
		for _, missing := range spell.missing(turn.Next, Cautions(w.m, history, turn.Next)) {
			w.Errorf("%s: %s before %s", w.name, missing, c)
		}
		r, err := meter.Read(c)
		require.NoError(w, err)
		if n == astray {
			r = w.second(c, r)
		}
		if !r.Firm && r.Kind == log.Volts {
			r.Value = ghost.Float64() * 20
		}
		e, err := w.m.Book().NewEntry(c, &r)
		require.NoError(w, err)
		history.Entries = append(history.Entries, e)
		spell.after(c, r, w.m.Nominal(c))
	}
}

// second is the likeliest reading of a check that is another than the true one.
func (w *walker) second(c log.Check, is log.Reading) log.Reading {
	if is.Kind == log.Look {
		is.On = !is.On
		return is
	}
	l, err := w.m.Book().Locate(c)
	require.NoError(w, err)
	low, high := w.m.Band(l, is)
	weight := make(map[float64]float64)
	best := is
	for f, r := range w.m.Readings(l) {
		if !r.Firm || r.Value >= low && r.Value <= high {
			continue
		}
		prior := 1.0
		if f < len(w.m.Faults()) {
			prior = w.m.Faults()[f].Prior
		}
		if weight[r.Value] += prior; weight[r.Value] > weight[best.Value] {
			best = r
		}
	}
	return best
}

// hold holds a check against reach, hands and where no lead goes.
func (w *walker) hold(c log.Check) {
	if w.held[c.String()] {
		return
	}
	w.held[c.String()] = true
	one := func(place string) string {
		if place == "door" {
			return "panel"
		}
		return place
	}
	var at []string
	for _, t := range slices.Concat(c.Leads(), c.Lifted) {
		name, terminal := t.Split()
		d := w.panel.Device(name)
		if slices.Contains(d.Primary[:], terminal) {
			assert.True(w, w.panel.PrimaryWired(d), "%s: a lead on what is fed from outside", c)
		}
		if place := one(d.Place); d.Type.Kind != circuits.GroundKind && !slices.Contains(at, place) {
			at = append(at, place)
		}
	}
	if d := w.panel.Device(c.Look); c.Kind() == log.Look && d.Type.Name != "horn" { // a horn is heard
		at = []string{one(d.Place)}
	}
	assert.LessOrEqual(w, len(at), 1, "%s: across places", c)
	position := make(map[*circuits.Device]int)
	for i := 0; i <= max(0, w.panel.Circuit.Step(c.Step)); i++ {
		for _, set := range w.panel.Circuit.Steps[i].Set {
			position[set.Device] = set.Position
		}
	}
	held := 0
	for d, pos := range position {
		switch {
		case pos == d.Rest:
		case c.Kind() == log.Ohms && d.Type.Electronic:
		case d.NotAtWill:
			assert.Fail(w, "nobody brings it about", "%s: %s", c, d.Name)
		case d.Momentary:
			held++
			if len(at) > 0 {
				assert.Equal(w, at[0], one(d.Place), "%s: %s is held elsewhere", c, d.Name)
			}
		}
	}
	assert.LessOrEqual(w, held, 1, "%s: more held than hands", c)
}

// spell is what somebody was told since the power last changed.
type spell struct {
	panel              *work.Panel
	locked             bool
	lockOut, live, mov bool
	nothing            bool // the last volts were none
}

// missing gives what has not been said before a check.
func (s *spell) missing(p *diagnose.Proposal, said []CautionKind) (missing []string) {
	c, ohms := p.Check, p.Check.Kind() == log.Ohms
	says := func(k CautionKind) bool { return slices.Contains(said, k) }
	if ohms != s.locked {
		s.lockOut, s.live, s.mov, s.nothing = false, false, false, false
	}
	if !ohms && s.locked && !says(PowerBack) {
		missing = append(missing, "the power comes back without a word")
	}
	s.lockOut = s.lockOut || says(Isolating)
	s.live = s.live || says(LiveWork)
	s.mov = s.mov || says(Movement)
	moves := slices.ContainsFunc(s.panel.Circuit.Devices, func(d *circuits.Device) bool {
		return d.Type.Name == "motor" || d.Type.Name == "contactor" || d.Type.Name == "solenoid"
	})
	switch {
	case ohms && !s.lockOut:
		missing = append(missing, "no lock-out")
	case c.Kind() == log.Volts && !s.live:
		missing = append(missing, "no caution of live work")
	}
	full := slices.ContainsFunc(p.Outcomes, func(a diagnose.Answered) bool {
		return c.Kind() == log.Volts && a.Probability > 0.5 && a.Low != nil && *a.Low > 0 // it shows that the meter works
	})
	if p.Proof && s.nothing && !full && !says(ProveMeter) {
		missing = append(missing, "a meter that is not proved")
	}
	if !ohms && moves && !s.mov {
		missing = append(missing, "no word of what may move")
	}
	return missing
}

func (s *spell) after(c log.Check, r log.Reading, nominal float64) {
	s.locked = c.Kind() == log.Ohms
	if c.Kind() == log.Volts {
		s.nothing = r.Value < 0.1*nominal || s.nothing && r.Value < 0.85*nominal
	}
}

// walked walks the searches of a panel: those of every nth fault, and of some of them with one
// answer that leads astray.
func walked(t testing.TB, name, text string, nth int) (searches, proposals, checks int) {
	t.Helper()
	c, problems := read.Read(name+".yaml", []byte(text))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(context.Background(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	w := &walker{TB: t, name: name, m: m, panel: p, held: make(map[string]bool)}
	w.searched(diagnose.Good, -1)
	for f := range m.Faults() {
		if f%nth != 0 {
			continue
		}
		w.searched(f, -1)
		if f/nth%4 == 0 {
			w.searched(f, f/nth/4%3)
		}
	}
	return w.searches, w.proposals, len(w.held)
}

// Whatever is answered, what is asked can be done by one person, and what has to be said has
// been said before. Under DEADRUNG_ALL every fault of every built-in circuit and of more random
// panels is walked.
func TestEveryProposalCanBeMadeAndIsCautioned(t *testing.T) {
	nth, seeds, names := 61, uint64(1), []string{"cold-store-alarm", "field-wiring"}
	if os.Getenv("DEADRUNG_ALL") != "" {
		nth, seeds, names = 1, 12, circuits.Builtin()
	}
	searches, proposals, checks := 0, 0, 0
	add := func(name string, s, p, c int) {
		searches, proposals, checks = searches+s, proposals+p, checks+c
		t.Logf("%s: %d searches, %d proposals asked, %d different checks", name, s, p, c)
	}
	for _, name := range names {
		text, _ := circuits.BuiltinText(name)
		s, p, c := walked(t, name, string(text), nth)
		add(name, s, p, c)
	}
	for seed := range seeds {
		s, p, c := walked(t, "random", generate.Panel(seed, generate.Options{Rungs: 5}), nth)
		add(fmt.Sprint("random ", seed), s, p, c)
	}
	assert.Positive(t, checks)
	t.Logf("%d searches, %d proposals asked, %d different checks", searches, proposals, checks)
}
