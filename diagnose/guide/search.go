package guide

import (
	"slices"
	"strconv"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// RepairedNote marks the first reading after a repair.
const RepairedNote = "after the repair"

// take takes in an answer that the question allows.
func (w *taking) take(q Question, a Answer) error {
	switch w.state.At {
	case Complaint:
		return w.complain(a)
	case FoundByEye:
		if a.Take == "return" {
			w.goBack()
			return nil
		}
		return w.foundByEye(a)
	case Noting:
		w.goBack()
		if a.Take != "return" {
			w.state.Note = a.Text
			w.tell(Event{Kind: NoteKept, Text: a.Text})
		}
		return nil
	case WrongIn:
		return w.wrongIn(a)
	case Check:
		return w.checked(a)
	case Other:
		return w.other(a)
	case OwnStep:
		if a.Take == "return" {
			w.goBack()
			return nil
		}
		w.state.Step, w.state.At = a.Take.Index(), OwnCheck
	case OwnCheck:
		return w.ownCheck(a)
	case Doubtful:
		if a.Take == "return" {
			w.goBack()
			return nil
		}
		c := w.log.Entries[a.Take.Index()].Check
		w.pick(-1, &c)
	case Drop:
		if a.Take == "return" {
			w.goBack()
			return nil
		}
		return w.leaveOut(a.Take.Index())
	case Works:
		return w.whileItWorks(a)
	case Idle, Repair:
		return w.common(a)
	case Operation:
		return w.stepWorked(a)
	default:
		return w.atPanel(q, a)
	}
	return nil
}

// complain takes a step in which it is known to go wrong.
func (w *taking) complain(a Answer) error {
	if a.Check != nil {
		return w.enter(*a.Check, a.Reading, training.ComplaintNote)
	}
	switch a.Take {
	case "none":
		w.settle()
		return nil
	case "stop":
		return nil
	}
	w.state.At, w.state.Step, w.state.Repaired = WrongIn, a.Take.Index(), false
	return nil
}

// look is a look of the operation and what a good circuit shows there.
type look struct {
	check log.Check
	on    bool
}

// usualLooks are the looks at the end of a step that a good circuit decides.
func (s *Session) usualLooks(step int) []look {
	var looks []look
	for _, v := range s.m.Panel().Visible() {
		c := log.Check{Look: v.Name, Step: s.m.Panel().Circuit.Steps[step].Name}
		if good, err := s.m.Usual(c); err == nil && good.Firm {
			looks = append(looks, look{c, good.On})
		}
	}
	return looks
}

// wrongIn takes what was wrong at the end of a step.
func (w *taking) wrongIn(a Answer) error {
	after := w.state.Repaired
	if a.Take == "return" {
		if w.state.At = Complaint; after {
			w.state.At = Repair
		}
		return nil
	}
	note := training.ComplaintNote
	if after {
		note = RepairedNote
	}
	check, reading := a.Check, a.Reading
	if check == nil {
		_, device := a.Take.Of()
		looks := w.usualLooks(w.state.Step)
		l := looks[slices.IndexFunc(looks, func(l look) bool { return l.check.Look == device })]
		check, reading = &l.check, &log.Reading{Kind: log.Look, On: !l.on, Firm: true}
	}
	if err := w.enter(*check, reading, note); err != nil {
		return err
	}
	if !after {
		w.state.At = Complaint
		return nil
	}
	w.tell(Event{Kind: SearchAnew})
	w.settle()
	return nil
}

// Proposal is the check that is asked for.
func (s *Session) Proposal() *diagnose.Proposal {
	switch t := s.Turn(); {
	case s.state.Pick > 0:
		return &t.Others[s.state.Pick-1]
	case s.state.Pick < 0:
		return &diagnose.Proposal{Check: *s.state.Own}
	default:
		return t.Next
	}
}

// checked takes the answer of the check that is asked for, or what is asked instead.
func (w *taking) checked(a Answer) error {
	p := w.Proposal()
	switch {
	case a.Shown != nil:
		return w.made(p, a.Shown.Reading)
	case a.Reading != nil:
		return w.made(p, *a.Reading)
	}
	switch a.Take {
	case "on", "off":
		return w.made(p, log.Reading{Kind: log.Look, On: a.Take == "on", Firm: true})
	case "dim", "chatters", "flashing", "unknown":
		return w.made(p, log.Reading{Kind: log.Look, Seems: log.Seeming(a.Take), Firm: true})
	case "unsure":
		w.state.Unsure = true
		w.tell(Event{Kind: UnsureNext})
	case "note":
		w.state.At, w.state.Back = Noting, w.state.At
	case "cannot":
		if err := w.enter(p.Check, nil, ""); err != nil {
			return err
		}
		w.settle()
	case "why":
		w.tell(Event{Kind: Why, Proposal: p, Text: a.About})
	case "again":
		w.instruct(p, false, false)
	case "draw":
		w.tell(Event{Kind: Draw, Check: &p.Check})
	default:
		return w.common(a)
	}
	return nil
}

// common takes what can be asked for wherever the search stands.
func (w *taking) common(a Answer) error {
	switch a.Take {
	case "possible":
		w.tell(Event{Kind: Possible})
	case "verdict":
		w.tell(Event{Kind: Verdict})
	case "repaired":
		w.tell(Event{Kind: BackToPower, Before: BeforeProof})
		if w.state.Said = nil; len(Moving(w.m.Panel().Circuit)) > 0 {
			w.tell(Event{Kind: Warn, Caution: Movement})
			w.state.Said = []CautionKind{Movement}
		}
		return w.beginProof()
	case "works":
		return w.works(log.WorksAct)
	case "seen":
		w.state.At, w.state.Back = FoundByEye, w.state.At
		return nil
	case "complaint":
		w.state.At, w.state.Pick, w.state.Own = Complaint, 0, nil
		return nil
	case "other":
		w.state.At, w.state.Back = Other, w.state.At
		if n, err := strconv.Atoi(a.About); err == nil && n >= 1 && n <= len(w.Turn().Others) {
			w.pick(n, nil)
		}
		return nil
	case "repeat":
		w.state.At, w.state.Back = Doubtful, w.state.At
		return nil
	case "drop":
		w.state.At, w.state.Back = Drop, w.state.At
		return nil
	case "back":
		return w.undo()
	case "stop":
		return nil
	}
	if w.state.At == Idle {
		w.tellIdle()
	}
	return nil
}

// goBack goes back to where another question was asked from.
func (w *taking) goBack() {
	if w.state.At, w.state.Back = w.state.Back, ""; w.state.At == Idle {
		w.tellIdle()
	}
}

// pick asks for another check than the one that the turn proposes.
func (w *taking) pick(n int, own *log.Check) {
	from := w.state.Back
	w.state.At, w.state.Back, w.state.Pick, w.state.Own = Check, "", n, own
	if from == Check {
		w.show(w.Proposal())
		return
	}
	w.propose(w.Proposal())
}

// settle goes to where the log leads: to a check, to the verdict, or to neither.
func (w *taking) settle() {
	w.state.Pick, w.state.Own, w.state.Back = 0, nil, ""
	t := w.Turn()
	switch {
	case t.Works:
		w.state.At = Works
		w.provoke()
	case t.Status == diagnose.Found && (t.Proved || t.Next == nil), t.Status == diagnose.GroupLeft:
		w.tell(Event{Kind: Verdict})
		if !w.rules.Repairs {
			w.state.At = Over
			return
		}
		w.state.At = Repair
		if !w.state.Stand.Locked {
			w.tell(Event{Kind: LockOut, Before: BeforeRepair})
			w.state.Stand, w.state.Said = LockedOff, nil
		}
	case t.Status == diagnose.Healthy, t.Next == nil:
		if w.state.At = Idle; !w.rules.Repairs {
			w.state.At = Over
		}
		w.tellIdle()
	default:
		w.state.At = Check
		w.propose(t.Next)
	}
}

// tellIdle tells why no check is proposed.
func (w *taking) tellIdle() {
	if w.Turn().Status == diagnose.Healthy {
		w.tell(Event{Kind: Healthy})
	} else {
		w.tell(Event{Kind: Contradicts})
	}
}

// propose shows a check after what the turn has come to: a contradiction, or a verdict
// that is still to be proved.
func (w *taking) propose(p *diagnose.Proposal) {
	if odd(w.Turn()) {
		w.tell(Event{Kind: Contradicts})
	}
	if p.Proof && !w.state.Further {
		w.tell(Event{Kind: ToProve})
	}
	w.show(p)
}

// show shows a check for the first time, after what its power needs.
func (w *taking) show(p *diagnose.Proposal) {
	w.instruct(p, true, w.caution(p))
}

// caution tells what has to be said before a check, and whether there was anything.
func (w *taking) caution(p *diagnose.Proposal) bool {
	at := said{stand: w.state.Stand, was: w.state.Said}
	if w.state.WasOff {
		at.stand.Locked = !p.Check.Kind().Off() // it was left so, and nobody knows whether it still is
	}
	at.zeros, at.hums = len(Zeros(w.m, w.log, w.state.Meter)) > 0, hums(w.m, w.log)
	now := at.beforeProposed(w.m, p)
	for _, k := range now {
		switch k {
		case Isolating:
			w.tell(Event{Kind: LockOut, Before: BeforeCheck})
		case PowerBack:
			w.tell(Event{Kind: BackToPower, Before: BeforeCheck})
		case ProveMeter:
			w.tell(Event{Kind: Warn, Caution: k})
			w.state.Meter = len(w.log.Entries)
		default:
			w.tell(Event{Kind: Warn, Caution: k})
		}
	}
	w.state.Stand, w.state.Said, w.state.WasOff = at.stand, at.was, false
	return len(now) > 0
}

// instruct tells how a check is made from where the circuit stands: anew, and after a notice
// of its power, or once more.
func (w *taking) instruct(p *diagnose.Proposal, anew, noticed bool) {
	w.tell(Event{Kind: Instruct, Noticed: noticed, Proposal: p, Check: &p.Check, From: w.state.Stand,
		Number: w.number(),
		Again:  MadeBefore(w.m, w.log, p.Check), Further: w.state.Further, Anew: anew})
}

// MadeBefore tells whether a check was made already, since the last repair.
func MadeBefore(m *diagnose.Model, history log.Log, c log.Check) bool {
	again, err := m.Book().NewEntry(c, nil)
	if err != nil {
		return false
	}
	return slices.ContainsFunc(history.Entries[history.Since():], func(e log.Entry) bool {
		return e.Answer != nil && m.Book().Same(e, again)
	})
}

// made takes down the answer of a check.
func (w *taking) made(p *diagnose.Proposal, r log.Reading) error {
	r.Unsure = r.Unsure || w.state.Unsure
	w.state.Stand = After(w.m.Panel().Circuit, p.Check)
	w.tell(Event{Kind: Noted, Proposal: p, Entry: &log.Entry{Check: p.Check, Answer: &r}})
	if len(p.Check.Lifted) > 0 {
		w.tell(Event{Kind: Land, Terminals: p.Check.Lifted})
	}
	verdict := w.Turn().Left
	if err := w.enter(p.Check, &r, w.state.Note); err != nil {
		return err
	}
	w.state.Unsure, w.state.Note = false, ""
	t := w.Turn()
	for i, c := range t.Intermittent {
		if slices.Contains(c.Indices, len(w.log.Entries)-1) {
			w.tell(Event{Kind: Changed, Index: i})
		}
	}
	if p.Proof {
		agrees := w.bearsOut(verdict)
		w.state.Further = agrees && t.Next != nil && t.Next.Proof
		switch {
		case w.state.Further:
			w.tell(Event{Kind: ProofAgrees, Count: 1})
		case agrees:
			w.tell(Event{Kind: ProofAgrees})
		default:
			w.tell(Event{Kind: ProofDiffers})
		}
	}
	w.settle()
	return nil
}

// bearsOut tells whether the last reading is one that a fault of a verdict gives.
func (w *taking) bearsOut(verdict []int) bool {
	not := w.m.Disagreeing(w.log.Entries[len(w.log.Entries)-1])
	return slices.ContainsFunc(verdict, func(f int) bool { return !slices.Contains(not, f) })
}
