// Package dialogue holds a guided session with a person: what the session asks is put into
// words, what is answered is handed in, and what came of it is told. It knows no screen and no
// file: an Asker of package talk asks, a Page shows, and whoever holds the dialogue keeps the
// lines of its log.
package dialogue

import (
	"errors"
	"io"
	"time"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// Dialogue holds a guided session with a person: it puts what the session asks into words,
// hands the answers in, keeps the lines of the log and tells what came of it. It is the
// same for every way of asking: on a terminal, in a pipe, on a page.
type Dialogue struct {
	Guide guide.Session
	Model *diagnose.Model
	Speak *talk.Speaker
	Ask   talk.Asker
	Out   *talk.Page
	Now   func() time.Time

	// Keep keeps lines of the log before anything is told; nil where no log is kept.
	Keep func(write func(io.Writer) error) error
	// Panel answers what the person does not.
	Panel func(guide.Question) (training.Shown, error)
	// Away tells of an error of the panel whether it has not answered, and may be asked again.
	Away func(error) bool
	// Clock tells how much time there is; nil where it does not matter.
	Clock func() string
	// Follow draws the check that is asked for, or none; nil where nobody watches the drawing.
	Follow func(*log.Check)
	ASCII  bool // drawings without line-drawing characters

	// Case tells where the fault of a practice is from, once it is over; none if empty.
	Case string

	// Whole gives the model that a search needs, where the session was begun on a bare one; nil
	// from then on.
	Whole func() (*diagnose.Model, error)

	rated  bool // the difficulty has been worked out
	rating *training.Difficulty

	unread  int    // lines of cautions on the screen that wait to be acknowledged
	doubted string // a reading that was asked about
	// ahead is what was typed behind the word of a choice: the answer to the next question.
	ahead string
	drawn *drawing.Drawing // nil until it is asked for
}

// New is a dialogue that holds a session.
func New(s guide.Session, ask talk.Asker, out *talk.Page, now func() time.Time) *Dialogue {
	return &Dialogue{Guide: s, Model: s.Model(), Speak: talk.NewSpeaker(s.Model()), Ask: ask, Out: out, Now: now}
}

// ErrStopped ends a session that the person has stopped.
var ErrStopped = errors.New("stopped")

// Begin begins the session, or goes on with its log.
func (d *Dialogue) Begin() error {
	var next guide.Session
	var told []guide.Event
	var err error
	talk.Patiently(d.Out.Out, func() { next, told, err = d.Guide.Begin(d.At()) })
	return d.took(next, told, err)
}

// Run asks and answers until the session is over. It ends with nil, ErrStopped,
// talk.ErrInterrupted, io.EOF or the failure of the log.
func (d *Dialogue) Run() error {
	for !d.Guide.Over() {
		a, err := d.answer(d.Guide.Ask())
		if err != nil {
			return err
		}
		if a.Take == "stop" {
			return ErrStopped
		}
		if err := d.Take(a); err != nil {
			return err
		}
	}
	return nil
}

// Take hands an answer in.
func (d *Dialogue) Take(a guide.Answer) error {
	a.At = d.At()
	if d.Whole != nil && d.Guide.Searches(a) {
		m, err := d.Whole()
		if err != nil {
			return err
		}
		d.Guide, d.Model, d.Speak, d.Whole = d.Guide.On(m), m, talk.NewSpeaker(m), nil
	}
	var next guide.Session
	var told []guide.Event
	var err error
	talk.Patiently(d.Out.Out, func() { next, told, err = d.Guide.Answer(a) })
	return d.took(next, told, err)
}

// took keeps what is to be kept, and tells the rest. An answer that cannot be kept is not
// taken in.
func (d *Dialogue) took(next guide.Session, told []guide.Event, err error) error {
	if err != nil {
		return err
	}
	before := d.Guide
	d.Guide = next
	for _, e := range told {
		if e.Kind != guide.Keep {
			d.tell(e)
			continue
		}
		if d.Keep == nil {
			continue
		}
		if err := d.Keep(func(w io.Writer) error {
			_, err := w.Write(e.Lines)
			return err
		}); err != nil {
			d.Guide = before
			return err
		}
	}
	d.acknowledged()
	return nil
}

// At is the time of a line of the log.
func (d *Dialogue) At() string { return d.Now().Format(time.RFC3339) }

// Log is what was answered so far.
func (d *Dialogue) Log() log.Log { return d.Guide.Log() }

// Turn is what the log leaves possible, and what to do next.
func (d *Dialogue) Turn() *diagnose.Turn { return d.Guide.Turn() }

// answer has a question answered, by the panel or by the person. What was typed ahead is
// the answer to the first question after it.
func (d *Dialogue) answer(q guide.Question) (guide.Answer, error) {
	if q.Panel {
		shown, err := d.Panel(q)
		if err != nil && d.Away != nil && d.Away(err) {
			d.Out.Para("  ", talk.Sentence(err.Error()))
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
			typed, i, err = d.Ask.Line(asked.Question)
		} else {
			i, err = d.Ask.Choose(asked.Question)
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
