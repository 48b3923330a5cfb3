// Package engine holds the sessions of a page in a browser. The page sends orders and is sent
// messages; what is asked, proposed and concluded comes from the one guided session, in the
// words of the dialogue, so the page has no logic of its own. The package knows no browser:
// a test drives it as the page does.
package engine

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// Engine holds at most one session at a time.
type Engine struct {
	post func(Message)
	now  func() time.Time

	mu      sync.Mutex // of what follows: orders may come while a session works
	stop    context.CancelFunc
	answers chan Order
	of      string               // the session that the page means
	held    *dialogue.Dialogue   // nil while there is no session
	drawn   *drawing.Drawing     // of the session's circuit
	wired   *connections.Picture // of it as well, once asked for

	bench   *bench
	waiting atomic.Bool // an answer is being taken in
}

// New is an engine that tells the page by post, which may be called from any goroutine.
func New(post func(Message), now func() time.Time) *Engine {
	e := &Engine{post: post, now: now}
	e.bench = &bench{waited: e.waiting.Load,
		tell: func(share float64) { post(Message{Kind: Working, Share: share}) }}
	return e
}

// Take takes an order, and soon returns. What comes of it is posted, some of it later.
func (e *Engine) Take(o Order) {
	switch o.Do {
	case Open:
		e.open(o)
	case Answer:
		e.mu.Lock()
		answers := e.answers
		e.mu.Unlock()
		if answers == nil {
			e.fail(errors.New("no session is open"))
			return
		}
		select {
		case answers <- o:
			e.waiting.Store(true)
		default: // the one before it is not taken in yet: a finger that tapped twice
		}
	case Draw:
		e.draw(o)
	case Report:
		go e.report() // which may wait
	case Read:
		e.read(o)
	case Complete:
		e.complete(o)
	case Sketch:
		e.sketch(o)
	case Wire:
		e.wire(o)
	case Ready:
		e.bench.likely(o.Circuits)
	case Leave:
		e.leave()
	case Tally:
		e.scores(o)
	default:
		e.fail(fmt.Errorf("the page asks for %q, which the engine does not know", talk.Shortened(string(o.Do))))
	}
}

func (e *Engine) fail(err error) { e.post(Message{Kind: Failed, Text: talk.Sentence(err.Error())}) }

// leave ends the session that is held.
func (e *Engine) leave() {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.stop != nil {
		e.stop()
	}
	e.stop, e.answers, e.held, e.drawn, e.wired = nil, nil, nil, nil, nil
	e.waiting.Store(false)
}

// open ends the session that is held and begins another.
func (e *Engine) open(o Order) {
	e.leave()
	ctx, stop := context.WithCancel(context.Background())
	e.mu.Lock()
	answers := make(chan Order, 1)
	e.stop, e.answers, e.of = stop, answers, o.Of
	e.mu.Unlock()
	go func() {
		hold := e.hold
		if o.Drill != "" {
			hold = e.drill
		}
		if err := hold(ctx, o, answers); err != nil && ctx.Err() == nil {
			e.fail(err)
		}
	}()
}

// posting posts what a session says, until it is left: the page may be in the same one again.
// What it keeps is posted even then.
func (e *Engine) posting(ctx context.Context, o Order) func(Message) {
	return func(m Message) {
		if ctx.Err() != nil && m.Kind != Kept && m.Kind != Scored {
			return
		}
		m.Of = o.Of
		e.post(m)
	}
}

// hold holds a session from its beginning to its end.
func (e *Engine) hold(ctx context.Context, o Order, answers chan Order) error {
	post := e.posting(ctx, o)
	e.bench.only(Circuit{o.Name, o.Text})
	j := e.bench.of(Circuit{o.Name, o.Text})
	if len(j.problems) > 0 {
		post(Message{Kind: Mistaken, Mistakes: mistakes(j.problems)})
		return nil
	}
	c := j.panel.Circuit
	m := diagnose.Bare(j.panel, j.faults, log.Rules{}) // what is wrong is asked while the faults are worked through
	history, problems := m.Book().ReadLog("the kept session", []byte(o.Log))
	if problems.Err() != nil {
		post(Message{Kind: Mistaken, Text: "log", Mistakes: mistakes(problems)})
		return nil
	}
	begun := o.Practice || len(history.Entries)+len(history.Acts)+len(history.Seen) > 0
	if begun {
		var err error
		if m, err = j.whole(ctx); err != nil {
			return err
		}
	}
	told := &teller{post: post}
	page := &talk.Page{Out: io.Discard, Columns: func() int { return 80 }, Take: told.take}
	ask := &asker{ctx: ctx, answers: answers, told: told, post: post, engine: e}
	d, err := dialogueOf(m, o, history, ask, page, e.now)
	if err != nil {
		return err
	}
	ask.d = d
	if !begun {
		d.Whole = func() (*diagnose.Model, error) { return j.whole(ctx) }
	}
	d.Keep = func(write func(io.Writer) error) error {
		var lines strings.Builder
		if err := write(&lines); err != nil {
			return err
		}
		post(Message{Kind: Kept, Lines: lines.String()})
		return nil
	}
	e.mu.Lock()
	if ctx.Err() != nil {
		e.mu.Unlock()
		return ctx.Err()
	}
	e.held, e.drawn, e.wired = d, d.Ladder(), nil
	e.mu.Unlock()
	opened := Message{Kind: Opened, Title: c.Title, Text: c.About}
	for _, s := range c.Steps {
		opened.Steps = append(opened.Steps, s.Name)
	}
	post(opened)
	e.draw(Order{Step: -1, IEC: o.IEC, Wired: o.Wired})
	if history.Whole == 0 {
		if err := d.Keep(m.Book().WriteHeader); err != nil {
			return err
		}
	}
	return e.run(d, o)
}

// run runs a session from its first words to its last.
func (e *Engine) run(d *dialogue.Dialogue, o Order) error {
	if !o.Practice {
		d.Out.Notice(talk.CautionOf(d.Model.Panel()))
		d.Opening("what was kept")
	}
	if err := d.Begin(); err != nil {
		return err
	}
	if o.Practice {
		d.Out.Para("", dialogue.SimulatedPanel(1))
		d.Reported()
	}
	before := d.Guide.Over() // its score was kept when it ended
	err := d.Run()
	switch {
	case errors.Is(err, talk.ErrInterrupted):
		return nil
	case err != nil && !errors.Is(err, dialogue.ErrStopped):
		return err
	}
	ask := d.Ask.(*asker)
	if o.Practice && d.Guide.Over() {
		replay, err := training.Play(d.Guide.Sitting(), d.Guide.Rules().By)
		if err != nil {
			return err
		}
		d.TellReplay(&replay)
		ask.told.flush()
		if !before {
			return e.ended(ask.post, d.Score(&replay, ""), d.Speak.Circuit.Title)
		}
	}
	ask.told.flush()
	ask.post(Message{Kind: Over, Title: d.Speak.Circuit.Title})
	return nil
}

// dialogueOf is the dialogue that is wanted, on a log that may be empty.
func dialogueOf(m *diagnose.Model, o Order, history log.Log, ask talk.Asker, page *talk.Page,
	now func() time.Time) (*dialogue.Dialogue, error) {
	if !o.Practice {
		return dialogue.New(guide.New(m, guide.Finding(diagnose.ByMinutes), history), ask, page, now), nil
	}
	var s *training.Sitting
	if len(history.Entries)+len(history.Acts) > 0 {
		var err error
		if s, err = training.Resumed(m, history); err != nil {
			return nil, err
		}
	} else {
		hidden, err := training.Hide(m, training.Wish{Level: training.Level(o.Level)}, o.Seed)
		if err != nil {
			return nil, err
		}
		s = training.NewSitting(m, hidden, o.Seed)
	}
	d := dialogue.New(guide.At(s, guide.Practising(diagnose.ByMinutes, guide.CoachAsked)), ask, page, now)
	d.Panel = func(q guide.Question) (training.Shown, error) { return d.Guide.Sitting().Show(*q.Check) }
	return d, nil
}

// report posts the session so far as a page to print.
func (e *Engine) report() {
	e.mu.Lock()
	d, of := e.held, e.of
	e.mu.Unlock()
	if d == nil {
		e.fail(errors.New("no session is open"))
		return
	}
	if d.Whole != nil { // the turn of a bare model says nothing
		m, err := d.Whole()
		if err != nil {
			e.fail(err)
			return
		}
		d = dialogue.New(d.Guide.On(m), d.Ask, d.Out, e.now)
	}
	title, caution, body := d.ReportHTML()
	e.post(Message{Kind: Reported, Of: of, Title: title, Text: caution, HTML: body})
}

func mistakes(problems circuits.Problems) []Mistake {
	var all []Mistake
	for i, p := range problems {
		if i == mostMistakes {
			break
		}
		all = append(all, Mistake{Line: p.Pos.Line, Column: p.Pos.Column, Width: p.Width, What: p.What, Hint: p.Hint,
			Warning: p.Warning})
	}
	return all
}

// mostMistakes is how many are told at once: a screen of them.
const mostMistakes = 20
