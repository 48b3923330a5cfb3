package main

import (
	"errors"
	"fmt"
	"io"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// trainee is one practice: a dialogue at a simulated panel, and what is looked back on when
// it is over.
type trainee struct {
	*logged
	by     diagnose.By
	seed   uint64
	origin *origin          // of a published case, or nil
	lesson *training.Lesson // or nil
	fresh  bool             // the practice ended in this run, and its score is to be kept
}

// sitting is the work at the panel.
func (t *trainee) sitting() *training.Sitting { return t.Guide.Sitting() }

// newTrainee is a practice at a panel with a hidden fault.
func newTrainee(s *training.Sitting, o practiceOptions, by diagnose.By, ask talk.Asker,
	out *talk.Page) *trainee {
	d := newLogged(guide.At(s, guide.Practising(by, o.coaching())), ask, out, o.now)
	d.Panel = func(q guide.Question) (training.Shown, error) { return d.Guide.Sitting().Show(*q.Check) }
	return &trainee{logged: d, by: by}
}

// openPractice hides the fault, or goes on with a log.
func openPractice(o practiceOptions, m *diagnose.Model, hidden int, from *origin, by diagnose.By,
	book *scoreBook, s streams, ask talk.Asker, out *talk.Page) (*trainee, error) {
	var history log.Log
	var file *logFile
	if o.log != "" {
		var problems circuits.Problems
		var err error
		if file, history, problems, err = openLog(o.log, m, s.files); err != nil {
			return nil, err
		}
		printProblems(s, problems)
		if history, err = withoutStale(changedLog{m: m, file: file, ask: ask, out: out, streams: s}, history, o.dropChanged); err != nil {
			file.Close()
			return nil, err
		}
	}
	resumed := len(history.Entries)+len(history.Acts) > 0
	var sitting *training.Sitting
	var err error
	if resumed {
		if sitting, err = training.Resumed(m, history); err != nil {
			return nil, fmt.Errorf("cannot go on with %s: %w", o.log, err)
		}
	} else {
		if hidden == diagnose.Good {
			if hidden, err = hideByWish(o, m, book, out); err != nil {
				return nil, err
			}
		}
		sitting = training.NewSitting(m, hidden, o.seed)
		if o.course != nil && o.course.second != diagnose.Good {
			var ok bool
			if sitting, ok = training.NewSittingWithTwo(m, hidden, o.course.second, o.seed); !ok {
				return nil, usagef("lesson %s: %s cannot be at once", o.course.Name, o.course.fault)
			}
		}
	}
	t := newTrainee(sitting, o, by, ask, out)
	t.origin, t.seed = from, o.seed
	if o.course != nil {
		t.lesson = &o.course.Lesson
	}
	if from != nil {
		t.Case = fmt.Sprintf("%s The case: %s.", from.source, from.answer)
	}
	if file != nil {
		t.keeps(file, file.append)
	}
	if err := t.Begin(); err != nil {
		return nil, err
	}
	for _, a := range history.Acts {
		if a.Kind == log.BeginAct {
			t.seed = a.Seed
		}
	}
	t.greet()
	if resumed {
		t.gone(history)
	}
	return t, nil
}

// withoutStale leaves the lines of a practice out that its changed circuit has no use for. A log
// that could not be gone on with without them is left as it is.
func withoutStale(was changedLog, history log.Log, drop bool) (log.Log, error) {
	if len(history.Stale) > 0 {
		if _, err := training.Resumed(was.m, history); err != nil {
			for _, c := range history.Changes {
				fmt.Fprintf(was.err, "%s: the circuit file has changed since this log was begun: %s\n", was.file.Name(), c)
			}
			return history, fmt.Errorf("the practice in %s cannot go on without the %s not apply any more, %w: "+
				"begin a new practice with another file", was.file.Name(),
				talk.Count(len(history.Stale), "line")+" that "+talk.Verb(len(history.Stale), "does", "do"), err)
		}
	}
	return was.dropStale(history, drop)
}

// gone tells what a log says that is gone on with.
func (t *trainee) gone(history log.Log) {
	for i, e := range history.Entries {
		if i >= len(training.Complaint(history).Entries) {
			t.Out.Hang(fmt.Sprintf("%3d. ", i), t.Speak.Entry(e))
		}
	}
	if t.over() {
		t.Out.Para("", "The practice in this log is over.")
	}
}

// hideByWish chooses the fault by the options.
func hideByWish(o practiceOptions, m *diagnose.Model, book *scoreBook, out *talk.Page) (int, error) {
	w, err := o.wish()
	if err != nil {
		return 0, err
	}
	if o.fresh {
		w.Not = training.Had(book.scores, m.Panel().Circuit.Title)
	}
	f, err := training.Hide(m, w, o.seed)
	if errors.Is(err, training.ErrNone) && len(w.Not) > 0 {
		w.Not = nil
		if f, again := training.Hide(m, w, o.seed); again == nil {
			out.Para("", "You have had every such fault of this circuit: they begin anew.")
			return f, nil
		}
	}
	return f, err
}

// greet says what there is and what is known.
func (t *trainee) greet() {
	c := t.Speak.Circuit
	t.Out.Parf("", "%s: %s, %s.", c.Title, talk.Count(len(c.Steps), "step"),
		talk.Count(len(t.Model.Faults()), "possible fault"))
	if c.About != "" {
		t.Out.Para("  ", c.About)
	}
	if t.origin != nil {
		t.Out.Para("", t.origin.source)
		for _, name := range t.origin.spelled {
			t.Out.Hang("  ", name+".")
		}
	}
	t.Out.Parf("", "%s Seed %d.", dialogue.SimulatedPanel(len(t.sitting().Hidden())), t.seed)
	t.Out.Para("", "The operation, each step from where the one before left the circuit:")
	for i := range c.Steps {
		t.Out.Hang("  "+t.Speak.Step(i).Mark(), t.Speak.Step(i).Work())
	}
	t.Out.Para("", "A start from rest begins with whole fuses: what blew before is replaced, unasked.")
	t.Reported()
	if t.file == nil {
		t.Out.Para("", "No log is kept. With --log FILE you can stop and go on later.")
	}
	t.Out.Blank()
}

// run goes from one act to the next until the practice is over.
func (t *trainee) run() error {
	if t.over() {
		return nil
	}
	err := t.logged.Run()
	t.fresh = t.over()
	return err
}

// over tells whether the practice has come to its end.
func (t *trainee) over() bool { return t.Guide.Over() }

// close ends a practice in whatever way it ended: the replay where it is over, else
// where it stands. The score, the picture and the machine form are written.
func (t *trainee) close(o practiceOptions, s streams, book *scoreBook, err error) error {
	if t.file != nil {
		defer t.file.Close()
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
	replay, playErr := training.Play(t.sitting(), t.by)
	if playErr != nil {
		return playErr
	}
	if t.over() {
		t.TellReplay(&replay)
		if t.fresh {
			book.keep(t.score(&replay), s)
		}
	}
	if o.picture != "" {
		if err := s.files.Write(o.picture,
			func(w io.Writer) error { return paper.DrawReplay(w, t.Speak, &replay, t.over()) }); err != nil {
			return saved(err, o.picture)
		}
		t.Out.Parf("", "The picture is in %s.", o.picture)
	}
	if o.sheet != "" {
		if err := s.files.Write(o.sheet, func(w io.Writer) error { return t.writeSheet(w, &replay) }); err != nil {
			return saved(err, o.sheet)
		}
		t.Out.Parf("", "The sheet is in %s.", o.sheet)
	}
	if o.json {
		if err := output(o.output, s,
			func(w io.Writer) error { return printJSON(w, t.result(&replay)) }); err != nil {
			return err
		}
	}
	return t.closing(o, err)
}

// stopped says where a practice stands that is not over.
func (t *trainee) stopped(o practiceOptions, why error) {
	t.Out.Blank()
	if errors.Is(why, io.EOF) {
		t.Out.Para("", "End of the input.")
	}
	t.Out.Para("", "The practice is not over, so the fault stays hidden and no score is kept.")
	if t.file != nil {
		t.Out.Parf("", "Go on with: %s", t.again(o))
	} else {
		t.Out.Parf("", "No log was kept; --log FILE keeps one. --seed %d hides the same fault again.", t.seed)
	}
}

// again is the command that goes on with the log.
func (t *trainee) again(o practiceOptions) string {
	what := o.circuit
	if o.published != "" {
		what = "--published " + o.published
	}
	return fmt.Sprintf("deadrung practice %s --log %s", what, t.file.Name())
}

// closing turns the end of a practice into the error of the command.
func (t *trainee) closing(o practiceOptions, err error) error {
	if errors.Is(err, talk.ErrInterrupted) && t.file != nil {
		return fmt.Errorf("interrupted; the log is safe in %s: go on with \"%s\"", t.file.Name(), t.again(o))
	}
	return closing(err, "", nil)
}
