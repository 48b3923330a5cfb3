package dialogue

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// practiceActs and examActs are the words of what can be done at a panel.
var practiceActs = map[guide.Key]talk.Choice{
	"look":  {Word: "look", Text: "look at a device"},
	"volts": {Word: "volts", Text: "measure volts"},
	"ohms":  {Word: "ohms", Text: "measure ohms"},
	"diode": {Word: "diode", Also: []string{"diode test"}, Text: "measure on the diode test"},
	"meter": {Word: "meter", Also: []string{"test meter", "test-meter"},
		Text: "test the meter on a known live source"},
	"lock": {Word: "lock", Also: []string{"lock-out", "lock out", "lockout"},
		Text: "switch off, lock and tag every source"},
	"hold": {Word: "hold", Text: "hold the operators as in a step"},
	"try":  {Word: "try", Also: []string{"start"}, Text: "try the start button"},
	"dead": {Word: "dead", Also: []string{"prove dead"},
		Text: "test the circuit for voltage, phase to phase and each to ground"},
	"restore": {Word: "restore", Also: []string{"power on", "energise", "energize", "on"},
		Text: "bring the power back"},
	"work":   {Word: "work", Text: "work the circuit to the end of a step"},
	"move":   {Word: "move", Text: "move one operator by hand, or wait"},
	"off":    {Word: "off", Also: []string{"switch off"}, Text: "switch the power off, nothing more"},
	"prove":  {Word: "prove", Text: "prove the operation: work every step"},
	"name":   {Word: "name", Also: []string{"state", "verdict"}, Text: "name the fault"},
	"repair": {Word: "repair", Text: "put something right"},
	"hint":   {Word: "hint", Text: "a hint; it costs minutes"},
	"coach":  {Word: "coach", Text: "what was the last check worth? A better one is named at the price of a hint"},
	"draw":   {Word: "draw", Also: []string{"drawing", "ladder"}, Text: "draw the ladder with the last leads and what is in doubt"},
	"wires":  {Word: "wires", Text: "show the wire list"},

	"readings": {Word: "readings", Text: "show the readings so far"},
	"give-up":  {Word: "give-up", Also: []string{"give up"}, Text: "give up and see the fault"},
}

var examActs = map[guide.Key]talk.Choice{
	"done":  {Word: "done", Also: []string{"show", "so far"}, Text: "what I have done so far"},
	"look":  {Word: "look", Text: "look at something"},
	"volts": {Word: "volts", Text: "measure volts"},
	"ohms":  {Word: "ohms", Text: "measure ohms"},
	"diode": {Word: "diode", Also: []string{"diode test"}, Text: "measure on the diode test"},
	"lock": {Word: "lock", Also: []string{"lock out"},
		Text: "lock out: switch off, lock and tag every source"},
	"meter": {Word: "meter", Also: []string{"test the meter"}, Text: "test the meter on a known live source"},
	"hold":  {Word: "hold", Text: "hold the operators as in a step"},
	"try":   {Word: "try", Text: "try the start button"},
	"dead": {Word: "dead", Also: []string{"prove dead"},
		Text: "test the circuit for voltage, phase to phase and each to ground"},
	"restore": {Word: "restore", Also: []string{"power on"},
		Text: "bring the power back: leads off, wires landed, people clear, locks off"},
	"work":  {Word: "work", Text: "work the circuit to a step"},
	"off":   {Word: "switch off", Also: []string{"off"}, Text: "switch the power off, nothing more"},
	"draw":  {Word: "draw", Also: []string{"drawing", "ladder"}, Text: "draw the ladder with the leads of the last check"},
	"wires": {Word: "wires", Text: "show the wire list"},
	"name": {Word: "name", Also: []string{"name the fault", "state"},
		Text: "name the fault: this ends the work on it"},
}

// moreTyped are the acts behind whose word more may be typed.
var moreTyped = []guide.Key{"look", "volts", "ohms", "diode", "move", "work", "hold", "name", "repair", "hint"}

// inWordsAtPanel gives the words of what is asked at a panel with a hidden fault.
func (d *Dialogue) inWordsAtPanel(q guide.Question, about *string) (asked,
	func(guide.Key) (talk.Choice, bool)) {
	c := d.Speak.Circuit
	ask := func(text, help string) asked { return asked{Question: talk.Question{Text: text, Help: help}} }
	line := func(text, typed, help string) asked {
		return asked{Question: talk.Question{Text: text, Typed: typed, Help: help}}
	}
	own := func(list map[guide.Key]talk.Choice,
		of func(kind, thing string) talk.Choice) func(guide.Key) (talk.Choice, bool) {
		return func(k guide.Key) (talk.Choice, bool) {
			if choice, ok := list[k]; ok {
				return choice, true
			}
			if kind, thing := k.Of(); thing != "" && of != nil {
				return of(kind, thing), true
			}
			return talk.Choice{}, false
		}
	}
	named := func(thing, text string) talk.Choice { return talk.Choice{Also: []string{thing}, Text: text} }
	switch q.Ask {
	case guide.Act:
		return d.askAct(q, about)
	case guide.ToStep:
		text := "To the end of which step?"
		if q.Hold {
			text = "Operators held as in which step?"
		}
		next := talk.Choice{}
		if q.Has("next") {
			next = talk.Choice{Word: "next", Text: "the next: " + d.Speak.StepLine(q.Stand.Step+1)}
		}
		return ask(text, "Steps are worked in order. To an earlier one the circuit starts from rest "+
				"again. Holding a step once more leaves all as it is."),
			own(map[guide.Key]talk.Choice{"next": next}, func(_, thing string) talk.Choice {
				i, _ := strconv.Atoi(thing)
				return named(c.Steps[i].Name, d.Speak.StepLine(i))
			})
	case guide.ByHand:
		return ask("Move what?", "Operators stay as they are put. Time passes only when you wait."),
			own(nil, func(_, thing string) talk.Choice {
				name, position, _ := strings.Cut(thing, " ")
				dev := c.Device(name)
				return named(thing, talk.Move(dev, slices.Index(dev.Positions, position)))
			})
	case guide.LookAt:
		return ask("Look at what?", "Lamps, horns, motors, solenoids, relays and contactors can be seen working."),
			own(nil, func(_, thing string) talk.Choice {
				dev := c.Device(thing)
				return named(thing, talk.Called(dev)+", "+dev.Whereabouts())
			})
	case guide.Leads:
		help := "A terminal is a device and its screw, as CR1:A1. \"list\" shows what there is. "
		if q.Kind.Off() {
			help += "To lift the wires off a terminal, type as \"CR1:A1 CR1:A2 lifted CR1:A1\"."
		}
		return line("Red lead and black lead, two terminals.", "type the two terminals", help),
			own(map[guide.Key]talk.Choice{"list": {Word: "list", Text: "choose from lists: " +
				"place, device, screw"}}, nil)
	case guide.LeadPlace, guide.LeadDevice, guide.LeadScrew:
		lead := []string{"Red", "Black"}[q.Lead] + " lead: "
		switch q.Ask {
		case guide.LeadPlace:
			return ask(lead+"where?", "Choose the place that the device sits at."),
				own(nil, func(_, thing string) talk.Choice { return named(thing, d.whereabouts(thing)) })
		case guide.LeadDevice:
			return ask(lead+"on which device?", "Choose the device."),
				own(nil, func(_, thing string) talk.Choice { return named(thing, talk.Called(c.Device(thing))) })
		}
		return ask(lead+"on which screw?", "Choose the screw; its wire number stands beside it."),
			own(nil, func(_, thing string) talk.Choice { return named(thing, d.Speak.Lead(circuits.Terminal(thing))) })
	case guide.Lift:
		return ask("Lift wires first?",
				"Lifting the wires off one terminal takes every parallel path away, and two minutes."),
			own(map[guide.Key]talk.Choice{"none": {Word: "none", Text: "no, measure as it is wired"}},
				func(_, thing string) talk.Choice { return named(thing, "lift every wire off "+thing) })
	case guide.Measure:
		out, choiceOf := d.readingOf(ask("", "What you see on the trainer now."), *q.Check)
		if out.Typed != "" {
			out.Help = "What the meter on the trainer shows now."
		}
		if len(q.Check.Lifted) > 0 {
			out.Text = fmt.Sprintf("Lift every wire off %s; the lead goes on the terminal. ",
				talk.Joined(q.Check.Lifted, " and ")) + out.Text
		}
		return out, choiceOf
	case guide.Mend:
		return ask("Put what right?",
				"A repair replaces or mends one part. The wrong one changes nothing and costs as much."),
			own(map[guide.Key]talk.Choice{
				"named": {Word: "named", Text: "what was named: " + d.Speak.Named([]faultmodel.ID{q.Fault})[0]},
				"other": {Word: "other", Text: "something else"}}, nil)
	case guide.Fault:
		text := "What is the fault?"
		if q.Mends {
			text = "Put right what?"
		}
		return line(text+" Type a device, a terminal, a wire number or the fault's ID.", "type where it is",
				"As CR1, CR1:22, 7 or open-CR1. What can be wrong there is then listed."),
			own(map[guide.Key]talk.Choice{"list": {Word: "list", Text: "choose from the devices and wires"}}, nil)
	case guide.FaultWhere:
		return ask("Where?", "Choose the device or the wire number."),
			own(nil, func(kind, thing string) talk.Choice {
				if kind == "wire" {
					return named(thing, "wire "+thing)
				}
				return named(thing, talk.Called(c.Device(thing)))
			})
	case guide.FaultWhich:
		return ask("Which?", "Take what you think is wrong."), own(nil, func(_, thing string) talk.Choice {
			return named(thing, d.Speak.Named([]faultmodel.ID{faultmodel.ID(thing)})[0])
		})
	case guide.Confirm:
		return ask(fmt.Sprintf("Name it: %s? This ends the work on it, and cannot be taken back.",
				d.Speak.Named([]faultmodel.ID{q.Fault})[0]), "Nothing is named until you say yes."),
			own(map[guide.Key]talk.Choice{"yes": {Word: "yes", Also: []string{"y"},
				Text: "yes, that is the fault"}}, nil)
	case guide.Strength:
		return ask("How strong?",
				"A hint is towards the best check as the readings stand. It costs minutes, and it is counted."),
			own(nil, func(_, thing string) talk.Choice {
				i, _ := strconv.Atoi(thing)
				what := []string{"the region", "the device and the step", "the exact check"}[i-1]
				return talk.Choice{Text: fmt.Sprintf("%s (%s)", what, talk.Span(training.HintMinutes[i-1]))}
			})
	}
	return ask("Give up? The fault is shown, and the practice is over.",
			"A hint may help on. Stopping with a log keeps the fault hidden."),
		own(map[guide.Key]talk.Choice{"yes": {Word: "yes", Also: []string{"give up"}, Text: "give up"}}, nil)
}

// askAct asks what is done next.
func (d *Dialogue) askAct(q guide.Question, about *string) (asked, func(guide.Key) (talk.Choice, bool)) {
	acts, out := practiceActs, asked{Question: talk.Question{Text: "What do you do? " + d.standing(q),
		Help: "Type a word or its number; more may follow: \"work 3\", \"move PB1 pressed\", " +
			"\"move wait 30\", \"look H1\", \"volts T1:X1 T1:X2\", " +
			"\"ohms CR1:A1 CR1:A2 lifted CR1:A1\", \"hold 2\", \"name open-H1\", \"hint 2\". " +
			"Before ohms: lock out, try the start button, test the meter, test for voltage, " +
			"test the meter again. Nothing is lost if you stop with a log."}}
	if !d.Guide.Rules().Repairs {
		acts, out = examActs, asked{Question: talk.Question{Text: "What do you do? " + d.standing(q) + d.Clock(),
			Help: "Type a word or its number; more may follow: \"work 3\", \"look H1\", \"volts T1:X1 T1:X2\", " +
				"\"ohms CR1:A1 CR1:A2 lifted CR1:A1\", \"hold 2\". A look and volts need the power on; " +
				"ohms, a circuit that is dead and proved so. " +
				"Every line is kept, and nothing can be taken back. \"stop\" leaves; the same command goes on later."}}
	}
	return out, func(k guide.Key) (talk.Choice, bool) {
		c, ok := acts[k]
		if slices.Contains(moreTyped, k) {
			c.About = about
		}
		return c, ok
	}
}

// standing says where the panel stands.
func (d *Dialogue) standing(q guide.Question) string {
	at, held := "nothing worked yet", "rest"
	if q.Stand.Step >= 0 {
		at = d.Speak.StepName(q.Stand.Step)
		held = at
	}
	switch {
	case d.Guide.Sitting().Locked():
		return fmt.Sprintf("(power locked off; operators as in %s)", held)
	case q.Stand.Off:
		return fmt.Sprintf("(power switched off; operators as in %s)", held)
	case q.Between:
		at = "between two steps"
	}
	return fmt.Sprintf("(power on; %s)", at)
}

// stepTyped reads a step as it is typed behind a word.
func stepTyped(steps []circuits.Step, typed string, next int) (int, bool) {
	if n, err := strconv.Atoi(typed); err == nil {
		return n - 1, n >= 1 && n <= len(steps)
	}
	if talk.Fold(typed) == "next" {
		return next, next < len(steps)
	}
	i := slices.IndexFunc(steps, func(s circuits.Step) bool { return talk.Fold(s.Name) == talk.Fold(typed) })
	return i, i >= 0
}

var waitForm = regexp.MustCompile(`^wait\s+(\d+(?:[.,]\d+)?)\s*(?:s|sec|seconds)?$`)

// moveTyped reads an operator and its position, "PB1 pressed", or a wait, "wait 30 s"; else
// it says why.
func (d *Dialogue) moveTyped(typed string) (a guide.Answer, why string) {
	if seconds := waitForm.FindStringSubmatch(talk.Fold(typed)); seconds != nil {
		x, _ := strconv.ParseFloat(strings.Replace(seconds[1], ",", ".", 1), 64)
		return guide.Answer{Take: "wait", Wait: x}, ""
	}
	name, to, _ := strings.Cut(strings.TrimSpace(typed), " ")
	dev := d.Speak.Device(name)
	if dev == nil || !slices.Contains(d.Model.Panel().Operators(), dev) {
		var names []string
		for _, o := range d.Model.Panel().Operators() {
			names = append(names, o.Name)
		}
		return a,
			fmt.Sprintf("%q is not an operator; there are %s", talk.Shortened(name), strings.Join(names, ", "))
	}
	for _, p := range dev.Positions {
		if talk.Fold(p) == talk.Fold(strings.TrimPrefix(talk.Fold(to), "to ")) {
			return guide.Take(guide.Key("move:" + dev.Name + " " + p)), ""
		}
	}
	return a, fmt.Sprintf("%s has no position %q; it has %s", dev.Name, talk.Shortened(to),
		strings.Join(dev.Positions, ", "))
}

// waits are the times that the operation waits, each once.
func (d *Dialogue) waits() []float64 {
	var out []float64
	for _, s := range d.Speak.Circuit.Steps {
		if s.Wait > 0 && !slices.Contains(out, s.Wait) {
			out = append(out, s.Wait)
		}
	}
	slices.Sort(out)
	return out
}
