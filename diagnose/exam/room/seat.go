package room

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// seat is one sitting on the server.
type seat struct {
	mu        sync.Mutex
	candidate int
	clock     Clock
	hours     Hours
	panel     *exam.Live
	log       Copy        // the copy of the answer log
	record    Copy        // what came, and when
	chain     *exam.Chain // of the record
	kept      []string    // the lines of the copy
	size      int         // of them, in bytes
	stamped   int         // of them, those that are in the record
	has       int         // answers in it
	ended     bool        // a fault was named
	last      time.Time

	spent time.Duration // when this machine began with it
	from  time.Time     // since when time passes again

	failed func(error) // is told what could not be written

	at *line // the connection that is answered
}

// open makes the panel of a sitting and opens its copies. Since is when the machine began to
// serve.
func (s *seat) open(m *diagnose.Model, t exam.TaskKey, since time.Time, open func() (log, record Copy, err error)) error {
	fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return err
	}
	s.panel = exam.NewLive(m, fault, t.Table)
	if s.log, s.record, err = open(); err != nil {
		return err
	}
	if err := s.resume(since); err != nil {
		s.log.Close()
		s.record.Close()
		return err
	}
	return nil
}

// resume goes on with the copies as they are. What was cut short there goes.
func (s *seat) resume(since time.Time) error {
	text := s.log.Text()
	whole := text[:bytes.LastIndexByte(text, '\n')+1] // a line that was cut short is sent again
	for line := range bytes.Lines(whole) {
		if !json.Valid(line) {
			return errors.New("the file of its copy holds something else: it is left as it is")
		}
	}
	if err := s.log.Cut(len(whole)); err != nil {
		return err
	}
	for line := range strings.Lines(string(whole)) {
		s.note(strings.TrimSuffix(line, "\n"))
	}
	text = s.record.Text()
	if err := s.record.Cut(bytes.LastIndexByte(text, '\n') + 1); err != nil {
		return err
	}
	r := exam.ReadRecord(text, s.chain)
	if r.Broken > 0 {
		s.failed(fmt.Errorf("line %d of its record was changed or added by something else", r.Broken))
	}
	s.stamped, s.spent, s.from = min(r.Lines, len(s.kept)), r.Spent, since
	if r.Last.IsZero() {
		s.from = s.clock.Now()
	}
	if !s.stamp(exam.Stamp{Opened: since.Format(time.RFC3339)}) {
		return errors.New("its record cannot be written")
	}
	s.stampLines()
	return nil
}

// stamp adds a line to the record.
func (s *seat) stamp(t exam.Stamp) bool {
	t.At = s.clock.Now().Format(time.RFC3339)
	line, err := json.Marshal(t)
	if err != nil {
		return false
	}
	before := *s.chain
	if !s.write(s.record, s.chain.Add(append(line, '\n'))) {
		*s.chain = before
		return false
	}
	return true
}

// stampLines stamps the lines of the copy that are not in the record yet.
func (s *seat) stampLines() bool {
	for ; s.stamped < len(s.kept); s.stamped++ {
		if !s.stamp(exam.Stamp{Line: s.stamped + 1, Sum: exam.SumOfLine([]byte(s.kept[s.stamped])),
			Over: s.hours.over(s.clock.Now())}) {
			return false
		}
	}
	return true
}

// left is how much time is left; nil where there is no end, and once a fault was named.
func (s *seat) left() *Left {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.remains()
}

func (s *seat) remains() *Left {
	if s.ended {
		return nil
	}
	now := s.clock.Now()
	return s.hours.Remains(s.candidate, s.spent+max(0, now.Sub(s.from)), now)
}

// take has a connection answered from now on, or tells why not. The same program may come back
// by another connection; another program may not while the one before is there.
func (s *seat) take(l *line) (refused string) {
	for {
		s.mu.Lock()
		old := s.at
		if old == nil || old.program == l.program {
			s.at = l
			s.mu.Unlock()
			if old != nil {
				old.Close()
			}
			return ""
		}
		s.mu.Unlock()
		if old.lives() {
			s.mu.Lock()
			defer s.mu.Unlock()
			if !old.told {
				old.told = true
				s.failed(fmt.Errorf("another program, at %s, tried to open it and was refused", l.RemoteAddr()))
			}
			return fmt.Sprintf("since %s: go on there, or stop it there first", old.since.Format("15:04"))
		}
		old.Close()
		s.leave(old)
	}
}

// leave gives the sitting free when its connection is gone.
func (s *seat) leave(l *line) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.at == l {
		s.at = nil
	}
}

func (s *seat) count() reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	return reply{Lines: len(s.kept), Sum: sumOfLines(s.kept)}
}

// note counts a line that the copy has.
func (s *seat) note(line string) {
	s.kept, s.size = append(s.kept, line), s.size+len(line)+1
	var l struct {
		Act  log.ActKind     `json:"act"`
		Saw  json.RawMessage `json:"saw"`
		Read json.RawMessage `json:"read"`
	}
	if json.Unmarshal([]byte(line), &l) != nil {
		return
	}
	s.ended = s.ended || l.Act == log.StateAct
	if l.Saw != nil || l.Read != nil {
		s.has++
	}
}

// fetch gives a line of the copy.
func (s *seat) fetch(n int) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := reply{Lines: len(s.kept)}
	if n >= 1 && n <= len(s.kept) {
		r.Line = s.kept[n-1]
	}
	return r
}

// answer answers a check, and keeps that it was asked.
func (s *seat) answer(r request) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended {
		return reply{Lines: len(s.kept), Error: "a fault was named: this sitting is over"}
	}
	s.clock.Sleep(s.last.Add(Pause).Sub(s.clock.Wall()))
	s.last = s.clock.Wall()
	shown, err := s.show(r)
	question := exam.Stamp{Check: r.Check, Logged: &s.has}
	if err != nil {
		question.Refused = err.Error()
	}
	if !s.stamp(question) {
		return reply{Lines: len(s.kept), Error: cannotWrite}
	}
	if err != nil {
		return reply{Lines: len(s.kept), Error: err.Error()}
	}
	return reply{Lines: len(s.kept), Shown: toLine(shown)}
}

// show meters a check, while there is time.
func (s *seat) show(r request) (training.Shown, error) {
	if left := s.remains(); left != nil && *left <= 0 {
		return training.Shown{}, errors.New(timeOver())
	}
	return s.panel.Show(*r.Check, max(-1, min(r.Worked, s.panel.Steps()-1)), max(0, r.Nth))
}

// cannotWrite is told to a candidate whose question or answer the machine cannot keep.
const cannotWrite = "the instructor's machine cannot write: tell the instructor"

// write adds lines to a file of the sitting. What something else has made of the file is moved
// aside, and the file is written anew. The instructor is told of both, and of a full disk.
func (s *seat) write(to Copy, lines []byte) bool {
	err := to.Append(lines)
	if err == nil {
		return true
	}
	var changed interface{ Changed() bool }
	if errors.As(err, &changed) && changed.Changed() {
		aside, again := to.PutBack(lines)
		if again == nil {
			s.failed(fmt.Errorf("%w; it is written back as it was, and what stood there is in %s", err, aside))
			return true
		}
		err = again
	}
	s.failed(fmt.Errorf("an answer is not kept here, and is sent again later: %w", err))
	return false
}

// keep writes a line of the answer log. Which line it is, is said by who knows: a line of
// another program at the same sitting is not mixed in.
func (s *seat) keep(line string, number int) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := reply{Lines: len(s.kept)}
	switch {
	case number > 0 && number <= len(s.kept) && s.kept[number-1] == line: // sent again
		r.Lines = number
		if !s.stampLines() {
			r.Error = cannotWrite
		}
	case number != 0 && number != len(s.kept)+1:
		r.Error = "another program has gone on with this sitting: tell the instructor"
	case len(s.kept) < mostKept && s.size+len(line) < mostSize && !strings.ContainsAny(line, "\r\n") && json.Valid([]byte(line)):
		if !s.write(s.log, []byte(line+"\n")) {
			r.Error = cannotWrite
			break
		}
		s.note(line)
		r.Lines = len(s.kept)
		if !s.stampLines() {
			r.Error = cannotWrite
		}
	}
	return r
}
