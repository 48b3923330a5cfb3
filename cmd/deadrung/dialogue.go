package main

import (
	"errors"
	"io"
	"os"
	"time"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// dialogue holds a guided session with a person: it puts what the session asks into words,
// hands the answers in, keeps the lines of the log and tells what came of it. It is the
// same for every way of asking.
type dialogue struct {
	guide guide.Session
	m     *diagnose.Model
	speak *talk.Speaker
	ask   talk.Asker
	out   *talk.Page
	now   func() time.Time

	file *logFile // nil where no log is kept
	// keep writes lines of the log; nil where none is kept. See kept.
	own  bool // the log is one in the user's state directory
	keep func(write func(io.Writer) error) error
	// elsewhereIn gives the file of a log in another folder, made ready; nil where a log is
	// moved to any file.
	elsewhereIn func(folder string) (string, error)
	// panel answers what the person does not.
	panel   func(guide.Question) (training.Shown, error)
	clock   func() string // how much time there is; nil where it does not matter
	unread  int           // lines of cautions on the screen that wait to be acknowledged
	doubted string        // a reading that was asked about
	// ahead is what was typed behind the word of a choice: the answer to the next question.
	ahead string

	files     *disk.Files
	ascii     bool             // drawings without line-drawing characters
	drawn     *drawing.Drawing // nil until it is asked for
	following string           // the file of --follow; none if empty
}

func newDialogue(s guide.Session, ask talk.Asker, out *talk.Page, now func() time.Time) *dialogue {
	return &dialogue{guide: s, m: s.Model(), speak: talk.NewSpeaker(s.Model()), ask: ask, out: out, now: now, ascii: !talk.UTF8(os.Getenv)}
}

// errStopped ends a session that the person has stopped.
var errStopped = errors.New("stopped")

// begin begins the session, or goes on with its log.
func (d *dialogue) begin() error {
	var next guide.Session
	var told []guide.Event
	var err error
	talk.Patiently(d.out.Out, func() { next, told, err = d.guide.Begin(d.at()) })
	return d.took(next, told, err)
}

// run asks and answers until the session is over. It ends with nil, errStopped,
// talk.ErrInterrupted, io.EOF or the failure of the log.
func (d *dialogue) run() error {
	for !d.guide.Over() {
		a, err := d.answer(d.guide.Ask())
		if err != nil {
			return err
		}
		if a.Take == "stop" {
			return errStopped
		}
		if err := d.take(a); err != nil {
			return err
		}
	}
	return nil
}

// take hands an answer in.
func (d *dialogue) take(a guide.Answer) error {
	a.At = d.at()
	var next guide.Session
	var told []guide.Event
	var err error
	talk.Patiently(d.out.Out, func() { next, told, err = d.guide.Answer(a) })
	return d.took(next, told, err)
}

// took keeps what is to be kept, and tells the rest. An answer that cannot be kept is not
// taken in.
func (d *dialogue) took(next guide.Session, told []guide.Event, err error) error {
	if err != nil {
		return err
	}
	before := d.guide
	d.guide = next
	for _, e := range told {
		if e.Kind != guide.Keep {
			d.tell(e)
			continue
		}
		if d.keep == nil {
			continue
		}
		if err := d.kept(func(w io.Writer) error {
			_, err := w.Write(e.Lines)
			return err
		}); err != nil {
			d.guide = before
			return err
		}
	}
	d.acknowledged()
	return nil
}

// at is the time of a line of the log.
func (d *dialogue) at() string { return d.now().Format(time.RFC3339) }

// log is what was answered so far.
func (d *dialogue) log() log.Log { return d.guide.Log() }

// turn is what the log leaves possible, and what to do next.
func (d *dialogue) turn() *diagnose.Turn { return d.guide.Turn() }

// answer has a question answered, by the panel or by the person. What was typed ahead is
// the answer to the first question after it.
func (d *dialogue) answer(q guide.Question) (guide.Answer, error) {
	if q.Panel {
		shown, err := d.panel(q)
		if unanswered(err) {
			d.out.Para("  ", talk.Sentence(err.Error()))
			return guide.Take("return"), nil
		}
		return guide.Answer{Shown: &shown}, err
	}
	ahead := d.ahead
	if d.ahead = ""; ahead != "" && q.Ask != guide.Act && q.Ask != guide.Check {
		if a, ok := d.typed(q, ahead); ok {
			return a, nil
		}
	}
	about := ""
	asked := d.question(q, &about)
	for {
		typed, i := "", 0
		var err error
		if asked.Typed != "" {
			typed, i, err = d.ask.Line(asked.Question)
		} else {
			i, err = d.ask.Choose(asked.Question)
		}
		if err != nil {
			return guide.Answer{}, err
		}
		if i >= 0 {
			a := asked.answers[i]
			if a.About = about; q.Ask == guide.Act || a.Take == "seen" || a.Take == "note" {
				d.ahead = about
			}
			return a, nil
		}
		if a, ok := d.typed(q, typed); ok {
			return a, nil
		}
	}
}

// ending tells where a session stands that ends before its verdict is proved.
func (d *dialogue) ending(circuit string, why error) {
	d.out.Blank()
	if errors.Is(why, io.EOF) {
		d.out.Para("", "End of the input.")
	}
	if at := d.guide.State().At; at != guide.Complaint && at != guide.Unbegun &&
		(at != guide.WrongIn || d.guide.State().Repaired) {
		d.out.Parf("", "Still possible: %s.", talk.Remaining(d.turn()))
		d.chances(5)
	}
	if d.guide.Stand().Locked {
		d.out.Para("",
			"The power is locked off: leave it so, with your tag on it, or bring it back in the usual order.")
	}
	switch {
	case errors.Is(why, talk.ErrInterrupted): // the error says where the log is
	case d.file != nil && len(d.log().Entries)+len(d.log().Seen) == 0 && d.own:
		d.out.Para("", "No answer was given, so no log is kept.")
	case d.file != nil:
		d.out.Parf("", "The log %s holds every answer. Go on with: deadrung find %s --log %s",
			d.file.Name(), circuit, d.file.Name())
	default:
		d.out.Para("", "No log was kept; --log FILE keeps one.")
	}
}
