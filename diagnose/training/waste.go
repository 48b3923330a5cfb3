package training

import (
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// Waste is one of the three ways of wasting a check that the Army names (US Army
// Intelligence Center, subcourse IT0338, Introduction to Logical Troubleshooting, 1996).
// The words are theirs; the exact definitions below are ours.
//
// Let P be the faults that fit the log best before the check, P₀ those that fitted when
// only the complaint was known, both weighted by their priors; I(c|S) what the answer to
// a check c is expected to tell about which group of S it is, in bits; and b the best
// check then.
//
//	irrelevant  no two faults of P or of P₀ differ at c, and it was not made before: it
//	            lies outside of what the complaint left in doubt
//	redundant   no two faults of P differ at c, but some of P₀ did, or c itself was
//	            answered before: readings have told already what it would
//	premature   0 < I(c|P) < ½ I(b|P); after one answer of b, c tells more than now; and
//	            after another it tells nothing: b decides whether c is worth making
//
// A check that proves a verdict is none of these: where one group is left, one that sets
// it apart from the good circuit, or from a fault that one wrong reading could hide. Nor is
// the one that the guided search proposes, which may be there to make a thin verdict certain.
type Waste string

const (
	Useful     Waste = "" // none of the three
	Premature  Waste = "premature"
	Redundant  Waste = "redundant"
	Irrelevant Waste = "irrelevant"
)

// PrematureBelow is the share of the best check's bits below which a check that has its
// time later is premature. Common practice, no source.
const PrematureBelow = 0.5

// weighing is a check before its answer is known, and what it is held against.
type weighing struct {
	m     *diagnose.Model
	log   log.Log // before the check
	turn  diagnose.Turn
	entry log.Entry
	worth *diagnose.Worth
	bits  float64
}

// proof tells whether the check proves a verdict.
func (w *weighing) proof() bool {
	if w.turn.Groups != 1 || len(w.worth.Parts(w.m.Doubted(w.log))) < 2 {
		return false
	}
	return !w.answered()
}

// answered tells whether the check itself was answered before, since the last repair.
func (w *weighing) answered() bool {
	return slices.ContainsFunc(w.log.Entries[w.log.Since():], func(e log.Entry) bool {
		return e.Answer != nil && w.m.Book().Same(e, w.entry)
	})
}

// proposed tells whether the check is the best one.
func (w *weighing) proposed() bool {
	if w.turn.Next == nil {
		return false
	}
	e, err := w.m.Book().NewEntry(w.turn.Next.Check, nil)
	return err == nil && w.m.Book().Same(e, w.entry)
}

// waste tells how the check is wasted.
func (w *weighing) waste() Waste {
	left := w.turn.Left
	switch {
	case len(w.worth.Parts(left)) > 1:
		if w.premature() {
			return Premature
		}
		return Useful
	case w.proposed(), w.proof():
		return Useful
	case w.answered():
		return Redundant
	}
	known := log.Log{} // after a repair nothing is
	if w.log.Since() == 0 {
		known = Complaint(w.log)
	}
	if len(w.worth.Parts(w.m.Left(known))) > 1 {
		return Redundant
	}
	return Irrelevant
}

func (w *weighing) premature() bool {
	best := w.turn.Next
	if best == nil || w.turn.Groups == 1 || w.proposed() {
		return false
	}
	b, err := w.m.Weigh(best.Check)
	if err != nil || w.bits >= PrematureBelow*b.Bits(w.turn.Left) {
		return false
	}
	more, nothing := false, false
	for _, part := range b.Parts(w.turn.Left) {
		more = more || w.worth.Bits(part) > w.bits+1e-9
		nothing = nothing || len(w.worth.Parts(part)) < 2
	}
	return more && nothing
}

// ComplaintNote marks the readings that were known before the first check.
const ComplaintNote = log.ComplaintNote

// Complaint is the head of a log: what was known before the first check.
func Complaint(history log.Log) log.Log {
	n := 0
	for n < len(history.Entries) && history.Entries[n].Note == ComplaintNote {
		n++
	}
	return log.Log{Entries: history.Entries[:n]}
}
