package guide

import (
	"errors"
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/diagnose"
)

// other takes another check than the one proposed: one of the next best, or the kind of
// one of the person's own.
func (w *taking) other(a Answer) error {
	kinds := map[Key]diagnose.Kind{"look": diagnose.Look, "volts": diagnose.Volts, "ohms": diagnose.Ohms}
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
func (s *Session) checkable(c diagnose.Check) error {
	if err := Refusal(s.m, c); err != nil {
		return err
	}
	_, err := s.m.NewEntry(c, nil)
	return err
}

// Refusal tells why the leads of a check do not belong where it has them: there they would
// read nothing, or it would not be safe. Its terminals are terminals of the circuit.
func Refusal(m *diagnose.Model, c diagnose.Check) error {
	leads := c.Leads()
	if c.Kind() == diagnose.Look {
		return nil
	}
	if len(leads) != 2 {
		return fmt.Errorf("a meter has two leads: type two terminals, red then black; here are %d", len(leads))
	}
	if leads[0] == leads[1] {
		return errors.New("both leads on one terminal read nothing: type two terminals")
	}
	for _, t := range append(slices.Clone(leads), c.Lifted...) {
		if err := Unsafe(m, t); err != nil {
			return err
		}
	}
	for _, t := range c.Lifted {
		name, _ := t.Split()
		if d := m.Panel().Circuit.Device(name); d != nil && d.Type.Kind == circuits.GroundKind {
			return fmt.Errorf("the bonding wires on %s stay where they are: lift the other end of the part", t)
		}
	}
	if c.Kind() == diagnose.Volts && len(c.Lifted) > 0 {
		return errors.New("no wire is lifted in a live circuit: lift for ohms only")
	}
	return nil
}

// Unsafe tells why no lead of a control circuit's check belongs on a terminal.
func Unsafe(m *diagnose.Model, t circuits.Terminal) error {
	name, at := t.Split()
	d := m.Panel().Circuit.Device(name)
	switch {
	case d == nil:
		return fmt.Errorf("there is no device %q", name)
	case d.Transformer() && slices.Contains(d.Primary[:], at) && !m.Panel().PrimaryWired(d):
		return fmt.Errorf("%s is fed from outside this circuit, maybe at a higher voltage, and its lock-out is not this one's: no lead goes there", t)
	case d.Type.Kind != circuits.GroundKind && !m.Panel().Wired(t):
		return fmt.Errorf("no wire lands on %s: a lead reads nothing there", t)
	}
	return nil
}
