package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/training"
)

// move has a step chosen and works the circuit to its end, or holds the operators as in
// it.
func (t *trainee) move(kind diagnose.ActKind) error {
	step, err := t.pickStep(kind, t.rest)
	if err != nil || step < 0 {
		return err
	}
	from := standing{step: t.s.Stand().Step, held: -1}
	var lines []string
	if kind == diagnose.HoldAct {
		lines = t.speak.holding(step, standing{step: -1, locked: true, held: t.s.Stand().Step})
	} else {
		lines = t.speak.working(step, from)
	}
	if err := t.act(diagnose.Act{Kind: kind, Step: t.speak.circuit.Steps[step].Name}, ""); err != nil {
		return err
	}
	for _, l := range lines {
		t.out.hang("  ", l)
	}
	return nil
}

// pickStep has a step chosen: "next", its number or its name; -1 if the person returns.
func (t *trainee) pickStep(kind diagnose.ActKind, typed string) (int, error) {
	steps := t.speak.circuit.Steps
	next := t.s.Stand().Step + 1
	if i, ok := stepTyped(steps, typed, next); ok {
		return i, nil
	}
	if typed != "" {
		t.out.parf("  ", "There is no step %q; the steps go from 1 to %d.", shortened(typed), len(steps))
	}
	q := question{text: "To the end of which step?", choices: []choice{returnChoice},
		help: "Steps are worked in order. To an earlier one the circuit starts from rest again. Holding a step once more leaves all as it is."}
	if kind == diagnose.HoldAct {
		q.text = "Operators held as in which step?"
	}
	if next < len(steps) {
		q.choices = append(q.choices, choice{word: "next", text: "the next: " + t.speak.stepLine(next)})
	}
	first := len(q.choices)
	for i, st := range steps {
		q.choices = append(q.choices, choice{also: []string{st.Name}, text: t.speak.stepLine(i)})
	}
	i, err := t.ask.choose(q)
	switch {
	case err != nil || i == 0:
		return -1, err
	case i < first:
		return next, nil
	}
	return i - first, nil
}

// stepTyped reads a step as it is typed behind a word.
func stepTyped(steps []circuits.Step, typed string, next int) (int, bool) {
	if typed == "" {
		return 0, false
	}
	if n, err := strconv.Atoi(typed); err == nil {
		return n - 1, n >= 1 && n <= len(steps)
	}
	if fold(typed) == "next" {
		return next, next < len(steps)
	}
	i := slices.IndexFunc(steps, func(s circuits.Step) bool { return fold(s.Name) == fold(typed) })
	return i, i >= 0
}

// testMeter tests the meter on a known live source.
func (t *trainee) testMeter() error {
	return t.act(diagnose.Act{Kind: diagnose.TestMeterAct}, "On a known live source the meter shows the volts that are there: it works.")
}

// proveDead tests the circuit for voltage.
func (t *trainee) proveDead() error {
	return t.act(diagnose.Act{Kind: diagnose.ProveDeadAct}, "Phase to phase and each to ground: 0.0 V.")
}

// restore brings the power back.
func (t *trainee) restore() error {
	t.out.notice(strings.Replace(backToPower, " before this check", "", 1))
	return t.act(diagnose.Act{Kind: diagnose.RestoreAct}, "Power is on, and nothing has been worked since.")
}

// prove works the whole operation, each step judged by the person.
func (t *trainee) prove() error {
	right := true
	meter := t.m.Meter(t.s.Now())
	t.out.para("", "PROOF OF OPERATION. Every step is worked; say whether it works right.")
	t.out.hang("  ", t.speak.fromRest())
	for i, st := range t.speak.circuit.Steps {
		if err := t.act(diagnose.Act{Kind: diagnose.WorkAct, Step: st.Name}, ""); err != nil {
			return err
		}
		t.out.hang("  Step ", t.speak.stepLine(i))
		t.out.point(point{"Seen", t.seen(meter, i)})
		q := question{text: "Worked right?", choices: []choice{
			{word: "must", text: "what must be on and off?"},
			{word: "right", also: []string{"yes", "y"}, text: "worked right"},
			{word: "wrong", also: []string{"no", "n"}, text: "did not work right"}},
			help: "Hold what is seen against what a good circuit does in this step."}
		for answered := false; !answered; {
			k, err := t.ask.choose(q)
			if err != nil {
				return err
			}
			switch q.choices[k].word {
			case "must":
				t.out.point(point{"Must be", t.speak.mustBe(i)})
			case "wrong":
				right = false
				answered = true
			default:
				answered = true
			}
		}
		if !right {
			break
		}
	}
	if err := t.act(diagnose.Act{Kind: diagnose.ProveAct, Right: &right}, ""); err != nil {
		return err
	}
	switch {
	case !right:
		t.out.para("", "Not right: the search goes on.")
	case t.s.Ended() == training.NotEnded:
		t.out.para("", "Nothing is seen to be wrong, and nothing has been put right yet: the search goes on.")
	}
	return nil
}

// seen lists what is on and off at the end of a step.
func (t *trainee) seen(meter *diagnose.Meter, step int) string {
	var on, off, odd []string
	for _, d := range t.m.Panel().Visible() {
		r, err := meter.Read(diagnose.Check{Look: d.Name, Step: t.speak.circuit.Steps[step].Name})
		switch {
		case err != nil:
		case !r.Firm:
			odd = append(odd, d.Name)
		case r.On:
			on = append(on, d.Name)
		default:
			off = append(off, d.Name)
		}
	}
	var parts []string
	for _, p := range []struct {
		what  string
		names []string
	}{{"on", on}, {"off", off}, {"chatters or glimmers", odd}} {
		if len(p.names) > 0 {
			parts = append(parts, p.what+": "+strings.Join(p.names, ", "))
		}
	}
	return strings.Join(parts, "; ") + "."
}

// hint gives a hint of the strength that is asked for.
func (t *trainee) hint() error {
	strength, err := strconv.Atoi(t.rest)
	if err != nil || strength < 1 || strength > 3 {
		q := question{text: "How strong?", choices: []choice{returnChoice,
			{text: fmt.Sprintf("the region (%s)", span(training.HintMinutes[0]))},
			{text: fmt.Sprintf("the device and the step (%s)", span(training.HintMinutes[1]))},
			{text: fmt.Sprintf("the exact check (%s)", span(training.HintMinutes[2]))}},
			help: "A hint is towards the best check as the readings stand. It costs minutes, and it is counted."}
		if strength, err = t.ask.choose(q); err != nil || strength == 0 {
			return err
		}
	}
	if err := t.act(diagnose.Act{Kind: diagnose.HintAct, Strength: strength}, ""); err != nil {
		return err
	}
	t.out.hang("  Hint: ", t.hintWords(training.HintFor(t.m, t.s.Log(), strength, t.by)))
	return nil
}

// hintWords say a hint.
func (t *trainee) hintWords(h training.Hint) string {
	power := map[diagnose.Kind]string{diagnose.Look: "a look", diagnose.Volts: "volts, live", diagnose.Ohms: "ohms, power locked off"}[h.Kind]
	switch {
	case h.Done:
		return "no check tells more. Name the fault, put it right and prove the operation."
	case h.Strength == 1:
		return fmt.Sprintf("%s, %s.", power, h.Place)
	case h.Strength == 2:
		return fmt.Sprintf("%s, at %s %s, in \"%s\".", power, called(t.speak.circuit.Device(h.Device)), h.Place, h.Step)
	}
	return t.speak.condensed(h.Check) + "."
}

// lastWorth tells what the last check was worth.
func (t *trainee) lastWorth() error {
	log := t.s.Log()
	i := len(log.Entries) - 1
	if i < len(training.Complaint(log).Entries) {
		t.out.para("  ", "Coach: no check has been made yet.")
		return nil
	}
	j, err := training.Judge(t.m, log, i, t.by)
	if err != nil {
		return err
	}
	t.out.hang("  Coach: ", t.worth(&j))
	return nil
}

// worth says what a check was worth, and what the best would have been.
func (t *trainee) worth(j *training.Judged) string {
	var text string
	switch {
	case j.Proof:
		text = "a proof of what is left."
	case j.Before.Groups == 1:
		text = "one group was left already."
	default:
		text = fmt.Sprintf("%.2f bits expected, %.2f told.", j.Bits, j.Told)
	}
	if w := wasteWords[j.Waste]; w != "" {
		text += " " + w
	}
	if j.Best != nil && j.Before.Groups > 1 {
		if j.Best.Check.String() == j.Check.String() {
			text += " It was the best check."
		} else {
			best := "Best"
			if t.by == diagnose.ByMinutes && j.Bits > j.Most+0.005 {
				best = "Best for its minutes" // it tells less, and sooner
			}
			text += fmt.Sprintf(" %s: %s (%.2f bits, %s).", best, t.speak.condensed(j.Best.Check), j.Most, span(j.Best.Minutes))
		}
	}
	return text + fmt.Sprintf(" Still possible: %s.", doubtWords(j.After))
}

// wasteWords tell a wasted check to the person who made it.
var wasteWords = map[training.Waste]string{
	training.Premature:  "PREMATURE: the best check first; its answer decides whether this one is worth making.",
	training.Redundant:  "REDUNDANT: the readings so far had told its answer already.",
	training.Irrelevant: "IRRELEVANT: nothing that the complaint left in doubt shows there.",
}

// doubtWords tell what is not known.
func doubtWords(d training.Doubt) string {
	return fmt.Sprintf("%s in %s, %.1f bits", count(d.Faults, "fault"), count(d.Groups, "group"), d.Bits)
}

// giveUp ends the practice without a repair.
func (t *trainee) giveUp() error {
	q := question{text: "Give up? The fault is shown, and the practice is over.", choices: []choice{returnChoice, {word: "yes", also: []string{"give up"}, text: "give up"}},
		help: "A hint may help on. Stopping with a log keeps the fault hidden."}
	i, err := t.ask.choose(q)
	if err != nil || i == 0 {
		return err
	}
	return t.act(diagnose.Act{Kind: diagnose.StopAct}, "")
}
