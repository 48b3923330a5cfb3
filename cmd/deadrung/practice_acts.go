package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// move has a step chosen and works the circuit to its end, or holds the operators as in
// it.
func (t *trainee) move(kind log.ActKind) error {
	step, err := t.pickStep(kind, t.rest)
	if err != nil || step < 0 {
		return err
	}
	from := talk.Standing{Step: t.s.Stand().Step, Held: -1}
	var lines []talk.Point
	if kind == log.HoldAct {
		lines = t.speak.Holding(step, talk.Standing{Step: -1, Locked: true, Held: t.s.Stand().Step})
	} else {
		lines = t.speak.Working(step, from)
	}
	if err := t.act(log.Act{Kind: kind, Step: t.speak.Circuit.Steps[step].Name}, ""); err != nil {
		return err
	}
	for _, l := range lines {
		t.out.Hang("  ", l.Line())
	}
	return nil
}

// pickStep has a step chosen: "next", its number or its name; -1 if the person returns.
func (t *trainee) pickStep(kind log.ActKind, typed string) (int, error) {
	steps := t.speak.Circuit.Steps
	next := t.s.Stand().Step + 1
	if i, ok := stepTyped(steps, typed, next); ok {
		return i, nil
	}
	if typed != "" {
		t.out.Parf("  ", "There is no step %q; the steps go from 1 to %d.", talk.Shortened(typed), len(steps))
	}
	q := talk.Question{Text: "To the end of which step?", Choices: []talk.Choice{returnChoice},
		Help: "Steps are worked in order. To an earlier one the circuit starts from rest again. Holding a step once more leaves all as it is."}
	if kind == log.HoldAct {
		q.Text = "Operators held as in which step?"
	}
	if next < len(steps) {
		q.Choices = append(q.Choices, talk.Choice{Word: "next", Text: "the next: " + t.speak.StepLine(next)})
	}
	first := len(q.Choices)
	for i, st := range steps {
		q.Choices = append(q.Choices, talk.Choice{Also: []string{st.Name}, Text: t.speak.StepLine(i)})
	}
	i, err := t.ask.Choose(q)
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
	if talk.Fold(typed) == "next" {
		return next, next < len(steps)
	}
	i := slices.IndexFunc(steps, func(s circuits.Step) bool { return talk.Fold(s.Name) == talk.Fold(typed) })
	return i, i >= 0
}

// testMeter tests the meter on a known live source.
func (t *trainee) testMeter() error {
	return t.act(log.Act{Kind: log.TestMeterAct}, "On a known live source the meter shows the volts that are there: it works.")
}

// proveDead tests the circuit for voltage.
func (t *trainee) proveDead() error {
	return t.act(log.Act{Kind: log.ProveDeadAct}, "Phase to phase and each to ground: 0.0 V.")
}

// restore brings the power back.
func (t *trainee) restore() error {
	t.out.Notice(talk.BackToPower(""))
	return t.act(log.Act{Kind: log.RestoreAct}, "Power is on, and nothing has been worked since.")
}

// prove works the whole operation, each step judged by the person.
func (t *trainee) prove() error {
	right := true
	meter := t.m.Meter(t.s.Now())
	t.out.Para("", "PROOF OF OPERATION. Every step is worked; say whether it works right.")
	t.out.Hang("  ", t.speak.FromRest())
	for i, st := range t.speak.Circuit.Steps {
		if err := t.act(log.Act{Kind: log.WorkAct, Step: st.Name}, ""); err != nil {
			return err
		}
		t.out.Hang("  Step ", t.speak.StepLine(i))
		t.out.Point(talk.Point{Label: "Seen", Text: t.seen(meter, i)})
		q := talk.Question{Text: "Worked right?", Choices: []talk.Choice{
			{Word: "must", Text: "what must be on and off?"},
			{Word: "right", Also: []string{"yes", "y"}, Text: "worked right"},
			{Word: "wrong", Also: []string{"no", "n"}, Text: "did not work right"}},
			Help: "Hold what is seen against what a good circuit does in this step."}
		for answered := false; !answered; {
			k, err := t.ask.Choose(q)
			if err != nil {
				return err
			}
			switch q.Choices[k].Word {
			case "must":
				t.out.Point(talk.Point{Label: "Must be", Text: t.speak.MustBe(i)})
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
	if err := t.act(log.Act{Kind: log.ProveAct, Right: &right}, ""); err != nil {
		return err
	}
	switch {
	case !right:
		t.out.Para("", "Not right: the search goes on.")
	case t.s.Ended() == training.NotEnded:
		t.out.Para("", "Nothing is seen to be wrong, and nothing has been put right yet: the search goes on.")
	}
	return nil
}

// seen lists what is on and off at the end of a step.
func (t *trainee) seen(meter *diagnose.Meter, step int) string {
	var on, off, odd []string
	for _, d := range t.m.Panel().Visible() {
		r, err := meter.Read(log.Check{Look: d.Name, Step: t.speak.Circuit.Steps[step].Name})
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
		q := talk.Question{Text: "How strong?", Choices: []talk.Choice{returnChoice,
			{Text: fmt.Sprintf("the region (%s)", talk.Span(training.HintMinutes[0]))},
			{Text: fmt.Sprintf("the device and the step (%s)", talk.Span(training.HintMinutes[1]))},
			{Text: fmt.Sprintf("the exact check (%s)", talk.Span(training.HintMinutes[2]))}},
			Help: "A hint is towards the best check as the readings stand. It costs minutes, and it is counted."}
		if strength, err = t.ask.Choose(q); err != nil || strength == 0 {
			return err
		}
	}
	if err := t.act(log.Act{Kind: log.HintAct, Strength: strength}, ""); err != nil {
		return err
	}
	t.out.Hang("  Hint: ", t.hintWords(training.HintFor(t.m, t.s.Log(), strength, t.by)))
	return nil
}

// hintWords say a hint.
func (t *trainee) hintWords(h training.Hint) string {
	power := map[log.Kind]string{log.Look: "a look", log.Volts: "volts, live", log.Ohms: "ohms, power locked off"}[h.Kind]
	switch {
	case h.Done:
		return "no check tells more. Name the fault, put it right and prove the operation."
	case h.Strength == 1:
		return fmt.Sprintf("%s, %s.", power, h.Place)
	case h.Strength == 2:
		return fmt.Sprintf("%s, at %s %s, in \"%s\".", power, talk.Called(t.speak.Circuit.Device(h.Device)), h.Place, h.Step)
	}
	return t.speak.Condensed(h.Check) + "."
}

// lastWorth tells what the last check was worth.
func (t *trainee) lastWorth() error {
	log := t.s.Log()
	i := len(log.Entries) - 1
	if i < len(training.Complaint(log).Entries) {
		t.out.Para("  ", "Coach: no check has been made yet.")
		return nil
	}
	j, err := training.Judge(t.m, log, i, t.by)
	if err != nil {
		return err
	}
	t.out.Hang("  Coach: ", t.worth(&j))
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
			text += fmt.Sprintf(" %s: %s (%.2f bits, %s).", best, t.speak.Condensed(j.Best.Check), j.Most, talk.Span(j.Best.Minutes))
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
	return fmt.Sprintf("%s in %s, %.1f bits", talk.Count(d.Faults, "fault"), talk.Count(d.Groups, "group"), d.Bits)
}

// giveUp ends the practice without a repair.
func (t *trainee) giveUp() error {
	q := talk.Question{Text: "Give up? The fault is shown, and the practice is over.", Choices: []talk.Choice{returnChoice, {Word: "yes", Also: []string{"give up"}, Text: "give up"}},
		Help: "A hint may help on. Stopping with a log keeps the fault hidden."}
	i, err := t.ask.Choose(q)
	if err != nil || i == 0 {
		return err
	}
	return t.act(log.Act{Kind: log.StopAct}, "")
}
