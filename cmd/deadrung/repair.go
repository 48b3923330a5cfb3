package main

import (
	"fmt"
	"strings"

	"deadrung/diagnose"
)

// conclude gives the verdict, waits for the repair, and has the operation worked to
// prove it. It returns once the repair is proved or the log has changed.
func (d *dialogue) conclude() error {
	d.verdict()
	d.lockOutToRepair()
	for length := len(d.log.Entries); length == len(d.log.Entries) && !d.finished; {
		q := question{
			text: "Put right?",
			choices: []choice{
				{word: "verdict", also: []string{"again", "show"}, text: "show the verdict again"},
				{word: "repaired", also: []string{"done", "yes", "put right"}, text: "it is put right: prove it by working the operation"},
				otherChoice, possibleChoice, backChoice, stopChoice,
			},
			help: "Put the fault right with the power locked off, then take \"repaired\". The log keeps the verdict: you can stop here and go on later.",
		}
		if d.doubts() {
			q.choices = append(q.choices, dropChoice)
		}
		i, err := d.ask.choose(q)
		if err != nil {
			return err
		}
		switch word := q.choices[i].word; word {
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
	d.out.blank()
	t := &d.turn
	if t.Status == diagnose.GroupLeft {
		for _, line := range d.speak.groupLeft(t, d.cannots()) {
			d.out.para("", line)
		}
	}
	for _, l := range d.speak.verdict(t) {
		d.out.point(l)
	}
	if proof := proofWords(t); proof != "" {
		d.out.point(point{"Proof", proof})
	}
	for i, text := range d.speak.repair(t) {
		d.out.point(point{[]string{"Repair", ""}[min(i, 1)], text})
	}
	d.out.blank()
}

// proofWords tells whether a verdict is proved.
func proofWords(t *diagnose.Turn) string {
	switch {
	case t.Status != diagnose.Found:
		return ""
	case t.Proved:
		return "A further reading has borne it out."
	case t.Next == nil:
		return "No further check can prove it: inspect the part itself before it is replaced."
	}
	return "Not proved yet: prove it before anything is replaced."
}

// lockOutToRepair has the power locked off for the repair, unless it is.
func (d *dialogue) lockOutToRepair() {
	if !d.stand.locked {
		d.out.notice(strings.Replace(lockOut, "before this check", "before the repair", 1))
		d.stand = standing{step: -1, locked: true, held: -1}
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
	d.out.blank()
	d.out.notice(strings.Replace(backToPower, "before this check", "to prove the repair", 1))
	d.stand = asFound
	d.proving = make([]outcome, len(d.speak.circuit.Steps))
	d.out.para("", "PROOF OF OPERATION. Work every step; each must do what it says.")
	d.out.hang("  ", d.speak.fromRest())
	for i := range d.speak.circuit.Steps {
		q := question{
			text: "Worked right?",
			choices: []choice{
				{word: "again", also: []string{"show"}, text: "show the step again"},
				{word: "right", also: []string{"yes", "y", "ok"}, text: "worked right"},
				{word: "wrong", also: []string{"no", "n"}, text: "did not work right"},
				stopChoice,
			},
			help: "Work the step, wait as long as it says, and look at everything that is named.",
		}
		d.step(i)
		for d.proving[i] == notWorked {
			k, err := d.ask.choose(q)
			if err != nil {
				return err
			}
			switch q.choices[k].word {
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
		d.stand = standing{step: i, held: -1}
		if d.proving[i] == workedWrong {
			return d.notRight(i)
		}
	}
	d.finished = true
	d.out.blank()
	d.out.para("", "REPAIR PROVED: the whole operation worked right.")
	d.out.para("", "Covers back, tools and leads out, tags off, and tell the people who run it.")
	return nil
}

// step tells what to do in a step, and what must come of it.
func (d *dialogue) step(i int) {
	d.out.blank()
	d.out.hang("  Step ", d.speak.stepLine(i))
	d.out.point(point{"Must be", d.speak.mustBe(i)})
}

// notRight takes what was wrong into the log: the search goes on.
func (d *dialogue) notRight(step int) error {
	d.out.para("", "Not right yet: the log goes on.")
	wrong, err := d.wrongIn(step, repairedNote)
	if err != nil {
		return err
	}
	if wrong {
		d.out.para("", "Readings from before the repair no longer count: the search begins anew with what is wrong now.")
	}
	return nil
}

// mustBe lists what a good circuit does at the end of a step.
func (s *speaker) mustBe(step int) string {
	var on, off []string
	for _, v := range s.m.Panel().Visible() {
		r, err := s.m.Usual(diagnose.Check{Look: v.Name, Step: s.circuit.Steps[step].Name})
		switch {
		case err != nil || !r.Firm:
		case r.On:
			on = append(on, v.Name)
		default:
			off = append(off, v.Name)
		}
	}
	var parts []string
	if len(on) > 0 {
		parts = append(parts, "on: "+strings.Join(on, ", "))
	}
	if len(off) > 0 {
		parts = append(parts, "off: "+strings.Join(off, ", "))
	}
	return fmt.Sprintf("%s.", strings.Join(parts, "; "))
}
