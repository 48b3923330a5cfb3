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

// said is where the circuit stands, and what has been said since its power last changed.
type said struct {
	stand Standing
	was   []CautionKind
}

// before gives what is to be said before a check, and brings the circuit to its power.
func (a *said) before(p *work.Panel, c log.Check) []CautionKind {
	var now []CautionKind
	live := c.Kind() != log.Ohms
	say := func(k CautionKind) {
		if !slices.Contains(a.was, k) {
			a.was, now = append(a.was, k), append(now, k)
		}
	}
	switch {
	case !live && !a.stand.Locked:
		a.was, a.stand = nil, LockedOff
		say(Isolating)
	case live && a.stand.Locked:
		a.was, a.stand = nil, AsFound
		say(PowerBack)
	}
	if (live || p.Keeps()) && len(Moving(p.Circuit)) > 0 {
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
