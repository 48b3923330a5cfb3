package dialogue

import (
	"fmt"
	"math"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// tellOfPanel tells what came of an act or a check at a panel with a hidden fault.
func (d *Dialogue) tellOfPanel(e guide.Event) {
	c := d.Speak.Circuit
	say := func(text string) { d.Out.Para("  ", text) }
	switch e.Kind {
	case guide.UnsafeActs: // named at once, whatever the coach does
		for _, u := range e.Unsafe {
			right, source := u.Kind.Right()
			d.Out.Hang("  ", fmt.Sprintf("UNSAFE: %s. %s (%s)", u.Kind.Text(), talk.Sentence(right), source))
		}
	case guide.Done:
		if text := d.doneWords(e); text != "" {
			say(text)
		}
	case guide.Worked:
		var lines []talk.Point
		if e.Held {
			lines = d.Speak.Holding(e.Step, e.From)
		} else {
			lines = d.Speak.Working(e.Step, e.From)
		}
		for _, l := range lines {
			d.Out.Hang("  ", l.Line())
		}
	case guide.MovedByHand:
		set := settingOf(c, e.Moves[0])
		say(fmt.Sprintf("Done: %s.", talk.Move(set.Device, set.Position)))
	case guide.StillToDo:
		var todo []string
		for _, m := range e.Moves {
			set := settingOf(c, m)
			todo = append(todo, talk.Move(set.Device, set.Position))
		}
		if e.Wait > 0 {
			todo = append(todo, fmt.Sprintf("wait %g s", e.Wait))
		}
		say(fmt.Sprintf("To reach %s, still to do: %s.", d.Speak.StepName(e.Step), strings.Join(todo, ", ")))
	case guide.OffCourse:
		say(fmt.Sprintf("The operation does not do that here, so nobody knows what a good circuit would "+
			"show. Next it has: %s", d.Speak.StepLine(e.Step)))
	case guide.AtItsEnd:
		say("The operation is at its end. To go on, work it from rest.")
	case guide.NotWorkedAt:
		say("Nothing has been worked yet, so no reading means anything: work the circuit to a step first.")
	case guide.Between:
		say("The circuit stands between two steps, where nobody knows what a good one shows: " +
			"go on to the end of the step first.")
	case guide.Stopped:
		say("The check is stopped before a lead touches. There is no reading.")
	case guide.Shown:
		d.Out.Hang("  ", fmt.Sprintf("%s: %s", d.Speak.Condensed(*e.Check), d.shown(*e.Check, *e.Shown)))
		if len(e.Terminals) > 0 {
			say(fmt.Sprintf("The wires on %s are landed again.", talk.Joined(e.Terminals, " and ")))
		}
	case guide.NoCheckYet:
		say("Coach: no check has been made yet.")
	case guide.Worth:
		d.Out.Hang("  Coach: ", d.toldBy(e))
	case guide.HintGiven:
		d.Out.Hang("  Hint: ", d.hintWords(*e.Hint))
	case guide.NoFaultAt:
		say(fmt.Sprintf("No fault is known at %q: it is no device, terminal, "+
			"wire number or ID of this circuit, or nothing can go wrong there.", talk.Shortened(e.Text)))
	case guide.FaultNamed:
		say(fmt.Sprintf("Noted: you say that %s.", d.Speak.Named([]faultmodel.ID{e.Fault})[0]))
		if e.Stands != nil {
			say(standsWords(e.Stands))
		}
		if d.Guide.Rules().Repairs {
			say("Now put it right and prove the operation.")
		}
	case guide.NotRight:
		text := "Not right: the search goes on."
		if d.Guide.Rules().Proposes {
			text = "Not right yet: the log goes on."
		}
		d.Out.Para("", text)
	case guide.SearchAnew:
		d.Out.Para("",
			"Readings from before the repair no longer count: the search begins anew with what is wrong now.")
	case guide.NothingRight:
		d.Out.Para("", "Nothing is seen to be wrong, and nothing has been put right yet: the search goes on.")
	case guide.Readings:
		d.readings()
	case guide.Wires:
		d.wires()
	case guide.DrawPanel:
		d.drawPanel()
	case guide.DoneSoFar:
		d.SoFar()
	}
}

// SimulatedPanel says where a practice is held, and how many faults the panel hides.
func SimulatedPanel(faults int) string {
	return fmt.Sprintf("SIMULATED PANEL: it hides %s. Nothing is live here; work as if it were.",
		talk.Verb(faults, "one fault", "two faults at once"))
}

// Reported tells what the people at the panel say is wrong.
func (d *Dialogue) Reported() {
	said := training.Complaint(d.Log()).Entries
	for _, e := range said {
		device := d.Speak.Circuit.Device(e.Check.Look)
		d.Out.Parf("", "REPORTED: %s is %s at the end of \"%s\" (should be %s). The circuit stands there.",
			talk.Called(device), talk.Showing(device, e.Answer.On), e.Check.Step, talk.Showing(device, !e.Answer.On))
	}
	if len(said) == 0 {
		d.Out.Para("", "REPORTED: nothing is seen to go wrong. Find out why the panel was taken out of use.")
	}
}

// doneWords say what came of an act: at a simulated panel what it did, in an exam that it
// was done.
func (d *Dialogue) doneWords(e guide.Event) string {
	practised := map[log.ActKind]string{
		log.LockOutAct:   "Switched off, locked, tagged. All relays are released; the operators stay as they were.",
		log.SwitchOffAct: "Switched off. All relays are released; the operators stay as they were.",
		log.TryAct:       "The start button is pressed: nothing moves.",
		log.TestMeterAct: "On a known live source the meter shows the volts that are there: it works.",
		log.ProveDeadAct: "Phase to phase and each to ground: 0.0 V.",
		log.RestoreAct:   "Power is on, and nothing has been worked since.",
	}
	examined := map[log.ActKind]string{
		log.LockOutAct:   "Switched off, locked and tagged.",
		log.SwitchOffAct: "Switched off, and not locked.",
		log.TryAct:       "The start button tried.",
		log.TestMeterAct: "The meter tested.",
		log.ProveDeadAct: "The circuit tested for voltage.",
		log.RestoreAct:   "The power is back, and nothing has been worked since.",
	}
	switch e.Act.Kind {
	case log.WorkAct:
		return fmt.Sprintf("The circuit stands at the end of %s.", d.Speak.StepName(e.Step))
	case log.HoldAct:
		return fmt.Sprintf("The operators are put as in %s.", d.Speak.StepName(e.Step))
	case log.RepairAct:
		f, err := faultmodel.Find(d.Model.Faults(), string(e.Act.Fault))
		if err != nil {
			return ""
		}
		return fmt.Sprintf("Put right: %s. %s Whether that was it, the operation tells: "+
			"bring the power back and prove it.", d.Model.Faults()[f].Text, d.Speak.RepairOf(f))
	}
	if d.Guide.Rules().Repairs {
		return practised[e.Act.Kind]
	}
	return examined[e.Act.Kind]
}

// standsWords say how a fault that was named stands against the readings.
func standsWords(n *guide.NamedStands) string {
	switch {
	case n.Against > 0:
		return fmt.Sprintf("Coach: %s it.",
			strings.Replace(talk.Disagree(n.Against), "disagrees with", "speaks against", 1))
	case n.Groups > 1:
		return fmt.Sprintf("Coach: every reading fits it, and %s besides fit as well: %s are left.",
			talk.Count(n.Faults-1, "fault"), talk.Count(n.Groups, "group"))
	}
	return "Coach: every reading fits it, and no other group of faults is left."
}

// shown tells what the meter or the eye shows.
func (d *Dialogue) shown(c log.Check, s training.Shown) string {
	switch {
	case s.Reading.Kind == log.Look && s.Wanders:
		return fmt.Sprintf("it chatters or glimmers; taken down as %s", d.Speak.Answer(c, &s.Reading))
	case s.Reading.Kind == log.Look:
		return d.Speak.Answer(c, &s.Reading)
	case s.Wanders:
		return fmt.Sprintf("%s; the figures wander between %s and %s", figures(s.Reading.Kind,
			s.Reading.Value), figures(s.Reading.Kind, s.Low), figures(s.Reading.Kind, s.High))
	}
	return figures(s.Reading.Kind, s.Reading.Value)
}

// figures writes a reading with the figures of the meter's range.
func figures(kind log.Kind, x float64) string {
	if math.IsInf(x, 1) {
		return "OL"
	}
	unit, scale := " "+kind.Unit(), 1.0
	if kind == log.Ohms {
		switch {
		case x >= 600e3:
			unit, scale = " Mohm", 1e6
		case x >= 600:
			unit, scale = " kohm", 1e3
		}
	}
	places := max(0, int(math.Round(-math.Log10(training.Count(kind, x)/scale))))
	return fmt.Sprintf("%.*f%s", places, x/scale, unit)
}

// hintWords say a hint, and why it leads there.
func (d *Dialogue) hintWords(h training.Hint) string {
	power := map[log.Kind]string{log.Look: "a look", log.Volts: "volts, live",
		log.Ohms: "ohms, power locked off", log.Diode: "diode test, power locked off"}[h.Kind]
	switch {
	case h.Done:
		return "no check tells more. Name the fault, put it right and prove the operation."
	case h.Strength == 1:
		return fmt.Sprintf("%s, %s. %s", power, h.Place, partedWords(h))
	case h.Strength == 2:
		return fmt.Sprintf("%s, at %s %s, in \"%s\". %s", power, talk.Called(d.Speak.Circuit.Device(h.Device)),
			h.Place, h.Step, partedWords(h))
	}
	return fmt.Sprintf("%s. Why: it %s.", d.Speak.Condensed(h.Check), d.Speak.Reason(h.Best, h.Turn))
}

// partedWords say why a check is worth making without saying which it is.
func partedWords(h training.Hint) string {
	if h.Best.Proof || h.Turn.Groups == 1 || len(h.Best.Outcomes) < 2 {
		return "Why: what is left should be proved there before a part is touched."
	}
	most := 0
	for _, a := range h.Best.Outcomes {
		most = max(most, len(a.Candidates))
	}
	return fmt.Sprintf("Why: whatever it shows, no more than %d of the %s still possible are left.", most,
		talk.Count(len(h.Turn.Left), "fault"))
}

// toldBy says what a check was worth; the better one only to who asked.
func (d *Dialogue) toldBy(e guide.Event) string {
	if e.Withheld {
		return fmt.Sprintf("%s There was a better check: \"coach\" names it, at the price of a hint (%s).%s",
			d.worth(e.Judged), talk.Span(training.HintMinutes[2]), stillWords(e.Judged))
	}
	return d.Worth(e.Judged)
}

// Worth says what a check was worth, and what the best would have been.
func (d *Dialogue) Worth(j *training.Judged) string {
	return d.worth(j) + d.best(j) + stillWords(j)
}

// worth says what a check told, in the terms of the circuit and in what it ruled out.
func (d *Dialogue) worth(j *training.Judged) string {
	var text string
	switch {
	case j.Proof:
		text = "a proof of what is left."
	case j.Before.Groups == 1:
		text = "one group was left already."
	default:
		text = ruledOutWords(j)
	}
	if means := d.Speak.Says(j.Check, j.Answer); means != "" {
		text = talk.Sentence(means) + " " + talk.SentenceStart(text)
	}
	if w := wasteWords[j.Waste]; w != "" {
		text += " " + w
	}
	return text
}

// ruledOutWords say how much a check has ruled out.
func ruledOutWords(j *training.Judged) string {
	switch out := j.Before.Faults - j.After.Faults; {
	case j.Bits < nothingTold:
		return "it told nothing: whatever may still be wrong, this reads the same."
	case out > 0:
		return fmt.Sprintf("it rules out %d of the %s that %s possible.", out, talk.Count(j.Before.Faults, "fault"),
			talk.Verb(j.Before.Faults, "was", "were"))
	case out == 0 && math.Abs(j.Told) < nothingTold:
		return "it rules nothing out this time; the other reading would have."
	}
	return "it speaks against faults that fitted until then."
}

// nothingTold is what a check that tells nothing may be expected to tell, in bits.
const nothingTold = 0.005

// best says what the best check would have been, and why.
func (d *Dialogue) best(j *training.Judged) string {
	switch {
	case j.Best == nil || j.Before.Groups <= 1:
		return ""
	case !j.Better():
		return " It was the best check."
	}
	best := "Best"
	if d.Guide.Rules().By == diagnose.ByMinutes && j.Bits > j.Most+0.005 {
		best = "Best for its minutes" // it tells less, and sooner
	}
	return fmt.Sprintf(" %s: %s (%s): it %s.", best, d.Speak.Condensed(j.Best.Check),
		talk.Span(j.Best.Minutes), d.Speak.Reason(j.Best, j.Turn))
}

func stillWords(j *training.Judged) string {
	return fmt.Sprintf(" Still possible: %s in %s.", talk.Count(j.After.Faults, "fault"), talk.Count(j.After.Groups, "group"))
}

// wasteWords tell a wasted check to the person who made it.
var wasteWords = map[training.Waste]string{
	training.Premature:  "PREMATURE: the best check first; its answer decides whether this one is worth making.",
	training.Redundant:  "REDUNDANT: the readings so far had told its answer already.",
	training.Irrelevant: "IRRELEVANT: nothing that the complaint left in doubt shows there.",
}

// SoFar tells what was done so far.
func (d *Dialogue) SoFar() {
	log := d.Log()
	if len(log.Entries)+len(log.Acts) == 0 {
		d.Out.Para("  ", "Nothing yet.")
	}
	for i := 0; i <= len(log.Entries); i++ {
		for _, a := range log.ActsBefore(i) {
			d.Out.Hang("  - ", actWords(a))
		}
		if i < len(log.Entries) {
			d.Out.Hang("  - ", d.Speak.Entry(log.Entries[i]))
		}
	}
}

// actWords tell an act in a list.
func actWords(a log.Act) string {
	words := map[log.ActKind]string{
		log.LockOutAct: "locked out", log.SwitchOffAct: "switched off", log.TryAct: "start button tried",
		log.TestMeterAct: "meter tested on a live source", log.ProveDeadAct: "circuit tested for voltage",
		log.RestoreAct: "power back on",
		log.AttemptAct: "ohms on a live circuit: not done", log.StateAct: "named: " + string(a.Fault),
		log.WorkAct: fmt.Sprintf("worked to %q", a.Step),
		log.HoldAct: fmt.Sprintf("operators held as in %q", a.Step),
	}
	if text, ok := words[a.Kind]; ok {
		return text
	}
	return string(a.Kind)
}
