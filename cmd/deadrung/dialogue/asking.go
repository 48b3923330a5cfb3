package dialogue

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// asked is a question of a session in words, with what each of its choices answers.
type asked struct {
	talk.Question
	answers []guide.Answer
}

// add adds a choice with what it answers.
func (q *asked) add(a guide.Answer, c talk.Choice) {
	q.Choices, q.answers = append(q.Choices, c), append(q.answers, a)
}

// Choices are the words of the choices that mean the same wherever they stand.
var Choices = map[guide.Key]talk.Choice{
	"why": {Word: "why", Text: "why this check?"},
	"cannot": {Word: "cannot", Also: []string{"cannot get there", "can't", "no access"}, Key: 'c',
		Text: "cannot get there, or cannot be made here"},
	"other": {Word: "other", Also: []string{"own", "another"}, Text: "another check, or one of your own"},
	"possible": {Word: "possible", Also: []string{"still possible", "list"}, Rare: true,
		Text: "still possible, and what each reading ruled out"},
	"seen": {Word: "seen", Also: []string{"found it", "found", "hot", "smells", "burnt"}, Key: 'e', Rare: true,
		Text: "found something: burnt, hot, loose, it smells"},
	"works": {Word: "works", Also: []string{"now it works", "it works now", "works now", "intermittent", "it comes and goes"}, Key: 'i', Rare: true,
		Text: "it works at the moment: the trouble comes and goes"},
	"fails": {Word: "fails", Also: []string{"fails again", "it fails again", "it fails", "again it fails"}, Key: 'f',
		Text: "it fails again: go on with the checks"},
	"unsure":    {Word: "unsure", Also: []string{"not sure"}, Key: 'u', Rare: true, Text: "not sure of the answer that follows"},
	"note":      {Word: "note", Key: 't', Rare: true, Text: "a note beside the answer"},
	"complaint": {Word: "complaint", Key: 'l', Rare: true, Text: "something else is wrong as well"},
	"dim":       {Word: "dim", Also: []string{"weak", "glimmers", "glows"}, Key: 'd', Text: "dim or weak"},
	"chatters":  {Word: "chatters", Also: []string{"chattering", "hums", "buzzes"}, Key: 'h', Rare: true, Text: "it chatters or hums"},
	"flashing": {Word: "flashing", Also: []string{"flickers", "flickering", "flashes", "blinks", "comes and goes"}, Key: 'f', Rare: true,
		Text: "it flickers or flashes: it comes and goes"},
	"unknown": {Word: "unknown", Also: []string{"don't know", "dont know", "no idea"}, Key: 'k', Text: "don't know: nobody can tell"},
	"back":    {Word: "back", Also: []string{"undo", "take back"}, Text: "take the last answer back"},
	"again":   {Word: "again", Also: []string{"show"}, Key: 'a', Rare: true, Text: "show the check again"},
	"repeat":  {Word: "repeat", Also: []string{"measure again"}, Text: "measure a doubtful reading again"},
	"drop":    {Word: "drop", Also: []string{"drop a reading", "leave out"}, Text: "drop a doubtful reading"},
	"draw":    {Word: "draw", Also: []string{"drawing", "picture"}, Key: 'g', Rare: true, Text: "draw the rungs of this check"},
	"stop":    {Word: "stop", Also: []string{"quit", "exit", "q"}, Key: 's', Text: "stop here, go on later"},
	"return":  {Word: "return", Text: "return, as it was"},
}

// StopChoice stands in questions that no session asks.
var StopChoice = Choices["stop"]

// question puts what the session asks into words. About takes what is typed behind a word.
func (d *Dialogue) question(q guide.Question, about *string) asked {
	out, choiceOf := d.inWords(q, about)
	for _, k := range q.Choices {
		c, ok := choiceOf(k)
		if !ok {
			if c, ok = Choices[k]; !ok {
				kind, thing := k.Of()
				c = talk.Choice{Word: kind, Text: thing}
			}
		}
		if k == "why" || q.Ask == guide.Check && (k == "other" || k == "seen" || k == "note") {
			c.About = about
		}
		if q.Ask == guide.ByHand && k == "wait" {
			for _, s := range d.waits() {
				out.add(guide.Answer{Take: k, Wait: s},
					talk.Choice{Also: []string{fmt.Sprintf("wait %g", s)}, Text: fmt.Sprintf("wait %g s", s)})
			}
			continue
		}
		out.add(guide.Take(k), c)
	}
	return out
}

// inWords gives the words of a question, and those of its choices that are its own.
func (d *Dialogue) inWords(q guide.Question, about *string) (asked, func(guide.Key) (talk.Choice, bool)) {
	c := d.Speak.Circuit
	ask := func(text, help string) asked { return asked{Question: talk.Question{Text: text, Help: help}} }
	words := func(own map[guide.Key]talk.Choice) func(guide.Key) (talk.Choice, bool) {
		return func(k guide.Key) (talk.Choice, bool) {
			choice, ok := own[k]
			return choice, ok
		}
	}
	stepNames := func(own map[guide.Key]talk.Choice) func(guide.Key) (talk.Choice, bool) {
		return func(k guide.Key) (talk.Choice, bool) {
			if kind, _ := k.Of(); kind == "step" {
				name := c.Steps[k.Index()].Name
				return talk.Choice{Also: []string{name, fmt.Sprint("step ", k.Index()+1)}, Text: name}, true
			}
			choice, ok := own[k]
			return choice, ok
		}
	}
	switch q.Ask {
	case guide.Complaint:
		out := ask("In which step does it go wrong?",
			"Name a step of the operation and then what was wrong at the end of it, as often as you like; "+
				"or say it in words, with the step: "+d.exampleWrong()+" in step 3. "+
				"Nothing known? Take the first answer, and the checks begin.")
		out.Typed, out.Listed = "say it in words, as: "+d.exampleWrong(), true
		return out, stepNames(map[guide.Key]talk.Choice{"none": {Word: "none",
			Also: []string{"start", "nothing", "done"}, Text: "nothing more to tell: start the checks"}})
	case guide.FoundByEye:
		out := ask("What was seen, and where? As: "+d.exampleSight()+".",
			"Name a device, a terminal or a wire number, and then what is wrong with it. "+
				"It counts for the faults there, and is then proved.")
		out.Typed = "type where and what"
		return out, words(nil)
	case guide.Noting:
		out := ask("The note:", "A few words that go into the log and the report beside the answer of this check.")
		out.Typed = "type the note"
		return out, words(nil)
	case guide.WrongIn:
		out := ask(fmt.Sprintf("What was wrong at the end of \"%s\"?", c.Steps[q.Step].Name),
			"Take what was seen, heard or felt, and was not as it should be; or say it in words.")
		out.Typed, out.Listed = "say it in words, as: "+d.exampleWrong(), true
		return out, func(k guide.Key) (talk.Choice, bool) { return d.wrongThere(k, c.Steps[q.Step].Name), true }
	case guide.Check:
		return d.askReading(q)
	case guide.Other:
		return ask("Which check?", "The checks with a time are the next best. "+
				"A check of your own is a look or a reading of the meter anywhere in the circuit, at any step."),
			func(k guide.Key) (talk.Choice, bool) {
				if kind, _ := k.Of(); kind == "other" {
					p := d.Turn().Others[k.Index()]
					return talk.Choice{Text: fmt.Sprintf("%s (%s)", d.Speak.Condensed(p.Check), talk.Span(p.Minutes))}, true
				}
				choice, ok := map[guide.Key]talk.Choice{
					"look":  {Word: "look", Text: "a look of your own"},
					"volts": {Word: "volts", Text: "volts of your own, live"},
					"ohms":  {Word: "ohms", Text: "ohms of your own, power locked off"},
					"diode": {Word: "diode", Text: "a diode test of your own, power locked off"}}[k]
				return choice, ok
			}
	case guide.OwnStep:
		out := ask("At the end of which step?",
			"The circuit is worked up to that step and held there while the check is made.")
		if q.Kind.Off() {
			out = ask("Power locked off, operators held as in which step?",
				"Relays are all released then; only the operators are held as they are in that step.")
		}
		return out, stepNames(nil)
	case guide.OwnCheck:
		return d.askOwn(q.Kind), words(nil)
	case guide.Doubtful:
		return ask("Which one is measured again?",
				"The one named first is the most doubtful. Its new reading takes the place of the old one."),
			func(k guide.Key) (talk.Choice, bool) {
				if k.Index() < 0 {
					return talk.Choice{}, false
				}
				return talk.Choice{Text: d.Speak.Entry(d.Log().Entries[k.Index()])}, true
			}
	case guide.Drop:
		return ask("Which reading is dropped?",
				"A reading that is dropped counts no more. Drop the one that may have been misread, "+
					"or measure it again instead."),
			func(k guide.Key) (talk.Choice, bool) { return d.doubtedOne(k), k.Index() >= 0 }
	case guide.Idle:
		return ask("What now?",
				"A check of your own may show what the list does not know. \"stop\" ends the session; the log stays."),
			words(map[guide.Key]talk.Choice{"other": {Word: "other", Also: []string{"own"},
				Text: "a check of your own"}})
	case guide.Works:
		return ask("Does it fail again?", "Leave it as it stands when it fails, and take \"fails\": the search goes on. "+
				"It does not? \"stop\" ends the session, and the log goes on when it fails another day."),
			words(map[guide.Key]talk.Choice{"again": {Word: "again", Also: []string{"show"}, Key: 'a',
				Text: "show once more what to watch"}})
	case guide.Repair:
		return ask("Put right?", "Put the fault right with the power locked off, "+
				"then take \"repaired\". The log keeps the verdict: you can stop here and go on later."),
			words(map[guide.Key]talk.Choice{
				"verdict": {Word: "verdict", Also: []string{"again", "show"}, Text: "show the verdict again"},
				"repaired": {Word: "repaired", Also: []string{"done", "yes", "put right"},
					Text: "it is put right: prove it by working the operation"}})
	case guide.Operation:
		help := "Work the step, wait as long as it says, and look at everything that is named."
		right := talk.Choice{Word: "right", Key: 'y', Also: []string{"yes", "y", "ok"}, Text: "worked right"}
		if q.Seen != nil {
			help = "Hold what is seen against what a good circuit does in this step."
			right.Also = []string{"yes", "y"}
		}
		text := "Worked right?"
		if q.Whole {
			text, right.Text = "Did all of them work right?", "worked right, every one"
			help = "Work them in their order. If one does not, take \"wrong\": they are then worked one by one."
		}
		return ask(text, help), words(map[guide.Key]talk.Choice{
			"every": {Word: "every", Also: []string{"all"}, Text: "every step that is left at once, on one list"},
			"again": {Word: "again", Also: []string{"show"}, Text: "show the step again"},
			"must":  {Word: "must", Text: "what must be on and off?"},
			"right": right,
			"wrong": {Word: "wrong", Key: 'n', Also: []string{"no", "n"}, Text: "did not work right"}})
	}
	return d.inWordsAtPanel(q, about)
}

// wrongThere says what was wrong with a device at the end of a step.
func (d *Dialogue) wrongThere(k guide.Key, step string) talk.Choice {
	kind, name := k.Of()
	if kind == "return" {
		return talk.Choice{Word: "return", Text: "nothing in this step"}
	}
	v := d.Speak.Circuit.Device(name)
	good, _ := d.Model.Usual(log.Check{Look: name, Step: step})
	return talk.Choice{Also: []string{name},
		Text: fmt.Sprintf("%s was %s (should be %s)", talk.Called(v), talk.Showing(v, !good.On),
			talk.Showing(v, good.On))}
}

// doubtedOne names a reading that is in doubt, and what dropping it would leave.
func (d *Dialogue) doubtedOne(k guide.Key) talk.Choice {
	i := k.Index()
	if i < 0 {
		return talk.Choice{}
	}
	e := d.Log().Entries[i]
	text := talk.ByCheck(d.Log())(i, e.Line) + ": " + d.Speak.Entry(e)
	for _, c := range d.Turn().Conflicts {
		if c.Index == i {
			if more := d.Speak.Dropping(c); more != "" {
				text += "; " + more
			}
		}
	}
	return talk.Choice{Text: text}
}

// askReading asks for the answer of a check.
func (d *Dialogue) askReading(q guide.Question) (asked, func(guide.Key) (talk.Choice, bool)) {
	var out asked
	out.Help = "Make the check and give its answer. Not sure? \"again\" shows it once more, " +
		"\"why\" tells what it is good for. " +
		"\"back\" takes the last answer back. "
	if d.Keep != nil {
		out.Help += "Nothing is lost: the log is written after every answer."
	} else {
		out.Help += "No log is kept: start with --log FILE to be able to go on later."
	}
	return d.readingOf(out, *q.Check)
}

// readingOf asks what is seen or read.
func (d *Dialogue) readingOf(out asked, c log.Check) (asked, func(guide.Key) (talk.Choice, bool)) {
	switch c.Kind() {
	case log.Look:
		dev, look := strings.TrimSpace(c.Look+" "+c.Part), d.Speak.LookOf(c)
		out.Text = fmt.Sprintf("%s: %s", dev, look.Question)
		return out, func(k guide.Key) (talk.Choice, bool) {
			also := map[guide.Key][]string{"on": {"yes", "y"}, "off": {"no", "n"}}[k]
			key := map[guide.Key]byte{"on": 'y', "off": 'n'}[k]
			return talk.Choice{Word: string(k), Key: key, Also: append(also, look.Says(k == "on")),
				Text: fmt.Sprintf("%s is %s (%s)", dev, k, look.Says(k == "on"))}, also != nil
		}
	case log.Volts:
		out.Text, out.Typed = "The reading in volts, as 118.9 V.", "type the reading in volts"
	case log.Diode:
		out.Text, out.Typed = "What the diode test shows, as 0.58 V or OL.", "type what the diode test shows"
	default:
		out.Text, out.Typed = "The reading in ohms, as 2410, 2.4 k or OL.", "type the reading in ohms"
	}
	return out, func(k guide.Key) (talk.Choice, bool) {
		works := Choices["works"]
		works.Also = append(slices.Clip(works.Also), "comes and goes")
		return works, k == "works"
	}
}

// askOwn asks for the device or the terminals of a check of the person's own.
func (d *Dialogue) askOwn(kind log.Kind) asked {
	var out asked
	switch kind {
	case log.Look:
		var names []string
		for _, v := range d.Model.Panel().Sights() {
			names = append(names, strings.TrimSpace(v.Device.Name+" "+v.At().At))
		}
		out.Text, out.Typed = "Which device? As "+names[0]+".", "type the device"
		out.Help = "There are " + strings.Join(names, ", ") + "."
	case log.Volts:
		out.Text, out.Typed = "Red lead and black lead, as "+d.example()+".", "type the two terminals"
		out.Help = "A terminal is a device and its screw. The black lead mostly stays on the grounded side."
	case log.Diode:
		out.Text = "Red lead and black lead, as " + d.example() + "; with wires lifted: " + d.example() +
			" lifted " + strings.Fields(d.example())[0] + "."
		out.Typed = "type the two terminals"
		out.Help = "The red lead drives: forward a good diode shows 0.4 to 0.8 V with red on its anode, and OL the other way round. " +
			"A coil of a few hundred ohm across it hides that, so lift a wire."
	case log.Ohms:
		out.Text = "The two terminals, as " + d.example() + "; with wires lifted: " + d.example() +
			" lifted " + strings.Fields(d.example())[0] + "."
		out.Typed = "type the two terminals"
		out.Help = "Lifting the wires off one terminal takes every parallel path away. " +
			"The lead then touches the terminal, not the wires."
	}
	return out
}

// exampleWrong is a complaint of the last thing that can be seen or heard, as "horn silent".
func (d *Dialogue) exampleWrong() string {
	v := d.Speak.Model.Panel().Visible()
	if len(v) == 0 {
		return "horn silent"
	}
	last := v[len(v)-1]
	return last.Type.Called() + " " + talk.Showing(last, false)
}

// exampleSight is something seen at the first coil or load.
func (d *Dialogue) exampleSight() string {
	name, _, _ := strings.Cut(d.example(), ":")
	return name + " burnt"
}

// example is two terminals of the circuit: those of its first coil or load.
func (d *Dialogue) example() string {
	v := d.Model.Panel().Visible()
	if len(v) == 0 {
		return "CR1:A1 CR1:A2"
	}
	return string(v[0].Terminal(v[0].Ends[0]) + " " + v[0].Terminal(v[0].Ends[1]))
}

// typed reads what was typed as the answer to a question. What is none is told, and the
// question is asked.
func (d *Dialogue) typed(q guide.Question, text string) (guide.Answer, bool) {
	say := func(what string) (guide.Answer, bool) {
		d.Out.Para("  ", talk.Sentence(what))
		return guide.Answer{}, false
	}
	switch q.Wants {
	case guide.AReading:
		r, err := talk.ParseReading(q.Check.Kind(), text)
		if err != nil {
			return say(err.Error())
		}
		if doubt := d.Speak.Doubt(*q.Check, r, text); doubt != "" && q.Ask == guide.Check && d.doubted != text {
			d.doubted = text
			return say(doubt + " Type it once more if it is right.")
		}
		d.doubted = ""
		return guide.Answer{Reading: &r}, true
	case guide.ACheck:
		if q.Ask == guide.Leads {
			text = strings.TrimPrefix(talk.Fold(text), q.Kind.String()+" ")
		}
		c, err := d.Speak.ParseCheck(q.Kind, text)
		if err != nil {
			return say(err.Error())
		}
		return guide.Answer{Check: &c}, true
	case guide.AWhere:
		return guide.Answer{Where: text}, true
	case guide.AText:
		return guide.Answer{Text: text}, true
	case guide.ASight:
		where, what, err := d.Speak.ParseSight(text)
		if err != nil {
			return say(err.Error())
		}
		return guide.Answer{Where: where, Text: what}, true
	case guide.AComplaint:
		if q.Ask == guide.WrongIn {
			text += fmt.Sprintf(" in step %d", q.Step+1)
		}
		c, on, err := d.Speak.ParseWrong(text)
		if several := (*talk.InSeveral)(nil); errors.As(err, &several) {
			return d.inWhich(several)
		}
		if err != nil {
			return say(err.Error())
		}
		return d.wrong(c, on), true
	}
	switch q.Ask {
	case guide.ToStep:
		next := q.Stand.Step + 1
		if i, ok := stepTyped(d.Speak.Circuit.Steps, text, next); ok {
			return guide.Take(guide.Key(fmt.Sprintf("step:%d", i))), true
		}
		return say(fmt.Sprintf("There is no step %q; the steps go from 1 to %d.", talk.Shortened(text),
			len(d.Speak.Circuit.Steps)))
	case guide.ByHand:
		a, why := d.moveTyped(text)
		if why != "" {
			say(why)
			return guide.Take("return"), true
		}
		return a, true
	case guide.LookAt:
		c, err := d.Speak.ParseCheck(log.Look, text)
		if k := guide.Key("device:" + c.Look); err == nil && q.Has(k) {
			return guide.Take(k), true
		}
		return say(fmt.Sprintf("%q is nothing that can be looked at.", talk.Shortened(text)))
	case guide.Strength:
		k := guide.Key("strength:" + text)
		return guide.Take(k), q.Has(k)
	}
	return guide.Answer{}, false
}

// wrong is a complaint as an answer, told as it is noted.
func (d *Dialogue) wrong(c log.Check, on bool) guide.Answer {
	device := d.Speak.Circuit.Device(c.Look)
	d.Out.Parf("  ", "Noted: %s is %s at the end of \"%s\".", talk.Called(device), talk.Showing(device, on), c.Step)
	return guide.Answer{Check: &c, Reading: &log.Reading{Kind: log.Look, On: on, Firm: true}}
}

// inWhich asks of which step a complaint is meant. Where it is meant of all of them the first
// ones are handed in here.
func (d *Dialogue) inWhich(w *talk.InSeveral) (guide.Answer, bool) {
	device := d.Speak.Circuit.Device(w.Check.Look)
	q := talk.Question{Text: fmt.Sprintf("%s should be %s at the end of each of these. In which is it %s?",
		talk.SentenceStart(talk.Called(device)), talk.Showing(device, !w.On), talk.Showing(device, w.On)),
		Help:    "Take the step in which it was seen; \"each\" only if it was seen in every one of them.",
		Choices: []talk.Choice{{Word: "return", Text: "none of them"}}}
	for _, name := range w.Steps {
		i := d.Speak.Circuit.Step(name)
		q.Choices = append(q.Choices, talk.Choice{Also: []string{name, fmt.Sprint("step ", i+1)}, Text: d.Speak.StepName(i)})
	}
	q.Choices = append(q.Choices, talk.Choice{Word: "each", Also: []string{"all", "every"}, Text: "in each of them"})
	i, err := d.Ask.Choose(q)
	if err != nil || i == 0 {
		return guide.Answer{}, false // what ended the input ends the next question as well
	}
	steps := w.Steps
	if i <= len(steps) {
		steps = steps[i-1 : i]
	}
	for k, name := range steps {
		w.Check.Step = name
		if a := d.wrong(w.Check, w.On); k == len(steps)-1 {
			return a, true
		} else if d.Take(a) != nil {
			break
		}
	}
	return guide.Answer{}, false
}

// settingOf finds what a step's operator is put to.
func settingOf(c *circuits.Circuit, m guide.Move) circuits.Setting {
	return circuits.Setting{Device: c.Device(m.Device), Position: m.Position}
}
