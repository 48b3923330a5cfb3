package engine

import (
	"errors"

	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/circuits/sketch"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
)

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
		m.Rungs = c.Rungs != nil
	}
	if l, err := sketch.Read([]byte(o.Text)); err == nil {
		m.Ladder = l
	} else {
		m.Text = talk.Sentence(err.Error()) // why nothing is sketched
	}
	e.post(m)
}

// complete posts the words that may stand at a place of a file that somebody writes.
func (e *Engine) complete(o Order) {
	words, typed := read.Complete([]byte(o.Text), o.At)
	m := Message{Kind: Completed, At: o.At - typed, Words: words}
	e.post(m)
}

// sketch posts the file with a change of its rungs.
func (e *Engine) sketch(o Order) {
	if o.Edit == nil {
		return
	}
	text, err := sketch.Change([]byte(o.Text), *o.Edit)
	if err != nil {
		e.fail(err)
		return
	}
	e.post(Message{Kind: Written, Text: string(text)})
}

// wire posts the file with the wires that its rungs make.
func (e *Engine) wire(o Order) {
	c, problems := read.Read(o.Name, []byte(o.Text))
	if problems.Err() != nil {
		e.post(Message{Kind: Checked, Mistakes: mistakes(problems)})
		return
	}
	text, ok := read.WiredInPlace([]byte(o.Text), c, drawing.New(c).OfItem)
	if !ok {
		e.fail(errors.New("there is nowhere to write the wires: put rungs, wires and through on lines of their own"))
		return
	}
	e.post(Message{Kind: Written, Text: string(text)})
}
