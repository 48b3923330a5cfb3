package training

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Begin writes what a sitting needs to be gone on with into its log: the seed, and a mark
// of the hidden fault. The mark hides the fault from the eye, not from a program that
// tries every fault.
func (s *Sitting) Begin(at string) error {
	_, err := s.Do(diagnose.Act{Kind: diagnose.BeginAct, Hidden: markOf(s.m, s.hidden, s.shown.Seed), Seed: s.shown.Seed, At: at})
	return err
}

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
func Resumed(m *diagnose.Model, log diagnose.Log) (*Sitting, error) {
	i := slices.IndexFunc(log.Acts, func(a diagnose.Act) bool { return a.Kind == diagnose.BeginAct })
	if i < 0 {
		return nil, errors.New("the log is not of a practice: it has no line with \"act\":\"begin\"")
	}
	for f := diagnose.Good; f < len(m.Faults()); f++ {
		if markOf(m, f, log.Acts[i].Seed) == log.Acts[i].Hidden {
			s := NewSitting(m, f, log.Acts[i].Seed)
			return s, s.Resume(log)
		}
	}
	return nil, fmt.Errorf("line %d: the hidden fault is none of this circuit's; the circuit or its flags are not those that the practice began with", log.Acts[i].Line)
}

// Resume brings a fresh sitting to where a log of it ends. The log's own readings stand,
// whatever the panel would show now. The error says which line cannot have come about
// at this panel.
func (s *Sitting) Resume(log diagnose.Log) error {
	for i := 0; i <= len(log.Entries); i++ {
		for _, a := range log.ActsBefore(i) {
			if why := s.refusal(a); why != "" {
				return fmt.Errorf("line %d: %s", a.Line, why)
			}
			a.Before = len(s.log.Entries)
			s.log.Acts = append(s.log.Acts, a)
			s.do(a)
		}
		if i == len(log.Entries) {
			break
		}
		e := log.Entries[i]
		if e.Answer != nil && e.Note != ComplaintNote {
			if off := e.Check.Kind() == diagnose.Ohms; off != s.stand.Off {
				return fmt.Errorf("line %d: %s check while the power is %s", e.Line, e.Check.Kind(), map[bool]string{true: "off", false: "on"}[s.stand.Off])
			}
			if why := s.elsewhere(e.Check); why != "" {
				return fmt.Errorf("line %d: %s", e.Line, why)
			}
		}
		s.made(e)
	}
	return nil
}
