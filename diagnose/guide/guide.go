// Package guide is the guided session as a value: where it stands, what it asks, and what
// an answer does. It prints nothing, asks nobody, and reads no clock and no file.
//
//	           ┌────────────── Question ──────────────► a person, or what answers for the panel
//	Session ───┤
//	           └── Answer ──► the next Session, Events (lines to keep, things to tell)
//
// One machine serves every way of asking. [Rules] say who chooses the checks, who answers
// them and what is allowed: a search on a real panel, one that a simulated panel answers,
// a practice, an exam. Whoever drives it puts the questions into words, hands in the
// answers, keeps the lines of the log before it tells anything, and may stop at any point:
// the log and a small [State] bring the session back.
package guide

import (
	"fmt"
	"io"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Rules say how a session is held. Finding, Simulating, Practising and Examining make them.
type Rules struct {
	By diagnose.By
	// Proposes is set where the session proposes each check; else the person chooses what
	// to do at the panel.
	Proposes bool
	// Complains is set where the session begins with what is known to be wrong.
	Complains bool
	// Repairs is set where the fault is put right and the operation proved; else the
	// session is over with the verdict.
	Repairs bool
	// Helps is set where hints are given, and where the person may give up.
	Helps bool
	Coach Coach
	// Entered is set where the person enters what is seen and read; else the panel answers.
	Entered bool
}

// Coach says when the worth of a check is told.
type Coach int

const (
	CoachAfter  Coach = iota // when the session is over, and not before
	CoachAsked               // when it is asked for
	CoachAlways              // after every check
)

// Finding are the rules of a search on a real panel.
func Finding(by diagnose.By) Rules {
	return Rules{By: by, Proposes: true, Complains: true, Repairs: true, Entered: true}
}

// Simulating are the rules of a search that a simulated panel answers, up to the verdict.
func Simulating(by diagnose.By) Rules { return Rules{By: by, Proposes: true} }

// Practising are the rules of a practice on a simulated panel.
func Practising(by diagnose.By, c Coach) Rules {
	return Rules{By: by, Coach: c, Repairs: true, Helps: true}
}

// Examining are the rules of an exam: nobody helps, and naming the fault ends it. At a
// bench the candidate enters the readings.
func Examining(bench bool) Rules { return Rules{Entered: bench} }

// Session is a guided session. It is a value: an answer gives the next one and leaves this
// one as it is.
type Session struct {
	rules Rules
	m     *diagnose.Model
	state State
	log   log.Log           // where there is no sitting
	sit   *training.Sitting // who chooses the checks works at a panel with a hidden fault
	turn  *diagnose.Turn    // that of the log; nil until it is needed
}

// New is a session that proposes the checks, not begun yet; the log may have answers from
// before.
func New(m *diagnose.Model, r Rules, history log.Log) Session {
	return Session{rules: r, m: m, log: history, state: State{Stand: AsFound}}
}

// At is a session of somebody who chooses the checks at a panel with a hidden fault.
func At(s *training.Sitting, r Rules) Session {
	return Session{rules: r, m: s.Model(), sit: s.Clone(), state: State{Stand: AsFound}}
}

// Standing gives a session that has not begun, the circuit left in some condition.
func (s Session) Standing(at Standing) Session {
	s.state.Stand = at
	return s
}

// Begin begins a session, or goes on with one from its log: it gives the first question.
// The time is that of the lines that are kept (RFC 3339, or none).
func (s Session) Begin(at string) (Session, []Event, error) {
	w := s.working(at)
	switch {
	case w.state.At != Unbegun:
		return s, nil, fmt.Errorf("the session has begun already")
	case !s.rules.Proposes:
		if err := w.beginWork(); err != nil {
			return s, w.told, err
		}
	case len(w.log.Entries) > 0 || w.log.Working():
		for _, e := range w.log.Entries {
			if e.Answer != nil {
				w.state.WasOff = e.Check.Kind().Off()
			}
		}
		w.settle()
	case w.rules.Complains:
		w.state.At = Complaint
	default:
		w.settle()
	}
	return w.Session, w.told, nil
}

// Answer takes an answer to what the session asks. It gives the next session, and what is
// to be kept and told, in that order. The error says why the answer is none to what is
// asked; the session is then as it was.
func (s Session) Answer(a Answer) (Session, []Event, error) {
	q := s.Ask()
	if err := q.allows(a); err != nil {
		return s, nil, err
	}
	a, err := a.kept()
	if err != nil {
		return s, nil, err
	}
	w := s.working(a.At)
	if err := w.take(q, a); err != nil {
		return s, w.told, err
	}
	return w.Session, w.told, nil
}

// Log is everything that was answered and done so far.
func (s Session) Log() log.Log {
	if s.sit != nil {
		return s.sit.Log()
	}
	return s.log
}

// Turn is what the log leaves possible, and what to do next.
func (s *Session) Turn() *diagnose.Turn {
	if s.turn == nil {
		most := 0
		if !s.rules.Proposes {
			most = -1
		}
		t := s.m.Turn(s.Log(), diagnose.Choosing{By: s.rules.By, Most: most})
		s.turn = &t
	}
	return s.turn
}

// Model is that of the panel.
func (s Session) Model() *diagnose.Model { return s.m }

// Rules are those of the session.
func (s Session) Rules() Rules { return s.rules }

// Sitting is the person at a panel with a hidden fault; nil where the checks are proposed.
// It is for looking only.
func (s Session) Sitting() *training.Sitting { return s.sit }

// Over tells whether the session has come to its end.
func (s Session) Over() bool { return s.state.At == Over }

// Finished tells whether the whole operation worked right after the repair.
func (s Session) Finished() bool { return s.state.Finished }

// Proving is how each step of the operation worked after the repair; empty before.
func (s Session) Proving() []Outcome { return s.state.Proving }

// Stand is where the circuit stands, as far as the session was told.
func (s Session) Stand() Standing { return s.state.Stand }

// taking is a session while an answer is taken in.
type taking struct {
	Session
	at   string // the time of the lines that are kept
	told []Event
}

// working gives a copy of the session to change.
func (s Session) working(at string) *taking {
	w := &taking{Session: s, at: at}
	w.log.Entries = slices.Clip(w.log.Entries)
	w.state = w.state.clone()
	if w.sit != nil {
		w.sit = w.sit.Clone()
		w.sit.Keep(w.keep)
	}
	return w
}

func (w *taking) tell(e Event) { w.told = append(w.told, e) }

// keep has lines of the log kept.
func (w *taking) keep(write func(io.Writer) error) error {
	var lines lineBuffer
	if err := write(&lines); err != nil {
		return err
	}
	w.tell(Event{Kind: Keep, Lines: lines})
	return nil
}

type lineBuffer []byte

func (b *lineBuffer) Write(p []byte) (int, error) {
	*b = append(*b, p...)
	return len(p), nil
}

// Numbers gives the number of each entry as a session counts its checks; zero for what was
// known before them and for what could not be made.
func Numbers(entries []log.Entry) []int {
	numbers := make([]int, len(entries))
	n := 0
	for i, e := range entries {
		if e.Answer != nil && e.Note != training.ComplaintNote {
			n++
			numbers[i] = n
		}
	}
	return numbers
}

// number is that of the check that is being made.
func (s Session) number() int {
	n := 0
	for _, number := range Numbers(s.Log().Entries) {
		n = max(n, number)
	}
	return n + 1
}

// fault finds a fault by its ID; diagnose.Good for none.
func (s Session) fault(id faultmodel.ID) int {
	if f, err := faultmodel.Find(s.m.Faults(), string(id)); id != "" && err == nil {
		return f
	}
	return diagnose.Good
}
