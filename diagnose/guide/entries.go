package guide

import (
	"io"
	"slices"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// enter takes an answer into the log, nil for a check that cannot be made.
func (w *taking) enter(c log.Check, r *log.Reading, note string) error {
	e, err := w.m.Book().NewEntry(c, r)
	if err != nil {
		return err
	}
	e.Note, e.At, e.Repaired = note, w.at, note == RepairedNote
	if err := w.keep(e.AppendTo); err != nil {
		return err
	}
	w.log.Entries = append(w.log.Entries, e)
	if r == nil {
		w.tell(Event{Kind: CannotBeMade})
	}
	w.retake(r != nil)
	return nil
}

// foundByEye takes down what was seen, and goes on with what it makes likely. Where nothing
// can be wrong it is refused.
func (w *taking) foundByEye(a Answer) error {
	seen, err := w.m.Book().NewSeen(a.Where, a.Text)
	if err != nil {
		w.tell(Event{Kind: Refused, Text: err.Error()})
		return nil
	}
	seen.At, seen.Before = w.at, len(w.log.Entries)
	if err := w.keep(seen.AppendTo); err != nil {
		return err
	}
	w.log.Seen = append(slices.Clip(w.log.Seen), seen)
	w.tell(Event{Kind: SeenNoted, Found: &seen})
	w.retake(true)
	w.settle()
	return nil
}

// undo takes the last answer back.
func (w *taking) undo() error {
	n := len(w.log.Entries)
	if w.log.LastIsSeen() {
		if err := w.keep(log.WriteUndo); err != nil {
			return err
		}
		last := len(w.log.Seen) - 1
		w.tell(Event{Kind: TakenBack, Found: &w.log.Seen[last]})
		w.log.Seen = slices.Clip(w.log.Seen[:last])
		w.retake(false)
		w.settle()
		return nil
	}
	if n == 0 {
		w.tell(Event{Kind: NothingToTake})
		if w.state.At == Idle {
			w.tellIdle()
		}
		return nil
	}
	if err := w.keep(log.WriteUndo); err != nil {
		return err
	}
	w.tell(Event{Kind: TakenBack, Entry: &w.log.Entries[n-1]})
	w.log.Entries = slices.Clip(w.log.Entries[:n-1])
	w.retake(false)
	w.settle()
	return nil
}

// leaveOut takes one answer out of the log. A log is only ever added to, so what came
// after the answer is taken back with it and then written again, all in one piece.
func (w *taking) leaveOut(at int) error {
	entries := w.log.Entries
	dropped, kept := entries[at], slices.Delete(slices.Clone(entries), at, at+1)
	if dropped.Repaired && at < len(kept) {
		kept[at].Repaired = true // what was before it is still from before the repair
	}
	now := log.Log{Entries: kept, Acts: w.log.Acts, Seen: slices.Clone(w.log.Seen)}
	after := 0 // of what was seen, that which goes back with the entries
	for i := range now.Seen {
		if now.Seen[i].Before > at {
			now.Seen[i].Before--
			after++
		}
	}
	again := now.Seen[len(now.Seen)-after:]
	err := w.keep(func(out io.Writer) error {
		for range len(entries) - at + after {
			if err := log.WriteUndo(out); err != nil {
				return err
			}
		}
		for i := at; i <= len(kept); i++ {
			for _, s := range again {
				if s.Before == i {
					if err := s.AppendTo(out); err != nil {
						return err
					}
				}
			}
			if i < len(kept) {
				if err := kept[i].AppendTo(out); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	w.log.Entries, w.log.Seen = kept, now.Seen
	w.tell(Event{Kind: Dropped, Entry: &dropped})
	w.retake(false)
	w.settle()
	return nil
}

// retake works out the turn after a change of the log, and tells what the change did.
// Read is set where the change was a new reading. Before the first check nothing is told.
func (w *taking) retake(read bool) {
	before := w.turn
	w.state.Further, w.turn = false, nil
	if before == nil {
		return
	}
	now := w.Turn()
	gone := len(before.Left) - len(now.Left)
	switch {
	case read && Sound(now):
		w.tell(Event{Kind: LooksSound, First: !Sound(before)})
	case read && now.Wrong > before.Wrong:
		w.tell(Event{Kind: SpeaksAlone})
	case read && gone > 0:
		w.tell(Event{Kind: RulesOut, Count: gone})
	case gone != 0 || now.Wrong != before.Wrong:
		w.tell(Event{Kind: PossibleNow})
	case read && before.Status != diagnose.Found:
		w.tell(Event{Kind: RulesOutNone})
	}
}

// odd tells whether no listed fault fits the readings.
func odd(t *diagnose.Turn) bool {
	return t.Status == diagnose.Contradiction || t.Status == diagnose.Unlisted
}

// SecondLook tells whether a turn looks again at what one reading alone ruled out: every
// reading fits a good circuit, and no fault is left but such as no check shows. Then
// either the faults that are ranked first disagree with a reading, or all are one group.
func SecondLook(t *diagnose.Turn) bool {
	return t.Status == diagnose.Continue && !t.Thin && (t.Wrong > 0 || t.Groups == 1)
}

// Sound tells whether every reading of a turn fits a good circuit and only a wrong one
// could hide a fault that a check shows.
func Sound(t *diagnose.Turn) bool { return t.Status == diagnose.Healthy || SecondLook(t) }

// Doubts tells whether a turn leaves a reading in doubt, so that it may be dropped.
func Doubts(t *diagnose.Turn) bool {
	return len(t.Conflicts) > 0 && !Sound(t) || len(t.Intermittent) > 0
}

// Doubted are the readings that a turn leaves in doubt, by their indices in the log: those
// that what is left disagrees with, that contradict each other, or that changed when they
// were made again.
func Doubted(t *diagnose.Turn) []int {
	var doubted []int
	add := func(indices ...int) {
		for _, i := range indices {
			if !slices.Contains(doubted, i) {
				doubted = append(doubted, i)
			}
		}
	}
	for _, c := range t.Conflicts {
		add(c.Index)
	}
	for _, c := range t.Contradicting {
		add(c.Indices[:]...)
	}
	for _, c := range t.Intermittent {
		add(c.Indices...)
	}
	return doubted
}
