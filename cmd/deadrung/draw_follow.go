package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
)

// followLog draws the circuit whenever its log has gone on, until Ctrl-C: the leads of the last
// check, the good circuit in its step, and what is still in doubt. Of a sitting in an exam it
// marks the leads alone.
func followLog(ctx context.Context, o drawOptions, s streams) error {
	ctx, stop := talk.Interruptible(ctx)
	defer stop()
	if err := s.files.Input(o.follow); err != nil {
		return err
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	p := m.Panel()
	d := drawing.New(p.Circuit)
	how, err := o.how(p, d, s)
	if err != nil {
		return err
	}
	return whenChanged(ctx, o.follow, func() error {
		text, err := os.ReadFile(o.follow)
		if err != nil {
			return fmt.Errorf("cannot read the log: %w", err)
		}
		history, problems := m.Book().ReadLog(o.follow, text)
		if problems.Err() != nil {
			return inputError{problems}
		}
		examined := (exam.Answers{Text: text}).Sitting() != ""
		marked, said := followed(m, d, how, history, examined)
		if o.output == "" && terminal(s.out) {
			fmt.Fprint(s.out, clearScreen)
		}
		return output(o.output, s, func(w io.Writer) error {
			if o.connect {
				return writeWired(w, p.Circuit, marked.Leads, o.svg, said)
			}
			if o.svg {
				_, err := w.Write(d.SVG(marked))
				return err
			}
			fmt.Fprintf(w, "%s\n%s\n\n%s\n", p.Circuit.Title, said, d.Text(marked))
			for _, line := range d.Legend(marked) {
				fmt.Fprint(w, talk.Wrapped("", "  ", line, marked.Columns))
			}
			return nil
		})
	})
}

// writeWired writes the connection diagram with the leads of the last check, as text those devices
// that they are on.
func writeWired(w io.Writer, c *circuits.Circuit, leads []drawing.Lead, svg bool, said string) error {
	if svg {
		_, err := w.Write(connections.New(c).SVG(connections.Options{Leads: leads}))
		return err
	}
	page := talk.NewPage(w)
	page.Para("", c.Title)
	page.Para("", said)
	page.Blank()
	for _, line := range connections.OnTheScrews(c, leads) {
		page.Hang("  ", line)
	}
	return nil
}

// followed marks a drawing with where a log stands, and says it.
func followed(m *diagnose.Model, d *drawing.Drawing, o drawing.Options, history log.Log, examined bool) (drawing.Options, string) {
	said := "Nothing is checked yet."
	var at *log.Check // the last one
	for i, e := range history.Entries {
		if e.Repaired { // what was read before the repair no longer counts
			history.Entries = history.Entries[i:]
			break
		}
	}
	if n := len(history.Entries); n > 0 {
		last := history.Entries[n-1]
		marked := diagnose.Drawn(d, last.Check)
		at, o.Leads, o.State = &last.Check, marked.Leads, marked.State
		said = "Last: " + talk.NewSpeaker(m).Entry(last)
	}
	if examined {
		if len(o.Rungs) == 0 {
			o.Rungs, _ = m.Around(d, at, nil)
		}
		return o, said
	}
	left := m.Left(history)
	o.Doubts = m.Doubts(left)
	if len(o.Rungs) == 0 {
		o.Rungs, _ = m.Around(d, at, left)
	}
	return o, fmt.Sprintf("%s. Still possible: %s in %s.", said, talk.Count(len(left), "fault"), talk.Count(m.Groups(left), "group"))
}
