package main

import (
	"fmt"

	"deadrung/diagnose"
	"deadrung/diagnose/training"
)

// complaintNote marks the readings that were known before the first check.
const complaintNote = training.ComplaintNote

// repairedNote marks the first reading after a repair.
const repairedNote = "after the repair"

// complaint asks what is known to be wrong before the first check.
func (d *dialogue) complaint() error {
	d.out.para("", "What is already known to be wrong? Name the step in which it shows. None is needed.")
	for {
		q := question{
			text:    "In which step does it go wrong?",
			choices: []choice{{word: "none", also: []string{"start", "nothing", "done"}, text: "nothing more to tell: start the checks"}},
			help: "Name a step of the operation and then what was wrong at the end of it, as often as you like. " +
				"Nothing known? Take the first answer, and the checks begin.",
		}
		for _, st := range d.speak.circuit.Steps {
			q.choices = append(q.choices, choice{also: []string{st.Name}, text: st.Name})
		}
		i, err := d.ask.choose(q)
		if err != nil || i == 0 {
			return err
		}
		if _, err := d.wrongIn(i-1, complaintNote); err != nil {
			return err
		}
	}
}

// wrongIn asks what was wrong at the end of a step and logs it. It reports whether
// anything was.
func (d *dialogue) wrongIn(step int, note string) (bool, error) {
	name := d.speak.circuit.Steps[step].Name
	q := question{
		text:    fmt.Sprintf("What was wrong at the end of \"%s\"?", name),
		choices: []choice{{word: "return", text: "nothing in this step"}},
		help:    "Take what was seen, heard or felt, and was not as it should be.",
	}
	var looks []diagnose.Check
	var saw []bool
	for _, v := range d.m.Panel().Visible() {
		c := diagnose.Check{Look: v.Name, Step: name}
		good, err := d.m.Usual(c)
		if err != nil || !good.Firm {
			continue
		}
		looks, saw = append(looks, c), append(saw, !good.On)
		q.choices = append(q.choices, choice{also: []string{v.Name},
			text: fmt.Sprintf("%s was %s (should be %s)", called(v), showing(v, !good.On), showing(v, good.On))})
	}
	i, err := d.ask.choose(q)
	if err != nil || i == 0 {
		return false, err
	}
	return true, d.enter(looks[i-1], &diagnose.Reading{Kind: diagnose.Look, On: saw[i-1], Firm: true}, note)
}

// resumed tells what a log says that is gone on with.
func (d *dialogue) resumed() {
	d.out.parf("", "Going on with %s: %s.", d.file.name, count(len(d.log.Entries), "answer"))
	numbers := checkNumbers(d.log.Entries)
	for i, t := range d.speak.tallies(d.log) {
		d.out.hang(numberMark(numbers[i]), d.speak.entry(t.entry)+"; "+d.speak.ruledOut(t, 0)+".")
	}
	d.out.blank()
	for _, e := range d.log.Entries {
		if e.Answer != nil {
			d.wasOff = e.Check.Kind() == diagnose.Ohms
		}
	}
}
