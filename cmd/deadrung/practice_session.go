package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// trainee is one practice: who works at the simulated panel, what the panel shows, and
// what the coach says of it.
type trainee struct {
	m      *diagnose.Model
	s      *training.Sitting
	speak  *talk.Speaker
	ask    talk.Asker
	out    *talk.Page
	by     diagnose.By
	coach  string // when it speaks
	now    func() time.Time
	seed   uint64
	origin *origin // of a published case, or nil

	file  *logFile // nil where no log is kept
	named int      // the fault that was named last, or diagnose.Good
	fresh bool     // the practice ended in this run, and its score is to be kept
	rest  string   // what was typed behind the word of a choice
	half  halfway  // between two steps

	rated  bool // the difficulty has been worked out
	rating *training.Difficulty
}

// open hides the fault, or goes on with a log.
func (t *trainee) open(o practiceOptions, hidden int, book *scoreBook, s streams) error {
	t.named = diagnose.Good
	var history log.Log
	if o.log != "" {
		file, read, problems, err := openLog(o.log, t.m)
		if err != nil {
			return err
		}
		printProblems(s, problems)
		t.file, history = file, read
	}
	if len(history.Entries)+len(history.Acts) > 0 {
		return t.resume(o, history)
	}
	if hidden == diagnose.Good {
		var err error
		if hidden, err = t.hide(o, book); err != nil {
			return err
		}
	}
	t.s, t.seed = training.NewSitting(t.m, hidden, o.seed), o.seed
	if t.file != nil {
		t.s.Keep(t.file.append)
	}
	if err := t.s.Begin(t.at()); err != nil {
		return err
	}
	if _, _, err := t.s.Complain(t.at()); err != nil {
		return err
	}
	t.greet()
	return nil
}

// hide chooses the fault by the options.
func (t *trainee) hide(o practiceOptions, book *scoreBook) (int, error) {
	w, err := o.wish()
	if err != nil {
		return 0, err
	}
	if o.fresh {
		w.Not = training.Had(book.scores, t.speak.Circuit.Title)
	}
	f, err := training.Hide(t.m, w, o.seed)
	if errors.Is(err, training.ErrNone) && len(w.Not) > 0 {
		w.Not = nil
		if f, again := training.Hide(t.m, w, o.seed); again == nil {
			t.out.Para("", "You have had every such fault of this circuit: they begin anew.")
			return f, nil
		}
	}
	return f, err
}

// resume goes on with a log.
func (t *trainee) resume(o practiceOptions, history log.Log) error {
	var err error
	if t.s, err = training.Resumed(t.m, history); err != nil {
		return fmt.Errorf("cannot go on with %s: %w", o.log, err)
	}
	t.s.Keep(t.file.append)
	for _, a := range history.Acts {
		switch a.Kind {
		case log.BeginAct:
			t.seed = a.Seed
		case log.StateAct:
			t.named, _ = faultmodel.Find(t.m.Faults(), string(a.Fault))
		}
	}
	t.greet()
	for i, e := range history.Entries {
		if i >= len(training.Complaint(history).Entries) {
			t.out.Hang(fmt.Sprintf("%3d. ", i), t.speak.Entry(e))
		}
	}
	if t.over() {
		t.out.Para("", "The practice in this log is over.")
	}
	return nil
}

// at is the time of a line of the log.
func (t *trainee) at() string { return t.now().Format(time.RFC3339) }

// greet says what there is and what is known.
func (t *trainee) greet() {
	c := t.speak.Circuit
	t.out.Parf("", "%s: %s, %s.", c.Title, talk.Count(len(c.Steps), "step"), talk.Count(len(t.m.Faults()), "possible fault"))
	if c.About != "" {
		t.out.Para("  ", c.About)
	}
	if t.origin != nil {
		t.out.Para("", t.origin.source)
		for _, name := range t.origin.spelled {
			t.out.Hang("  ", name+".")
		}
	}
	t.out.Parf("", "SIMULATED PANEL: it hides one fault. Nothing is live here; work as if it were. Seed %d.", t.seed)
	t.out.Para("", "The operation, each step from where the one before left the circuit:")
	for i := range c.Steps {
		t.out.Hang("  ", t.speak.StepLine(i))
	}
	t.out.Para("", "A start from rest begins with whole fuses: what blew before is replaced, unasked.")
	reported := training.Complaint(t.s.Log()).Entries
	for _, e := range reported {
		d := c.Device(e.Check.Look)
		t.out.Parf("", "REPORTED: %s is %s at the end of \"%s\" (should be %s). The circuit stands there.", talk.Called(d), talk.Showing(d, e.Answer.On), e.Check.Step, talk.Showing(d, !e.Answer.On))
	}
	if len(reported) == 0 {
		t.out.Para("", "REPORTED: nothing is seen to go wrong. Find out why the panel was taken out of use.")
	}
	if t.file == nil {
		t.out.Para("", "No log is kept. With --log FILE you can stop and go on later.")
	}
	t.out.Blank()
}

// run goes from one act to the next until the practice is over.
func (t *trainee) run() error {
	for !t.over() {
		q, does := t.question()
		i, err := t.ask.Choose(q)
		if err != nil {
			return err
		}
		err = does[i]()
		if errors.Is(err, training.ErrRefused) {
			t.out.Para("  ", talk.Sentence(strings.TrimPrefix(err.Error(), training.ErrRefused.Error()+": ")))
			continue
		}
		if err != nil {
			return err
		}
		t.fresh = t.over()
	}
	return nil
}

// over tells whether the practice has come to its end.
func (t *trainee) over() bool { return t.s.Ended() != training.NotEnded }

// offer is a choice and what it does.
type offer struct {
	talk.Choice
	do func() error
}

// question asks what is done next, as the panel stands.
func (t *trainee) question() (talk.Question, []func() error) {
	act := func(k log.ActKind, say string) func() error {
		return func() error { return t.act(log.Act{Kind: k}, say) }
	}
	check := func(k log.Kind) func() error { return func() error { return t.check(k) } }
	look := offer{talk.Choice{Word: "look", Text: "look at a device"}, check(log.Look)}
	volts := offer{talk.Choice{Word: "volts", Text: "measure volts"}, check(log.Volts)}
	ohms := offer{talk.Choice{Word: "ohms", Text: "measure ohms"}, check(log.Ohms)}
	meter := offer{talk.Choice{Word: "meter", Also: []string{"test meter", "test-meter"}, Text: "test the meter on a known live source"}, t.testMeter}
	lock := offer{talk.Choice{Word: "lock", Also: []string{"lock-out", "lock out", "lockout"}, Text: "switch off, lock and tag every source"},
		act(log.LockOutAct, "Switched off, locked, tagged. All relays are released; the operators stay as they were.")}
	var todo []offer
	if t.s.Stand().Off {
		todo = append(todo,
			offer{talk.Choice{Word: "hold", Text: "hold the operators as in a step"}, func() error { return t.move(log.HoldAct) }},
			ohms, look, volts, meter,
			offer{talk.Choice{Word: "try", Also: []string{"start"}, Text: "try the start button"}, act(log.TryAct, "The start button is pressed: nothing moves.")},
			offer{talk.Choice{Word: "dead", Also: []string{"prove dead"}, Text: "test the circuit for voltage, phase to phase and each to ground"}, t.proveDead})
		if !t.s.Locked() {
			todo = append(todo, lock)
		}
		todo = append(todo, offer{talk.Choice{Word: "restore", Also: []string{"power on", "energise", "energize", "on"}, Text: "bring the power back"}, t.restore})
	} else {
		todo = append(todo,
			offer{talk.Choice{Word: "work", Text: "work the circuit to the end of a step"}, func() error { return t.move(log.WorkAct) }},
			offer{talk.Choice{Word: "move", Text: "move one operator by hand, or wait"}, t.byHand},
			look, volts, ohms, lock,
			offer{talk.Choice{Word: "off", Also: []string{"switch off"}, Text: "switch the power off, nothing more"},
				act(log.SwitchOffAct, "Switched off. All relays are released; the operators stay as they were.")},
			meter,
			offer{talk.Choice{Word: "prove", Text: "prove the operation: work every step"}, t.prove})
	}
	todo = append(todo,
		offer{talk.Choice{Word: "name", Also: []string{"state", "verdict"}, Text: "name the fault"}, t.name},
		offer{talk.Choice{Word: "repair", Text: "put something right"}, t.repair},
		offer{talk.Choice{Word: "hint", Text: "a hint; it costs minutes"}, t.hint})
	if t.coach != coachAfter {
		todo = append(todo, offer{talk.Choice{Word: "coach", Text: "what was the last check worth?"}, t.lastWorth})
	}
	todo = append(todo,
		offer{talk.Choice{Word: "wires", Also: []string{"drawing"}, Text: "show the wire list"}, t.wires},
		offer{talk.Choice{Word: "readings", Text: "show the readings so far"}, t.readings},
		offer{talk.Choice{Word: "give-up", Also: []string{"give up"}, Text: "give up and see the fault"}, t.giveUp},
		offer{talk.Choice{Word: stopChoice.Word, Also: stopChoice.Also, Text: stopChoice.Text}, func() error { return errStopped }})
	t.rest = ""
	q := talk.Question{Text: "What do you do? " + t.standing(), Help: "Type a word or its number; more may follow: \"work 3\", \"move PB1 pressed\", \"move wait 30\", \"look H1\", \"volts T1:X1 T1:X2\", " +
		"\"ohms CR1:A1 CR1:A2 lifted CR1:A1\", \"hold 2\", \"name open-H1\", \"hint 2\". " +
		"Before ohms: lock out, try the start button, test the meter, test for voltage, test the meter again. Nothing is lost if you stop with a log."}
	var does []func() error
	for _, d := range todo {
		switch d.Word {
		case "look", "volts", "ohms", "move", "work", "hold", "name", "repair", "hint":
			d.About = &t.rest
		}
		q.Choices = append(q.Choices, d.Choice)
		does = append(does, d.do)
	}
	return q, does
}

// standing says where the panel stands.
func (t *trainee) standing() string {
	st := t.s.Stand()
	at := "nothing worked yet"
	if st.Step >= 0 {
		at = t.speak.StepName(st.Step)
	}
	if len(t.half.moved) > 0 || t.half.waited > 0 {
		at = "between two steps"
	}
	switch {
	case t.s.Locked():
		return fmt.Sprintf("(power locked off; operators as in %s)", t.operators(st.Step))
	case st.Off:
		return fmt.Sprintf("(power switched off; operators as in %s)", t.operators(st.Step))
	}
	return fmt.Sprintf("(power on; %s)", at)
}

func (t *trainee) operators(step int) string {
	if step < 0 {
		return "rest"
	}
	return t.speak.StepName(step)
}

// act does an act and says so; unsafe ones are named.
func (t *trainee) act(a log.Act, say string) error {
	a.At = t.at()
	found, err := t.s.Do(a)
	switch a.Kind {
	case log.WorkAct, log.RestoreAct, log.LockOutAct, log.SwitchOffAct:
		t.half = halfway{}
	}
	t.warn(found)
	if err != nil {
		return err
	}
	if say != "" {
		t.out.Para("  ", say)
	}
	return nil
}

// warn names unsafe acts at once, whatever the coach does.
func (t *trainee) warn(found []training.Unsafe) {
	for _, u := range found {
		right, source := u.Kind.Right()
		t.out.Hang("  ", fmt.Sprintf("UNSAFE: %s. %s (%s)", u.Kind.Text(), talk.Sentence(right), source))
	}
}

// close ends a practice in whatever way it ended: the replay where it is over, else
// where it stands. The score, the picture and the machine form are written.
func (t *trainee) close(o practiceOptions, s streams, book *scoreBook, err error) error {
	if t.file != nil {
		defer t.file.close()
	}
	if err != nil && failed(err) {
		return err
	}
	if !t.over() {
		t.stopped(o, err)
		if o.picture == "" && o.sheet == "" && !o.json {
			return t.closing(o, err)
		}
	}
	replay, playErr := training.Play(t.s, t.by)
	if playErr != nil {
		return playErr
	}
	if t.over() {
		t.replay(&replay)
		if t.fresh {
			book.keep(t.score(&replay), s)
		}
	}
	if o.picture != "" {
		if err := paper.WriteFile(o.picture, func(w io.Writer) error { return paper.DrawReplay(w, t.speak, &replay, t.over()) }); err != nil {
			return err
		}
		t.out.Parf("", "The picture is in %s.", o.picture)
	}
	if o.sheet != "" {
		if err := paper.WriteFile(o.sheet, func(w io.Writer) error { return t.writeSheet(w, &replay) }); err != nil {
			return err
		}
		t.out.Parf("", "The sheet is in %s.", o.sheet)
	}
	if o.json {
		if err := output(o.output, s, func(w io.Writer) error { return printJSON(w, t.result(&replay)) }); err != nil {
			return err
		}
	}
	return t.closing(o, err)
}

// stopped says where a practice stands that is not over.
func (t *trainee) stopped(o practiceOptions, why error) {
	t.out.Blank()
	if errors.Is(why, io.EOF) {
		t.out.Para("", "End of the input.")
	}
	t.out.Para("", "The practice is not over, so the fault stays hidden and no score is kept.")
	if t.file != nil {
		t.out.Parf("", "Go on with: %s", t.again(o))
	} else {
		t.out.Parf("", "No log was kept; --log FILE keeps one. --seed %d hides the same fault again.", t.seed)
	}
}

// again is the command that goes on with the log.
func (t *trainee) again(o practiceOptions) string {
	what := o.circuit
	if o.published != "" {
		what = "--published " + o.published
	}
	return fmt.Sprintf("deadrung practice %s --log %s", what, t.file.name)
}

// closing turns the end of a practice into the error of the command.
func (t *trainee) closing(o practiceOptions, err error) error {
	if errors.Is(err, talk.ErrInterrupted) && t.file != nil {
		return fmt.Errorf("interrupted; the log is safe in %s: go on with \"%s\"", t.file.name, t.again(o))
	}
	return closing(err, "", nil)
}
