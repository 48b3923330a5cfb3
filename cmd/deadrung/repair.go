package main

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// conclude gives the verdict, waits for the repair, and has the operation worked to
// prove it. It returns once the repair is proved or the log has changed.
func (d *dialogue) conclude() error {
	d.verdict()
	d.lockOutToRepair()
	for length := len(d.log.Entries); length == len(d.log.Entries) && !d.finished; {
		q := talk.Question{
			Text: "Put right?",
			Choices: []talk.Choice{
				{Word: "verdict", Also: []string{"again", "show"}, Text: "show the verdict again"},
				{Word: "repaired", Also: []string{"done", "yes", "put right"}, Text: "it is put right: prove it by working the operation"},
				otherChoice, possibleChoice, backChoice, stopChoice,
			},
			Help: "Put the fault right with the power locked off, then take \"repaired\". The log keeps the verdict: you can stop here and go on later.",
		}
		if d.doubts() {
			q.Choices = append(q.Choices, dropChoice)
		}
		i, err := d.ask.Choose(q)
		if err != nil {
			return err
		}
		switch word := q.Choices[i].Word; word {
		case "verdict":
			d.verdict()
		case "repaired":
			if err := d.operation(); err != nil {
				return err
			}
		case "other":
			if err := d.pickAndCheck(d.other); err != nil {
				return err
			}
		default:
			if err := d.common(word); err != nil {
				return err
			}
		}
	}
	return nil
}

// verdict says what was found, where it sits and how it is put right.
func (d *dialogue) verdict() {
	d.out.Blank()
	t := &d.turn
	if t.Status == diagnose.GroupLeft {
		for _, line := range d.speak.GroupLeft(t, d.cannots()) {
			d.out.Para("", line)
		}
	}
	for _, l := range d.speak.Verdict(t) {
		d.out.Point(l)
	}
	if proof := talk.ProofWords(t); proof != "" {
		d.out.Point(talk.Point{Label: "Proof", Text: proof})
	}
	for i, text := range d.speak.Repair(t) {
		d.out.Point(talk.Point{Label: []string{"Repair", ""}[min(i, 1)], Text: text})
	}
	d.out.Blank()
}

// lockOutToRepair has the power locked off for the repair, unless it is.
func (d *dialogue) lockOutToRepair() {
	if !d.stand.Locked {
		d.out.Notice(talk.LockOut(talk.BeforeRepair))
		d.stand = talk.Standing{Step: -1, Locked: true, Held: -1}
	}
}

// cannots counts the checks that were out of reach.
func (d *dialogue) cannots() int {
	n := 0
	for _, e := range d.log.Entries {
		if e.Answer == nil {
			n++
		}
	}
	return n
}

// operation has the whole operation worked after the repair, step by step. Where a
// step does not work right, what was wrong goes into the log, and the search with it.
func (d *dialogue) operation() error {
	d.out.Blank()
	d.out.Notice(talk.BackToPower(talk.ToProve))
	d.stand = talk.AsFound
	d.proving = make([]outcome, len(d.speak.Circuit.Steps))
	d.out.Para("", "PROOF OF OPERATION. Work every step; each must do what it says.")
	d.out.Hang("  ", d.speak.FromRest())
	for i := range d.speak.Circuit.Steps {
		q := talk.Question{
			Text: "Worked right?",
			Choices: []talk.Choice{
				{Word: "again", Also: []string{"show"}, Text: "show the step again"},
				{Word: "right", Also: []string{"yes", "y", "ok"}, Text: "worked right"},
				{Word: "wrong", Also: []string{"no", "n"}, Text: "did not work right"},
				stopChoice,
			},
			Help: "Work the step, wait as long as it says, and look at everything that is named.",
		}
		d.step(i)
		for d.proving[i] == notWorked {
			k, err := d.ask.Choose(q)
			if err != nil {
				return err
			}
			switch q.Choices[k].Word {
			case "again":
				d.step(i)
			case "right":
				d.proving[i] = workedRight
			case "wrong":
				d.proving[i] = workedWrong
			case "stop":
				return errStopped
			}
		}
		d.stand = talk.Standing{Step: i, Held: -1}
		if d.proving[i] == workedWrong {
			return d.notRight(i)
		}
	}
	d.finished = true
	d.out.Blank()
	d.out.Para("", "REPAIR PROVED: the whole operation worked right.")
	d.out.Para("", "Covers back, tools and leads out, tags off, and tell the people who run it.")
	return nil
}

// step tells what to do in a step, and what must come of it.
func (d *dialogue) step(i int) {
	d.out.Blank()
	d.out.Hang("  Step ", d.speak.StepLine(i))
	d.out.Point(talk.Point{Label: "Must be", Text: d.speak.MustBe(i)})
}

// notRight takes what was wrong into the log: the search goes on.
func (d *dialogue) notRight(step int) error {
	d.out.Para("", "Not right yet: the log goes on.")
	wrong, err := d.wrongIn(step, talk.RepairedNote)
	if err != nil {
		return err
	}
	if wrong {
		d.out.Para("", "Readings from before the repair no longer count: the search begins anew with what is wrong now.")
	}
	return nil
}
