package engine

import (
	"context"
	"strings"
	"sync/atomic"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// teller gathers what a session tells until the page has to show it.
type teller struct {
	post   func(Message)
	pieces []talk.Piece
}

func (t *teller) take(p talk.Piece) { t.pieces = append(t.pieces, p) }

func (t *teller) flush() {
	if len(t.pieces) > 0 {
		t.post(Message{Kind: Told, Pieces: t.pieces})
		t.pieces = nil
	}
}

// asker asks on the page, and waits for its answers.
type asker struct {
	ctx     context.Context
	answers chan Order
	told    *teller
	post    func(Message)
	engine  *Engine
	d       *dialogue.Dialogue
	drill   *training.Run // in place of d
	ahead   []string      // typed, for the questions that follow
}

// Choose has one of the choices taken.
func (a *asker) Choose(q talk.Question) (int, error) {
	_, i, err := a.ask(q)
	return i, err
}

// Line has a line typed, or one of the choices taken. What is answered in a drill is kept, and
// answered again where the drill goes on.
func (a *asker) Line(q talk.Question) (string, int, error) {
	again := len(a.ahead) > 0
	text, i, err := a.ask(q)
	kept := text
	if i >= 0 {
		kept = q.Choices[i].Word
	}
	if a.drill != nil && err == nil && !again {
		a.post(Message{Kind: Kept, Lines: kept + "\n"})
	}
	return text, i, err
}

func (a *asker) ask(q talk.Question) (string, int, error) {
	for first := true; ; first = false {
		if len(a.ahead) > 0 {
			typed := a.ahead[0]
			a.ahead = a.ahead[1:]
			if text, i, ok := a.typed(q, typed); ok {
				return text, i, nil
			}
			a.ahead = nil
		}
		a.told.flush()
		if first {
			a.post(Message{Kind: Asking, Asked: a.asked(q)})
		}
		o, err := a.next()
		if err != nil {
			return "", -1, err
		}
		if o.Choice != nil && *o.Choice >= 0 && *o.Choice < len(q.Choices) {
			return "", *o.Choice, nil
		}
		if a.ahead = o.Then; len(o.Then) > 0 {
			continue
		}
		if text, i, ok := a.typed(q, o.Text); ok {
			return text, i, nil
		}
	}
}

// next waits for an answer. Meanwhile it is worked out what comes after each that is to be
// expected.
func (a *asker) next() (Order, error) {
	a.engine.waiting.Store(false)
	answered := new(atomic.Bool)
	defer answered.Store(true)
	if a.d != nil {
		go a.foresee(a.d.Guide, a.d.Whole, func() bool {
			a.engine.bench.breath.take()
			return answered.Load() || a.ctx.Err() != nil
		})
	}
	select {
	case o := <-a.answers:
		return o, nil
	case <-a.ctx.Done():
		select {
		case o := <-a.answers: // given before the session was left
			return o, nil
		default:
			return Order{}, talk.ErrInterrupted
		}
	}
}

// foresee works out what a session comes to next; whole gives its model where it has a bare one.
func (a *asker) foresee(s guide.Session, whole func() (*diagnose.Model, error), answered func() bool) {
	if whole != nil {
		m, err := whole()
		if err != nil {
			return
		}
		s = s.On(m)
	}
	s.Foresee(answered)
}

// typed takes what was typed: a choice by its word, or text where there is some to type.
func (a *asker) typed(q talk.Question, typed string) (string, int, bool) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return "", -1, false
	}
	if i := talk.Matching(typed, q.Choices); i >= 0 {
		return "", i, true
	}
	if q.Typed != "" {
		return typed, -1, true
	}
	a.d.Out.Para("", talk.Sentence("\""+talk.Shortened(typed)+"\" is not one of the answers"))
	return "", -1, false
}

// Rows is how many lines fit above a question: a page scrolls.
func (a *asker) Rows() int { return 1 << 20 }

// Acknowledge waits until the cautions that were told are acknowledged.
func (a *asker) Acknowledge() {
	a.told.flush()
	a.post(Message{Kind: Asking, Asked: &Asked{Wait: true, Step: -1, Text: "Read this first. Is it done?",
		Choices: []Choice{{Word: "ok", Text: "ok, done"}}}})
	if _, err := a.next(); err != nil {
		a.ahead = nil // the question that follows ends with it
	}
}

// asked is a question as the page shows it.
func (a *asker) asked(q talk.Question) *Asked {
	out := &Asked{Text: q.Text, Typed: q.Typed, Help: q.MenuHelp(), Choices: []Choice{}, Step: -1}
	for _, c := range q.Choices {
		out.Choices = append(out.Choices, Choice{Word: c.Word, Text: c.Text, Rare: c.Rare})
	}
	if a.drill != nil {
		out.Drill = drilled(a.drill)
		return out
	}
	stands := a.d.Guide.Ask()
	out.Place = stands.Ask
	out.Diodes = len(a.d.Model.Panel().DiodeConductors()) > 0
	if c := stands.Check; c != nil {
		out.Check = c
		if out.Red, out.Black = leads(*c); c.Kind() == log.Look {
			out.Look = strings.TrimSpace(c.Look + " " + c.Part)
			out.Heard = a.d.Speak.LookOf(*c).Heard
		}
		if stands.Wants == guide.AReading && c.Kind() != log.Look {
			out.Reading = c.Kind().String()
		}
		out.Step, out.Off = a.d.Speak.Circuit.Step(c.Step), c.Kind().Off()
	} else if sit := a.d.Guide.Sitting(); sit != nil {
		out.Step, out.Off = stands.Stand.Step, stands.Stand.Off
	}
	if a.d.Guide.Rules().Proposes && stands.Ask != guide.Complaint && stands.Ask != guide.WrongIn {
		t := a.d.Turn()
		out.Doubt, out.Left = doubt(a.d.Model, t), talk.Remaining(t)
	}
	return out
}
