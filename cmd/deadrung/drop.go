package main

import (
	"io"
	"slices"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

var dropChoice = talk.Choice{Word: "drop", Also: []string{"drop a reading", "leave out"}, Text: "drop a doubtful reading"}

// drop has one of the doubtful readings dropped: those that contradict each other, that
// what is left disagrees with, or that changed when they were made again.
func (d *dialogue) drop() error {
	q := talk.Question{
		Text:    "Which reading is dropped?",
		Choices: []talk.Choice{returnChoice},
		Help:    "A reading that is dropped counts no more. Drop the one that may have been misread, or measure it again instead.",
	}
	var doubted []int
	name := talk.ByCheck(d.log)
	add := func(i int, more string) {
		if slices.Contains(doubted, i) {
			return
		}
		doubted = append(doubted, i)
		text := name(i, d.log.Entries[i].Line) + ": " + d.speak.Entry(d.log.Entries[i])
		if more != "" {
			text += "; " + more
		}
		q.Choices = append(q.Choices, talk.Choice{Text: text})
	}
	for _, c := range d.turn.Conflicts {
		add(c.Index, d.speak.Dropping(c))
	}
	for _, c := range d.turn.Contradicting {
		add(c.Indices[0], "")
		add(c.Indices[1], "")
	}
	for _, c := range d.turn.Intermittent {
		for _, i := range c.Indices {
			add(i, "")
		}
	}
	i, err := d.ask.Choose(q)
	if err != nil || i == 0 {
		return err
	}
	return d.leaveOut(doubted[i-1])
}

// leaveOut takes one answer out of the log. A log is only ever added to, so what came
// after the answer is taken back with it and then written again, all in one piece.
func (d *dialogue) leaveOut(at int) error {
	dropped, kept := d.log.Entries[at], slices.Delete(slices.Clone(d.log.Entries), at, at+1)
	if dropped.Repaired && at < len(kept) {
		kept[at].Repaired = true // what was before it is still from before the repair
	}
	if d.file != nil {
		err := d.file.append(func(w io.Writer) error {
			for range len(d.log.Entries) - at {
				if err := log.WriteUndo(w); err != nil {
					return err
				}
			}
			for _, e := range kept[at:] {
				if err := e.AppendTo(w); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	d.log.Entries = kept
	d.out.Parf("  ", "Dropped: %s.", d.speak.Entry(dropped))
	d.retake(false)
	return nil
}

// doubts tells whether there is a reading to drop.
func (d *dialogue) doubts() bool {
	return len(d.turn.Conflicts) > 0 && !talk.Sound(&d.turn) || len(d.turn.Intermittent) > 0
}

// tellChanged says so where the last reading is not what the same check gave before.
func (d *dialogue) tellChanged() {
	last := len(d.log.Entries) - 1
	for i, c := range d.turn.Intermittent {
		if slices.Contains(c.Indices, last) {
			d.out.Para("  ", d.speak.Changed(&d.turn, talk.ByCheck(d.log))[i])
		}
	}
}
