package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"deadrung/diagnose"
)

// askCheckOut asks for each check in turn. At a reading that does not agree it offers to
// look for the fault.
func askCheckOut(ctx context.Context, o wirelistOptions, r *checkOutResult, s streams) error {
	out := newPage(s.out)
	ask := newAsker(ctx, o.plain, s, out)
	d := newDialogue(r.m, ask, out, diagnose.ByMinutes, o.now)
	if err := d.open(findOptions{log: o.log}, s); err != nil {
		return err
	}
	out.parf("", "%s: check-out before first power", r.speak.circuit.Title)
	out.blank()
	out.notice(caution)
	out.notice(lockOut)
	d.stand = standing{step: -1, locked: true, held: -1}
	for _, line := range append(r.summary(), r.unseen()...) {
		out.para("", line)
	}
	for _, rule := range r.rules() {
		out.hang("  - ", rule)
	}
	err := d.checkOut(r, o)
	onWith := fmt.Sprintf("deadrung wirelist %s --check-out --ask --log %s", o.circuit, o.log)
	if d.file != nil {
		if closeErr := d.file.close(); closeErr != nil && err == nil {
			err = fmt.Errorf("cannot close the log: %w", closeErr)
		}
	}
	if !d.finished && err != nil && !failed(err) {
		out.blank()
		out.para("", "The check-out is not done. Land every wire that is still lifted. Leave the power locked off, with your tag on it.")
		if d.file != nil && !errors.Is(err, errInterrupted) {
			out.parf("", "The log %s holds every reading. Go on with: %s", d.file.name, onWith)
		}
	}
	if !d.finished && errors.Is(err, errInterrupted) && d.file != nil {
		return fmt.Errorf("interrupted; the log is safe in %s: go on with %q", d.file.name, onWith)
	}
	return closing(err, o.circuit+" --wiring-errors", d.file)
}

// checkOut goes through the checks from the first that the log does not hold.
func (d *dialogue) checkOut(r *checkOutResult, o wirelistOptions) error {
	checks := r.out.Checks()
	made := func(c diagnose.Check) bool { return madeBefore(d.m, d.log, c) }
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
			return d.findFromHere(o)
		case taken == "back":
			if n := len(d.log.Entries); n > 0 {
				if err := d.takeBack(); err != nil {
					return err
				}
				i = 0
			} else {
				d.out.para("  ", "There is nothing to take back.")
			}
		}
	}
	d.out.blank()
	if wrong := d.disagreeing(checks); len(wrong) > 0 {
		d.out.parf("", "Every check is made, and %s not agree: %s. No power before that is put right.",
			verb(len(wrong), "one does", fmt.Sprint(len(wrong), " do")), strings.Join(wrong, ", "))
		i, err := d.ask.choose(question{text: "What now?", choices: []choice{
			stopChoice, {word: "find", text: "find what is wired wrong"}},
			help: "\"find\" goes on from all readings so far. What is put right is checked out again from the start, with a new log."})
		if err != nil {
			return err
		}
		if i == 0 {
			return errStopped
		}
		return d.findFromHere(o)
	}
	d.out.para("", "Every check agrees. First energising, step by step (common practice):")
	d.out.notice(backToPower)
	for _, line := range r.energising() {
		d.out.hang("  "+tickBox+"  ", line)
	}
	do, must := r.stepLines()
	for i := range do {
		d.out.hang(fmt.Sprintf("  %s %2d. ", tickBox, i+1), do[i])
		d.out.hang("           ", must[i])
	}
	return nil
}

// disagreeing gives the numbers of the checks whose last reading in the log is not that of
// a good circuit.
func (d *dialogue) disagreeing(checks []diagnose.OutCheck) []string {
	var wrong []string
	for i, c := range checks {
		agrees := true
		for _, e := range d.log.Entries {
			if own, err := d.m.NewEntry(c.Check, nil); err == nil && e.Answer != nil && d.m.Same(own, e) {
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
func (d *dialogue) outCheck(c diagnose.OutCheck, number, of int) (string, error) {
	show := func() {
		d.out.blank()
		d.out.parf("", "CHECK %d of %d: ohms %s", number, of, where(c))
		for _, p := range d.speak.instruction(c.Check, d.stand) {
			switch p.label {
			case "If good":
				p.text = agreeing(c)
			case "Lift": // the leads of a check-out go elsewhere
				p.text = "every wire off " + joined(c.Check.Lifted, " and ")
			}
			d.out.point(p)
		}
	}
	show()
	again := choice{word: "again", also: []string{"show"}, text: "show the check again"}
	q := question{text: "Does it agree? Or the reading in ohms, as 2410, 2.4 k or OL.", typed: "type the reading in ohms",
		choices: []choice{again, {word: "agrees", also: []string{"yes", "y", "ok"}, text: "it agrees: " + agreeing(c)}, backChoice, stopChoice},
		help:    "Take \"agrees\" if the reading is within what is given, or type the reading. \"back\" takes the last answer back."}
	for {
		typed, i, err := d.ask.line(q)
		if err != nil {
			return "", err
		}
		if i >= 0 {
			switch q.choices[i].word {
			case "again":
				show()
			case "agrees":
				reading := c.Usual
				return "", d.noteOut(c.Check, reading, agreedNote)
			case "back":
				return "back", nil
			case "stop":
				return "", errStopped
			}
			continue
		}
		reading, err := parseReading(diagnose.Ohms, typed)
		if err != nil {
			d.out.para("  ", sentence(err.Error()))
			continue
		}
		if c.Agrees(reading) {
			d.out.parf("  ", "It agrees: %s.", agreeing(c))
			return "", d.noteOut(c.Check, reading, "")
		}
		d.out.parf("  ", "%s does not agree with %s.", d.speak.answer(c.Check, &reading), agreeing(c))
		i, err = d.ask.choose(question{text: "What now?", choices: []choice{
			{word: "measure", also: []string{"again"}, text: "measure it again: a lead may have slipped"},
			{word: "find", text: "note it, and find what is wired wrong"},
			{word: "next", text: "note it, and go on with the next check"},
			stopChoice},
			help: "One reading that does not agree is worth a second look. \"find\" goes on from all readings so far."})
		if err != nil {
			return "", err
		}
		switch i {
		case 1:
			return "find", d.noteOut(c.Check, reading, "")
		case 2:
			return "", d.noteOut(c.Check, reading, "")
		case 3:
			return "", errStopped
		}
		show()
	}
}

// noteOut logs a reading of the check-out. Nothing is worked out from it yet.
func (d *dialogue) noteOut(c diagnose.Check, r diagnose.Reading, note string) error {
	e, err := d.m.NewEntry(c, &r)
	if err != nil {
		return err
	}
	e.Note, e.At = note, d.now().Format(time.RFC3339)
	if d.file != nil {
		if err := d.file.append(e.AppendTo); err != nil {
			return err
		}
	}
	d.log.Entries = append(d.log.Entries, e)
	d.stand = d.speak.after(c)
	if len(c.Lifted) > 0 {
		d.out.parf("  ", "Land every wire on %s again, tight.", joined(c.Lifted, " and "))
	}
	return nil
}

// takeBack takes the last reading of the check-out back.
func (d *dialogue) takeBack() error {
	if d.file != nil {
		if err := d.file.append(diagnose.WriteUndo); err != nil {
			return err
		}
	}
	last := len(d.log.Entries) - 1
	d.out.parf("  ", "Taken back: %s.", d.speak.entry(d.log.Entries[last]))
	d.log.Entries = d.log.Entries[:last]
	return nil
}

// findFromHere goes on into the search for the fault, with the readings so far.
func (d *dialogue) findFromHere(o wirelistOptions) error {
	d.out.blank()
	d.out.para("", "Looking for what is wired wrong, with the readings so far.")
	full, err := loadModel(o.circuit, given{wiringErrors: true}, streams{out: io.Discard, err: io.Discard})
	if err != nil {
		return err
	}
	next := newDialogue(full, d.ask, d.out, d.by, d.now)
	next.file, next.stand = d.file, d.stand
	for _, e := range d.log.Entries {
		same, err := full.NewEntry(e.Check, e.Answer)
		if err != nil {
			return err
		}
		same.Note, same.At, same.Line = e.Note, e.At, e.Line
		next.log.Entries = append(next.log.Entries, same)
	}
	d.finished = true
	err = next.run()
	if err != nil && !failed(err) {
		next.ending(o.circuit+" --wiring-errors", err)
	}
	return err
}
