package diagnose_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// How far a computed reading may be from a printed one that does not say: sources
// round to two or three figures.
const (
	printedShare = 0.01
	printedLeast = 0.05 // volts or ohms
)

// TestPublished holds the program against what outside sources say of circuits. What
// is run is in testdata/published; see the README there.
func TestPublished(t *testing.T) {
	names, err := publishedNames()
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			text, said, err := openPublished(name)
			require.NoError(t, err)
			assert.Contains(t, headComment(text), sourceWords(said), "the circuit's first comment names its source")
			c, problems := read.Read(name+".yaml", text)
			require.Empty(t, problems, "%s", problems.Detail())
			panel := work.Assemble(c)
			problems = panel.Verify(text)
			assert.Empty(t, problems, "%s", problems.Detail())

			faults := faultmodel.List(panel, faultmodel.Options{})
			model, err := diagnose.New(t.Context(), panel, faults, diagnose.Options{})
			require.NoError(t, err)
			bench := &bench{panel: panel, faults: faults, model: model}
			for _, c := range said.Cases {
				t.Run(c.Name, func(t *testing.T) { bench.does(t, c) })
			}
			for _, l := range said.Logs {
				t.Run(l.Name, func(t *testing.T) { bench.leaves(t, l) })
			}
			for _, s := range said.Splits {
				t.Run(s.Name, func(t *testing.T) { bench.chooses(t, s) })
			}
		})
	}
}

func sourceWords(said published) string {
	if said.Key == "own" {
		return "Own arithmetic, not published."
	}
	return "Source: " + said.Source
}

// bench is a circuit with its faults, to be tried.
type bench struct {
	panel  *work.Panel
	faults []faultmodel.Fault
	model  *diagnose.Model
}

// fault finds the fault with an effect; the test fails if the circuit has none.
func (b *bench) fault(t *testing.T, e effect) faultmodel.Fault {
	t.Helper()
	i := slices.IndexFunc(b.faults, func(f faultmodel.Fault) bool { return f.Effect.Same(e.Effect) })
	require.NotEqual(t, -1, i, "the circuit's list of faults has no %s", e.Effect.Key())
	return b.faults[i]
}

// does holds the good circuit, or the one with a fault, against a case.
func (b *bench) does(t *testing.T, c faultCase) {
	var o work.Overlay
	if c.Effect != nil {
		o = b.fault(t, *c.Effect).Overlay
	}
	ends := b.work(&o)
	for step, devices := range c.Looks {
		for name, want := range devices {
			d := b.panel.Circuit.Device(name)
			require.True(t, slices.Contains(b.panel.Visible(), d), "nothing can be seen of %s", name)
			require.Contains(t, []string{"on", "off"}, want)
			on, firm := b.panel.Look(&o, ends[b.step(t, step)], d)
			assert.Equal(t, want, work.OnOff(on), "step %q, %s", step, name)
			assert.True(t, firm, "step %q, %s: the look is not a firm one", step, name)
		}
	}
	for step, want := range c.Blown {
		got := []string{}
		for _, d := range ends[b.step(t, step)].Blown {
			got = append(got, d.Name)
		}
		assert.ElementsMatch(t, want, got, "step %q, fuses and breakers that have opened", step)
	}
	for _, r := range c.Readings {
		got := b.read(t, &o, ends, r.Check)
		if r.Read == nil {
			assert.False(t, got.Firm, "%s: the meter may show anything, and %g is foretold", r.line, got.Value)
			continue
		}
		assert.True(t, got.Firm, "%s: the reading is not a firm one", r.line)
		if r.Read == "OL" {
			assert.Equal(t, log.OL, got.Value, "%s", r.line)
			continue
		}
		want, ok := r.Read.(float64)
		require.True(t, ok, "%s: read is a number or OL", r.line)
		within := math.Max(printedShare*want, printedLeast)
		if r.Within != nil {
			within = *r.Within
		}
		assert.InDelta(t, want, got.Value, within, "%s", r.line)
	}
}

// work works the operation and gives the ends of all steps.
func (b *bench) work(o *work.Overlay) []*work.End {
	var ends []*work.End
	b.panel.Work(o, func(_ int, e *work.End) bool {
		ends = append(ends, e)
		return true
	})
	return ends
}

func (b *bench) step(t *testing.T, name string) int {
	t.Helper()
	i := b.panel.Circuit.Step(name)
	require.NotEqual(t, -1, i, "the operation has no step %q", name)
	return i
}

// read takes a reading on the circuit itself, by way of its network and not of the
// model that is under test.
func (b *bench) read(t *testing.T, o *work.Overlay, ends []*work.End, c log.Check) log.Reading {
	t.Helper()
	r := log.Reading{Kind: c.Kind()}
	step := 0
	if c.Step != "" || c.Kind() != log.Ohms {
		step = b.step(t, c.Step)
	}
	if c.Kind() == log.Look {
		r.On, r.Firm = b.panel.Look(o, ends[step], b.panel.Circuit.Device(c.Look))
		return r
	}
	require.Len(t, c.Leads(), 2, "%s", c)
	red, black := b.panel.Node(c.Leads()[0]), b.panel.Node(c.Leads()[1])
	require.NotZero(t, red, "%s", c)
	require.NotZero(t, black, "%s", c)
	if c.Kind() == log.Volts {
		r.Value, r.Firm = ends[step].ReadVolts(red, black, network.MeterOhms)
		return r
	}
	lifted, err := b.panel.Lift(*o, c.Lifted)
	require.NoError(t, err, "%s", c)
	state := b.panel.LockedOut(o, step)
	r.Value, r.Firm = b.panel.Net.Off(state, &lifted.Overlay).Ohms(red, black)
	return r
}

// log writes checks with their answers as a log, and reads it as the program does.
func (b *bench) log(t *testing.T, lines []answered) log.Log {
	t.Helper()
	var text []byte
	for _, l := range lines {
		text = append(append(text, l.line...), '\n')
	}
	history, problems := b.model.Book().ReadLog("log", text)
	require.Empty(t, problems, "%s", problems.Detail())
	require.Len(t, history.Entries, len(lines))
	return history
}

// leaves holds what the program makes of a log against what must stay possible and
// what must not.
func (b *bench) leaves(t *testing.T, l loggedCase) {
	for _, by := range []diagnose.By{diagnose.ByChecks, diagnose.ByMinutes} {
		turn := b.model.Turn(b.log(t, l.Log), diagnose.Choosing{By: by})
		assert.Zero(t, turn.Wrong, "some fault agrees with all readings")
		assert.NotEqual(t, diagnose.Contradiction, turn.Status)
		if len(l.Status) > 0 {
			assert.Contains(t, l.Status, turn.Status)
		}
		rank := func(id faultmodel.ID) int {
			return slices.IndexFunc(turn.Candidates, func(c diagnose.Candidate) bool { return c.ID == id })
		}
		lowest := -1 // of what must stay possible
		for _, e := range l.StillPossible {
			f := b.fault(t, e)
			r := rank(f.ID)
			if assert.NotEqual(t, -1, r, "%s must stay possible", f.Text) {
				assert.Zero(t, turn.Candidates[r].Disagree, "%s must stay possible", f.Text)
				lowest = max(lowest, r)
			}
		}
		for _, e := range l.RuledOut {
			f := b.fault(t, e)
			if r := rank(f.ID); r >= 0 {
				assert.NotZero(t, turn.Candidates[r].Disagree, "%s must be ruled out", f.Text)
				assert.Greater(t, r, lowest, "%s is ruled out and ranks above what is not", f.Text)
			}
		}
	}
}

// chooses holds the choice of the next check against what tells most.
func (b *bench) chooses(t *testing.T, s splitCase) {
	turn := b.model.Turn(b.log(t, s.After), diagnose.Choosing{By: diagnose.ByChecks, Most: math.MaxInt32})
	require.NotEmpty(t, turn.Left)
	if s.Best != nil {
		most := b.tells(t, turn.Left, s.Best.Check)
		assert.Positive(t, most, "%s tells nothing", s.Best.line)
		for _, other := range s.Among {
			assert.GreaterOrEqual(t, most+1e-9, b.tells(t, turn.Left, other.Check), "%s tells more than %s", other.line, s.Best.line)
		}
		if assert.NotNil(t, turn.Next, "a check is worth making") {
			// The program looks several checks ahead, so its first may tell a trace less.
			assert.GreaterOrEqual(t, b.tells(t, turn.Left, turn.Next.Check), 0.995*most,
				"the program chose %s and %s tells more", turn.Next.Check, s.Best.line)
		}
	}
	for _, w := range s.Wasted {
		assert.Zero(t, b.tells(t, turn.Left, w.Check), "%s tells something", w.line)
		if turn.Next != nil && !turn.Next.Proof {
			assert.False(t, sameCheck(turn.Next.Check, w.Check), "%s is proposed", w.line)
		}
		for _, p := range turn.Others {
			assert.False(t, sameCheck(p.Check, w.Check), "%s is proposed", w.line)
		}
	}
}

// tells gives what a check tells about the faults that are left, in bits: the entropy
// of its answers among the faults that decide it, times their share. A fault whose
// reading is not firm learns nothing from it. Voltages count by tenths of the supply.
func (b *bench) tells(t *testing.T, left []int, c log.Check) float64 {
	t.Helper()
	var supply float64
	for _, d := range b.panel.Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			supply = max(supply, d.Volts)
		}
	}
	weight := make(map[float64]float64)
	var sum, all float64
	for _, i := range left {
		o := &b.faults[i].Overlay
		all += b.faults[i].Prior
		r := b.read(t, o, b.work(o), c)
		if !r.Firm {
			continue
		}
		answer := r.Value
		switch r.Kind {
		case log.Volts:
			answer = math.Round(10 * r.Value / supply)
		case log.Look:
			if r.On {
				answer = 1
			}
		}
		weight[answer] += b.faults[i].Prior
		sum += b.faults[i].Prior
	}
	var bits float64
	for _, w := range weight {
		bits -= w / all * math.Log2(w/sum)
	}
	return bits
}

// sameCheck tells whether two checks are one, whichever lead comes first.
func sameCheck(a, b log.Check) bool {
	if a.Kind() != b.Kind() || a.Look != b.Look || a.Step != b.Step || !slices.Equal(a.Lifted, b.Lifted) {
		return false
	}
	return slices.Equal(slices.Sorted(slices.Values(a.Leads())), slices.Sorted(slices.Values(b.Leads())))
}
