package guide

import (
	"cmp"
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
	// Humming comes once a motor was found to hum: before the circuit is worked again.
	Humming CautionKind = "hums"
	// LifeSafety comes first of all where people are warned by the circuit, as by a fire alarm.
	LifeSafety CautionKind = "life-safety"
	// ProveMeter comes before a verdict is proved that rests on readings of nothing: a blown lead
	// and a dead meter read the same.
	ProveMeter CautionKind = "meter"
)

// Cautions gives what has to be said before a check that follows a log: each once a state of
// the power, not once a check.
func Cautions(m *diagnose.Model, history log.Log, next *diagnose.Proposal) []CautionKind {
	at := said{stand: AsFound}
	for _, e := range history.Entries {
		if e.Answer != nil {
			at.before(m.Panel(), e.Check)
			at.stand = After(m.Panel().Circuit, e.Check)
		}
	}
	at.zeros, at.hums = len(Zeros(m, history, 0)) > 0, hums(m, history)
	return at.beforeProposed(m, next)
}

// hums tells whether a motor was found to hum since the last repair.
func hums(m *diagnose.Model, history log.Log) bool {
	for i := history.Since(); i < len(history.Entries); i++ {
		e := &history.Entries[i]
		if e.Answer == nil || e.Check.Kind() != log.Look || !e.Answer.On {
			continue
		}
		if s := e.Located().Sight(); s.At().Follows == circuits.TheHum {
			return true
		}
	}
	return false
}

// Zeros gives the entries, from the one with an index on, that read no volts and after which
// the meter has not shown that it works: by volts that are there, or where the power was
// locked off, before which it is tried on a live source.
func Zeros(m *diagnose.Model, history log.Log, from int) []int {
	var zeros []int
	for i := max(from, history.Since()); i < len(history.Entries); i++ {
		e := history.Entries[i]
		switch {
		case e.Answer == nil || e.Check.Kind() == log.Look:
		case e.Check.Kind().Off():
			zeros = nil
		case e.Answer.Value < diagnose.AbsentBelow*m.Nominal(e.Check):
			zeros = append(zeros, i)
		case e.Answer.Value >= diagnose.PresentFrom*m.Nominal(e.Check):
			zeros = nil
		}
	}
	return zeros
}

// PowerChange tells whether the power goes off or comes back before a check, from where the
// circuit stands; empty where it stays as it is.
func PowerChange(from Standing, c log.Check) CautionKind {
	switch live := !c.Kind().Off(); {
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
	hums  bool // a motor was found to hum
	zeros bool // volts that were not there were read, and the meter not proved since
}

// beforeProposed gives what is to be said before a check that is proposed.
func (a *said) beforeProposed(m *diagnose.Model, next *diagnose.Proposal) []CautionKind {
	changes := PowerChange(a.stand, next.Check) != ""
	now := a.before(m.Panel(), next.Check)
	if next.Proof && a.zeros && !changes && !showsVolts(m, next) {
		now = append(now, ProveMeter)
	}
	return now
}

// showsVolts tells whether the answer that bears a verdict out is full volts, which proves the
// meter as well.
func showsVolts(m *diagnose.Model, proof *diagnose.Proposal) bool {
	if proof.Check.Kind() != log.Volts {
		return false
	}
	likeliest := slices.MaxFunc(proof.Outcomes, func(a, b diagnose.Answered) int { return cmp.Compare(a.Probability, b.Probability) })
	return likeliest.Low != nil && *likeliest.Low >= diagnose.PresentFrom*m.Nominal(proof.Check)
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
	if len(WarningPeople(p.Circuit)) > 0 {
		say(LifeSafety)
	}
	if a.hums && !c.Kind().Off() {
		say(Humming)
	}
	if (!c.Kind().Off() || p.Keeps()) && len(Moving(p.Circuit)) > 0 {
		say(Movement)
	}
	if c.Kind() == log.Volts {
		say(LiveWork)
	}
	return now
}

// Moving gives the devices of a circuit that move something.
func Moving(c *circuits.Circuit) []*circuits.Device {
	return devicesThat(c, func(t *circuits.Type) bool { return t.Moves })
}

// WarningPeople gives the devices of a circuit by which people are warned of a fire.
func WarningPeople(c *circuits.Circuit) []*circuits.Device {
	return devicesThat(c, func(t *circuits.Type) bool { return t.LifeSafety })
}

func devicesThat(c *circuits.Circuit, are func(*circuits.Type) bool) []*circuits.Device {
	var devices []*circuits.Device
	for _, d := range c.Devices {
		if are(d.Type) {
			devices = append(devices, d)
		}
	}
	return devices
}
