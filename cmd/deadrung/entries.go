package main

import (
	"fmt"
	"time"

	"deadrung/diagnose"
)

// enter logs an answer, nil for a check that cannot be made, and works out the turn
// after it.
func (d *dialogue) enter(c diagnose.Check, r *diagnose.Reading, note string) error {
	e, err := d.m.NewEntry(c, r)
	if err != nil {
		return err
	}
	e.Note, e.At = note, d.now().Format(time.RFC3339)
	if d.file != nil {
		if err := d.file.append(e.AppendTo); err != nil {
			return err
		}
	}
	d.log.Entries = append(d.log.Entries, e)
	if r == nil {
		d.out.para("  ", "Noted: it cannot be made here. It and its equals are not proposed again.")
	}
	d.retake(r != nil)
	return nil
}

// undo takes the last answer back.
func (d *dialogue) undo() error {
	n := len(d.log.Entries)
	if n == 0 {
		d.out.para("  ", "There is nothing to take back.")
		return nil
	}
	if d.file != nil {
		if err := d.file.append(diagnose.WriteUndo); err != nil {
			return err
		}
	}
	d.out.parf("  ", "Taken back: %s.", d.speak.entry(d.log.Entries[n-1]))
	d.log.Entries = d.log.Entries[:n-1]
	d.retake(false)
	return nil
}

// retake works out the turn after a change of the log, and says what the change did.
// Read tells whether the change was a new reading.
func (d *dialogue) retake(read bool) {
	before := d.turn
	d.turn = d.m.Turn(d.log, diagnose.Choosing{By: d.by})
	if before.Status == "" {
		return // during the complaint
	}
	switch gone := len(before.Left) - len(d.turn.Left); {
	case d.turn.Wrong > before.Wrong:
		d.out.para("  ", "No fault that fits the other readings gives this one. If a lead may have slipped, take it back (back) and measure again.")
	case gone > 0:
		d.out.parf("  ", "That rules out %s. Still possible: %s.", count(gone, "fault"), d.remaining())
	case gone < 0 || d.turn.Wrong < before.Wrong:
		d.out.parf("  ", "Still possible now: %s.", d.remaining())
	case read && before.Status != diagnose.Found:
		d.out.parf("  ", "That rules out nothing new. Still possible: %s.", d.remaining())
	}
}

func (d *dialogue) remaining() string {
	t := &d.turn
	text := count(len(t.Left), "fault")
	if groups := t.Groups; groups > 1 {
		text += fmt.Sprintf(" in %d groups", groups)
	}
	if t.GoodLeft {
		text += ", or none at all"
	}
	return text
}
