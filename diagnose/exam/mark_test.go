package exam

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// twoSwitches is small enough to mark by hand. Every candidate has the lamp H1 open, and is
// told that it is dark when both switches are on. That leaves, by the weights of the faults:
//
//	8.0  H1 open                                 3.0  the supply dead
//	3.5  a contact of S1 open, or S1 stuck off   3.5  the same of S2
//	1.3  each of the wires L-S1, 1, 2, N-H1      0.35 H1 shorted or 2 on N;  0.35 H2 or L on N
//
// 23.9 in all, in 10 groups: 2.81 bits. The guided search needs 0.6 min from there.
const twoSwitches = `
circuit: Lamp and two switches
devices:
  SRC: {type: supply, volts: 120}
  S1:  {type: selector-switch, positions: [off, on], contacts: [{no: [13, 14]}]}
  S2:  {type: selector-switch, positions: [off, on], contacts: [{no: [13, 14]}]}
  H1:  {type: lamp, kind: filament}
  H2:  {type: lamp, kind: filament}
wires:
  L: [[SRC:L, S1:13], [SRC:L, H2:1]]
  1: [S1:14, S2:13]
  2: [S2:14, H1:1]
  N: [SRC:N, H1:2, H2:2]
operation:
  - step: rest
    expect: {H1: off, H2: on}
  - step: both on
    set: {S1: on, S2: on}
    expect: {H1: on, H2: on}
`

const darkLamp = "open-H1"

// Checks on it with both switches on. Full volts across H1 leave H1 open alone. Full volts
// from S2:14 to N leave H1 open, 8.0, wire 2 open, 1.3, and N-H1 open, 1.3: three groups,
// 1.05 bits, which is 63 % of 2.81 cleared.
var (
	acrossLamp   = log.Check{Volts: []circuits.Terminal{"H1:1", "H1:2"}, Step: "both on"}
	behindSwitch = log.Check{Volts: []circuits.Terminal{"S2:14", "SRC:N"}, Step: "both on"}
	lampOhms     = log.Check{Ohms: []circuits.Terminal{"H1:1", "H1:2"}, Lifted: []circuits.Terminal{"H1:1"}, Step: "both on"}
)

// school is an exam whose candidates all have the fault darkLamp.
type school struct {
	t     *testing.T
	m     *diagnose.Model
	exam  *Exam
	key   *Key
	start time.Time
}

func newSchool(t *testing.T, form Form, names ...string) *school {
	c, problems := read.Read("switches.yaml", []byte(twoSwitches))
	require.NoError(t, problems.Err())
	p := work.Assemble(c)
	m, err := diagnose.New(t.Context(), p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{})
	require.NoError(t, err)
	s := &school{t: t, m: m, start: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	s.exam = &Exam{Version: Version, ID: "e", Form: form}
	s.key = &Key{Version: Version, Exam: "e", Title: "Test", Form: form, Faults: 1, Minutes: 20, By: "minutes"}
	for i, n := range names {
		s.key.Keys = append(s.key.Keys, CandidateKey{Candidate: Candidate{Number: i + 1, Name: n}, Chain: []byte(n),
			Tasks: []TaskKey{{Fault: darkLamp, Table: []byte("table of " + n)}}})
	}
	return s
}

// mark marks what was handed in.
func (s *school) mark(w Scheme, answers ...Answers) *Result {
	r, err := Mark(s.exam, s.key, []*diagnose.Model{s.m}, w, answers)
	require.NoError(s.t, err)
	return r
}

// desk is a candidate at work.
type desk struct {
	*school
	s    *training.Sitting
	text bytes.Buffer
	now  time.Time
}

// desk seats a candidate by number.
func (s *school) desk(number int) *desk {
	k := s.key.Of(number)
	f := faultOf(s.t, s.m, darkLamp)
	table, err := MakeReadings(s.m, f, k.Tasks[0].Table)
	require.NoError(s.t, err)
	d := &desk{school: s, s: training.NewSittingAt(s.m, table), now: s.start}
	sitting := SittingID("e", number, 1)
	chain := NewChain(k.Chain, sitting)
	keep := func(write func(io.Writer) error) error {
		var line bytes.Buffer
		if err := write(&line); err != nil {
			return err
		}
		d.text.Write(chain.Add(line.Bytes()))
		return nil
	}
	require.NoError(s.t, keep(func(w io.Writer) error { return s.m.Book().WriteSitting(w, sitting, d.at()) }))
	d.s.Keep(keep)
	said, seen, err := training.ComplaintOf(s.m, f)
	require.NoError(s.t, err)
	require.True(s.t, seen)
	said.At = d.at()
	require.NoError(s.t, d.s.Told(said))
	return d
}

func (d *desk) at() string { return d.now.Format(time.RFC3339) }

func (d *desk) do(kinds ...log.ActKind) {
	for _, k := range kinds {
		_, err := d.s.Do(log.Act{Kind: k, At: d.at()})
		require.NoError(d.t, err)
	}
}

func (d *desk) check(checks ...log.Check) {
	for _, c := range checks {
		_, _, err := d.s.Check(c, d.at())
		require.NoError(d.t, err)
	}
}

// name names a fault so many minutes after the start.
func (d *desk) name(fault faultmodel.ID, minutes float64) {
	d.now = d.start.Add(time.Duration(minutes * float64(time.Minute)))
	_, err := d.s.Do(log.Act{Kind: log.StateAct, Fault: fault, At: d.at()})
	require.NoError(d.t, err)
}

func (d *desk) answers() Answers { return Answers{File: "log.jsonl", Text: d.text.Bytes()} }

var safely = []log.ActKind{log.LockOutAct, log.TryAct, log.TestMeterAct, log.ProveDeadAct, log.TestMeterAct}

// Marked by hand, with 3 marks for an unsafe act. 20 min are allowed; full time marks are up
// to 1.5 times the 2.6 min that the guided search needs, 2 of them to make ready for live work.
func TestMarkedByHand(t *testing.T) {
	s := newSchool(t, Simulated, "Ada", "Bo", "Cy", "Di", "Ed", "Flo", "Gus", "Hal")
	c, err := complaintsOf(s.m, diagnose.ByMinutes)
	require.NoError(t, err)
	require.InDelta(t, 2.6, c.needed[faultOf(t, s.m, darkLamp)].Minutes, 1e-9)

	// Ada measures across the lamp, 2 min to make ready and 0.5 min for each lead that is not on
	// the return, and names it: 50 + 20 + 20; 3.0 min are 1.15 times 2.6: 10.
	ada := s.desk(1)
	ada.check(acrossLamp)
	ada.name(darkLamp, 2)

	// Bo looks at everything that is at hand first, which costs nothing, and makes his check
	// twice. One redundant check: 20 less 2. Two looks, 0.1 min each, 2 min
	// to make ready, and twice 1.0: 4.2 min are 1.62 times 2.6, (3-1.62)/(3-1.5) of 10 = 9.2.
	bo := s.desk(2)
	bo.check(log.Check{Look: "H1", Step: "both on"}, log.Check{Look: "H2", Step: "both on"}, acrossLamp, acrossLamp)
	bo.name(darkLamp, 2)

	// Cy names the lamp at once. H1 has 8.0 open and 0.3 shorted of 23.9, one part: 34.7 % of
	// 50 = 17.4, and of 10 for time 3.5. He has shown neither method nor safe work.
	cy := s.desk(3)
	cy.name(darkLamp, 1)

	// Di finds full volts behind the switches and names wire 2, which is on the rung of the
	// lamp: 20 % of 50, for all three that are left are on that rung. 63 % of the doubt is
	// cleared: 12.6 of 20, twice. 20 % of the full marks for time.
	di := s.desk(4)
	di.check(behindSwitch)
	di.name("open-S2:14-H1:1", 3)

	// Ed switches off and measures the lamp: not locked, not tried, the meter not tested
	// before, not proved dead, the meter not tested after: 20 less 5 times 3. By the minutes
	// of the panel he needs more than 3 times 2.6: no marks for time.
	ed := s.desk(5)
	ed.do(log.SwitchOffAct)
	ed.check(lampOhms)
	ed.name(darkLamp, 4)

	// Flo does as Ada and names it after 30 min: the name and the time are worth nothing.
	flo := s.desk(6)
	flo.check(acrossLamp)
	flo.name(darkLamp, 30)

	// Gus names the lamp shorted, with the check that leaves it open alone: the part is right,
	// which is what is asked for, but the reading has ruled out what he says. Of what was left
	// all is in that part.
	gus := s.desk(7)
	gus.check(acrossLamp)
	gus.name("shorted-H1", 2)

	// Hal names the other lamp: nothing of it is right.
	hal := s.desk(8)
	hal.check(acrossLamp)
	hal.name("open-H2", 2)

	w := Usual
	w.Unsafe = 3
	r := s.mark(w, ada.answers(), bo.answers(), cy.answers(), di.answers(), ed.answers(), flo.answers(), gus.answers(), hal.answers())
	require.Len(t, r.Marked, 8)
	for i, want := range []struct {
		points  Points
		right   bool
		near    Near
		cleared float64
		reason  string // one of them
	}{
		{Points{Fault: 50, Checks: 20, Safety: 20, Time: 10, Total: 100}, true, Exact, 1, "no check could have told more"},
		{Points{Fault: 50, Checks: 18, Safety: 20, Time: 9.2, Total: 97.2}, true, Exact, 1, "looking, 2 times, costs nothing; 2 less for checks that were 1 redundant"},
		{Points{Fault: 17.4, Time: 3.5, Total: 20.9}, true, Exact, 0, "10 groups of faults were still possible, and its part had 35 % of their weight"},
		{Points{Fault: 10, Checks: 12.6, Safety: 12.6, Time: 2, Total: 37.2}, false, OnRung, 0.63, "the rung is right, which is worth 20 %"},
		{Points{Fault: 50, Checks: 20, Safety: 5, Total: 75}, true, Exact, 1, "15 less for 5 unsafe"},
		{Points{Checks: 20, Safety: 20, Total: 40}, true, Exact, 1, "named 10.0 min late, which is worth nothing"},
		{Points{Fault: 50, Checks: 20, Safety: 20, Time: 10, Total: 100}, true, InPart, 1, "right as far as is asked: lamp H1 is shorted; it was that lamp H1 is open"},
		{Points{Checks: 20, Safety: 20, Total: 40}, false, Elsewhere, 1, "wrong: lamp H2 is open was named, and it was that lamp H1 is open"},
	} {
		d := r.Marked[i]
		about := fmt.Sprintf("%s: %+v", d.Candidate.Name, d.Reasons)
		assert.Equal(t, want.points, d.Points, about)
		assert.Equal(t, want.right, d.Right, about)
		assert.Equal(t, want.near, d.Near, about)
		assert.Equal(t, want.cleared, d.Cleared, about)
		assert.Equal(t, chainWhole, d.Chain, about)
		assert.Contains(t, about, want.reason)
	}
	assert.Equal(t, []string{"the fault was named 10.0 min after the allowed 20 min"}, r.Marked[5].Remarks)
	assert.Len(t, r.Marked[4].Unsafe, 5)
	assert.Equal(t, []int{4, 2, 0, 1, 0}, []int{len(r.Marked[1].Checks), r.Marked[1].Looks, r.Marked[1].Premature, r.Marked[1].Redundant, r.Marked[1].Irrelevant})

	// Percent of 100 marks; 60 are needed to pass.
	assert.Equal(t, []bool{true, true, false, false, true, false, true, false}, passes(r))

	// Where exactly the fault is asked for Gus has 80 % for the part; Ada has all, and Cy the
	// 8.0 of 23.9 that are the lamp open, or 80 % of the 8.3 that are the lamp: 33.5 % are more.
	exact := w
	exact.Right = "exact"
	r = s.mark(exact, ada.answers(), cy.answers(), gus.answers())
	assert.Equal(t, []float64{50, 16.7, 40}, []float64{r.Marked[0].Points.Fault, r.Marked[2].Points.Fault, r.Marked[6].Points.Fault})
	assert.False(t, r.Marked[6].Right)
}

func passes(r *Result) (out []bool) {
	for _, c := range r.Class {
		out = append(out, c.Passed)
	}
	return out
}

// Whatever is lost, damaged, changed or strange is said, and all the rest is marked.
func TestMarkSaysWhatIsMissing(t *testing.T) {
	s := newSchool(t, Simulated, "A", "B", "C", "D", "E", "F", "G", "H", "I", "J")
	full := func(number int) *desk {
		d := s.desk(number)
		d.check(behindSwitch, acrossLamp)
		d.name(darkLamp, 5)
		return d
	}
	good := full(1).answers()
	half := s.desk(3)
	half.check(behindSwitch)
	begun := s.desk(4).answers()
	wrong := s.desk(5)
	wrong.name("open-H2", 1)
	edited := full(6).answers()
	edited.Text = bytes.Replace(edited.Text, []byte(`"read":`), []byte(`"read":7`), 1)
	torn := full(7).answers()
	torn.Text = torn.Text[:len(torn.Text)-30]
	mangled := full(8).answers()
	mangled.Text = bytes.Replace(mangled.Text, []byte(`{"volts":["H1`), []byte(`{"voltz":["H1`), 1)
	// One that has the key and makes the chain anew over another reading.
	forged := full(9)
	var lines [][]byte
	chain := NewChain([]byte("I"), SittingID("e", 9, 1))
	for line := range bytes.Lines(bytes.Replace(forged.text.Bytes(), []byte(`"read":1`), []byte(`"read":10`), 1)) {
		body, _, _ := cutLast(line, []byte(`,"chain":"`))
		lines = append(lines, chain.Add(append(bytes.Clone(body), "}\n"...)))
	}
	// One from a packet that tells no complaint.
	untold := s.desk(10)
	var rest bytes.Buffer
	chain = NewChain([]byte("J"), SittingID("e", 10, 1))
	for line := range bytes.Lines(untold.text.Bytes()) {
		if body, _, _ := cutLast(line, []byte(`,"chain":"`)); !bytes.Contains(line, []byte(training.ComplaintNote)) {
			rest.Write(chain.Add(append(bytes.Clone(body), "}\n"...)))
		}
	}
	again := s.desk(1)
	again.check(acrossLamp)
	twice := Answers{File: "copy.jsonl", Text: again.text.Bytes()}
	r := s.mark(Usual,
		good, twice, half.answers(), begun, wrong.answers(), edited, torn, mangled, Answers{File: "forged.jsonl", Text: bytes.Join(lines, nil)},
		Answers{File: "untold.jsonl", Text: rest.Bytes()},
		Answers{File: "notes.txt", Text: []byte("shopping list")}, Answers{File: "other.jsonl", Text: []byte(`{"circuit":"x","deadrung":1,"sitting":"f/1/1"}`)}, Answers{File: "empty"},
	)
	require.Len(t, r.Marked, 10)
	assert.False(t, r.Complete)
	for i, want := range []struct {
		state  State
		chain  string
		total  float64
		remark string
	}{
		// To make ready takes 2 min and two checks 0.5 and 1.0, where 2.6 are expected: 1.35
		// times, which is full marks.
		{Complete, chainWhole, 100, "copy.jsonl is of the same sitting and differs; it is not marked"},
		{Missing, chainNone, 0, "no answer log was handed in"},
		// 63 % of the doubt is cleared: 12.6 of 20, twice.
		{HalfWay, chainWhole, 25.2, "the candidate stopped before naming a fault"},
		{Begun, chainWhole, 0, "no check was made and no fault named"},
		{Complete, chainWhole, 0, ""},
		{Begun, chainBroken, 0, "the chain breaks at line 3: it was changed or added, or lines are missing before it; nothing from there on is marked"},
		{HalfWay, chainWhole, 40, "line 5: the last line is cut short, as by a crash, and is not marked: {\"act\":\"state\""},
		{HalfWay, chainBroken, 25.2, "the chain breaks at line 4"},
		{Complete, chainBroken, -1, "the panel would not have shown this reading there"},
		{Begun, chainWhole, 0, "no check was made and no fault named"},
	} {
		d := r.Marked[i]
		all := strings.Join(d.Remarks, "\n")
		about := fmt.Sprintf("%s: %s %+v", d.Candidate.Name, all, d.Reasons)
		assert.Equal(t, want.state, d.State, about)
		assert.Equal(t, want.chain, d.Chain, about)
		if want.total >= 0 {
			assert.Equal(t, want.total, d.Points.Total, about)
		}
		assert.Contains(t, all, want.remark, about)
	}
	var strange []string
	for _, x := range r.Strange {
		strange = append(strange, x.File)
	}
	assert.Equal(t, []string{"notes.txt", "other.jsonl", "empty"}, strange)
	assert.Equal(t, faultmodel.ID("open-H2"), r.Items[0].Mistaken[0].Fault)
}

// Two logs of one sitting of which one is only the beginning of the other, as a disk or a crash
// leaves them, say nothing against the candidate, whichever is read first. What the machine has
// answered is found beside either.
func TestBeginningOfALog(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	whole := d.answers()
	record := s.kept("e/1/1", whole.Text, asked(0), asked(1))
	clean := s.mark(Usual, Answers{File: whole.File, Text: whole.Text, Record: record}).Marked[0]
	require.Empty(t, clean.Remarks)
	for cut := bytes.IndexByte(whole.Text, '\n') + 1; cut <= len(whole.Text); cut++ {
		short := Answers{File: "short.jsonl", Text: whole.Text[:cut], Record: record}
		if cut%2 == 0 { // saved by an editor of another system
			short.Text = bytes.ReplaceAll(append([]byte("\uFEFF"), short.Text...), []byte("\n"), []byte("\r\n"))
		}
		for _, both := range [][]Answers{{whole, short}, {short, whole}} {
			got := s.mark(Usual, both...).Marked[0]
			require.Empty(t, got.Remarks, "%d", cut)
			require.Equal(t, clean.Points, got.Points, "%d", cut)
			require.Equal(t, clean.Receipt, got.Receipt, "%d", cut)
		}
	}
	other := Answers{File: "other.jsonl", Text: whole.Text[:len(whole.Text)-200], Record: s.kept("e/1/1", whole.Text, asked(0), asked(1), asked(2))}
	got := s.mark(Usual, whole, other).Marked[0]
	require.Len(t, got.Remarks, 1)
	assert.Contains(t, got.Remarks[0], "the instructor's machine answered 3 checks, and the log has 2")
}

// Whatever is put behind a log by hand is worth nothing: a fault that is named there without
// a link, with a line end or without, with the link of another line, in the middle, or with the
// rest of the line cut off.
func TestNothingAddedIsMarked(t *testing.T) {
	s := newSchool(t, Simulated, "A")
	for _, added := range []string{
		`{"act":"state","fault":"open-H1"}`, `{"act":"state","fault":"open-H1"}` + "\n", "\n" + `{"act":"state","fault":"open-H1"}`,
		`{"act":"state","fault":"open-H1","at":"2026-03-02T09:05:00Z","chain":"00112233445566778899aabbccddeeff"}` + "\n",
		`{"act":"state","fault":"open-H1"`, `{"act":"state","fault":"open-H1"}{`,
		`{"volts":["H1:1","H1:2"],"step":"both on","read":120}` + "\n" + `{"act":"state","fault":"open-H1"}`,
	} {
		d := s.desk(1)
		d.check(behindSwitch)
		honest := s.mark(Usual, d.answers()).Marked[0]
		a := d.answers()
		a.Text = append(bytes.Clone(a.Text), added...)
		got := s.mark(Usual, a).Marked[0]
		assert.Equal(t, honest.Points, got.Points, added)
		assert.Equal(t, HalfWay, got.State, added)
		assert.Empty(t, got.Stated, added)
		assert.Len(t, got.Checks, 1, added)
		assert.NotEqual(t, honest.Remarks, got.Remarks, "it is told: %s", added)
		// What was cut short accuses nobody.
		assert.Equal(t, added[len(added)-1] != '}' && added[len(added)-1] != '\n', got.Chain == chainWhole, added)
	}
}

// Lines that read well and that no sitting writes are told, and end what is marked: by them
// a forger could hide a check, or have it count as known before.
func TestMarkForeignLines(t *testing.T) {
	s := newSchool(t, Simulated, "A")
	for _, line := range []string{
		`{"undo":true}`, `{"cannot":{"look":"H1","step":"rest"}}`, `{"act":"hint","strength":2}`, `{"act":"repair","fault":"open-H1"}`,
		`{"look":"H1","step":"rest","saw":"off","note":"known before the checks"}`, `{"look":"H1","step":"both on","saw":"off","note":"known before the checks"}`,
		`{"look":"H1","step":"rest","saw":"off","repaired":true}`,
	} {
		d := s.desk(1)
		d.check(behindSwitch, acrossLamp)
		chain := NewChain([]byte("A"), SittingID("e", 1, 1))
		chain.Follow(d.text.Bytes())
		d.text.Write(chain.Add([]byte(line + "\n")))
		d.text.Write(chain.Add([]byte(`{"act":"state","fault":"open-H1","at":"2026-03-02T09:05:00Z"}` + "\n")))
		got := s.mark(Usual, d.answers()).Marked[0]
		assert.Equal(t, chainBroken, got.Chain, line)
		assert.Equal(t, HalfWay, got.State, line)
		assert.Contains(t, strings.Join(got.Remarks, "\n"), "line 5 is not one that a sitting writes; nothing from there on is marked", line)
	}
}

// Breaks between sessions count or not, as the weights say; a clock that was turned back
// is said.
func TestMarkTimes(t *testing.T) {
	line := func(at, more string) string { return fmt.Sprintf("{\"at\":\"2026-03-02T%sZ\"%s}\n", at, more) }
	text := line("09:00:00", `,"sitting":"e/1/1"`) + line("09:04:00", "") + line("10:00:00", `,"sitting":"e/1/1"`) + line("10:06:00", `,"act":"state"`) + line("11:00:00", "")
	x := timesOf([]byte(text))
	// 66 min in all, 56 of them the break; what comes after the naming does not count.
	assert.Equal(t, 66*time.Minute, x.last.Sub(x.first))
	assert.Equal(t, 56*time.Minute, x.breaks)
	assert.Equal(t, 10*time.Minute, Worked([]byte(text)))
	assert.True(t, timesOf([]byte(line("09:00:00", "")+line("08:59:59", ""))).backwards)
	assert.Equal(t, 2, timesOf([]byte("{}\n{\"at\":\"noon\"}\n")).timeless)
	d := Marked{Near: Exact, Shares: [Exact + 1]float64{1, 1, 1, 1, 1}, Clock: 66, Breaks: 56, Panel: 22.5, Expected: Expected{Minutes: 10}}
	// At the panel 2.25 times what is expected: (3-2.25)/(3-1.5) of 10.
	assert.Equal(t, 5.0, Usual.Points(&d).Time)
	wall := Usual
	wall.Clock = "wall"
	assert.Zero(t, wall.Points(&d).Time)
	wall.Breaks = "left out"
	assert.Equal(t, 10.0, wall.Points(&d).Time)
	d.Late = 1
	assert.Zero(t, wall.Points(&d).Time)
	wall.Late = "all"
	assert.Equal(t, 10.0, wall.Points(&d).Time)
}

// On a bench a reading that the fault does not give is said; it breaks nothing.
func TestMarkBench(t *testing.T) {
	s := newSchool(t, Bench, "Ada")
	ada := s.desk(1)
	ada.check(acrossLamp)
	ada.name(darkLamp, 5)
	at := strings.Index(ada.text.String(), `"read":1`)
	require.Positive(t, at)
	text := strings.Replace(ada.text.String(), `"read":1`, `"read":5`, 1)
	var rest bytes.Buffer
	chain := NewChain([]byte("Ada"), SittingID("e", 1, 1))
	for line := range strings.Lines(text) {
		body, _, _ := cutLast([]byte(line), []byte(`,"chain":"`))
		rest.Write(chain.Add(append(bytes.Clone(body), "}\n"...)))
	}
	r := s.mark(Usual, Answers{File: "a", Text: rest.Bytes()})
	assert.Equal(t, chainWhole, r.Marked[0].Chain)
	require.Len(t, r.Marked[0].Remarks, 1)
	assert.Contains(t, r.Marked[0].Remarks[0], "1 of the readings are not what the fault gives")
}

// Figures of faults and kinds, by hand: Ada and Bo find both of their faults, Cy only the
// first, Di is absent from the second, and one more is absent from both.
func TestItems(t *testing.T) {
	s := newSchool(t, Simulated)
	wire := faultmodel.ID("open-S1:14-S2:13")
	r := &Result{Scheme: Usual}
	add := func(number, task int, fault faultmodel.ID, state State, had float64) {
		d := Marked{Candidate: Candidate{Number: number}, Task: task, Circuit: s.m.Panel().Circuit.Title, Fault: fault, State: state,
			Right: had == 50, Points: Points{Fault: had, Total: 2 * had}, Expected: Expected{4, 2}}
		if state == Complete {
			d.Checks = make([]MarkedCheck, 3)
			if d.Stated = fault; !d.Right {
				d.Stated = "open-H2"
			}
		}
		r.Marked = append(r.Marked, d)
	}
	for number, had := range [][2]float64{{50, 50}, {50, 50}, {50, 0}, {0, -1}, {-1, -1}} {
		for task, fault := range []faultmodel.ID{darkLamp, wire} {
			state := Complete
			if had[task] < 0 {
				state, had[task] = Missing, 0
			}
			add(number+1, task+1, fault, state, had[task])
		}
	}
	r.items([]*diagnose.Model{s.m})
	require.Len(t, r.Items, 2)
	// The wire: 5 times set, twice to nobody; 2 of 3 found it, 100 of 150 marks. Of their other
	// fault all three had all: nothing to hold it against.
	w := r.Items[0]
	assert.Equal(t, []int{5, 2, 3, 2}, []int{w.Set, w.Absent, w.There(), w.Found})
	assert.Equal(t, 0.67, w.Difficulty)
	assert.Nil(t, w.Discrimination)
	assert.Equal(t, []Mistaken{{"open-H2", "lamp H2 is open", 1}}, w.Mistaken)
	// The lamp: 3 of 4 found it. Those with another fault are Ada, Bo and Cy, who all found
	// this one: again nothing varies.
	l := r.Items[1]
	assert.Equal(t, []int{5, 1, 4, 3}, []int{l.Set, l.Absent, l.There(), l.Found})
	assert.Equal(t, 0.75, l.Difficulty)
	assert.True(t, l.Few)
	assert.Equal(t, []string{"open-wire", "open-load"}, []string{r.Kinds[0].Kind, r.Kinds[1].Kind})
	assert.Equal(t, 0.67, r.Kinds[0].Difficulty)

	// Where Cy fails at the lamp as well and Di finds it but not the wire, those who do better
	// at the one do better at the other: own 1, 1, 0, 1 against 1, 1, 0, 0 of the rest.
	r.Marked[4].Points, r.Marked[4].Right = Points{}, false
	r.Marked[6].Points, r.Marked[6].Right = Points{Fault: 50, Total: 100}, true
	r.Marked[7].State = Complete
	r.items([]*diagnose.Model{s.m})
	i := slices.IndexFunc(r.Items, func(it Item) bool { return it.Fault == darkLamp })
	require.NotNil(t, r.Items[i].Discrimination)
	// Means 0.75 and 0.5; the products of the differences sum up to 0.5, their squares to 0.75
	// and 1: 0.5 / sqrt(0.75) = 0.58.
	assert.Equal(t, 0.58, *r.Items[i].Discrimination)
}

// Whatever is handed in as an answer log, marking comes to an end and says something.
func FuzzMark(f *testing.F) {
	m := modelOf(f, "two-lamp")
	key := &Key{Version: Version, Exam: "e", Form: Bench, Faults: 1, By: "checks",
		Keys: []CandidateKey{{Candidate: Candidate{Number: 1, Name: "A"}, Chain: []byte("k"), Tasks: []TaskKey{{Fault: m.Faults()[0].ID, Table: []byte("t")}}}}}
	head := `{"circuit":"Car-wash bay lights","deadrung":1,"at":"2026-03-02T09:00:00Z","sitting":"e/1/1"}` + "\n"
	f.Add([]byte(head + `{"act":"work","step":"bay shut"}` + "\n" + `{"look":"H1","step":"bay shut","saw":"on"}` + "\n"))
	f.Add([]byte(head + `{"act":"state","fault":"open-F1"}` + "\n" + `{"undo":true}` + "\n"))
	f.Add([]byte(head + `{"cannot":{"look":"H1","step":"bay shut"},"chain":"00"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 2000 {
			return // each check is weighed against the best one
		}
		r, err := Mark(&Exam{ID: "e"}, key, []*diagnose.Model{m}, Usual, []Answers{{File: "f", Text: text}})
		if err != nil || len(r.Marked) != 1 || r.Class[0].Percent < 0 || r.Class[0].Percent > 100 {
			t.Fatalf("%v %+v", err, r)
		}
	})
}
