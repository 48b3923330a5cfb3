package main

import (
	"fmt"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// complaint asks what is known to be wrong before the first check.
func (d *dialogue) complaint() error {
	d.out.Para("", "What is already known to be wrong? Name the step in which it shows. None is needed.")
	for {
		q := talk.Question{
			Text:    "In which step does it go wrong?",
			Choices: []talk.Choice{{Word: "none", Also: []string{"start", "nothing", "done"}, Text: "nothing more to tell: start the checks"}},
			Help: "Name a step of the operation and then what was wrong at the end of it, as often as you like. " +
				"Nothing known? Take the first answer, and the checks begin.",
		}
		for _, st := range d.speak.Circuit.Steps {
			q.Choices = append(q.Choices, talk.Choice{Also: []string{st.Name}, Text: st.Name})
		}
		i, err := d.ask.Choose(q)
		if err != nil || i == 0 {
			return err
		}
		if _, err := d.wrongIn(i-1, talk.ComplaintNote); err != nil {
			return err
		}
	}
}

// wrongIn asks what was wrong at the end of a step and logs it. It reports whether
// anything was.
func (d *dialogue) wrongIn(step int, note string) (bool, error) {
	name := d.speak.Circuit.Steps[step].Name
	q := talk.Question{
		Text:    fmt.Sprintf("What was wrong at the end of \"%s\"?", name),
		Choices: []talk.Choice{{Word: "return", Text: "nothing in this step"}},
		Help:    "Take what was seen, heard or felt, and was not as it should be.",
	}
	var looks []log.Check
	var saw []bool
	for _, v := range d.m.Panel().Visible() {
		c := log.Check{Look: v.Name, Step: name}
		good, err := d.m.Usual(c)
		if err != nil || !good.Firm {
			continue
		}
		looks, saw = append(looks, c), append(saw, !good.On)
		q.Choices = append(q.Choices, talk.Choice{Also: []string{v.Name},
			Text: fmt.Sprintf("%s was %s (should be %s)", talk.Called(v), talk.Showing(v, !good.On), talk.Showing(v, good.On))})
	}
	i, err := d.ask.Choose(q)
	if err != nil || i == 0 {
		return false, err
	}
	return true, d.enter(looks[i-1], &log.Reading{Kind: log.Look, On: saw[i-1], Firm: true}, note)
}

// resumed tells what a log says that is gone on with.
func (d *dialogue) resumed() {
	d.out.Parf("", "Going on with %s: %s.", d.file.name, talk.Count(len(d.log.Entries), "answer"))
	numbers := talk.CheckNumbers(d.log.Entries)
	for i, t := range d.speak.Tallies(d.log) {
		d.out.Hang(talk.NumberMark(numbers[i]), d.speak.Entry(t.Entry)+"; "+d.speak.RuledOut(t, 0)+".")
	}
	d.out.Blank()
	for _, e := range d.log.Entries {
		if e.Answer != nil {
			d.wasOff = e.Check.Kind() == log.Ohms
		}
	}
}
