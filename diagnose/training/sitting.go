// Package training is fault finding as a skill: a panel with a hidden fault that answers
// whoever works on it, what was done there safely and unsafely, which checks told
// something and which were wasted, and what the best would have been.
//
// A [Sitting] is one person at one such panel. Acts and checks go in; readings come out
// as a meter in the circuit shows them, and everything is kept in the one form of log
// that package diagnose reads:
//
//	act, check ──► Sitting ──► reading, unsafe acts ──► log ──► Coach, Replay, marking
//	                  ▲
//	    hidden fault, seed
//
// The same fault, seed, acts and checks give the same readings, so that a sitting goes
// on from its log.
//
// # Decisions
//
//   - Acts are kept in the same log as checks, one line each; whatever reads the log for its
//     readings passes them over. A check that was stopped because it was unsafe is an attempt
//     and no reading.
//   - The first act, begin, has the seed and a mark of the hidden fault. It hides the fault from
//     the eye, not from a program that tries them all.
//   - What the simulated meter shows always agrees with the fault that the panel has: at the
//     edge of a band the error of the meter is less.
//   - A fuse that blew while the circuit was worked reads open with the power off, and is whole
//     again at the next start from rest.
//   - A practice begins where the people at the panel stopped: they say what is wrong, the first
//     look of the operation that goes wrong, and the circuit stands there. Operators move only
//     as the operation moves them: what a good circuit shows elsewhere is not known.
//   - Wasted checks are defined exactly in waste.go, difficulty in difficulty.go.
package training

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// ErrRefused is the error of a check or an act that the panel's condition does not
// allow. Nothing of it is done; an unsafe one is kept in the log as an attempt.
var ErrRefused = errors.New("not done")

// RepairMinutes is what a repair takes, right or wrong: get the part, fit it, land the
// wires. Common practice, no source.
const RepairMinutes = 10.0

// Sitting is one person at one panel with a hidden fault, or two at once.
type Sitting struct {
	m      *diagnose.Model
	hidden []int // the faults that it began with; none of a good panel
	now    []int // those that it still has
	meter  *diagnose.Meter
	shown  Display
	panel  Panel // answers in place of the meter, where nobody here knows the fault
	keep   func(write func(io.Writer) error) error

	log      log.Log
	stand    diagnose.Condition
	worked   int // the step at whose end the power went off; -1 if none
	lockout  lockout
	minutes  float64
	unsafe   []Unsafe
	taken    int       // readings taken
	repaired bool      // the next reading is the first after a repair
	spent    []float64 // minutes until after each entry of the log
	actSpent []float64 // minutes until after each act
}

// NewSitting puts a person at the panel of a model with a fault (or diagnose.Good) that
// only the panel knows.
func NewSitting(m *diagnose.Model, hidden int, seed uint64) *Sitting {
	s := &Sitting{m: m, stand: diagnose.AsFound, worked: -1, shown: Display{Model: m, Seed: seed}}
	if hidden != diagnose.Good {
		s.hidden = []int{hidden}
	}
	s.now, s.meter = s.hidden, m.Meter(hidden)
	return s
}

// NewSittingWithTwo puts a person at a panel with two faults at once. What is told is what goes
// wrong with both. It reports false where they cannot be at once.
func NewSittingWithTwo(m *diagnose.Model, one, other int, seed uint64) (*Sitting, bool) {
	s := NewSitting(m, one, seed)
	meter, ok := m.MeterOfBoth(one, other)
	if !ok {
		return nil, false
	}
	s.hidden = []int{one, other}
	s.now, s.meter = s.hidden, meter
	return s, true
}

// Panel is something that answers checks and does not say which fault it has: a packet, a
// real trainer, another machine.
type Panel interface {
	// Show gives what is shown at the nth reading of a sitting, the circuit worked to the
	// end of a step before the power went off; -1 for none.
	Show(c log.Check, worked, nth int) (Shown, error)
}

// Unknown is the fault of a panel that does not say it.
const Unknown = diagnose.Good - 1

// NewSittingAt puts a person at a panel that does not say its fault. Nothing is repaired
// there.
func NewSittingAt(m *diagnose.Model, panel Panel) *Sitting {
	return &Sitting{m: m, hidden: []int{Unknown}, now: []int{Unknown}, panel: panel, stand: diagnose.AsFound, worked: -1}
}

// mended is what a panel has left of some faults after the repair of one.
func mended(m *diagnose.Model, faults []int, repaired int) []int {
	var left []int
	for _, f := range faults {
		if !SameRepair(m, repaired, f) {
			left = append(left, f)
		}
	}
	return left
}

// Keep has every line of the log written as it comes, before anything else is done. A
// line that cannot be kept is an error of the act or check that it is of.
func (s *Sitting) Keep(to func(write func(io.Writer) error) error) { s.keep = to }

// Model is that of the panel.
func (s *Sitting) Model() *diagnose.Model { return s.m }

// Hidden are the faults that the sitting began with, one or two; none of a good panel.
func (s *Sitting) Hidden() []int { return s.hidden }

// Untold tells whether the panel does not say its fault.
func (s *Sitting) Untold() bool { return slices.Contains(s.hidden, Unknown) }

// Good tells whether the panel has no fault now.
func (s *Sitting) Good() bool { return len(s.now) == 0 }

// Meter reads the panel as it is now; nil where it does not say its fault.
func (s *Sitting) Meter() *diagnose.Meter { return s.meter }

// Log is everything done so far.
func (s *Sitting) Log() log.Log { return s.log }

// Stand is where the panel stands.
func (s *Sitting) Stand() diagnose.Condition { return s.stand }

// Locked tells whether the power is locked off, and not only switched off.
func (s *Sitting) Locked() bool { return s.stand.Off && s.lockout.locked }

// Worked is the step at whose end the power went off; -1 for none.
func (s *Sitting) Worked() int { return s.worked }

// Taken counts the readings that were taken.
func (s *Sitting) Taken() int { return s.taken }

// Clone gives a sitting of its own that stands where this one does, and keeps nothing.
func (s *Sitting) Clone() *Sitting {
	c := *s
	c.keep = nil
	c.log.Entries, c.log.Acts = slices.Clip(c.log.Entries), slices.Clip(c.log.Acts)
	c.unsafe, c.spent, c.actSpent = slices.Clip(c.unsafe), slices.Clip(c.spent), slices.Clip(c.actSpent)
	c.lockout.named = maps.Clone(c.lockout.named)
	return &c
}

// Minutes are those spent at the panel, by the model's prices of acts and checks.
func (s *Sitting) Minutes() float64 { return s.minutes }

// Unsafe are the unsafe acts so far, in their order.
func (s *Sitting) Unsafe() []Unsafe { return s.unsafe }

// Ending is how a sitting has come to its end.
type Ending string

const (
	NotEnded Ending = ""         // it goes on
	Proved   Ending = "proved"   // something was put right, and the operation called right
	GivenUp  Ending = "given up" // or over before that
)

// Ended tells how the sitting has come to its end.
func (s *Sitting) Ended() Ending {
	repaired := false
	for _, a := range s.log.Acts {
		switch {
		case a.Kind == log.StopAct:
			return GivenUp
		case a.Kind == log.RepairAct:
			repaired = true
		case a.Kind == log.ProveAct && *a.Right && repaired:
			return Proved
		}
	}
	return NotEnded
}

// Do does something at the panel besides a check. It gives the unsafe acts that this
// was. The error wraps ErrRefused where the panel's condition does not allow it.
func (s *Sitting) Do(a log.Act) ([]Unsafe, error) {
	if err := s.m.Book().CheckAct(a); err != nil {
		return nil, err
	}
	if why := s.refusal(a); why != "" {
		return nil, fmt.Errorf("%w: %s", ErrRefused, why)
	}
	if err := s.note(a); err != nil {
		return nil, err
	}
	return s.do(a), nil
}

// refusal tells why an act cannot be done as the panel stands.
func (s *Sitting) refusal(a log.Act) string {
	switch a.Kind {
	case log.LockOutAct:
		if s.Locked() {
			return "the power is locked off already"
		}
	case log.SwitchOffAct:
		if s.stand.Off {
			return "the power is off already"
		}
	case log.TryAct, log.ProveDeadAct, log.HoldAct:
		if !s.stand.Off {
			return "the power is on; lock out first"
		}
	case log.RestoreAct:
		if !s.stand.Off {
			return "the power is on already"
		}
	case log.WorkAct, log.ProveAct:
		if s.stand.Off {
			return "the power is off; bring it back first"
		}
	case log.RepairAct:
		if s.Untold() {
			return "nothing is repaired here: name the fault"
		}
	}
	return ""
}

// do changes the panel as an act does that is in the log already.
func (s *Sitting) do(a log.Act) []Unsafe {
	var found []Unsafe
	switch a.Kind {
	case log.SwitchOffAct, log.LockOutAct:
		if !s.stand.Off {
			s.minutes += s.m.WayBack(s.stand.Area) + diagnose.LockOutMinutes
			s.worked, s.lockout = s.stand.Step, lockout{}
			s.stand.Off, s.stand.Ready, s.stand.Area = true, false, 0
		}
		s.lockout.locked = s.lockout.locked || a.Kind == log.LockOutAct
	case log.TryAct:
		s.lockout.tried = true
	case log.TestMeterAct:
		s.lockout.testMeter()
	case log.ProveDeadAct:
		if !s.lockout.before {
			found = s.name(&s.lockout.named, MeterBefore)
		}
		s.lockout.dead = true
	case log.RestoreAct:
		s.minutes += s.m.WayBack(s.stand.Area) + diagnose.RestoreMinutes
		s.stand, s.worked, s.lockout = diagnose.AsFound, -1, lockout{}
	case log.WorkAct, log.HoldAct:
		step := s.m.Panel().Circuit.Step(a.Step)
		s.minutes += s.m.ConditionMinutes(s.stand, step)
		s.stand.Step = step
	case log.AttemptAct:
		found = s.name(nil, OhmsLive)
	case log.RepairAct:
		s.minutes += RepairMinutes
		if s.stand.Off {
			found = s.omissions()
		} else {
			found = s.name(nil, RepairLive)
		}
		s.repaired = true
		s.worked = -1 // what had blown was replaced before the power comes back
		fault, _ := faultmodel.Find(s.m.Faults(), string(a.Fault))
		switch left := mended(s.m, s.now, fault); {
		case len(left) == len(s.now):
		case len(left) == 0:
			s.now, s.meter = nil, s.m.Meter(diagnose.Good)
		default:
			s.now, s.meter = left, s.m.Meter(left[0])
		}
	case log.HintAct:
		s.minutes += HintMinutes[a.Strength-1]
	}
	s.actSpent = append(s.actSpent, s.minutes)
	s.unsafe = append(s.unsafe, found...)
	return found
}

// SameRepair tells whether the repair of one fault puts another right: it is the same
// one, or both sit in the same one device and neither is a wire's.
func SameRepair(m *diagnose.Model, a, b int) bool {
	if a == b {
		return true
	}
	if a == diagnose.Good || b == diagnose.Good {
		return false
	}
	f, g := m.Faults()[a], m.Faults()[b]
	return len(f.Devices) == 1 && len(g.Devices) == 1 && f.Devices[0] == g.Devices[0] && !f.Effect.OfWires() &&
		!g.Effect.OfWires()
}

// Check makes a check as the panel stands, at a time (RFC 3339, or none), and gives what
// the meter or the eye shows, and the unsafe acts that this was.
func (s *Sitting) Check(c log.Check, at string) (Shown, []Unsafe, error) {
	if found, err := s.Ready(c, at); err != nil {
		return Shown{}, found, err
	}
	shown, err := s.Show(c)
	if err != nil {
		return Shown{}, nil, err
	}
	found, err := s.Take(c, shown.Reading, at)
	return shown, found, err
}

// Ready tells whether a check can be made as the panel stands. The check's step is the one
// that the panel stands in; another one is an error, as is volts or a look without power.
// Ohms on a live circuit are stopped before a lead touches: the attempt is kept, and there
// is no reading.
func (s *Sitting) Ready(c log.Check, at string) ([]Unsafe, error) {
	if _, err := s.m.Book().NewEntry(c, nil); err != nil {
		return nil, err
	}
	if c.Kind().Off() && !s.stand.Off {
		found, err := s.Do(log.Act{Kind: log.AttemptAct, Attempt: &c, At: at})
		if err == nil {
			err = fmt.Errorf("%w: ohms on a live circuit", ErrRefused)
		}
		return found, err
	}
	if !c.Kind().Off() && s.stand.Off {
		return nil, fmt.Errorf("%w: the power is off, so nothing is on and every voltage is 0; bring "+
			"the power back first", ErrRefused)
	}
	if why := s.elsewhere(c); why != "" {
		return nil, fmt.Errorf("%w: %s", ErrRefused, why)
	}
	return nil, nil
}

// Take takes down what a check showed that the panel's condition allows.
func (s *Sitting) Take(c log.Check, r log.Reading, at string) ([]Unsafe, error) {
	e, err := s.m.Book().NewEntry(c, &r)
	if err != nil {
		return nil, err
	}
	e.At, e.Repaired = at, s.repaired
	if s.keep != nil {
		if err := s.keep(e.AppendTo); err != nil {
			return nil, err
		}
	}
	return s.made(e), nil
}

// Show gives what is shown at a check that the panel's condition allows.
func (s *Sitting) Show(c log.Check) (Shown, error) {
	if s.panel != nil {
		return s.panel.Show(c, s.worked, s.taken)
	}
	r, err := s.meter.Found(c, s.worked)
	if err != nil {
		return Shown{}, err
	}
	fits := func(e log.Entry) bool { return s.m.Agree(c, r, *e.Answer) }
	if len(s.now) < 2 {
		now := diagnose.Good
		if len(s.now) == 1 {
			now = s.now[0]
		}
		fits = func(e log.Entry) bool { return s.m.Fits(now, e) }
	}
	return s.shown.Show(c, r, fits, s.taken), nil
}

// ComplaintOf gives what the people at a panel with a fault say is wrong before anything is
// checked: the first look of the operation that the fault makes go wrong, firmly. It reports
// false where nothing is seen to go wrong.
func ComplaintOf(m *diagnose.Model, fault int) (log.Entry, bool, error) {
	return complaintBy(m, m.Meter(fault))
}

func complaintBy(m *diagnose.Model, meter *diagnose.Meter) (log.Entry, bool, error) {
	for _, c := range m.Checks() {
		if c.Kind() != log.Look {
			continue
		}
		usual, err := m.Usual(c)
		if err != nil {
			return log.Entry{}, false, err
		}
		r, err := meter.Read(c)
		if err != nil {
			return log.Entry{}, false, err
		}
		if !r.Firm || !usual.Firm || r.On == usual.On {
			continue
		}
		e, err := m.Book().NewEntry(c, &r)
		e.Note = ComplaintNote
		return e, err == nil, err
	}
	return log.Entry{}, false, nil
}

// Complain enters the complaint of what is hidden. The circuit stands at the end of its
// step, as the people there left it. It reports false where nothing is seen to go wrong.
func (s *Sitting) Complain(at string) (log.Entry, bool, error) {
	e, seen, err := complaintBy(s.m, s.meter)
	if err != nil || !seen {
		return log.Entry{}, false, err
	}
	e.At = at
	return e, true, s.Told(e)
}

// Told enters a complaint where the panel does not say its fault.
func (s *Sitting) Told(e log.Entry) error {
	if s.keep != nil {
		if err := s.keep(e.AppendTo); err != nil {
			return err
		}
	}
	s.made(e)
	return nil
}

// elsewhere tells that the panel does not stand in the condition of a check.
func (s *Sitting) elsewhere(c log.Check) string {
	c.Step = s.m.Panel().Circuit.Steps[max(0, s.m.Panel().Circuit.Step(c.Step))].Name
	switch at := s.StepName(); {
	case at == "" && c.Kind().Off():
		return fmt.Sprintf("the operators are not held as in %q", c.Step)
	case at == "":
		return fmt.Sprintf("the circuit has not been worked to %q", c.Step)
	case at != c.Step:
		return fmt.Sprintf("the circuit stands in %q, not in %q", at, c.Step)
	}
	return ""
}

// StepName names the step that the panel stands in; empty before any.
func (s *Sitting) StepName() string {
	if s.stand.Step < 0 {
		return ""
	}
	return s.m.Panel().Circuit.Steps[s.stand.Step].Name
}

// made takes in a check that is in the log file already.
func (s *Sitting) made(e log.Entry) []Unsafe {
	var found []Unsafe
	s.log.Entries = append(s.log.Entries, e)
	if e.Note == ComplaintNote {
		s.stand.Step = s.m.Panel().Circuit.Step(e.Check.Step)
	}
	if e.Answer == nil || e.Note == ComplaintNote {
		s.spent = append(s.spent, s.minutes)
		return nil
	}
	if e.Check.Kind().Off() {
		found = s.omissions()
	}
	if minutes, then, err := s.m.CheckMinutes(s.stand, e.Check); err == nil {
		s.minutes += minutes
		s.stand = then
	}
	s.spent = append(s.spent, s.minutes)
	s.taken++
	s.repaired = false
	s.unsafe = append(s.unsafe, found...)
	return found
}

// note keeps an act in the log.
func (s *Sitting) note(a log.Act) error {
	if s.keep != nil {
		if err := s.keep(a.AppendTo); err != nil {
			return err
		}
	}
	a.Before = len(s.log.Entries)
	s.log.Acts = append(s.log.Acts, a)
	return nil
}
