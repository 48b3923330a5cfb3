package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
)

// candidate is the dialogue of one candidate at one panel.
type candidate struct {
	ctx     context.Context
	m       *diagnose.Model
	speak   *speaker
	ask     asker
	out     *page
	now     func() time.Time
	sitting *exam.Sitting
	begun   time.Time
	spent   time.Duration // in the sessions before
	limit   float64       // minutes; 0 for none
	bench   bool
}

// panel gives what answers the checks of a fault.
func (w *candidate) panel(p *exam.Packet, i int) (exam.Panel, error) {
	switch t := p.Tasks[i]; p.Form {
	case exam.Simulated:
		return exam.OpenReadings(w.m, t.Table, t.Key)
	case exam.Bench:
		return trainer{w}, nil
	}
	return nil, usagef("this exam is answered by the instructor's machine: deadrung exam ask")
}

// trainer is a real panel: the candidate measures on it and enters the reading.
type trainer struct{ w *candidate }

// errReturned is a check that was not made after all.
var errReturned = errors.New("no answer was entered")

// Show asks for the reading of a check.
func (t trainer) Show(c diagnose.Check, _, _ int) (exam.Shown, error) {
	r, err := t.w.entered(c)
	return exam.Shown{Reading: r}, err
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
			return r, nil
		}
		w.out.para("  ", sentence(err.Error()))
	}
}

// work asks what to do next until a fault is named. It ends with nil, errStopped,
// errInterrupted, io.EOF or the failure of the log.
func (w *candidate) work(resumed bool) error {
	if resumed {
		w.out.para("", "You go on where you stopped.")
		w.show()
	}
	for named(w.sitting.Log()) == "" {
		if err := w.next(); err != nil {
			return err
		}
	}
	return nil
}

// Choices of a candidate.
var (
	doneChoice    = choice{word: "done", also: []string{"show", "list"}, text: "what I have done so far"}
	lookChoice    = choice{word: "look", text: "look at something"}
	voltsChoice   = choice{word: "volts", text: "measure volts"}
	ohmsChoice    = choice{word: "ohms", text: "measure ohms"}
	workChoice    = choice{word: "work", text: "work the circuit to a step"}
	holdChoice    = choice{word: "hold", text: "hold the operators as in a step"}
	offChoice     = choice{word: "switch off", text: "switch the power off"}
	lockChoice    = choice{word: "lock", also: []string{"lock out"}, text: "lock out: switch off, lock and tag every source"}
	tryChoice     = choice{word: "try", text: "try the start button"}
	meterChoice   = choice{word: "meter", also: []string{"test the meter"}, text: "test the meter on a known live source"}
	deadChoice    = choice{word: "dead", also: []string{"prove dead"}, text: "test the circuit for voltage, phase to phase and each to ground"}
	restoreChoice = choice{word: "restore", also: []string{"power on"}, text: "bring the power back: leads off, wires landed, people clear, locks off"}
	nameChoice    = choice{word: "name", also: []string{"name the fault", "state"}, text: "name the fault: this ends the work on it"}
)

// next asks once.
func (w *candidate) next() error {
	w.out.blank()
	q := question{text: w.where() + " What do you do?", choices: []choice{doneChoice, lookChoice, voltsChoice, ohmsChoice},
		help: "Work as at a real panel. A look and volts need the power on, ohms need it locked off and proved dead. Every line is kept; nothing can be taken back. \"stop\" leaves; the same command goes on later."}
	if w.sitting.Stand().Off {
		q.choices = append(q.choices, holdChoice)
		if !w.sitting.Locked() {
			q.choices = append(q.choices, lockChoice)
		}
		q.choices = append(q.choices, tryChoice, meterChoice, deadChoice, restoreChoice)
	} else {
		q.choices = append(q.choices, workChoice, lockChoice, offChoice, meterChoice)
	}
	q.choices = append(q.choices, nameChoice, stopChoice)
	i, err := w.ask.choose(q)
	if err != nil {
		return err
	}
	switch q.choices[i].word {
	case "done":
		w.show()
	case "look":
		return w.check(diagnose.Look)
	case "volts":
		return w.check(diagnose.Volts)
	case "ohms":
		return w.check(diagnose.Ohms)
	case "work", "hold":
		_, err := w.bring()
		return err
	case "switch off":
		if w.bench {
			w.out.notice(lockOut)
		}
		return w.do(diagnose.Act{Kind: diagnose.SwitchOffAct}, "The power is off, and not locked.")
	case "lock":
		if w.bench {
			w.out.notice(lockOut)
		}
		return w.do(diagnose.Act{Kind: diagnose.LockOutAct}, "Switched off, locked and tagged.")
	case "try":
		return w.do(diagnose.Act{Kind: diagnose.TryAct}, "The start button tried.")
	case "meter":
		return w.do(diagnose.Act{Kind: diagnose.TestMeterAct}, "The meter tested on a known live source.")
	case "dead":
		return w.do(diagnose.Act{Kind: diagnose.ProveDeadAct}, "The circuit tested for voltage.")
	case "restore":
		if w.bench {
			w.out.notice(trainerPower)
		}
		return w.do(diagnose.Act{Kind: diagnose.RestoreAct}, "The power is back; the circuit is as it was found.")
	case "name":
		return w.name()
	case "stop":
		return errStopped
	}
	return nil
}

// where tells where the panel stands, and how much time there is.
func (w *candidate) where() string {
	step := w.sitting.StepName()
	var text string
	switch off := w.sitting.Stand().Off; {
	case off && w.sitting.Locked():
		text = "Power locked off"
	case off:
		text = "Power off"
	default:
		text = "Power on"
	}
	switch {
	case step != "" && w.sitting.Stand().Off:
		text += fmt.Sprintf(", operators held as in %q", step)
	case step != "":
		text += fmt.Sprintf(", at the end of step %q", step)
	case !w.sitting.Stand().Off:
		text += ", not worked yet"
	}
	if w.limit > 0 {
		spent := (w.spent + w.now().Sub(w.begun)).Minutes()
		text += fmt.Sprintf(", %.0f of %g min", spent, w.limit)
		if spent > w.limit {
			text += ", LATE"
		}
	}
	return text + "."
}

// do does an act and says so.
func (w *candidate) do(a diagnose.Act, done string) error {
	a.At = w.at()
	_, err := w.sitting.Do(a)
	if errors.Is(err, exam.ErrRefused) {
		w.out.para("  ", sentence(strings.TrimPrefix(err.Error(), exam.ErrRefused.Error()+": ")))
		return nil
	}
	if err == nil && done != "" {
		w.out.para("  ", done)
	}
	return err
}

func (w *candidate) at() string { return w.now().Format(time.RFC3339) }

// bring asks for a step and works the circuit to it, or holds the operators as in it.
// False if the candidate returns.
func (w *candidate) bring() (bool, error) {
	kind, act := diagnose.Look, diagnose.WorkAct
	if w.sitting.Stand().Off {
		kind, act = diagnose.Ohms, diagnose.HoldAct
	}
	step, err := w.talk().ownStep(kind)
	if err != nil || step == "" {
		return false, err
	}
	if act == diagnose.WorkAct {
		w.tellSteps(step)
	}
	return true, w.do(diagnose.Act{Kind: act, Step: step}, "")
}

// tellSteps tells what is moved on the way to a step, where a real panel is worked.
func (w *candidate) tellSteps(to string) {
	c := w.speak.circuit
	from := w.sitting.Stand().Step + 1
	last := c.Step(to)
	if last < from && last < w.sitting.Stand().Step {
		w.out.para("  ", "Bring the circuit back to where its operation begins, then:")
		from = 0
	}
	for i := from; i <= last; i++ {
		w.out.hang("  - ", w.speak.stepLine(i))
	}
}

// talk is the part of the guided dialogue that asks for a check.
func (w *candidate) talk() *dialogue {
	return &dialogue{m: w.m, speak: w.speak, ask: w.ask, out: w.out}
}

// check asks for a check, makes it and shows the reading.
func (w *candidate) check(kind diagnose.Kind) error {
	if w.sitting.StepName() == "" && (kind == diagnose.Ohms) == w.sitting.Stand().Off {
		if ok, err := w.bring(); err != nil || !ok {
			return err
		}
	}
	step := w.sitting.StepName()
	if step == "" {
		step = w.speak.circuit.Steps[0].Name
	}
	p, err := w.talk().ownCheck(kind, step)
	if err != nil || p == nil {
		return err
	}
	shown, _, err := w.sitting.Check(p.Check, w.at())
	switch {
	case errors.Is(err, errReturned):
		return nil
	case errors.Is(err, exam.ErrRefused):
		w.out.para("  ", sentence("not done: "+strings.TrimPrefix(err.Error(), exam.ErrRefused.Error()+": ")))
		return nil
	case errors.Is(err, exam.ErrNoAnswer):
		w.out.para("  ", sentence(err.Error()))
		return nil
	case err != nil:
		return err
	}
	w.out.parf("  ", "%s: %s", w.speak.condensed(p.Check), w.reads(p.Check, shown))
	return nil
}

// reads tells what is shown at a check.
func (w *candidate) reads(c diagnose.Check, shown exam.Shown) string {
	text := w.speak.answer(c, &shown.Reading)
	switch {
	case shown.Wanders && c.Kind() == diagnose.Look:
		text += ", and it flickers"
	case shown.Wanders:
		text += ", and the figures wander"
	}
	return text + "."
}

// show tells what was done so far.
func (w *candidate) show() {
	log := w.sitting.Log()
	if len(log.Entries)+len(log.Acts) == 0 {
		w.out.para("  ", "Nothing yet.")
		return
	}
	for i := 0; i <= len(log.Entries); i++ {
		for _, a := range log.ActsBefore(i) {
			w.out.hang("  - ", actWords(a))
		}
		if i < len(log.Entries) {
			e := log.Entries[i]
			w.out.hang("  - ", fmt.Sprintf("%s: %s", w.speak.condensed(e.Check), w.speak.answer(e.Check, e.Answer)))
		}
	}
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

// mostNamed is how many faults are offered at a time.
const mostNamed = 30

// name has the fault named, and ends the work on it.
func (w *candidate) name() error {
	for {
		typed, i, err := w.ask.line(question{
			text: "What is wrong? Type where it is or what it is: a device, a terminal, a wire number, as CR1, wire 7, horn.", typed: "type a device, a terminal or a wire",
			choices: []choice{returnChoice}, help: "The faults that have all the words that you type are then listed, and you choose one."})
		if err != nil || i >= 0 {
			return err
		}
		found := w.matchingFaults(typed)
		switch {
		case len(found) == 0:
			w.out.parf("  ", "No fault of this circuit has %q in its words.", shortened(typed))
			continue
		case len(found) > mostNamed:
			w.out.parf("  ", "%d faults have that in their words: type one more word.", len(found))
			continue
		}
		q := question{text: "Which of them? It ends the work on this fault, and cannot be taken back.", choices: []choice{returnChoice}, help: "Nothing is named yet until you choose one."}
		for _, f := range found {
			q.choices = append(q.choices, choice{also: []string{string(w.m.Faults()[f].ID)}, text: w.m.Faults()[f].Text})
		}
		if i, err = w.ask.choose(q); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		f := w.m.Faults()[found[i-1]]
		return w.do(diagnose.Act{Kind: diagnose.StateAct, Fault: f.ID}, "You have named: "+f.Text+".")
	}
}

// matchingFaults are those that have all of the typed words in theirs.
func (w *candidate) matchingFaults(typed string) []int {
	split := func(s string) []string {
		return strings.FieldsFunc(fold(s), func(r rune) bool { return r == ' ' || r == ',' || r == ':' || r == '-' || r == '.' })
	}
	asked := split(typed)
	var found []int
	for i, f := range w.m.Faults() {
		if strings.EqualFold(string(f.ID), typed) {
			return []int{i}
		}
		d := w.deviceWords(f.Devices)
		own := split(f.Text + " " + d)
		all := len(asked) > 0
		for _, word := range asked {
			all = all && slices.ContainsFunc(own, func(o string) bool { return o == word || len(word) > 3 && strings.HasPrefix(o, word) })
		}
		if all {
			found = append(found, i)
		}
	}
	return found
}

// deviceWords are what devices are called.
func (w *candidate) deviceWords(names []string) string {
	var words []string
	for _, n := range names {
		if d := w.speak.circuit.Device(n); d != nil && len(names) == 1 {
			words = append(words, d.Called())
		}
	}
	return strings.Join(words, " ")
}
