package log

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

// The lines of a log.
const (
	hornOff    = `{"look":"B1","step":"door left open","saw":"off"}`
	hornVolts  = `{"volts":["CR1:22","T1:X2"],"step":"door left open","read":118.9}`
	coilOhms   = `{"ohms":["CR1:A1","CR1:A2"],"read":2410}`
	beaconOpen = `{"ohms":["H1:1","H1:2"],"lifted":["H1:1"],"read":"OL"}`
	undo       = `{"undo":true}`
)

// coldStore is the book of the cold-store alarm; it knows no faults.
func coldStore(t testing.TB) *Book {
	t.Helper()
	text, ok := circuits.BuiltinText("cold-store-alarm")
	require.True(t, ok)
	c, problems := read.Read("cold-store-alarm.yaml", text)
	require.NoError(t, problems.Err())
	return NewBook(work.Assemble(c), nil)
}

// readLog reads lines in which nothing is wrong.
func readLog(t testing.TB, b *Book, l ...string) Log {
	t.Helper()
	log, problems := b.ReadLog("a.log", []byte(lines(l...)))
	require.Empty(t, problems)
	return log
}

func lines(l ...string) string { return strings.Join(l, "\n") + "\n" }

// written gives the entries of a log as lines.
func written(t testing.TB, history Log) []string {
	t.Helper()
	var out []string
	for _, e := range history.Entries {
		var b bytes.Buffer
		require.NoError(t, e.AppendTo(&b))
		line, ok := strings.CutSuffix(b.String(), "\n")
		require.True(t, ok)
		out = append(out, line)
	}
	return out
}

// What a log may hold, and what of it stands (interface: The log).
func TestReadLog(t *testing.T) {
	const header = `{"circuit":"Cold-store alarm","deadrung":1}`
	const cannot = `{"cannot":{"volts":["LS1:11","T1:X2"],"step":"door just opened"}}`
	for _, test := range []struct {
		name string
		text string
		want []string // entries as they would be written
	}{
		{"nothing", "", nil},
		{"the lines of the page", lines(hornOff, hornVolts, coilOhms, beaconOpen), []string{hornOff, hornVolts, coilOhms, beaconOpen}},
		{"a header", lines(header, hornOff), []string{hornOff}},
		{"no line end after the last", hornOff + "\n" + hornVolts, []string{hornOff, hornVolts}},
		{"line ends of another system", strings.ReplaceAll(lines(hornOff, hornVolts), "\n", "\r\n"), []string{hornOff, hornVolts}},
		{"empty lines", "\n" + hornOff + "\n\n  \n" + hornVolts + "\n\n", []string{hornOff, hornVolts}},
		{"what cannot be made", lines(hornOff, cannot), []string{hornOff, cannot}},
		{"when and a note", lines(`{"look":"B1","step":"door left open","saw":"off","at":"2026-03-04T05:06:07Z","note":"quiet"}`),
			[]string{`{"look":"B1","step":"door left open","saw":"off","at":"2026-03-04T05:06:07Z","note":"quiet"}`}},
		{"when and a note of what cannot be made", lines(`{"cannot":{"look":"B1","step":"store warm"},"at":"2026-03-04T05:06:07+01:00","note":"loud"}`),
			[]string{`{"cannot":{"look":"B1","step":"store warm"},"at":"2026-03-04T05:06:07+01:00","note":"loud"}`}},
		{"taken back", lines(hornOff, hornVolts, undo), []string{hornOff}},
		{"two taken back", lines(hornOff, hornVolts, undo, undo), nil},
		{"taken back and made again", lines(hornOff, undo, hornVolts), []string{hornVolts}},
		{"what cannot be made taken back", lines(hornOff, cannot, undo), []string{hornOff}},
		{"only lines that still stand are taken back", lines(hornOff, hornVolts, coilOhms, undo, beaconOpen, undo, undo), []string{hornOff}},
		{"taken back, with when and why", lines(hornOff, `{"undo":true,"at":"2026-03-04T05:06:07Z","note":"misread"}`), nil},
		{"a byte-order mark", "\uFEFF" + lines(header, hornOff), []string{hornOff}},
		{"a byte-order mark, no header", "\uFEFF" + lines(hornOff), []string{hornOff}},
		{"keys in another order, spaces", lines(` { "saw" : "off", "step":"door left open" , "look":"B1" } `), []string{hornOff}},
		{"a magnitude, whichever lead is where", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":-118.9}`), []string{hornVolts}},
		{"figures as JSON has them", lines(`{"ohms":["CR1:A1","CR1:A2"],"read":2.41e3}`), []string{coilOhms}},
		{"zero", lines(`{"ohms":["F1:1","F1:2"],"read":0}`), []string{`{"ohms":["F1:1","F1:2"],"read":0}`}},
		{"OL in small letters", lines(`{"ohms":["H1:1","H1:2"],"lifted":["H1:1"],"read":"ol"}`), []string{beaconOpen}},
		{"signs of other alphabets", lines(`{"look":"B1","step":"door left open","saw":"off","note":"Hupe schweigt – „still“ <&>"}`),
			[]string{`{"look":"B1","step":"door left open","saw":"off","note":"Hupe schweigt – „still“ <&>"}`}},
	} {
		t.Run(test.name, func(t *testing.T) {
			log, problems := coldStore(t).ReadLog("a.log", []byte(test.text))
			assert.Empty(t, problems, "%s", problems)
			assert.Equal(t, test.want, written(t, log))
			assert.Equal(t, len(test.text), log.Whole)
			assert.Equal(t, test.text != "" && !strings.HasSuffix(test.text, "\n"), log.Open)
		})
	}
}

// An entry carries what was answered, when, and on which line.
func TestLogEntry(t *testing.T) {
	m := coldStore(t)
	history, problems := m.ReadLog("a.log", []byte(lines(
		hornOff, "", hornVolts, `{"look":"H1","step":"store warm","saw":"on"}`, beaconOpen,
		`{"cannot":{"ohms":["F1:1","F1:2"]},"at":"2026-03-04T05:06:07Z","note":"sealed"}`)))
	require.Empty(t, problems)
	require.Len(t, history.Entries, 5)
	assert.Equal(t, &Reading{Kind: Look, Firm: true}, history.Entries[0].Answer)
	assert.Equal(t, &Reading{Kind: Volts, Value: 118.9, Firm: true}, history.Entries[1].Answer)
	assert.Equal(t, &Reading{Kind: Look, On: true, Firm: true}, history.Entries[2].Answer)
	assert.Equal(t, &Reading{Kind: Ohms, Value: OL, Firm: true}, history.Entries[3].Answer)
	assert.Equal(t, []circuits.Terminal{"H1:1"}, history.Entries[3].Check.Lifted)
	assert.Nil(t, history.Entries[4].Answer)
	assert.Equal(t, "sealed", history.Entries[4].Note)
	assert.Equal(t, "2026-03-04T05:06:07Z", history.Entries[4].At)
	for i, line := range []int{1, 3, 4, 5, 6} {
		assert.Equal(t, line, history.Entries[i].Line)
	}
}

// A line that is cut short at the end of the file is ignored with a warning, wherever
// the cut is; what stands before it is whole.
func TestLogCutShort(t *testing.T) {
	m := coldStore(t)
	for _, line := range []string{
		hornOff, hornVolts, coilOhms, beaconOpen, undo, `{"circuit":"Cold-store alarm","deadrung":1}`,
		`{"cannot":{"look":"B1","step":"store warm"},"at":"2026-03-04T05:06:07Z","note":"zu laut – <&>"}`,
	} {
		for cut := 1; cut < len(line); cut++ {
			text := lines(hornOff, hornVolts) + line[:cut]
			log, problems := m.ReadLog("a.log", []byte(text))
			require.Len(t, problems, 1, "%s", line[:cut])
			assert.True(t, problems[0].Warning)
			assert.Equal(t, "a.log:3:1: warning: the last line is cut short and is left out", problems[0].String())
			assert.Equal(t, []string{hornOff, hornVolts}, written(t, log))
			assert.Equal(t, text[:log.Whole], lines(hornOff, hornVolts), "whoever appends cuts here")
			assert.False(t, log.Open)
		}
	}
}

// Anywhere else a wrong line is an error, with line and column; all are told in one
// pass.
func TestLogMistakes(t *testing.T) {
	for _, test := range []struct {
		name string
		text string
		want []string // parts of the problems, in order
	}{
		{"cut short in the middle", lines(hornOff, hornVolts[:20], coilOhms), []string{`a.log:2:20: the log line breaks off`}},
		{"cut short, and a line end after it", lines(hornOff, hornVolts[:20]), []string{`a.log:2:20: the log line breaks off`}},
		{"no JSON", lines("horn silent"), []string{`a.log:1:1: this is not a JSON object: 'h' is not expected here`}},
		{"no JSON, at the end of the file", hornOff + "\nhorn silent", []string{`a.log:2:1: this is not a JSON object`}},
		{"a comma too many", lines(`{"look":"B1",,"step":"door left open","saw":"off"}`), []string{`a.log:1:14: this is not a JSON object: ',' is not expected here`}},
		{"two objects", lines(hornOff + hornVolts), []string{`a.log:1:50: more than one value in the log line`}},
		{"a list", lines(`["B1"]`), []string{`a.log:1:1: a log line is a JSON object, not an array`}},
		{"a number", lines(`5`), []string{`a.log:1:1: a log line is a JSON object, not a number`}},
		{"null", lines(`null`), []string{`a.log:1:1: `}},
		{"an unknown key", lines(`{"look":"B1","stop":"door left open","saw":"off"}`), []string{`a.log:1:14: a log line has no "stop"`}},
		{"an unknown key at the end of the file", `{"look":"B1","stop":"door left open","saw":"off"}`, []string{`a.log:1:14: a log line has no "stop"`}},
		{"a list for a step", lines(`{"look":"B1","step":[],"saw":"off"}`), []string{`a.log:1:14: "step" must not be an array`}},
		{"an object for a device", lines(`{"look":{},"step":"door left open","saw":"off"}`), []string{`a.log:1:2: "look" must not be an object`}},
		{"a truth for leads", lines(`{"ohms":true,"read":0}`), []string{`a.log:1:2: "ohms" must not be true or false`}},
		{"a text for leads", lines(`{"ohms":"F1:1","read":0}`), []string{`a.log:1:2: "ohms" must not be a text in quotes`}},
		{"a number for a terminal", lines(`{"ohms":[1,2],"read":0}`), []string{`a.log:1:2: "ohms" must not be a number`}},
		{"a number that is none", lines(`{"circuit":"Cold-store alarm","deadrung":1.5}`), []string{`a.log:1:31: "deadrung" cannot be 1.5`}},
		{"a key of another kind of value", lines(`{"look":["B1"],"step":"door left open","saw":"off"}`), []string{`"look" must not be an array`}},
		{"an unknown device", lines(`{"look":"B2","step":"door left open","saw":"off"}`), []string{`a.log:1:10: no lamp, horn, solenoid, motor or relay is called "B2"; perhaps B1 is meant`}},
		{"a device of which nothing is seen", lines(`{"look":"F1","step":"door left open","saw":"off"}`), []string{`F1 does nothing that can be seen; look at one of TR1, CR1, H1, B1`}},
		{"an unknown step", lines(`{"look":"B1","step":"door left opened","saw":"off"}`), []string{`a.log:1:22: the operation has no step "door left opened"; perhaps "door left open" is meant`}},
		{"no step", lines(`{"look":"B1","saw":"off"}`), []string{`a look check needs the step that the circuit is in`}},
		{"no step for volts", lines(`{"volts":["CR1:22","T1:X2"],"read":118.9}`), []string{`a volts check needs the step that the circuit is in`}},
		{"an unknown terminal", lines(`{"volts":["CR1:23","T1:X2"],"step":"door left open","read":0}`), []string{`a.log:1:12: CR1 has no terminal "CR1:23"; it has A1, A2, 11, 12, 14, 21, 22, 24`}},
		{"a terminal of no device", lines(`{"volts":["CR9:22","T1:X2"],"step":"door left open","read":0}`), []string{`a.log:1:12: no device has the terminal "CR9:22": there is no device "CR9"; perhaps CR1 is meant`}},
		{"one lead", lines(`{"volts":["CR1:22"],"step":"door left open","read":0}`), []string{`a meter has two leads, so a check names two terminals, not 1`}},
		{"three leads", lines(`{"ohms":["CR1:22","T1:X2","F1:1"],"read":0}`), []string{`a meter has two leads, so a check names two terminals, not 3`}},
		{"lifted for volts", lines(`{"volts":["CR1:22","T1:X2"],"lifted":["CR1:22"],"step":"door left open","read":0}`), []string{`wires are lifted for ohms and diode checks only`}},
		{"lifted where no wire lands", lines(`{"ohms":["CR1:22","T1:X2"],"lifted":["CR1:12"],"read":0}`), []string{`no wire lands on CR1:12, so none can be lifted there`}},
		{"no check at all", lines(`{"saw":"off"}`), []string{`a check is one of look, volts, ohms and diode`}},
		{"two checks in one", lines(`{"look":"B1","ohms":["H1:1","H1:2"],"step":"door left open","saw":"off"}`), []string{`a check is one of look, volts, ohms and diode`}},

		{"a look without an answer", lines(`{"look":"B1","step":"door left open"}`), []string{`a look needs "saw" with "on" or "off"`}},
		{"a look that was lit", lines(`{"look":"B1","step":"door left open","saw":"lit"}`), []string{`a look needs "saw" with "on" or "off"`}},
		{"a look that is true", lines(`{"look":"B1","step":"door left open","saw":true}`), []string{`a look needs "saw" with "on" or "off"`}},
		{"a look with a reading", lines(`{"look":"B1","step":"door left open","read":0}`), []string{`a look needs "saw"`}},
		{"a look with both", lines(`{"look":"B1","step":"door left open","saw":"off","read":0}`), []string{`a look has no "read"`}},
		{"volts that were seen", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open","saw":"on"}`), []string{`a volts check has no "saw"`}},
		{"volts without a reading", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open"}`), []string{`a volts check needs "read" with what the meter showed`}},
		{"volts of null", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":null}`), []string{`a volts`}},
		{"OL for volts", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":"OL"}`), []string{`a volts reading cannot be "OL"`}},
		{"a figure in quotes", lines(`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":"118.9"}`), []string{`a volts reading cannot be "118.9"`}},
		{"a list for a reading", lines(`{"ohms":["H1:1","H1:2"],"read":[480]}`), []string{`an ohms reading is a number, or "OL"`}},
		{"a word for ohms", lines(`{"ohms":["H1:1","H1:2"],"read":"open"}`), []string{`an ohms reading cannot be "open"`}},

		{"cannot and an answer", lines(`{"cannot":{"look":"B1","step":"store warm"},"saw":"off"}`), []string{`a line with "cannot" has no answer`}},
		{"cannot beside a check", lines(`{"cannot":{"look":"B1","step":"store warm"},"look":"H1","step":"store warm"}`), []string{`a line with "cannot"`}},
		{"cannot of nothing", lines(`{"cannot":{}}`), []string{`a check is one of look, volts, ohms and diode`}},
		{"cannot with an answer within", lines(`{"cannot":{"look":"B1","step":"store warm","saw":"off"}}`), []string{`a log line has no "saw"`}},
		{"taking back beside a check", lines(hornOff, `{"undo":true,"look":"B1","step":"door left open","saw":"off"}`), []string{`a.log:2:1: a line with "undo"`}},
		{"undo that is false", lines(hornOff, `{"undo":false}`), []string{`a check is one of look, volts, ohms and diode`}},
		{"nothing to take back", lines(undo), []string{`a.log:1:1: there is nothing left to take back`}},
		{"nothing left to take back", lines(hornOff, undo, undo), []string{`a.log:3:1: there is nothing left to take back`}},
		{"the header is not taken back", lines(`{"circuit":"Cold-store alarm","deadrung":1}`, undo), []string{`a.log:2:1: there is nothing left to take back`}},

		{"another version", lines(`{"circuit":"Cold-store alarm","deadrung":2}`), []string{`a.log:1:1: the log is of version 2; right: this program reads version 1`}},
		{"a header without its version", lines(`{"circuit":"Cold-store alarm"}`, hornOff), []string{`a.log:1:1: the first line does not say which version the log is of; right: "deadrung":1 beside "circuit"`}},
		{"version zero", lines(`{"circuit":"Cold-store alarm","deadrung":0}`), []string{`a.log:1:1: the log is of version 0; right: this program reads version 1`}},
		{"after a byte-order mark", "\uFEFF" + lines(`{"look":"B1","stop":"door left open","saw":"off"}`), []string{`a.log:1:14: a log line has no "stop"`}},
		{"a byte-order mark on a later line", lines(hornOff, "\uFEFF"+hornOff), []string{`a.log:2:1: this is not a JSON object`}},
		{"a header with a check", lines(`{"circuit":"Cold-store alarm","deadrung":1,"look":"B1","step":"door left open","saw":"off"}`), []string{`a.log:1:1: a line that names the circuit`}},
		{"a time that is none", lines(`{"look":"B1","step":"door left open","saw":"off","at":"yesterday"}`), []string{`a.log:1:56: the time "yesterday" is not of the form 2006-01-02T15:04:05Z`}},
		{"a time that is none, beside undo", lines(hornOff, `{"undo":true,"at":"yesterday"}`), []string{`a.log:2:20: the time "yesterday"`}},

		{"all in one pass", lines("x", hornOff, `{"look":"B9","step":"a","saw":"off"}`, `{"saw":"on"}`), []string{`a.log:1:1: `, `a.log:3:22: `, `a.log:4:1: `}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, problems := coldStore(t).ReadLog("a.log", []byte(test.text))
			for i, want := range test.want {
				if assert.Greater(t, len(problems), i, "nothing says %s", want) {
					assert.Contains(t, problems[i].String(), want)
					assert.False(t, problems[i].Warning)
					assert.NotContains(t, problems[i].What, "Go ")
				}
			}
			assert.Len(t, problems, len(test.want), "%s", problems)
			assert.Error(t, problems.Err())
		})
	}
}

// A log of another circuit is read, with a warning.
func TestLogOfAnotherCircuit(t *testing.T) {
	log, problems := coldStore(t).ReadLog("a.log", []byte(lines(`{"circuit":"Jog","deadrung":1}`, hornOff)))
	require.NoError(t, problems.Err())
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].String(), `a.log:1:1: warning: the log is of the circuit "Jog", and this is "Cold-store alarm"`)
	assert.Len(t, log.Entries, 1)
}

func TestWriteHeaderAndUndo(t *testing.T) {
	m := coldStore(t)
	var b bytes.Buffer
	require.NoError(t, m.WriteHeader(&b))
	require.NoError(t, WriteUndo(&b))
	assert.Regexp(t, `^{"circuit":"Cold-store alarm","deadrung":1,"print":{"devices":{"B1":"[0-9a-f]{8}",.*},"wires":{.*},"steps":{.*}}}\n`+regexp.QuoteMeta(undo)+"\n$", b.String())
}

// Whatever the bytes, reading them ends without a panic, and every problem is one line
// with a place in the file. What is accepted is written and read back the same.
func FuzzReadLog(f *testing.F) {
	for _, seed := range []string{
		lines(hornOff, hornVolts, coilOhms, beaconOpen, undo),
		lines(`{"circuit":"Cold-store alarm","deadrung":1}`, `{"cannot":{"look":"B1","step":"store warm"},"note":"a"}`),
		hornOff + "\n" + hornVolts[:30],
		`{"volts":["CR1:22","T1:X2"],"step":"door left open","read":-1e300}`,
		`{"ohms":["CR1:22","T1:X2"],"lifted":["H1:1","H1:1","B1:1"],"step":"store warm","read":1e-9,"at":"2026-03-04T05:06:07Z"}`,
		"{}\nnull\n[]\n\"\"\n0\n\x00\n{\"look\":\"\xff\"}\n",
	} {
		f.Add([]byte(seed))
	}
	m := coldStore(f)
	var header bytes.Buffer
	require.NoError(f, m.WriteHeader(&header))
	for _, change := range [][2]string{{`"H1":"`, `"H1":"0`}, {`"door left open":"`, `"door left open":"0`}, {`"wires":{`, `"wires":{"no":"0",`},
		{`"print":{`, `"print":{"devices":{},`}, {`"steps":{`, `"steps":null,"x":{`}} {
		begun := strings.Replace(header.String(), change[0], change[1], 1)
		require.NotEqual(f, header.String(), begun)
		f.Add([]byte(begun + lines(hornOff, hornVolts, coilOhms, undo, `{"act":"work","step":"door left open"}`, `{"act":"work","step":"gone"}`,
			`{"look":"H9","step":"gone","saw":"off"}`)))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		log, problems := m.ReadLog("a.log", text)
		if problems.Err() == nil { // written anew, as without what a changed circuit has no use for
			var anew bytes.Buffer
			require.NoError(t, m.WriteTo(&anew, log))
			back, problems := m.ReadLog("a.log", anew.Bytes())
			require.Empty(t, problems, "%s", anew.Bytes())
			require.Empty(t, back.Changes)
			require.Empty(t, back.Stale)
			require.Len(t, back.Entries, len(log.Entries))
			require.Len(t, back.Acts, len(log.Acts))
		}
		last := bytes.Count(text, []byte("\n")) + 1
		for _, p := range problems {
			require.NotContains(t, p.String(), "\n")
			require.True(t, p.Pos.Line >= 1 && p.Pos.Line <= last && p.Pos.Column >= 1, "%s", p)
		}
		require.LessOrEqual(t, log.Whole, len(text))
		var again bytes.Buffer
		require.NoError(t, m.WriteHeader(&again))
		for _, e := range log.Entries {
			require.NoError(t, e.AppendTo(&again))
		}
		back, problems := m.ReadLog("b.log", again.Bytes())
		require.Empty(t, problems, "%s", problems)
		require.Equal(t, len(log.Entries), len(back.Entries))
		for i := range log.Entries {
			require.NoError(t, sameEntry(log.Entries[i], back.Entries[i]))
		}
	})
}

// sameEntry says in what two entries differ.
func sameEntry(a, b Entry) error {
	switch {
	case a.Check.String() != b.Check.String():
		return fmt.Errorf("checks %s and %s", a.Check, b.Check)
	case (a.Answer == nil) != (b.Answer == nil):
		return fmt.Errorf("%s: one has an answer, the other none", a.Check)
	case a.Answer != nil && *a.Answer != *b.Answer:
		return fmt.Errorf("%s: answers %v and %v", a.Check, *a.Answer, *b.Answer)
	case a.Note != b.Note || a.At != b.At:
		return fmt.Errorf("%s: notes %q and %q, times %q and %q", a.Check, a.Note, b.Note, a.At, b.At)
	case a.at.Kind != b.at.Kind || a.at.Step != b.at.Step || a.at.Device != b.at.Device || a.at.A != b.at.A || a.at.B != b.at.B ||
		!slices.Equal(a.at.Lifted, b.at.Lifted):
		return fmt.Errorf("%s: found at different places", a.Check)
	}
	return nil
}

// A log that an editor has saved in UTF-16 is named as such; zero bytes at its end, which a
// power failure leaves, are left out with a warning, at every length of the last line.
func TestOtherBytes(t *testing.T) {
	b := coldStore(t)
	for _, text := range []string{"\xFF\xFE{\x00", "\xFE\xFF\x00{", "{\x00\"\x00", "\x00{\x00\""} {
		_, problems := b.ReadLog("a.log", []byte(text))
		require.Len(t, problems, 1)
		assert.Contains(t, problems[0].String(), "a.log:1:1: the file is in UTF-16")
	}
	for cut := range len(hornVolts) + 2 {
		text := lines(hornOff) + (hornVolts + "\n")[:cut]
		got, problems := b.ReadLog("a.log", []byte(text+strings.Repeat("\x00", 100)))
		require.NoError(t, problems.Err(), "%d", cut)
		assert.Contains(t, problems[0].What, "the file ends in 100 zero bytes")
		want, _ := b.ReadLog("a.log", []byte(text))
		assert.Equal(t, want.Entries, got.Entries)
		assert.Equal(t, want.Whole, got.Whole, "whoever appends cuts the zeros off")
	}
}

// What no meter shows on a dead circuit, and what no two leads can be put on, is refused.
func TestRefusedReadings(t *testing.T) {
	b := coldStore(t)
	for text, want := range map[string]string{
		`{"ohms":["CR1:A1","CR1:A2"],"read":-5}`:                       "ohms below zero mean voltage on the circuit",
		`{"ohms":["CR1:A1","CR1:A1"],"read":5}`:                        `both leads are on "CR1:A1"`,
		`{"volts":["T1:X2","T1:X2"],"step":"door left open","read":5}`: `both leads are on "T1:X2"`,
		`{"cannot":{"ohms":["CR1:A1","CR1:A1"],"lifted":["CR1:A1"]}}`:  `both leads are on "CR1:A1"`,
	} {
		_, problems := b.ReadLog("a.log", []byte(text+"\n"))
		require.Len(t, problems, 1, text)
		assert.Contains(t, problems[0].What, want)
	}
}
