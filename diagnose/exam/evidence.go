package exam

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// What became of a chain.
const (
	chainWhole  = "whole"
	chainBroken = "broken"
	chainNone   = "none"
)

// evidence is an answer log, read as far as its chain holds.
type evidence struct {
	Answers
	linked   []byte // of the text
	log      log.Log
	problems circuits.Problems
	followed Followed
	receipt  string
}

func (mk *marker) read(a Answers, m *diagnose.Model, key []byte, sitting string) evidence {
	r := evidence{Answers: a}
	chain := NewChain(key, sitting)
	r.followed = chain.Follow(a.Text)
	r.receipt = chain.Receipt()
	r.linked = a.Text[:r.followed.Linked]
	r.log, r.problems = m.Book().ReadLog(a.File, r.linked)
	return r
}

// better tells which of two logs of one sitting counts: the one with more that is linked,
// then one whose chain is whole, then the longer one, whose receipt is the later.
func (r evidence) better(o evidence) bool {
	own, other := len(r.log.Entries)+len(r.log.Acts), len(o.log.Entries)+len(o.log.Acts)
	if own != other {
		return own > other
	}
	if whole := r.followed.Broken == 0; whole != (o.followed.Broken == 0) {
		return whole
	}
	return len(plain(r.linked)) > len(plain(o.linked))
}

// begins tells whether a log is only the beginning of another one, or the same: a copy that a
// full disk, a crash or another folder has left. A line that was cut short says nothing.
func (r evidence) begins(o evidence) bool {
	return r.followed.Broken == 0 && bytes.HasPrefix(plain(o.linked), plain(r.linked))
}

// plain is a text without what an editor puts at its beginning and at the ends of its lines.
func plain(text []byte) []byte {
	return bytes.ReplaceAll(bytes.TrimPrefix(text, byteOrderMark), []byte("\r\n"), []byte("\n"))
}

// cutShort tells of a last line that was cut short, and what is left of it.
func (r evidence) cutShort() string {
	const most = 80
	text := bytes.TrimPrefix(r.Text, byteOrderMark)
	torn := text[bytes.LastIndexByte(text, '\n')+1:]
	return strings.ToValidUTF8(string(torn[:min(most, len(torn))]), "\uFFFD")
}

// cut leaves out a line and all after it.
func (r *evidence) cut(line int, book *log.Book) {
	n, at := 1, 0
	for raw := range bytes.Lines(r.linked) {
		if n == line {
			break
		}
		n++
		at += len(raw)
	}
	r.linked = r.linked[:at]
	r.log, _ = book.ReadLog(r.File, r.linked)
}

// foreign gives the first line of an answer log that reads well, but that no sitting of an
// exam writes: what is taken back, could not be made, was known before and is not the
// complaint, comes after a repair, or belongs to practice. Zero if there is none.
func foreign(text []byte, history log.Log, complaint *log.Entry) int {
	first := 0
	at := func(line int) {
		if first == 0 || line < first {
			first = line
		}
	}
	n := 0
	for raw := range bytes.Lines(text) {
		n++
		var l struct {
			Undo bool `json:"undo"`
		}
		if json.Unmarshal(raw, &l) == nil && l.Undo {
			at(n)
		}
	}
	for i, e := range history.Entries {
		told := i == 0 && complaint != nil && e.Note == complaint.Note && e.Answer != nil &&
			e.Check.Look == complaint.Check.Look && e.Check.Part == complaint.Check.Part &&
			e.Check.Step == complaint.Check.Step && e.Answer.On == complaint.Answer.On
		if !told && (e.Answer == nil || e.Note != "") || e.Repaired {
			at(e.Line)
		}
	}
	for _, a := range history.Acts {
		switch a.Kind {
		case log.BeginAct, log.HintAct, log.RepairAct, log.ProveAct, log.StopAct:
			at(a.Line)
		}
	}
	return first
}

// answered counts the checks of a log that have an answer. What was told before is none.
func answered(history log.Log) int {
	n := 0
	for _, e := range history.Entries {
		if e.Answer != nil && e.Note != training.ComplaintNote {
			n++
		}
	}
	return n
}

// again makes the sitting once more: whether the panel would have shown what the log has.
func (mk *marker) again(d *Marked, m *diagnose.Model, hidden int, t TaskKey, history log.Log,
	remark func(string, ...any)) {
	if mk.key.Form == Bench {
		odd := 0
		for _, e := range history.Entries {
			if e.Answer != nil && !m.Fits(hidden, e) {
				odd++
			}
		}
		if odd > 0 {
			remark("%d of the readings are not what the fault gives: misread, or the trainer had another fault", odd)
		}
		return
	}
	var panel training.Panel = NewLive(m, hidden, t.Table)
	if mk.key.Form == Simulated { // its packet has rounded
		table, err := MakeReadings(m, hidden, t.Table)
		if err != nil {
			remark("%v", err)
			return
		}
		panel = table
	}
	fresh := training.NewSittingAt(m, panel)
	for i, e := range history.Entries {
		for _, a := range history.ActsBefore(i) {
			_, _ = fresh.Do(a) // what cannot be done was remarked above
		}
		if e.Note == training.ComplaintNote {
			_ = fresh.Told(e) // nothing is kept, so nothing fails
			continue
		}
		if e.Answer == nil {
			continue
		}
		shown, _, err := fresh.Check(e.Check, e.At)
		if err == nil && !sameReading(shown.Reading, *e.Answer) {
			remark("line %d: the panel would not have shown this reading there", e.Line)
			d.Chain = chainBroken
			return
		}
	}
}

func sameReading(a, b log.Reading) bool {
	return a.Kind == b.Kind && a.On == b.On && (a.Value == b.Value || math.Abs(a.Value-b.Value) <= 1e-3)
}

// record reads what the instructor's machine has written down of a sitting, and holds the log
// that counts against it; nil where there is none.
func (mk *marker) record(best evidence, sitting string, remark func(string, ...any)) *Record {
	if best.Record == nil || mk.key.Form != Served {
		return nil
	}
	r := ReadRecord(best.Record, mk.key.RecordChain(sitting))
	if r.Broken > 0 {
		remark("line %d of the record of the instructor's machine was changed or added by something else", r.Broken)
	}
	if n := answered(best.log); !r.Asked.fits(n) {
		remark("the instructor's machine answered %d checks, and the log has %d; one that was asked when a "+
			"program or the network stopped, and not again, is answered there and not in the log", r.Asked.Once, n)
	}
	n := 0
	for line := range bytes.Lines(bytes.TrimPrefix(best.linked, byteOrderMark)) {
		if n++; n <= r.Lines && !r.Has(n, bytes.TrimRight(line, "\r\n")) {
			remark("line %d of the log is not the one that the instructor's machine has kept", n)
			break
		}
	}
	return &r
}

// times takes the time from the record of the instructor's machine, or else from the lines.
func (mk *marker) times(d *Marked, best evidence, record *Record, remark func(string, ...any)) {
	t := timesOf(best.linked)
	if t.timeless > 0 {
		remark("%d lines carry no time", t.timeless)
	}
	if t.backwards {
		remark("the times of the lines go backwards: the clock was changed, or the log")
	}
	d.Clock, d.Breaks = Tenth(t.last.Sub(t.first).Minutes()), Tenth(t.breaks.Minutes())
	spent, over, grace := mk.clock(d), 0.0, 0.0
	if record != nil && record.Lines >= t.lines {
		var served time.Duration
		served, over = record.At(t.lines)
		spent, grace = served.Minutes(), Grace.Minutes()
		d.Clock, d.Breaks = Tenth(spent), 0
	} else if mk.key.Form == Served {
		own := fmt.Sprintf("the time is by the candidate's own clock, without the %g min of grace after the end", Grace.Minutes())
		if record == nil {
			remark("no record of the instructor's machine is beside the log: %s; how many checks were answered, "+
				"and whether the log is the one that was kept, cannot be told", own)
		} else {
			remark("the record of the instructor's machine has %d of the %d lines: %s", record.Lines, t.lines, own)
		}
	}
	word := "the last line is"
	if d.State == Complete {
		word = "the fault was named"
	}
	if allowed := mk.key.Minutes + d.Candidate.Extra; mk.key.Minutes > 0 && spent > allowed+grace {
		d.Late = Tenth(spent - allowed)
		remark("%s %.1f min after the allowed %g min", word, d.Late, allowed)
	}
	if over > grace {
		d.Late = max(d.Late, Tenth(over))
		remark("%s %.1f min after the exam was over for everybody", word, over)
	}
}

// clock is the time by the wall clock that counts.
func (mk *marker) clock(d *Marked) float64 {
	if mk.scheme.Breaks == "left out" {
		return max(0, d.Clock-d.Breaks)
	}
	return d.Clock
}
