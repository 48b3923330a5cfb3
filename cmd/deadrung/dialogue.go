package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// dialogue is one guided session: the questions, what their answers do to the log, and
// where the session stands. It is the same for every way of asking.
type dialogue struct {
	m     *diagnose.Model
	speak *talk.Speaker
	ask   talk.Asker
	out   *talk.Page
	by    diagnose.By
	now   func() time.Time

	log  log.Log
	file *logFile // nil where no log is kept

	stand    talk.Standing
	wasOff   bool // the log was left with the power locked off
	turn     diagnose.Turn
	about    string    // the fault that was named after "why"
	further  bool      // a proof has borne the verdict out, and one more is asked for
	proving  []outcome // the proof of operation, by step
	finished bool      // the operation was worked and worked right

	drawn     *drawing.Drawing // nil until it is asked for
	following string           // the file of --follow; none if empty
}

func newDialogue(m *diagnose.Model, ask talk.Asker, out *talk.Page, by diagnose.By, now func() time.Time) *dialogue {
	return &dialogue{m: m, speak: talk.NewSpeaker(m), ask: ask, out: out, by: by, now: now, stand: talk.AsFound}
}

// outcome is how a step of the operation worked after the repair.
type outcome int

const (
	notWorked outcome = iota
	workedRight
	workedWrong
)

// errStopped ends a session that the person has stopped.
var errStopped = errors.New("stopped")

// run leads from the complaint to the proved repair. It ends with nil, errStopped,
// errInterrupted, io.EOF or the failure of the log.
func (d *dialogue) run() error {
	if len(d.log.Entries) == 0 {
		if err := d.complaint(); err != nil {
			return err
		}
	} else {
		d.resumed()
	}
	d.think()
	return d.turns()
}

// think works out where the session stands.
func (d *dialogue) think() {
	talk.Patiently(d.out.Out, func() { d.turn = d.m.Turn(d.log, diagnose.Choosing{By: d.by}) })
}

// turns takes turn after turn, until the repair is proved.
func (d *dialogue) turns() error {
	for !d.finished {
		var err error
		switch t := &d.turn; {
		case t.Status == diagnose.Found && (t.Proved || t.Next == nil), t.Status == diagnose.GroupLeft:
			d.follow(nil)
			err = d.conclude()
		case t.Status == diagnose.Healthy, t.Next == nil:
			d.follow(nil)
			err = d.idle()
		default:
			err = d.check(t.Next)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Words of the standing answers.
var (
	whyChoice      = talk.Choice{Word: "why", Text: "why this check?"}
	cannotChoice   = talk.Choice{Word: "cannot", Also: []string{"cannot get there", "can't", "no access"}, Text: "cannot get there, or cannot be made here"}
	otherChoice    = talk.Choice{Word: "other", Also: []string{"own", "another"}, Text: "another check, or one of your own"}
	possibleChoice = talk.Choice{Word: "possible", Also: []string{"still possible", "list"}, Text: "still possible, and what each reading ruled out"}
	backChoice     = talk.Choice{Word: "back", Also: []string{"undo", "take back"}, Text: "take the last answer back"}
	againChoice    = talk.Choice{Word: "again", Also: []string{"show"}, Text: "show the check again"}
	repeatChoice   = talk.Choice{Word: "repeat", Also: []string{"measure again"}, Text: "measure a doubtful reading again"}
	stopChoice     = talk.Choice{Word: "stop", Also: []string{"quit", "exit", "q"}, Text: "stop here, go on later"}
	returnChoice   = talk.Choice{Word: "return", Text: "return, as it was"}
)

// check proposes a check and takes the answer. It returns once the log has changed.
func (d *dialogue) check(p *diagnose.Proposal) error {
	d.propose(p)
	for length := len(d.log.Entries); length == len(d.log.Entries); {
		typed, taken, err := d.answer(p)
		if err != nil {
			return err
		}
		switch taken {
		case "":
			r, err := talk.ParseReading(p.Check.Kind(), typed)
			if err != nil {
				d.out.Para("  ", talk.Sentence(err.Error()))
				continue
			}
			if err := d.made(p, r); err != nil {
				return err
			}
		case "on", "off":
			if err := d.made(p, log.Reading{Kind: log.Look, On: taken == "on", Firm: true}); err != nil {
				return err
			}
		case "cannot":
			if err := d.enter(p.Check, nil, ""); err != nil {
				return err
			}
		case "why":
			if d.about != "" {
				d.whyFault(d.about)
				continue
			}
			for _, line := range append(d.speak.Reasons(p, &d.turn), d.speak.RunnersUp(p, &d.turn)...) {
				d.out.Hang("  - ", line)
			}
		case "again":
			d.instruct(p)
		case "draw":
			d.drawCheck(p.Check)
		case "other", "repeat":
			pick := d.other
			if taken == "repeat" {
				pick = d.doubtful
			}
			other, err := pick()
			if err != nil {
				return err
			}
			if other != nil {
				p = other
				d.show(p)
			}
		default:
			if err := d.common(taken); err != nil {
				return err
			}
		}
	}
	return nil
}

// propose shows the check that the turn proposes, after what the turn has come to: a
// contradiction, or a verdict that is still to be proved.
func (d *dialogue) propose(p *diagnose.Proposal) {
	if d.turn.Status == diagnose.Contradiction {
		d.contradict()
	}
	if p.Proof && !d.further {
		d.out.Blank()
		for _, l := range d.speak.Verdict(&d.turn) {
			d.out.Point(l)
		}
	}
	d.show(p)
}

// answer asks for the answer of a check: the word of the choice that was taken, or
// what was typed.
func (d *dialogue) answer(p *diagnose.Proposal) (typed, taken string, err error) {
	look := p.Check.Kind() == log.Look
	why := whyChoice
	d.about, why.About = "", &d.about
	q := talk.Question{Choices: []talk.Choice{why}}
	if look {
		dev := d.speak.Circuit.Device(p.Check.Look)
		q.Text = fmt.Sprintf("%s: %s", dev.Name, talk.IsOn(dev))
		q.Choices = append(q.Choices,
			talk.Choice{Word: "on", Also: []string{"yes", "y", talk.Showing(dev, true)}, Text: fmt.Sprintf("%s is on (%s)", dev.Name, talk.Showing(dev, true))},
			talk.Choice{Word: "off", Also: []string{"no", "n", talk.Showing(dev, false)}, Text: fmt.Sprintf("%s is off (%s)", dev.Name, talk.Showing(dev, false))})
	}
	if d.turn.Status == diagnose.Contradiction {
		q.Choices = append(q.Choices, repeatChoice)
	}
	if d.doubts() {
		q.Choices = append(q.Choices, dropChoice)
	}
	q.Choices = append(q.Choices, cannotChoice, otherChoice, drawChoice, possibleChoice, backChoice, againChoice, stopChoice)
	q.Help = "Make the check and give its answer. Not sure? \"again\" shows it once more, \"why\" tells what it is good for. " +
		"\"back\" takes the last answer back. "
	if d.file != nil {
		q.Help += "Nothing is lost: the log is written after every answer."
	} else {
		q.Help += "No log is kept: start with --log FILE to be able to go on later."
	}
	i := 0
	switch {
	case look:
		i, err = d.ask.Choose(q)
	case p.Check.Kind() == log.Volts:
		q.Text, q.Typed = "The reading in volts, as 118.9 V.", "type the reading in volts"
		typed, i, err = d.ask.Line(q)
	default:
		q.Text, q.Typed = "The reading in ohms, as 2410, 2.4 k or OL.", "type the reading in ohms"
		typed, i, err = d.ask.Line(q)
	}
	if err != nil || i < 0 {
		return typed, "", err
	}
	return "", q.Choices[i].Word, nil
}

// common does what can be asked for at any check.
func (d *dialogue) common(word string) error {
	switch word {
	case "possible":
		d.possible()
	case "drop":
		return d.drop()
	case "back":
		return d.undo()
	case "stop":
		return errStopped
	}
	return nil
}

// made logs the answer of a check that was made.
func (d *dialogue) made(p *diagnose.Proposal, r log.Reading) error {
	d.stand = d.speak.After(p.Check)
	d.out.Parf("  ", "Noted: %s.", d.speak.Answer(p.Check, &r))
	if d.speak.Stray(p, r) {
		d.out.Para("  ", "It may be a stray voltage: a wire that hangs free reads up to half the supply. To the grounded side, the low-impedance mode of the meter shows it as 0 V.")
	}
	if len(p.Check.Lifted) > 0 {
		d.out.Parf("  ", "Land every wire on %s again, tight.", talk.Joined(p.Check.Lifted, " and "))
	}
	verdict := d.turn.Left
	if err := d.enter(p.Check, &r, ""); err != nil {
		return err
	}
	d.tellChanged()
	if p.Proof {
		agrees := d.bearsOut(verdict)
		d.further = agrees && d.turn.Next != nil && d.turn.Next.Proof
		switch {
		case d.further:
			d.out.Para("  ", "The proof agrees with the verdict. One wrong reading could still hide another fault: one more proof.")
		case agrees:
			d.out.Para("  ", "The proof agrees with the verdict.")
		default:
			d.out.Para("  ", "The proof does not agree with the verdict.")
		}
	}
	return nil
}

// bearsOut tells whether the last reading is one that a fault of a verdict gives.
func (d *dialogue) bearsOut(verdict []int) bool {
	not := d.m.Disagreeing(d.log.Entries[len(d.log.Entries)-1])
	return slices.ContainsFunc(verdict, func(f int) bool { return !slices.Contains(not, f) })
}

// show shows a check for the first time, with the wording that its power needs.
func (d *dialogue) show(p *diagnose.Proposal) {
	d.out.Blank()
	live := p.Check.Kind() != log.Ohms
	switch {
	case !live && !d.stand.Locked:
		d.out.Notice(talk.LockOut(talk.BeforeCheck))
		d.stand = talk.Standing{Step: -1, Locked: true, Held: -1}
	case live && (d.stand.Locked || d.wasOff):
		d.out.Notice(talk.BackToPower(talk.BeforeCheck))
		d.stand = talk.AsFound
	}
	d.wasOff = false
	d.instruct(p)
	d.follow(&p.Check)
}

// instruct tells how to make a check, and its reason.
func (d *dialogue) instruct(p *diagnose.Proposal) {
	again := talk.MadeBefore(d.m, d.log, p.Check)
	d.out.Para("", d.speak.Title(p, d.number(), again, d.further))
	for _, line := range d.speak.Instruction(p.Check, d.stand) {
		d.out.Point(line)
	}
	reason := d.speak.Reason(p, &d.turn)
	switch {
	case again && len(p.Outcomes) > 0:
		reason = talk.AskedAgain
	case again:
		reason = "the new reading takes the place of the old one"
	}
	d.out.Point(talk.Point{Label: "Why", Text: talk.Sentence(reason)})
}

// number counts the checks up to the one that is being made.
func (d *dialogue) number() int {
	n := 0
	for _, number := range talk.CheckNumbers(d.log.Entries) {
		n = max(n, number)
	}
	return n + 1
}

// ending tells where a session stands that ends before its verdict is proved.
func (d *dialogue) ending(circuit string, why error) {
	d.out.Blank()
	if errors.Is(why, io.EOF) {
		d.out.Para("", "End of the input.")
	}
	if d.turn.Status != "" {
		d.out.Parf("", "Still possible: %s.", talk.Remaining(&d.turn))
		d.chances(5)
	}
	if d.stand.Locked {
		d.out.Para("", "The power is locked off: leave it so, with your tag on it, or bring it back in the usual order.")
	}
	switch {
	case errors.Is(why, talk.ErrInterrupted): // the error says where the log is
	case d.file != nil:
		d.out.Parf("", "The log %s holds every answer. Go on with: deadrung find %s --log %s", d.file.name, circuit, d.file.name)
	default:
		d.out.Para("", "No log was kept; --log FILE keeps one.")
	}
}
