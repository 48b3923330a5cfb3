package guide

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Place is where a session stands, which is what it asks.
type Place string

const (
	Unbegun   Place = ""
	Complaint Place = "complaint" // in which step does it go wrong?
	// FoundByEye and Noting stand beside a check: what was seen, and a note to the next answer.
	FoundByEye Place = "found"
	Noting     Place = "note"
	WrongIn    Place = "wrong-in"  // what was wrong at the end of it?
	Check      Place = "check"     // the answer of the check that is proposed
	Other      Place = "other"     // which check instead?
	OwnStep    Place = "own-step"  // at the end of which step?
	OwnCheck   Place = "own-check" // which device, which terminals?
	Doubtful   Place = "doubtful"  // which reading is measured again?
	Drop       Place = "drop"      // which reading is dropped?
	Idle       Place = "idle"      // no check is proposed: what now?
	Works      Place = "works"     // it works at the moment: does it fail again?
	Repair     Place = "repair"    // the verdict stands: is it put right?
	Operation  Place = "operation" // did the step work right?

	Act        Place = "act"         // what is done at the panel?
	ToStep     Place = "to-step"     // to the end of which step?
	ByHand     Place = "by-hand"     // which operator is moved?
	LookAt     Place = "look-at"     // at what?
	Leads      Place = "leads"       // on which terminals?
	LeadPlace  Place = "lead-place"  // a lead goes where?
	LeadDevice Place = "lead-device" // on which device?
	LeadScrew  Place = "lead-screw"  // on which screw?
	Lift       Place = "lift"        // are wires lifted first?
	Measure    Place = "measure"     // what does the panel show?
	Mend       Place = "mend"        // what is put right?
	Fault      Place = "fault"       // where is the fault?
	FaultWhere Place = "fault-where" // which device or wire?
	FaultWhich Place = "fault-which" // which of the faults there?
	Confirm    Place = "confirm"     // is it the fault that is named?
	Strength   Place = "strength"    // of a hint
	GiveUp     Place = "give-up"     // really?

	Over Place = "over"
)

// Standing is where the circuit stands between two checks, as far as a session was told.
type Standing struct {
	Step   int  `json:"step"`   // the step at whose end it stands, power on; -1 if none
	Locked bool `json:"locked"` // the power is locked off
	Held   int  `json:"held"`   // with the power locked off: the step as in which operators are held; -1 if none
}

// AsFound is a circuit that nobody has worked yet.
var AsFound = Standing{Step: -1, Held: -1}

// LockedOff is a circuit whose power was locked off, and nothing more.
var LockedOff = Standing{Step: -1, Locked: true, Held: -1}

// After is where the circuit stands once a check has been made.
func After(circuit *circuits.Circuit, c log.Check) Standing {
	step := max(0, circuit.Step(c.Step))
	if c.Kind().Off() {
		return Standing{Step: -1, Locked: true, Held: step}
	}
	return Standing{Step: step, Held: -1}
}

// Outcome is how a step of the operation worked after the repair.
type Outcome int

const (
	NotWorked Outcome = iota
	WorkedRight
	WorkedWrong
)

// Move puts one operator into a position.
type Move struct {
	Device   string `json:"device"`
	Position int    `json:"position"`
}

// State is all of a session that its log does not tell.
type State struct {
	At Place `json:"at"`
	// Back is where a question leads that is left without an answer.
	Back   Place    `json:"back,omitempty"`
	Stand  Standing `json:"stand"`
	WasOff bool     `json:"was-off,omitempty"` // the log was left with the power locked off
	// Said are the cautions since the power last changed.
	Said []CautionKind `json:"said,omitempty"`
	// Meter is from which entry of the log on readings of nothing count that the meter was not
	// proved after.
	Meter int `json:"meter,omitempty"`

	// Pick is which check is asked for: 0 the one that the turn proposes, a positive number
	// the one of its others, -1 the person's own.
	Pick    int        `json:"pick,omitempty"`
	Own     *log.Check `json:"own,omitempty"`
	Unsure  bool       `json:"unsure,omitempty"`  // the next answer counts less
	Note    string     `json:"note,omitempty"`    // of the next answer
	Further bool       `json:"further,omitempty"` // a proof has borne the verdict out, and one more is asked for

	Step     int       `json:"step,omitempty"` // that the question is about
	Kind     log.Kind  `json:"kind,omitempty"` // of the check that is being chosen
	Repaired bool      `json:"repaired,omitempty"`
	Proving  []Outcome `json:"proving,omitempty"` // by step
	Finished bool      `json:"finished,omitempty"`
	Whole    bool      `json:"whole,omitempty"` // all steps that are left are worked before it is asked how

	Moved  []Move  `json:"moved,omitempty"` // since the last step, by hand
	Waited float64 `json:"waited,omitempty"`

	Hold   bool                `json:"hold,omitempty"`   // the operators are held, not the circuit worked
	Leads  []circuits.Terminal `json:"leads,omitempty"`  // those chosen out of lists so far
	Place  string              `json:"place,omitempty"`  // chosen for the next of them
	Device string              `json:"device,omitempty"` // there
	Mends  bool                `json:"mends,omitempty"`  // the fault is put right, not named
	Where  string              `json:"where,omitempty"`  // of the fault, as it was typed
	Fault  faultmodel.ID       `json:"fault,omitempty"`  // to be confirmed
	Named  faultmodel.ID       `json:"named,omitempty"`  // the one named last
}

func (st State) clone() State {
	st.Proving, st.Moved, st.Leads = slices.Clone(st.Proving), slices.Clone(st.Moved), slices.Clone(st.Leads)
	st.Said = slices.Clone(st.Said)
	return st
}

// State is what has to be stored beside the log to go on with a session at this point.
func (s Session) State() State { return s.state.clone() }

// Stored gives the session at the point where a state was stored; the session has the log
// of that point. The error says what of the state cannot be. No command calls it yet: it is
// there for a page in a browser, which keeps nothing but the log and the state.
func (s Session) Stored(st State) (Session, error) {
	s.state = st.clone()
	if err := s.check(); err != nil {
		return Session{}, fmt.Errorf("the stored state is not of this session: %w", err)
	}
	return s, nil
}

// check tells what of the state cannot be.
func (s *Session) check() error {
	st, c := &s.state, s.m.Panel().Circuit
	inSteps := func(i int) bool { return i >= 0 && i < len(c.Steps) }
	proposing := []Place{Complaint, FoundByEye, Noting, WrongIn, Check, Other, OwnStep, OwnCheck, Doubtful, Drop, Idle, Works, Repair}
	working := []Place{Act, ToStep, ByHand, LookAt, Leads, LeadPlace, LeadDevice, LeadScrew, Lift,
		Measure, Mend, Fault, FaultWhere,
		FaultWhich, Confirm, Strength, GiveUp}
	both := []Place{Unbegun, Operation, Over}
	places := append(both, working...)
	if s.rules.Proposes {
		places = append(both, proposing...)
	}
	switch {
	case !slices.Contains(places, st.At):
		return fmt.Errorf("it cannot stand at %q", st.At)
	case (st.At == Operation || st.At == Repair) && !s.rules.Repairs:
		return fmt.Errorf("nothing is repaired here")
	case st.Back != "" && !slices.Contains(places, st.Back):
		return fmt.Errorf("it cannot go back to %q", st.Back)
	case st.Meter < 0:
		return fmt.Errorf("the log has no entry %d", st.Meter)
	case !inSteps(st.Step), st.Stand.Step < -1 || st.Stand.Step >= len(c.Steps), st.Stand.Held < -1 ||
		st.Stand.Held >= len(c.Steps):
		return fmt.Errorf("the operation has no such step")
	case len(st.Proving) != 0 && len(st.Proving) != len(c.Steps), st.At == Operation && len(st.Proving) == 0:
		return fmt.Errorf("the proof has other steps than the operation")
	case slices.Contains([]Place{OwnCheck, OwnStep, Leads, Lift}, st.At) &&
		(st.Kind < log.Look || st.Kind > log.Diode):
		return fmt.Errorf("there is no such kind of check")
	case (st.Pick == -1 || st.At == Measure) && st.Own == nil:
		return fmt.Errorf("the check is missing")
	case st.At == Lift && len(st.Leads) != 2, st.At != Lift && len(st.Leads) > 1:
		return fmt.Errorf("a meter has two leads")
	case st.At == Confirm && s.fault(st.Fault) == diagnose.Good, st.Named != "" &&
		s.fault(st.Named) == diagnose.Good:
		return fmt.Errorf("there is no such fault")
	case st.At == FaultWhich && len(FaultsAt(s.m, st.Where)) == 0:
		return fmt.Errorf("there is no fault at %q", st.Where)
	case st.At == LeadDevice && len(s.devicesAt(st.Place)) == 0, st.At == LeadScrew &&
		c.Device(st.Device) == nil:
		return fmt.Errorf("no lead goes there")
	}
	if st.Own != nil {
		if _, err := s.m.Book().NewEntry(*st.Own, nil); err != nil {
			return err
		}
	}
	for _, mv := range st.Moved {
		if d := c.Device(mv.Device); d == nil || mv.Position < 0 || mv.Position >= len(d.Positions) {
			return fmt.Errorf("%q has no such position", mv.Device)
		}
	}
	if slices.Contains([]Place{Check, Other, Doubtful, Drop, Idle, Repair}, st.At) {
		t := s.Turn()
		if st.Pick < -1 || st.Pick > len(t.Others) || st.At == Check && st.Pick == 0 && t.Next == nil {
			return fmt.Errorf("no such check is proposed")
		}
	}
	return nil
}
