package guide

import (
	"cmp"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// On gives the session on another model of the same panel: one begun on a bare model goes on
// with a whole one.
func (s Session) On(m *diagnose.Model) Session {
	s.m, s.turn = m, nil
	return s
}

// Searches tells whether an answer begins the search, which needs a whole model: what is known to
// be wrong is asked on a bare one as well.
func (s Session) Searches(a Answer) bool {
	return s.state.At == Complaint && a.Take == "none" || s.state.At != Complaint && s.state.At != WrongIn
}

// Foresee works out what the session comes to with each answer that is to be expected, the
// likeliest first, so that it is known when the answer is given. Waited tells whether somebody
// waits for an answer to be taken in; it is called now and then.
func (s Session) Foresee(waited func() bool) {
	c := diagnose.Choosing{By: s.rules.By, Foresee: waited}
	switch {
	case !s.rules.Proposes || waited():
		return
	case s.state.At == Complaint, s.state.At == WrongIn:
		s.m.Turn(s.log, c)
		return
	case s.state.At != Check:
		return
	}
	p := s.Proposal()
	outcomes := slices.Clone(p.Outcomes)
	slices.SortStableFunc(outcomes, func(a, b diagnose.Answered) int { return cmp.Compare(b.Probability, a.Probability) })
	var answers []*log.Reading
	for _, o := range outcomes {
		r := o.Reading(p.Check.Kind())
		answers = append(answers, &r)
	}
	for _, r := range append(answers, nil) { // last, that it cannot be made
		e, err := s.m.Book().NewEntry(p.Check, r)
		if err != nil || waited() {
			return
		}
		history := s.log
		history.Entries = append(slices.Clip(history.Entries), e)
		s.m.Turn(history, c)
	}
}
