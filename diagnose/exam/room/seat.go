package room

import (
	"bytes"
	"encoding/json"
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
	panel *exam.Readings
	log   File     // the copy of the answer log
	asked File     // every question
	kept  []string // its lines
	ended bool     // a fault was named
	last  time.Time
}

// openSeat makes the panel of a sitting and opens its copies.
func openSeat(m *diagnose.Model, t exam.TaskKey, open func() (log, asked File, err error)) (*seat, error) {
	fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return nil, err
	}
	s := &seat{}
	if s.panel, err = exam.MakeReadings(m, fault, t.Table); err != nil {
		return nil, err
	}
	if s.log, s.asked, err = open(); err != nil {
		return nil, err
	}
	text, err := io.ReadAll(s.log)
	if err != nil {
		return nil, err
	}
	whole := string(text[:bytes.LastIndexByte(text, '\n')+1]) // a line that was cut short is sent again
	if err := s.log.Truncate(int64(len(whole))); err != nil {
		return nil, err
	}
	for line := range strings.Lines(whole) {
		s.note(strings.TrimSuffix(line, "\n"))
	}
	return s, nil
}

func (s *seat) count() reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	return reply{Lines: len(s.kept), Sum: sumOfLines(s.kept)}
}

// note counts a line that the copy has.
func (s *seat) note(line string) {
	s.kept = append(s.kept, line)
	var act struct {
		Act log.ActKind `json:"act"`
	}
	s.ended = s.ended || json.Unmarshal([]byte(line), &act) == nil && act.Act == log.StateAct
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
	asked, _ := json.Marshal(struct {
		At    string    `json:"at"`
		Check log.Check `json:"asked"`
	}{clock.Now().Format(time.RFC3339), *r.Check})
	if _, err := s.asked.Write(append(asked, '\n')); err != nil {
		return reply{Lines: len(s.kept), Error: "the instructor's machine cannot write: tell the instructor"}
	}
	steps := s.panel.Steps()
	shown, err := s.panel.Show(*r.Check, max(-1, min(r.Worked, steps-1)), max(0, r.Nth))
	if err != nil {
		return reply{Lines: len(s.kept), Error: err.Error()}
	}
	return reply{Lines: len(s.kept), Shown: toLine(shown)}
}

// keep writes a line of the answer log.
func (s *seat) keep(line string) reply {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.kept) < mostKept && !strings.ContainsAny(line, "\r\n") && json.Valid([]byte(line)) {
		if _, err := s.log.Write([]byte(line + "\n")); err == nil && s.log.Sync() == nil {
			s.note(line)
		}
	}
	return reply{Lines: len(s.kept)}
}
