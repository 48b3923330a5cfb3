package guide

import "deadrung/diagnose/log"

// The proof of operation: every step is worked from rest, and what is seen is held against
// what a good circuit does.

// beginProof begins it.
func (w *taking) beginProof() error {
	w.state.Stand = AsFound
	w.state.Proving = make([]Outcome, len(w.m.Panel().Circuit.Steps))
	w.state.At, w.state.Whole = Operation, false
	w.tell(Event{Kind: ProofBegins})
	return w.workStep(0)
}

// workStep has a step worked.
func (w *taking) workStep(i int) error {
	w.state.Step = i
	if w.sit != nil {
		step := w.m.Panel().Circuit.Steps[i].Name
		if err := w.do(log.Act{Kind: log.WorkAct, Step: step}); err != nil {
			return err
		}
	}
	w.tellStep(StepToWork)
	return nil
}

// tellStep tells of the step that is worked.
func (w *taking) tellStep(what EventKind) {
	w.tell(Event{Kind: what, Step: w.state.Step, Must: w.must(w.state.Step), Seen: w.seen(w.state.Step)})
}

// tellSteps tells of the step that is worked, or of all that are left.
func (w *taking) tellSteps() {
	at := w.state.Step
	w.tellStep(StepToWork)
	for w.state.Whole && w.state.Step+1 < len(w.state.Proving) {
		w.state.Step++
		w.tellStep(StepToWork)
	}
	w.state.Step = at
}

// askStep asks how the step worked. Where the person looks at a real panel, what must be
// stands beside the step; where the panel shows what is seen, it is told when asked for.
func (s *Session) askStep(q *Question) {
	q.Step, q.Must, q.Seen = s.state.Step, s.must(s.state.Step), s.seen(s.state.Step)
	if s.sit == nil {
		q.Whole = s.state.Whole
		q.Choices = []Key{"again", "right", "wrong", "every", "stop"}
		if q.Whole || q.Step == len(s.state.Proving)-1 {
			q.Choices = []Key{"again", "right", "wrong", "stop"}
		}
	} else {
		q.Choices = []Key{"must", "right", "wrong"}
	}
}

// stepWorked takes how a step worked.
func (w *taking) stepWorked(a Answer) error {
	i := w.state.Step
	switch a.Take {
	case "again":
		w.tellSteps()
	case "must":
		w.tellStep(MustBe)
	case "every":
		w.state.Whole = true
		w.tellSteps()
	case "right":
		last := len(w.state.Proving) - 1
		if w.state.Whole {
			for ; i < last; i++ {
				w.state.Proving[i] = WorkedRight
			}
			w.state.Step = last
		}
		w.state.Proving[i], w.state.Stand = WorkedRight, Standing{Step: i, Held: -1}
		if i < last {
			return w.workStep(i + 1)
		}
		return w.proved(true)
	case "wrong":
		if w.state.Whole { // which one, the steps tell one by one
			w.state.Whole = false
			w.tell(Event{Kind: OneByOne})
			return w.workStep(i)
		}
		w.state.Proving[i], w.state.Stand = WorkedWrong, Standing{Step: i, Held: -1}
		return w.proved(false)
	}
	return nil
}

// proved takes what the proof has come to.
func (w *taking) proved(right bool) error {
	if w.sit != nil {
		if err := w.do(log.Act{Kind: log.ProveAct, Right: &right}); err != nil {
			return err
		}
	}
	switch {
	case !right:
		w.tell(Event{Kind: NotRight})
		if w.state.At = Act; w.sit == nil {
			w.state.At, w.state.Repaired = WrongIn, true
		}
	case w.sit != nil && !w.ended():
		w.tell(Event{Kind: NothingRight})
		w.state.At = Act
	default:
		w.state.At, w.state.Finished = Over, true
		w.tell(Event{Kind: RepairProved})
	}
	return nil
}

// must is what a good circuit shows at the end of a step.
func (s *Session) must(step int) *Sight {
	var out Sight
	for _, l := range s.usualLooks(step) {
		if l.on {
			out.On = append(out.On, l.check.Look)
		} else {
			out.Off = append(out.Off, l.check.Look)
		}
	}
	return &out
}

// seen is what a simulated panel shows at the end of a step; nil at a real one.
func (s *Session) seen(step int) *Sight {
	if s.sit == nil {
		return nil
	}
	var out Sight
	meter := s.sit.Meter()
	for _, d := range s.m.Panel().Visible() {
		r, err := meter.Read(log.Check{Look: d.Name, Step: s.m.Panel().Circuit.Steps[step].Name})
		switch {
		case err != nil:
		case !r.Firm:
			out.Odd = append(out.Odd, d.Name)
		case r.On:
			out.On = append(out.On, d.Name)
		default:
			out.Off = append(out.Off, d.Name)
		}
	}
	return &out
}
