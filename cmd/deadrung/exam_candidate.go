package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
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
	r := &remote{address: server, public: p.Server, chain: p.Chain, sitting: exam.SittingID(p.Exam, p.Candidate.Number, i+1), file: log}
	if err := r.connect(); err != nil {
		return nil, err
	}
	if r.back > 0 {
		w.out.parf("", "%s of your answer log %s missing here and came back from the instructor's machine.", count(r.back, "line"), verb(r.back, "was", "were"))
	}
	return r, nil
}

// sent says once that the instructor's machine could not be reached.
func (w *candidate) sent(err error) {
	if err != nil && !w.unsent {
		w.out.parf("  ", "Your answers could not be sent: %v. They are kept here and sent when it answers again.", err)
	}
	w.unsent = err != nil
}

// trainer is a real panel: the candidate measures on it and enters the reading.
type trainer struct{ w *candidate }

// errReturned is a check that was not made after all.
var errReturned = errors.New("no answer was entered")

// Show asks for the reading of a check.
func (t trainer) Show(c diagnose.Check, _, _ int) (training.Shown, error) {
	r, err := t.w.entered(c)
	return training.Shown{Reading: r}, err
}

// entered asks what the candidate sees or reads.
func (w *candidate) entered(c diagnose.Check) (diagnose.Reading, error) {
	if c.Kind() == diagnose.Look {
		d := w.speak.circuit.Device(c.Look)
		i, err := w.ask.choose(question{text: fmt.Sprintf("%s: %s", d.Name, isOn(d)), help: "What you see on the trainer now.", choices: []choice{
			returnChoice,
			{word: "on", also: []string{"yes", "y", showing(d, true)}, text: fmt.Sprintf("%s is on (%s)", d.Name, showing(d, true))},
			{word: "off", also: []string{"no", "n", showing(d, false)}, text: fmt.Sprintf("%s is off (%s)", d.Name, showing(d, false))}}})
		if err == nil && i == 0 {
			err = errReturned
		}
		return diagnose.Reading{Kind: diagnose.Look, On: i == 1, Firm: true}, err
	}
	q := question{text: "The reading in volts, as 118.9 V.", typed: "type the reading in volts", choices: []choice{returnChoice}, help: "What the meter on the trainer shows now."}
	if c.Kind() == diagnose.Ohms {
		q.text, q.typed = "The reading in ohms, as 2410, 2.4 k or OL.", "type the reading in ohms"
		if len(c.Lifted) > 0 {
			q.text = fmt.Sprintf("Lift every wire off %s; the lead goes on the terminal. ", joined(c.Lifted, " and ")) + q.text
		}
	}
	for {
		typed, i, err := w.ask.line(q)
		if err != nil {
			return diagnose.Reading{}, err
		}
		if i >= 0 {
			return diagnose.Reading{}, errReturned
		}
		r, err := parseReading(c.Kind(), typed)
		if err == nil {
			if len(c.Lifted) > 0 {
				w.out.parf("  ", "Land every wire on %s again, tight.", joined(c.Lifted, " and "))
			}
			return r, nil
		}
		w.out.para("  ", sentence(err.Error()))
	}
}

// work goes from one act to the next until a fault is named. It ends with nil,
// errStopped, errInterrupted, io.EOF or the failure of the log.
func (w *candidate) work(resumed bool) error {
	w.out.para("", "The operation, each step from where the one before left the circuit:")
	for i := range w.speak.circuit.Steps {
		w.out.hang("  ", w.speak.stepLine(i))
	}
	if resumed {
		w.out.para("", "You go on where you stopped. So far:")
		if err := w.done(); err != nil {
			return err
		}
	}
	for namedIn(w.s.Log()) == "" {
		q, offers := w.next()
		i, err := w.ask.choose(q)
		if err != nil {
			return err
		}
		err = offers[i].do()
		switch {
		case errors.Is(err, errReturned):
		case errors.Is(err, training.ErrRefused):
			w.out.para("  ", sentence(strings.TrimPrefix(err.Error(), training.ErrRefused.Error()+": ")))
		case errors.Is(err, exam.ErrNoAnswer), errors.Is(err, errRemote):
			w.out.para("  ", sentence(err.Error()))
		case err != nil:
			return err
		}
	}
	return nil
}

// next is the question what to do, as the panel stands.
func (w *candidate) next() (question, []offer) {
	act := func(kind diagnose.ActKind, say string) func() error {
		return func() error { return w.act(diagnose.Act{Kind: kind}, say) }
	}
	// At a bench the lock-out and the way back are told in full, whatever it costs in marks.
	told := func(notice string, do func() error) func() error {
		return func() error {
			if w.bench {
				w.out.notice(notice)
			}
			return do()
		}
	}
	offers := []offer{
		{choice{word: "done", also: []string{"show", "so far"}, text: "what I have done so far"}, w.done},
		{choice{word: "look", text: "look at something", about: &w.rest}, func() error { return w.check(diagnose.Look) }},
		{choice{word: "volts", text: "measure volts", about: &w.rest}, func() error { return w.check(diagnose.Volts) }},
		{choice{word: "ohms", text: "measure ohms", about: &w.rest}, func() error { return w.check(diagnose.Ohms) }},
	}
	lock := offer{choice{word: "lock", also: []string{"lock out"}, text: "lock out: switch off, lock and tag every source"},
		told(lockOut, act(diagnose.LockOutAct, "Switched off, locked and tagged."))}
	meter := offer{choice{word: "meter", also: []string{"test the meter"}, text: "test the meter on a known live source"}, act(diagnose.TestMeterAct, "The meter tested.")}
	if w.s.Stand().Off {
		offers = append(offers, offer{choice{word: "hold", text: "hold the operators as in a step", about: &w.rest}, func() error { return w.move(diagnose.HoldAct) }})
		if !w.s.Locked() {
			offers = append(offers, lock)
		}
		offers = append(offers,
			offer{choice{word: "try", text: "try the start button"}, act(diagnose.TryAct, "The start button tried.")}, meter,
			offer{choice{word: "dead", also: []string{"prove dead"}, text: "test the circuit for voltage, phase to phase and each to ground"}, act(diagnose.ProveDeadAct, "The circuit tested for voltage.")},
			offer{choice{word: "restore", also: []string{"power on"}, text: "bring the power back: leads off, wires landed, people clear, locks off"},
				told(trainerPower, act(diagnose.RestoreAct, "The power is back, and nothing has been worked since."))})
	} else {
		offers = append(offers,
			offer{choice{word: "work", text: "work the circuit to a step", about: &w.rest}, func() error { return w.move(diagnose.WorkAct) }},
			lock,
			offer{choice{word: "switch off", also: []string{"off"}, text: "switch the power off, nothing more"}, told(lockOut, act(diagnose.SwitchOffAct, "Switched off, and not locked."))},
			meter)
	}
	offers = append(offers,
		offer{choice{word: "wires", also: []string{"drawing"}, text: "show the wire list"}, w.wires},
		offer{choice{word: "name", also: []string{"name the fault", "state"}, text: "name the fault: this ends the work on it", about: &w.rest}, w.nameFault},
		offer{choice{word: stopChoice.word, also: stopChoice.also, text: stopChoice.text}, func() error { return errStopped }})
	w.rest = ""
	q := question{text: "What do you do? " + w.standing() + w.clock(), help: "Type a word or its number; more may follow: \"work 3\", \"look H1\", \"volts T1:X1 T1:X2\", " +
		"\"ohms CR1:A1 CR1:A2 lifted CR1:A1\", \"hold 2\". A look and volts need the power on; before ohms: lock out, try the start button, test the meter, test for voltage, test the meter again. " +
		"Every line is kept, and nothing can be taken back. \"stop\" leaves; the same command goes on later."}
	for _, o := range offers {
		q.choices = append(q.choices, o.choice)
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
		w.out.para("  ", "Nothing yet.")
	}
	for i := 0; i <= len(log.Entries); i++ {
		for _, a := range log.ActsBefore(i) {
			w.out.hang("  - ", actWords(a))
		}
		if i < len(log.Entries) {
			w.out.hang("  - ", w.speak.entry(log.Entries[i]))
		}
	}
	return nil
}

// actWords tell an act in a list.
func actWords(a diagnose.Act) string {
	words := map[diagnose.ActKind]string{
		diagnose.LockOutAct: "locked out", diagnose.SwitchOffAct: "switched off", diagnose.TryAct: "start button tried",
		diagnose.TestMeterAct: "meter tested on a live source", diagnose.ProveDeadAct: "circuit tested for voltage", diagnose.RestoreAct: "power back on",
		diagnose.AttemptAct: "ohms on a live circuit: not done", diagnose.StateAct: "named: " + string(a.Fault),
		diagnose.WorkAct: fmt.Sprintf("worked to %q", a.Step), diagnose.HoldAct: fmt.Sprintf("operators held as in %q", a.Step),
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
	i, err := w.ask.choose(question{text: fmt.Sprintf("Name it: %s? This ends the work on it, and cannot be taken back.", fault.Text),
		choices: []choice{returnChoice, {word: "yes", also: []string{"y"}, text: "yes, that is the fault"}}, help: "Nothing is named until you say yes."})
	if err != nil || i == 0 {
		return err
	}
	return w.act(diagnose.Act{Kind: diagnose.StateAct, Fault: fault.ID}, fmt.Sprintf("Noted: you say that %s.", fault.Text))
}
