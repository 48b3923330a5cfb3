package room

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// seat is one sitting on the server.
type seat struct {
	mu    sync.Mutex
	panel *exam.Live
	log   Copy     // the copy of the answer log
	asked Copy     // every question
	kept  []string // the lines of the copy
	has   int      // answers in it
	ended bool     // a fault was named
	last  time.Time

	failed func(error) // is told what could not be written

	at io.Closer // the connection that is answered
}

// openSeat makes the panel of a sitting and opens its copies.
func openSeat(m *diagnose.Model, t exam.TaskKey, open func() (log, asked Copy, err error)) (*seat, error) {
	fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return nil, err
	}
	s := &seat{panel: exam.NewLive(m, fault, t.Table)}
	if s.log, s.asked, err = open(); err != nil {
		return nil, err
	}
	if err := s.resume(); err != nil {
		s.log.Close()
		s.asked.Close()
		return nil, err
	}
	return s, nil
}

// resume goes on with the copies as they are. What was cut short there goes.
func (s *seat) resume() error {
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
	asked := s.asked.Text()
	return s.asked.Cut(bytes.LastIndexByte(asked, '\n') + 1)
}

// take has a connection answered from now on. The one before is closed: it is of a program
// whose network was lost, or of a second one, which then finds that the log has gone on.
func (s *seat) take(c io.Closer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.at != nil {
		s.at.Close()
	}
	s.at = c
}

func (s *seat) count() reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	return reply{Lines: len(s.kept), Sum: sumOfLines(s.kept)}
}

// note counts a line that the copy has.
func (s *seat) note(line string) {
	s.kept = append(s.kept, line)
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
func (s *seat) answer(r request, clock Clock) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended {
		return reply{Lines: len(s.kept), Error: "a fault was named: this sitting is over"}
	}
	clock.Sleep(s.last.Add(Pause).Sub(clock.Wall()))
	s.last = clock.Wall()
	steps := s.panel.Steps()
	shown, err := s.panel.Show(*r.Check, max(-1, min(r.Worked, steps-1)), max(0, r.Nth))
	question := exam.Question{At: clock.Now().Format(time.RFC3339), Check: *r.Check, Logged: &s.has}
	if err != nil {
		question.Refused = err.Error()
	}
	asked, _ := json.Marshal(question)
	if !s.write(s.asked, append(asked, '\n')) {
		return reply{Lines: len(s.kept), Error: cannotWrite}
	}
	if err != nil {
		return reply{Lines: len(s.kept), Error: err.Error()}
	}
	return reply{Lines: len(s.kept), Shown: toLine(shown)}
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
	case number > 0 && number <= len(s.kept) && s.kept[number-1] == line:
		return reply{Lines: number} // sent again
	case number != 0 && number != len(s.kept)+1:
		r.Error = "another program has gone on with this sitting: tell the instructor"
	case len(s.kept) < mostKept && !strings.ContainsAny(line, "\r\n") && json.Valid([]byte(line)):
		if !s.write(s.log, []byte(line+"\n")) {
			r.Error = cannotWrite
			break
		}
		s.note(line)
		r.Lines = len(s.kept)
	}
	return r
}
