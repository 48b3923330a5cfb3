package training

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Begin writes what a sitting needs to be gone on with into its log: the seed, and a mark
// of the hidden fault. The mark hides the fault from the eye, not from a program that
// tries every fault.
func (s *Sitting) Begin(at string) error {
	hidden := markOf(s.m, diagnose.Good, s.shown.Seed)
	var marks []string
	for _, f := range s.hidden {
		marks = append(marks, markOf(s.m, f, s.shown.Seed))
	}
	if len(marks) > 0 {
		hidden = strings.Join(marks, twoMarks)
	}
	_, err := s.Do(log.Act{Kind: log.BeginAct, Hidden: hidden, Seed: s.shown.Seed, At: at})
	return err
}

// twoMarks stands between the marks of two faults.
const twoMarks = "+"

// markOf is a mark of a fault that does not show it.
func markOf(m *diagnose.Model, fault int, seed uint64) string {
	id := faultmodel.ID("none")
	if fault != diagnose.Good {
		id = m.Faults()[fault].ID
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%d %s", seed, id))
	return hex.EncodeToString(sum[:8])
}

// Resumed goes on with a sitting from its log, which Begin has begun. The error says what
// of the log cannot have come about at such a panel.
func Resumed(m *diagnose.Model, history log.Log) (*Sitting, error) {
	i := slices.IndexFunc(history.Acts, func(a log.Act) bool { return a.Kind == log.BeginAct })
	if i < 0 {
		return nil, errors.New("the log is not of a practice: it has no line with \"act\":\"begin\"")
	}
	seed := history.Acts[i].Seed
	one, other, two := strings.Cut(history.Acts[i].Hidden, twoMarks)
	f, found := marked(m, one, seed)
	if found && !two {
		s := NewSitting(m, f, seed)
		return s, s.Resume(history)
	}
	if g, also := marked(m, other, seed); found && also {
		if s, ok := NewSittingWithTwo(m, f, g, seed); ok {
			return s, s.Resume(history)
		}
	}
	return nil, fmt.Errorf("line %d: the hidden fault is not one of this circuit's; the circuit or "+
		"its flags are not those that the practice began with", history.Acts[i].Line)
}

// marked finds the fault of a mark.
func marked(m *diagnose.Model, mark string, seed uint64) (int, bool) {
	for f := diagnose.Good; f < len(m.Faults()); f++ {
		if markOf(m, f, seed) == mark {
			return f, true
		}
	}
	return diagnose.Good, false
}

// Resume brings a fresh sitting to where a log of it ends. The log's own readings stand,
// whatever the panel would show now. The error says which line cannot have come about
// at this panel.
func (s *Sitting) Resume(history log.Log) error {
	for i := 0; i <= len(history.Entries); i++ {
		for _, a := range history.ActsBefore(i) {
			if why := s.refusal(a); why != "" {
				return fmt.Errorf("line %d: %s", a.Line, why)
			}
			a.Before = len(s.log.Entries)
			s.log.Acts = append(s.log.Acts, a)
			s.do(a)
		}
		if i == len(history.Entries) {
			break
		}
		e := history.Entries[i]
		if e.Answer != nil && e.Note != ComplaintNote {
			if off := e.Check.Kind().Off(); off != s.stand.Off {
				return fmt.Errorf("line %d: %s check while the power is %s", e.Line, e.Check.Kind(),
					map[bool]string{true: "off", false: "on"}[s.stand.Off])
			}
			if why := s.elsewhere(e.Check); why != "" {
				return fmt.Errorf("line %d: %s", e.Line, why)
			}
		}
		s.made(e)
	}
	return nil
}
