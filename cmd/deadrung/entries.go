package main

import (
	"time"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// enter logs an answer, nil for a check that cannot be made, and works out the turn
// after it.
func (d *dialogue) enter(c log.Check, r *log.Reading, note string) error {
	e, err := d.m.Book().NewEntry(c, r)
	if err != nil {
		return err
	}
	e.Note, e.At, e.Repaired = note, d.now().Format(time.RFC3339), note == talk.RepairedNote
	if d.file != nil {
		if err := d.file.append(e.AppendTo); err != nil {
			return err
		}
	}
	d.log.Entries = append(d.log.Entries, e)
	if r == nil {
		d.out.Para("  ", "Noted: it cannot be made here. It and its equals are not proposed again.")
	}
	d.retake(r != nil)
	return nil
}

// undo takes the last answer back.
func (d *dialogue) undo() error {
	n := len(d.log.Entries)
	if n == 0 {
		d.out.Para("  ", "There is nothing to take back.")
		return nil
	}
	if d.file != nil {
		if err := d.file.append(log.WriteUndo); err != nil {
			return err
		}
	}
	d.out.Parf("  ", "Taken back: %s.", d.speak.Entry(d.log.Entries[n-1]))
	d.log.Entries = d.log.Entries[:n-1]
	d.retake(false)
	return nil
}

// retake works out the turn after a change of the log, and says what the change did.
// Read tells whether the change was a new reading.
func (d *dialogue) retake(read bool) {
	before := d.turn
	d.further = false
	d.think()
	if before.Status == "" {
		return // during the complaint
	}
	gone := len(before.Left) - len(d.turn.Left)
	switch {
	case read && talk.Sound(&d.turn):
		d.out.Para("  ", d.speak.SoundAfter(&before, &d.turn, d.log))
	case read && d.turn.Wrong > before.Wrong:
		d.out.Para("  ", "No fault that fits the other readings gives this one. If a lead may have slipped, take the answer back and measure again.")
	case read && gone > 0:
		d.out.Parf("  ", "That rules out %s. Still possible: %s.", talk.Count(gone, "fault"), talk.Remaining(&d.turn))
	case gone != 0 || d.turn.Wrong != before.Wrong:
		d.out.Parf("  ", "Still possible now: %s.", talk.Remaining(&d.turn))
	case read && before.Status != diagnose.Found:
		d.out.Parf("  ", "That rules out nothing new. Still possible: %s.", talk.Remaining(&d.turn))
	}
}
