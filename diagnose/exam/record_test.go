package exam

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/log"
)

// record is the record of a sitting of those stamps.
func (s *school) record(sitting string, stamps ...Stamp) []byte {
	chain, text := s.key.RecordChain(sitting), []byte(nil)
	for _, stamp := range stamps {
		line, err := json.Marshal(stamp)
		require.NoError(s.t, err)
		text = append(text, chain.Add(append(line, '\n'))...)
	}
	return text
}

// asked is a check that was asked when the log had so many answers.
func asked(logged int) Stamp {
	return Stamp{At: "2026-03-02T09:00:00Z", Check: &log.Check{Look: "H1", Step: "both on"}, Logged: &logged}
}

// A check that is asked again while the log has not gone on counts once, and a refused one not
// at all; the same check after its answer was logged is a second one.
func TestCountAsked(t *testing.T) {
	look := func(device string, logged int) string {
		return fmt.Sprintf(`{"asked":{"look":%q,"step":"both on"},"logged":%d}`+"\n", device, logged)
	}
	for text, want := range map[string]Asked{
		"": {},
		look("H1", 0) + look("H1", 0) + look("H1", 0):               {3, 1},
		look("H1", 0) + look("H1", 1):                               {2, 2},
		look("H1", 0) + look("H2", 0) + look("H1", 0):               {3, 2},
		look("H1", 0) + look("H1", 1) + look("H1", 1)[:20]:          {2, 2},
		look("H1", 0) + `{"logged":1,"refused":"no device"}` + "\n": {1, 1},
		look("H1", 0) + `{"at":"x","line":3}` + "\n{}\n":            {1, 1},
		`{"asked":{"look":"H1"}}` + "\n":                            {1, 1},
	} {
		assert.Equal(t, want, ReadRecord([]byte(text), NewChain(nil, "")).Asked, text)
	}
	assert.True(t, Asked{3, 1}.fits(1))
	assert.True(t, Asked{3, 1}.fits(3), "what was asked twice may be logged twice")
	assert.False(t, Asked{3, 1}.fits(4))
	assert.False(t, Asked{3, 2}.fits(1))
}

// kept is the record of a sitting of whose log every line was kept.
func (s *school) kept(sitting string, text []byte, stamps ...Stamp) []byte {
	n := 0
	for line := range bytes.Lines(text) {
		n++
		stamps = append(stamps, Stamp{Line: n, Sum: SumOfLine(bytes.TrimSuffix(line, []byte("\n")))})
	}
	return s.record(sitting, stamps...)
}

// Time passes while the machine serves: neither what a candidate's clock says counts, nor the
// time for which the machine was down.
func TestRecordSpent(t *testing.T) {
	s := newSchool(t, Served, "A")
	at := func(clock string) string { return "2026-03-02T" + clock + ":00Z" }
	opened := Stamp{At: at("09:00"), Opened: at("08:00")}
	for _, want := range []struct {
		minutes float64
		stamps  []Stamp
	}{
		{0, nil},
		{0, []Stamp{opened}}, // nobody was there before
		{12, []Stamp{opened, {At: at("09:12"), Line: 1}}},
		{12 + 5, []Stamp{opened, {At: at("09:12"), Line: 1}, {At: at("11:05"), Opened: at("11:00")}}},
		{12 + 5 + 3, []Stamp{opened, {At: at("09:12"), Line: 1}, {At: at("11:05"), Opened: at("11:00")}, {At: at("11:08"), Line: 2}}},
		{12, []Stamp{opened, {At: at("09:12"), Line: 1}, {At: at("07:00"), Line: 2}}}, // the clock was put back
		{12, []Stamp{opened, {At: at("09:12"), Line: 1}, {At: "noon", Line: 2}}},
	} {
		r := ReadRecord(s.record("e/1/1", want.stamps...), s.key.RecordChain("e/1/1"))
		assert.Equal(t, want.minutes, r.Spent.Minutes(), want.stamps)
		assert.Zero(t, r.Broken)
	}
}

// What was named after the end of time is late, by the machine's clock and whatever the log
// says; extra time moves the end, and so does the grace for what is being typed.
func TestLateByTheRecord(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	a := d.answers()
	stamped := func(minutes, over float64) []byte {
		stamps := []Stamp{{At: s.start.Format(time.RFC3339), Opened: s.start.Format(time.RFC3339)}, asked(0), asked(1)}
		n := 0
		for line := range bytes.Lines(a.Text) {
			n++
			stamps = append(stamps, Stamp{At: s.start.Add(time.Duration(minutes * float64(time.Minute))).Format(time.RFC3339), Line: n,
				Sum: SumOfLine(bytes.TrimSuffix(line, []byte("\n"))), Over: over})
		}
		return s.record("e/1/1", stamps...)
	}
	for _, want := range []struct{ minutes, over, extra, late float64 }{
		{19, 0, 0, 0}, {21, 0, 0, 0}, {23, 0, 0, 3}, {23, 0, 2, 0}, {30, 0, 5, 5}, {10, 1, 0, 0}, {10, 4, 0, 4},
	} {
		a.Record = stamped(want.minutes, want.over)
		s.key.Keys[0].Extra = want.extra
		got := s.mark(Usual, a).Marked[0]
		assert.Equal(t, want.late, got.Late, want)
		assert.Equal(t, want.minutes, got.Clock, want)
		assert.Equal(t, want.late == 0, got.Points.Total > 90, "%v: %v", want, got.Points)
		assert.Len(t, got.Remarks, min(1, int(want.late)), want)
	}
}

// A record that somebody has edited, and a log whose lines are others than those that were
// kept, are told.
func TestRecordChanged(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	a := d.answers()
	line, _, _ := bytes.Cut(a.Text, []byte("\n"))
	whole := s.kept("e/1/1", a.Text, asked(0), asked(1))
	a.Record = whole
	require.Empty(t, s.mark(Usual, a).Marked[0].Remarks)
	for about, text := range map[string][]byte{
		"a line put in":      append([]byte("{}\n"), whole...),
		"a line taken out":   whole[bytes.IndexByte(whole, '\n')+1:],
		"a time changed":     bytes.Replace(whole, []byte("09:00:00"), []byte("08:00:00"), 1),
		"of another sitting": s.record("e/2/1", asked(0), asked(1), Stamp{Line: 1, Sum: SumOfLine(line)}),
	} {
		a.Record = text
		assert.Contains(t, fmt.Sprint(s.mark(Usual, a).Marked[0].Remarks), "changed or added by something else", about)
	}
	a.Record = s.record("e/1/1", asked(0), asked(1), Stamp{Line: 1, Sum: SumOfLine([]byte("{}"))})
	assert.Contains(t, fmt.Sprint(s.mark(Usual, a).Marked[0].Remarks), "line 1 of the log is not the one")
}

// Without a whole record the time is the candidate's own, and that is said: where there is none, and
// where it ends before the log does.
func TestRecordMissing(t *testing.T) {
	s := newSchool(t, Served, "A")
	d := s.desk(1)
	d.check(behindSwitch, acrossLamp)
	d.name(darkLamp, 5)
	a := d.answers()
	lines := bytes.Count(a.Text, []byte("\n"))
	got := s.mark(Usual, a).Marked[0]
	require.Len(t, got.Remarks, 1)
	assert.Contains(t, got.Remarks[0], "no record of the instructor's machine is beside the log: the time is by the candidate's own clock")
	assert.Equal(t, 5.0, got.Clock)
	line, _, _ := bytes.Cut(a.Text, []byte("\n"))
	a.Record = s.record("e/1/1", asked(0), asked(1), Stamp{Line: 1, Sum: SumOfLine(line)})
	got = s.mark(Usual, a).Marked[0]
	require.Len(t, got.Remarks, 1)
	assert.Contains(t, got.Remarks[0], fmt.Sprintf("has 1 of the %d lines: the time is by the candidate's own clock", lines))
}
