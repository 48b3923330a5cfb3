package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/checkout"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// askCheckOut asks for each check in turn. At a reading that does not agree it offers to
// look for the fault.
func askCheckOut(ctx context.Context, o wirelistOptions, r *paper.CheckOut, s streams) error {
	out := talk.NewPage(s.out)
	ask := newAsker(ctx, o.plain, s, out)
	d := &outSession{logged: newLogged(guide.New(r.Model, guide.Finding(diagnose.ByMinutes),
		log.Log{}), ask, out, o.now)}
	if err := d.open(findOptions{log: o.log, dropChanged: o.drop}, s); err != nil {
		return err
	}
	d.readings = d.Log()
	out.Parf("", "%s: check-out before first power", r.Speak.Circuit.Title)
	out.Blank()
	out.Notice(talk.CautionOf(r.Speak.Model.Panel()))
	d.Notice(talk.LockOutOf(r.Speak.Model.Panel(), talk.BeforeCheck))
	d.stand = guide.LockedOff
	for _, line := range append(r.Summary(), r.Unseen()...) {
		out.Para("", line)
	}
	for _, rule := range r.Rules() {
		out.Hang("  - ", rule)
	}
	err := d.checkOut(ctx, r, o)
	onWith := fmt.Sprintf("deadrung wirelist %s --check-out --ask --log %s", o.circuit, o.log)
	if d.file != nil {
		if closeErr := d.file.Close(); closeErr != nil && err == nil {
			err = fmt.Errorf("cannot close the log: %w", closeErr)
		}
	}
	if !d.finished && err != nil && !failed(err) {
		out.Blank()
		out.Para("", "The check-out is not done. Land every wire that is still lifted. "+
			"Leave the power locked off, with your tag on it.")
		if d.file != nil && !errors.Is(err, talk.ErrInterrupted) {
			out.Parf("", "The log %s holds every reading. Go on with: %s", d.file.Name(), onWith)
		}
	}
	if !d.finished && errors.Is(err, talk.ErrInterrupted) && d.file != nil {
		return fmt.Errorf("interrupted; the log is safe in %s: go on with %q", d.file.Name(), onWith)
	}
	return closing(err, o.circuit+" --wiring-errors", d.file)
}

// outSession is a check-out with a person: its readings, from which nothing is worked out
// until the fault is looked for.
type outSession struct {
	*logged
	readings log.Log
	stand    guide.Standing
	finished bool // the search for the fault has taken over
}

// checkOut goes through the checks from the first that the log does not hold.
func (d *outSession) checkOut(ctx context.Context, r *paper.CheckOut, o wirelistOptions) error {
	checks := r.Plan.Checks()
	made := func(c log.Check) bool { return guide.MadeBefore(d.Model, d.readings, c) }
	for i := 0; i < len(checks); {
		if made(checks[i].Check) {
			i++
			continue
		}
		taken, err := d.outCheck(checks[i], i+1, len(checks))
		switch {
		case err != nil:
			return err
		case taken == "find":
			return d.findFromHere(ctx, o)
		case taken == "back":
			if n := len(d.readings.Entries); n > 0 {
				if err := d.takeBack(); err != nil {
					return err
				}
				i = 0
			} else {
				d.Out.Para("  ", "There is nothing to take back.")
			}
		}
	}
	d.Out.Blank()
	if wrong := d.disagreeing(checks); len(wrong) > 0 {
		d.Out.Parf("", "Every check is made, and %s not agree: %s. No power before that is put right.",
			talk.Verb(len(wrong), "one does", fmt.Sprint(len(wrong), " do")), strings.Join(wrong, ", "))
		i, err := d.Ask.Choose(talk.Question{Text: "What now?", Choices: []talk.Choice{
			dialogue.StopChoice, {Word: "find", Text: "find what is wired wrong"}},
			Help: "\"find\" goes on from all readings so far. What is put right is checked out again from " +
				"the start, with a new log."})
		if err != nil {
			return err
		}
		if i == 0 {
			return dialogue.ErrStopped
		}
		return d.findFromHere(ctx, o)
	}
	d.Out.Para("", "Every check agrees. First energising, step by step (common practice):")
	d.Notice(talk.BackToPower(talk.BeforeCheck))
	for _, line := range r.Energising() {
		d.Out.Hang("  "+paper.TickBox+"  ", line)
	}
	do, must := r.StepLines()
	for i := range do {
		d.Out.Hang(fmt.Sprintf("  %s %2d. ", paper.TickBox, i+1), do[i])
		d.Out.Hang("           ", must[i])
	}
	return nil
}

// disagreeing gives the numbers of the checks whose last reading in the log is not that of
// a good circuit.
func (d *outSession) disagreeing(checks []checkout.Check) []string {
	var wrong []string
	for i, c := range checks {
		agrees := true
		for _, e := range d.readings.Entries {
			if own, err := d.Model.Book().NewEntry(c.Check, nil); err == nil && e.Answer != nil &&
				d.Model.Book().Same(own, e) {
				agrees = c.Agrees(*e.Answer)
			}
		}
		if !agrees {
			wrong = append(wrong, fmt.Sprintf("check %d", i+1))
		}
	}
	return wrong
}

// outCheck asks for one check: "find" and "back" are what the caller has to do, nothing
// where its reading was noted.
func (d *outSession) outCheck(c checkout.Check, number, of int) (string, error) {
	show := func() {
		d.Out.Blank()
		d.Out.Parf("", "CHECK %d of %d: ohms %s", number, of, paper.Where(c))
		for _, p := range d.Speak.Instruction(c.Check, d.stand) {
			switch p.Label {
			case "If good":
				p.Text = paper.Agreeing(c)
			case "Lift": // the leads of a check-out go elsewhere
				p.Text = "every wire off " + talk.Joined(c.Check.Lifted, " and ")
			}
			d.Out.Point(p)
		}
	}
	show()
	again := talk.Choice{Word: "again", Also: []string{"show"}, Text: "show the check again"}
	q := talk.Question{Text: "Does it agree? Or the reading in ohms, as 2410, 2.4 k or OL.",
		Typed: "type the reading in ohms",
		Choices: []talk.Choice{again, {Word: "agrees", Also: []string{"yes", "y", "ok"},
			Text: "it agrees: " + paper.Agreeing(c)}, dialogue.Choices["back"], dialogue.StopChoice},
		Help: "Take \"agrees\" if the reading is within what is given, or type the reading. " +
			"\"back\" takes the last answer back."}
	for {
		typed, i, err := d.Ask.Line(q)
		if err != nil {
			return "", err
		}
		if i >= 0 {
			switch q.Choices[i].Word {
			case "again":
				show()
			case "agrees":
				reading := c.Usual
				return "", d.noteOut(c.Check, reading, agreedNote)
			case "back":
				return "back", nil
			case "stop":
				return "", dialogue.ErrStopped
			}
			continue
		}
		reading, err := talk.ParseReading(log.Ohms, typed)
		if err != nil {
			d.Out.Para("  ", talk.Sentence(err.Error()))
			continue
		}
		if c.Agrees(reading) {
			d.Out.Parf("  ", "It agrees: %s.", paper.Agreeing(c))
			return "", d.noteOut(c.Check, reading, "")
		}
		d.Out.Parf("  ", "%s does not agree with %s.", d.Speak.Answer(c.Check, &reading), paper.Agreeing(c))
		i, err = d.Ask.Choose(talk.Question{Text: "What now?", Choices: []talk.Choice{
			{Word: "measure", Also: []string{"again"}, Text: "measure it again: a lead may have slipped"},
			{Word: "find", Text: "note it, and find what is wired wrong"},
			{Word: "next", Text: "note it, and go on with the next check"},
			dialogue.StopChoice},
			Help: "One reading that does not agree is worth a second look. " +
				"\"find\" goes on from all readings so far."})
		if err != nil {
			return "", err
		}
		switch i {
		case 1:
			return "find", d.noteOut(c.Check, reading, "")
		case 2:
			return "", d.noteOut(c.Check, reading, "")
		case 3:
			return "", dialogue.ErrStopped
		}
		show()
	}
}

// noteOut logs a reading of the check-out. Nothing is worked out from it yet.
func (d *outSession) noteOut(c log.Check, r log.Reading, note string) error {
	e, err := d.Model.Book().NewEntry(c, &r)
	if err != nil {
		return err
	}
	e.Note, e.At = note, d.Now().Format(time.RFC3339)
	if d.file != nil {
		if err := d.kept(e.AppendTo); err != nil {
			return err
		}
	}
	d.readings.Entries = append(d.readings.Entries, e)
	d.stand = guide.After(d.Speak.Circuit, c)
	if len(c.Lifted) > 0 {
		d.Out.Parf("  ", "Land every wire on %s again, tight.", talk.Joined(c.Lifted, " and "))
	}
	return nil
}

// takeBack takes the last reading of the check-out back.
func (d *outSession) takeBack() error {
	if d.file != nil {
		if err := d.kept(log.WriteUndo); err != nil {
			return err
		}
	}
	last := len(d.readings.Entries) - 1
	d.Out.Parf("  ", "Taken back: %s.", d.Speak.Entry(d.readings.Entries[last]))
	d.readings.Entries = d.readings.Entries[:last]
	return nil
}

// findFromHere goes on into the search for the fault, with the readings so far.
func (d *outSession) findFromHere(ctx context.Context, o wirelistOptions) error {
	d.Out.Blank()
	d.Out.Para("", "Looking for what is wired wrong, with the readings so far.")
	full, err := loadModel(ctx, o.circuit, given{wiringErrors: true, large: o.large}, streams{out: io.Discard, err: io.Discard})
	if err != nil {
		return err
	}
	var known log.Log
	for _, e := range d.readings.Entries {
		same, err := full.Book().NewEntry(e.Check, e.Answer)
		if err != nil {
			return err
		}
		same.Note, same.At, same.Line = e.Note, e.At, e.Line
		known.Entries = append(known.Entries, same)
	}
	next := newLogged(guide.New(full, guide.Finding(diagnose.ByMinutes), known).Standing(d.stand),
		d.Ask, d.Out, d.Now)
	from := "the check-out"
	if d.file != nil {
		next.keeps(d.file, d.add)
		from = d.file.Name()
	}
	d.finished = true
	next.Opening(from)
	if err = next.Begin(); err == nil {
		err = next.Run()
	}
	if err != nil && !failed(err) {
		next.ending(o.circuit+" --wiring-errors", err)
	}
	return err
}
