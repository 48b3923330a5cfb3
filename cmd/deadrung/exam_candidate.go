package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/exam/room"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// candidate is a trainee at an exam: nobody helps, nothing is repaired, and naming the
// fault ends the work.
type candidate struct {
	trainee
	begun time.Time
	spent time.Duration // in the sessions before
	limit float64       // minutes; 0 for none
	bench bool

	unsent bool // the last line could not be sent to the instructor's machine
}

// panel gives what answers the checks of a fault; log is the file of its answer log.
func (w *candidate) panel(p *exam.Packet, i int, server, log string) (training.Panel, error) {
	switch t := p.Tasks[i]; p.Form {
	case exam.Simulated:
		return exam.OpenReadings(w.m, t.Table, t.Key)
	case exam.Bench:
		return trainer{w}, nil
	}
	r := remoteOf(server, p, i, log)
	if err := r.Connect(); err != nil {
		return nil, err
	}
	if back := r.CameBack(); back > 0 {
		w.out.Parf("", "%s of your answer log %s missing here and came back from the instructor's machine.", talk.Count(back, "line"), talk.Verb(back, "was", "were"))
	}
	return r, nil
}

// sent says once that the instructor's machine could not be reached.
func (w *candidate) sent(err error) {
	if err != nil && !w.unsent {
		w.out.Parf("  ", "Your answers could not be sent: %v. They are kept here and sent when it answers again.", err)
	}
	w.unsent = err != nil
}

// trainer is a real panel: the candidate measures on it and enters the reading.
type trainer struct{ w *candidate }

// errReturned is a check that was not made after all.
var errReturned = errors.New("no answer was entered")

// Show asks for the reading of a check.
func (t trainer) Show(c log.Check, _, _ int) (training.Shown, error) {
	r, err := t.w.entered(c)
	return training.Shown{Reading: r}, err
}

// entered asks what the candidate sees or reads.
func (w *candidate) entered(c log.Check) (log.Reading, error) {
	if c.Kind() == log.Look {
		d := w.speak.Circuit.Device(c.Look)
		i, err := w.ask.Choose(talk.Question{Text: fmt.Sprintf("%s: %s", d.Name, talk.IsOn(d)), Help: "What you see on the trainer now.", Choices: []talk.Choice{
			returnChoice,
			{Word: "on", Also: []string{"yes", "y", talk.Showing(d, true)}, Text: fmt.Sprintf("%s is on (%s)", d.Name, talk.Showing(d, true))},
			{Word: "off", Also: []string{"no", "n", talk.Showing(d, false)}, Text: fmt.Sprintf("%s is off (%s)", d.Name, talk.Showing(d, false))}}})
		if err == nil && i == 0 {
			err = errReturned
		}
		return log.Reading{Kind: log.Look, On: i == 1, Firm: true}, err
	}
	q := talk.Question{Text: "The reading in volts, as 118.9 V.", Typed: "type the reading in volts", Choices: []talk.Choice{returnChoice}, Help: "What the meter on the trainer shows now."}
	if c.Kind() == log.Ohms {
		q.Text, q.Typed = "The reading in ohms, as 2410, 2.4 k or OL.", "type the reading in ohms"
		if len(c.Lifted) > 0 {
			q.Text = fmt.Sprintf("Lift every wire off %s; the lead goes on the terminal. ", talk.Joined(c.Lifted, " and ")) + q.Text
		}
	}
	for {
		typed, i, err := w.ask.Line(q)
		if err != nil {
			return log.Reading{}, err
		}
		if i >= 0 {
			return log.Reading{}, errReturned
		}
		r, err := talk.ParseReading(c.Kind(), typed)
		if err == nil {
			if len(c.Lifted) > 0 {
				w.out.Parf("  ", "Land every wire on %s again, tight.", talk.Joined(c.Lifted, " and "))
			}
			return r, nil
		}
		w.out.Para("  ", talk.Sentence(err.Error()))
	}
}

// work goes from one act to the next until a fault is named. It ends with nil,
// errStopped, errInterrupted, io.EOF or the failure of the log.
func (w *candidate) work(resumed bool) error {
	w.out.Para("", "The operation, each step from where the one before left the circuit:")
	for i := range w.speak.Circuit.Steps {
		w.out.Hang("  ", w.speak.StepLine(i))
	}
	if resumed {
		w.out.Para("", "You go on where you stopped. So far:")
		if err := w.done(); err != nil {
			return err
		}
	}
	for namedIn(w.s.Log()) == "" {
		q, offers := w.next()
		i, err := w.ask.Choose(q)
		if err != nil {
			return err
		}
		err = offers[i].do()
		switch {
		case errors.Is(err, errReturned):
		case errors.Is(err, training.ErrRefused):
			w.out.Para("  ", talk.Sentence(strings.TrimPrefix(err.Error(), training.ErrRefused.Error()+": ")))
		case errors.Is(err, exam.ErrNoAnswer), errors.Is(err, room.ErrAway):
			w.out.Para("  ", talk.Sentence(err.Error()))
		case err != nil:
			return err
		}
	}
	return nil
}

// next is the question what to do, as the panel stands.
func (w *candidate) next() (talk.Question, []offer) {
	act := func(kind log.ActKind, say string) func() error {
		return func() error { return w.act(log.Act{Kind: kind}, say) }
	}
	// At a bench the lock-out and the way back are told in full, whatever it costs in marks.
	told := func(notice talk.Notice, do func() error) func() error {
		return func() error {
			if w.bench {
				w.out.Notice(notice)
			}
			return do()
		}
	}
	offers := []offer{
		{talk.Choice{Word: "done", Also: []string{"show", "so far"}, Text: "what I have done so far"}, w.done},
		{talk.Choice{Word: "look", Text: "look at something", About: &w.rest}, func() error { return w.check(log.Look) }},
		{talk.Choice{Word: "volts", Text: "measure volts", About: &w.rest}, func() error { return w.check(log.Volts) }},
		{talk.Choice{Word: "ohms", Text: "measure ohms", About: &w.rest}, func() error { return w.check(log.Ohms) }},
	}
	lock := offer{talk.Choice{Word: "lock", Also: []string{"lock out"}, Text: "lock out: switch off, lock and tag every source"},
		told(talk.LockOut(talk.BeforeCheck), act(log.LockOutAct, "Switched off, locked and tagged."))}
	meter := offer{talk.Choice{Word: "meter", Also: []string{"test the meter"}, Text: "test the meter on a known live source"}, act(log.TestMeterAct, "The meter tested.")}
	if w.s.Stand().Off {
		offers = append(offers, offer{talk.Choice{Word: "hold", Text: "hold the operators as in a step", About: &w.rest}, func() error { return w.move(log.HoldAct) }})
		if !w.s.Locked() {
			offers = append(offers, lock)
		}
		offers = append(offers,
			offer{talk.Choice{Word: "try", Text: "try the start button"}, act(log.TryAct, "The start button tried.")}, meter,
			offer{talk.Choice{Word: "dead", Also: []string{"prove dead"}, Text: "test the circuit for voltage, phase to phase and each to ground"}, act(log.ProveDeadAct, "The circuit tested for voltage.")},
			offer{talk.Choice{Word: "restore", Also: []string{"power on"}, Text: "bring the power back: leads off, wires landed, people clear, locks off"},
				told(talk.BackToPowerAtOnce(), act(log.RestoreAct, "The power is back, and nothing has been worked since."))})
	} else {
		offers = append(offers,
			offer{talk.Choice{Word: "work", Text: "work the circuit to a step", About: &w.rest}, func() error { return w.move(log.WorkAct) }},
			lock,
			offer{talk.Choice{Word: "switch off", Also: []string{"off"}, Text: "switch the power off, nothing more"}, told(talk.LockOut(talk.BeforeCheck), act(log.SwitchOffAct, "Switched off, and not locked."))},
			meter)
	}
	offers = append(offers,
		offer{talk.Choice{Word: "wires", Also: []string{"drawing"}, Text: "show the wire list"}, w.wires},
		offer{talk.Choice{Word: "name", Also: []string{"name the fault", "state"}, Text: "name the fault: this ends the work on it", About: &w.rest}, w.nameFault},
		offer{talk.Choice{Word: stopChoice.Word, Also: stopChoice.Also, Text: stopChoice.Text}, func() error { return errStopped }})
	w.rest = ""
	q := talk.Question{Text: "What do you do? " + w.standing() + w.clock(), Help: "Type a word or its number; more may follow: \"work 3\", \"look H1\", \"volts T1:X1 T1:X2\", " +
		"\"ohms CR1:A1 CR1:A2 lifted CR1:A1\", \"hold 2\". A look and volts need the power on; before ohms: lock out, try the start button, test the meter, test for voltage, test the meter again. " +
		"Every line is kept, and nothing can be taken back. \"stop\" leaves; the same command goes on later."}
	for _, o := range offers {
		q.Choices = append(q.Choices, o.Choice)
	}
	return q, offers
}

// clock tells how much time there was and is.
func (w *candidate) clock() string {
	if w.limit == 0 {
		return ""
	}
	spent := (w.spent + w.now().Sub(w.begun)).Minutes()
	late := ""
	if spent > w.limit {
		late = ", LATE"
	}
	return fmt.Sprintf(" (%.0f of %g min%s)", spent, w.limit, late)
}

// done tells what was done so far.
func (w *candidate) done() error {
	log := w.s.Log()
	if len(log.Entries)+len(log.Acts) == 0 {
		w.out.Para("  ", "Nothing yet.")
	}
	for i := 0; i <= len(log.Entries); i++ {
		for _, a := range log.ActsBefore(i) {
			w.out.Hang("  - ", actWords(a))
		}
		if i < len(log.Entries) {
			w.out.Hang("  - ", w.speak.Entry(log.Entries[i]))
		}
	}
	return nil
}

// actWords tell an act in a list.
func actWords(a log.Act) string {
	words := map[log.ActKind]string{
		log.LockOutAct: "locked out", log.SwitchOffAct: "switched off", log.TryAct: "start button tried",
		log.TestMeterAct: "meter tested on a live source", log.ProveDeadAct: "circuit tested for voltage", log.RestoreAct: "power back on",
		log.AttemptAct: "ohms on a live circuit: not done", log.StateAct: "named: " + string(a.Fault),
		log.WorkAct: fmt.Sprintf("worked to %q", a.Step), log.HoldAct: fmt.Sprintf("operators held as in %q", a.Step),
	}
	if text, ok := words[a.Kind]; ok {
		return text
	}
	return string(a.Kind)
}

// nameFault has the fault named, which ends the work on it.
func (w *candidate) nameFault() error {
	f, err := w.pickFault("What is the fault?", w.rest)
	if err != nil || f < 0 {
		return err
	}
	fault := w.m.Faults()[f]
	i, err := w.ask.Choose(talk.Question{Text: fmt.Sprintf("Name it: %s? This ends the work on it, and cannot be taken back.", fault.Text),
		Choices: []talk.Choice{returnChoice, {Word: "yes", Also: []string{"y"}, Text: "yes, that is the fault"}}, Help: "Nothing is named until you say yes."})
	if err != nil || i == 0 {
		return err
	}
	return w.act(log.Act{Kind: log.StateAct, Fault: fault.ID}, fmt.Sprintf("Noted: you say that %s.", fault.Text))
}
