package main

import (
	"errors"
	"fmt"
	"math"
	"time"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/exam/room"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
)

// candidate is one at an exam: nobody helps, nothing is repaired, and naming the fault ends
// the work.
type candidate struct {
	*logged
	begun time.Time
	spent time.Duration // in the sessions before
	limit float64       // minutes; 0 for none
	// left is what the instructor's machine says is left; nil where there is none.
	left func() (time.Duration, bool)

	unsent bool // the last line could not be sent to the instructor's machine
}

// panelOf gives what answers the checks of a fault, nil where the candidate measures on a
// real trainer; log is the file of the answer log, which may move.
func panelOf(p *exam.Packet, i int, m *diagnose.Model, server string, log *string,
	wait patient) (training.Panel, error) {
	switch t := p.Tasks[i]; p.Form {
	case exam.Simulated:
		return exam.OpenReadings(m, t.Table, t.Key)
	case exam.Bench:
		return nil, nil
	}
	r := remoteOf(server, p, i, log)
	if err := wait.try(r.Connect); err != nil {
		return nil, err
	}
	if back := r.CameBack(); back > 0 {
		wait.out.Parf("", "%s of your answer log %s missing here and came back from the instructor's machine.",
			talk.Count(back, "line"), talk.Verb(back, "was", "were"))
	}
	return r, nil
}

// newCandidate is one at a panel that does not say its fault.
func newCandidate(s *training.Sitting, panel training.Panel, limit float64, ask talk.Asker,
	out *talk.Page, now func() time.Time) *candidate {
	w := &candidate{logged: newLogged(guide.At(s, guide.Examining(panel == nil)), ask, out, now),
		limit: limit}
	w.Clock, w.Away = w.minutes, unanswered
	w.Panel = func(q guide.Question) (training.Shown, error) {
		return panel.Show(*q.Check, q.Worked, q.Nth)
	}
	return w
}

// sent says once that the instructor's machine could not be reached.
func (w *candidate) sent(err error) {
	if err != nil && !w.unsent {
		w.Out.Parf("  ",
			"Your answers could not be sent: %v. They are kept here and sent when it answers again.", err)
	}
	w.unsent = err != nil
}

// unanswered tells whether a panel has not answered a check, which may be made again.
func unanswered(err error) bool {
	return errors.Is(err, exam.ErrNoAnswer) || errors.Is(err, room.ErrAway)
}

// work goes from one act to the next until a fault is named. It ends as dialogue.run does.
func (w *candidate) work(resumed bool) error {
	w.Out.Para("", "The operation, each step from where the one before left the circuit:")
	for i := range w.Speak.Circuit.Steps {
		w.Out.Hang("  ", w.Speak.StepLine(i))
	}
	w.Reported()
	if resumed {
		w.Out.Para("", "You go on where you stopped. So far:")
		w.SoFar()
	}
	return w.Run()
}

// minutes tells how much time there was and is.
func (w *candidate) minutes() string {
	if w.left != nil {
		left, limited := w.left()
		switch {
		case !limited:
			return ""
		case left <= 0:
			return " (TIME IS OVER)"
		}
		return fmt.Sprintf(" (%.0f min left)", math.Ceil(left.Minutes()))
	}
	if w.limit == 0 {
		return ""
	}
	spent := (w.spent + w.Now().Sub(w.begun)).Minutes()
	late := ""
	if spent > w.limit {
		late = ", LATE"
	}
	return fmt.Sprintf(" (%.0f of %g min%s)", spent, w.limit, late)
}
