package guide

import (
	"errors"
	"slices"

	"deadrung/diagnose/log"
)

// other takes another check than the one proposed: one of the next best, or the kind of
// one of the person's own.
func (w *taking) other(a Answer) error {
	kinds := map[Key]log.Kind{"look": log.Look, "volts": log.Volts, "ohms": log.Ohms, "diode": log.Diode}
	switch kind, _ := a.Take.Of(); kind {
	case "return":
		w.goBack()
	case "other":
		w.pick(a.Take.Index()+1, nil)
	default:
		w.state.At, w.state.Kind = OwnStep, kinds[a.Take]
	}
	return nil
}

// ownCheck takes the device or the terminals of the person's own check.
func (w *taking) ownCheck(a Answer) error {
	if a.Check == nil {
		w.goBack()
		return nil
	}
	c := *a.Check
	c.Step = w.m.Panel().Circuit.Steps[w.state.Step].Name
	if err := w.checkable(c); err != nil {
		w.tell(Event{Kind: Refused, Text: err.Error()})
		return nil
	}
	w.pick(-1, &c)
	return nil
}

// checkable tells why a check cannot be made anywhere: there is no such thing, it reads
// nothing, or it is not safe.
func (s *Session) checkable(c log.Check) error {
	book := s.m.Book()
	if leads := c.Leads(); c.Kind() != log.Look {
		if len(leads) != 2 || leads[0] == leads[1] {
			return errors.New("both leads on one terminal read nothing: type two terminals")
		}
		for _, t := range slices.Concat(leads, c.Lifted) {
			if err := book.LeadOn(t); err != nil {
				return err
			}
		}
		if err := book.Allows(c); err != nil {
			return err
		}
		if c.Kind() == log.Volts && len(c.Lifted) > 0 {
			return errors.New("no wire is lifted in a live circuit: lift with the power locked off only")
		}
	}
	_, err := book.NewEntry(c, nil)
	return err
}
