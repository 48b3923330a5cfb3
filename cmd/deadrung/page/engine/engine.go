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
	"time"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Engine holds at most one session at a time.
type Engine struct {
	post func(Message)
	now  func() time.Time

	mu      sync.Mutex // of what follows: orders may come while a session works
	stop    context.CancelFunc
	answers chan Order
	held    *dialogue.Dialogue // nil while there is no session
	drawn   *drawing.Drawing   // of the session's circuit

	making   sync.Mutex      // held while a model is made
	last     *diagnose.Model // of the circuit that was opened last
	lastText string
}

// New is an engine that tells the page by post, which may be called from any goroutine.
func New(post func(Message), now func() time.Time) *Engine {
	return &Engine{post: post, now: now}
}

// Take takes an order. What comes of it is posted, some of it later.
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
		default: // the one before it is not taken in yet: a finger that tapped twice
		}
	case Draw:
		e.draw(o)
	case Report:
		e.report()
	case Read:
		e.read(o)
	case Ready:
		go e.ready(o)
	default:
		e.fail(fmt.Errorf("the page asks for %q, which the engine does not know", talk.Shortened(string(o.Do))))
	}
}

func (e *Engine) fail(err error) { e.post(Message{Kind: Failed, Text: talk.Sentence(err.Error())}) }

// open ends the session that is held and begins another.
func (e *Engine) open(o Order) {
	ctx, stop := context.WithCancel(context.Background())
	e.mu.Lock()
	if e.stop != nil {
		e.stop()
	}
	answers := make(chan Order, 1)
	e.stop, e.answers, e.held, e.drawn = stop, answers, nil, nil
	e.mu.Unlock()
	go func() {
		if err := e.hold(ctx, o, answers); err != nil && ctx.Err() == nil {
			e.fail(err)
		}
	}()
}

// hold holds a session from its beginning to its end.
func (e *Engine) hold(ctx context.Context, o Order, answers chan Order) error {
	p, problems := panelOf(o)
	if len(problems) > 0 {
		e.post(Message{Kind: Mistaken, Mistakes: mistakes(problems)})
		return nil
	}
	c := p.Circuit
	m, err := e.modelOf(ctx, p, o.Text)
	if err != nil {
		return err
	}
	history, problems := m.Book().ReadLog("the kept session", []byte(o.Log))
	if problems.Err() != nil {
		e.post(Message{Kind: Mistaken, Text: "log", Mistakes: mistakes(problems)})
		return nil
	}
	told := &teller{post: e.post}
	page := &talk.Page{Out: io.Discard, Columns: func() int { return 80 }, Take: told.take}
	ask := &asker{ctx: ctx, answers: answers, told: told, post: e.post}
	d, err := dialogueOf(m, o, history, ask, page, e.now)
	if err != nil {
		return err
	}
	ask.d = d
	d.Keep = func(write func(io.Writer) error) error {
		var lines strings.Builder
		if err := write(&lines); err != nil {
			return err
		}
		e.post(Message{Kind: Kept, Lines: lines.String()})
		return nil
	}
	e.mu.Lock()
	if ctx.Err() != nil {
		e.mu.Unlock()
		return ctx.Err()
	}
	e.held, e.drawn = d, d.Ladder()
	e.mu.Unlock()
	opened := Message{Kind: Opened, Title: c.Title, Text: c.About}
	for _, s := range c.Steps {
		opened.Steps = append(opened.Steps, s.Name)
	}
	e.post(opened)
	e.draw(Order{Step: -1, IEC: o.IEC})
	if history.Whole == 0 {
		if err := d.Keep(m.Book().WriteHeader); err != nil {
			return err
		}
	}
	return e.run(d, o, history)
}

// panelOf reads the circuit of an order, which must do what its text says; else it tells what is
// wrong.
func panelOf(o Order) (*work.Panel, circuits.Problems) {
	c, problems := read.Read(o.Name, []byte(o.Text))
	if problems.Err() != nil {
		return nil, problems
	}
	p := work.Assemble(c)
	return p, p.Verify([]byte(o.Text))
}

// modelOf works through the faults of a panel, or gives what it worked out before for the same
// text.
func (e *Engine) modelOf(ctx context.Context, p *work.Panel, text string) (*diagnose.Model, error) {
	e.making.Lock() // what is being made already is waited for
	defer e.making.Unlock()
	e.mu.Lock()
	m, of := e.last, e.lastText
	e.mu.Unlock()
	if m != nil && of == text {
		return m, nil
	}
	m, err := diagnose.New(ctx, p, faultmodel.List(p, faultmodel.Options{}), diagnose.Options{Progress: e.progress()})
	if err == nil {
		e.mu.Lock()
		e.last, e.lastText = m, text
		e.mu.Unlock()
	}
	return m, err
}

// ready works a circuit through before it is opened. Mistakes are told when it is.
func (e *Engine) ready(o Order) {
	if p, problems := panelOf(o); len(problems) == 0 {
		if m, err := e.modelOf(context.Background(), p, o.Text); err == nil {
			m.Turn(log.Log{}, diagnose.Choosing{By: diagnose.ByMinutes}) // which is remembered
		}
	}
}

// run runs a session from its first words to its last.
func (e *Engine) run(d *dialogue.Dialogue, o Order, history log.Log) error {
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
	err := d.Run()
	switch {
	case errors.Is(err, talk.ErrInterrupted):
		return nil
	case err != nil && !errors.Is(err, dialogue.ErrStopped):
		return err
	}
	if o.Practice && d.Guide.Over() {
		replay, err := training.Play(d.Guide.Sitting(), d.Guide.Rules().By)
		if err != nil {
			return err
		}
		d.TellReplay(&replay)
	}
	d.Ask.(*asker).told.flush()
	e.post(Message{Kind: Over, Title: d.Speak.Circuit.Title})
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

// progress posts how far a model is made, a few times a second.
func (e *Engine) progress() *diagnose.Progress {
	p := &diagnose.Progress{}
	var last time.Time
	var mu sync.Mutex
	p.Told = func() {
		mu.Lock()
		defer mu.Unlock()
		if now := e.now(); now.Sub(last) > 200*time.Millisecond {
			last = now
			e.post(Message{Kind: Working, Share: p.Share()})
		}
	}
	return p
}

// report posts the session so far as a page to print.
func (e *Engine) report() {
	e.mu.Lock()
	d := e.held
	e.mu.Unlock()
	if d == nil {
		e.fail(errors.New("no session is open"))
		return
	}
	title, caution, body := d.ReportHTML()
	e.post(Message{Kind: Reported, Title: title, Text: caution, HTML: body})
}

// read posts the mistakes of a circuit file that somebody writes, and its drawing where it has
// no error.
func (e *Engine) read(o Order) {
	c, problems := read.Read(o.Name, []byte(o.Text))
	m := Message{Kind: Checked, Mistakes: mistakes(problems)}
	if problems.Err() == nil {
		p := work.Assemble(c)
		m.Title = c.Title
		m.Mistakes = append(m.Mistakes, mistakes(p.Verify([]byte(o.Text)))...)
		m.Drawn = drawnOf(drawing.New(c), p, Order{Step: -1, IEC: o.IEC})
	}
	e.post(m)
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
