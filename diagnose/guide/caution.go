package guide

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// CautionKind tells what has to be said before a check.
type CautionKind string

const (
	Isolating CautionKind = "lock-out"   // before the first ohms check of each spell without power
	PowerBack CautionKind = "power-back" // before the power returns
	Movement  CautionKind = "moves"      // before the circuit is first worked in a spell of power
	LiveWork  CautionKind = "live"       // before the first volts check in a spell of power
)

// Cautions gives what has to be said before a check that follows a log: each once a state of
// the power, not once a check.
func Cautions(m *diagnose.Model, history log.Log, next log.Check) []CautionKind {
	at := said{stand: AsFound}
	for _, e := range history.Entries {
		if e.Answer != nil {
			at.before(m.Panel(), e.Check)
			at.stand = After(m.Panel().Circuit, e.Check)
		}
	}
	return at.before(m.Panel(), next)
}

// PowerChange tells whether the power goes off or comes back before a check, from where the
// circuit stands; empty where it stays as it is.
func PowerChange(from Standing, c log.Check) CautionKind {
	switch live := c.Kind() != log.Ohms; {
	case !live && !from.Locked:
		return Isolating
	case live && from.Locked:
		return PowerBack
	}
	return ""
}

// said is where the circuit stands, and what has been said since its power last changed.
type said struct {
	stand Standing
	was   []CautionKind
}

// before gives what is to be said before a check, and brings the circuit to its power.
func (a *said) before(p *work.Panel, c log.Check) []CautionKind {
	var now []CautionKind
	say := func(k CautionKind) {
		if !slices.Contains(a.was, k) {
			a.was, now = append(a.was, k), append(now, k)
		}
	}
	if k := PowerChange(a.stand, c); k != "" {
		a.was, a.stand = nil, map[CautionKind]Standing{Isolating: LockedOff, PowerBack: AsFound}[k]
		say(k)
	}
	if (c.Kind() != log.Ohms || p.Keeps()) && len(Moving(p.Circuit)) > 0 {
		say(Movement)
	}
	if c.Kind() == log.Volts {
		say(LiveWork)
	}
	return now
}

// Moving gives the devices of a circuit that move something.
func Moving(c *circuits.Circuit) []*circuits.Device {
	var moving []*circuits.Device
	for _, d := range c.Devices {
		if d.Type.Moves {
			moving = append(moving, d)
		}
	}
	return moving
}
