package main

import (
	"io"
	"slices"

	"deadrung/circuits/drawing"
	"deadrung/diagnose/log"
)

// ladder is the drawing of the circuit, laid out when it is first asked for.
func (d *dialogue) ladder() *drawing.Drawing {
	if d.drawn == nil {
		d.drawn = drawing.New(d.speak.Circuit)
	}
	return d.drawn
}

// markedFor gives the options that mark a check on the drawing: its leads, and the good
// circuit in its step. With the power locked off nothing is energised.
func (d *dialogue) markedFor(c log.Check) drawing.Options {
	var o drawing.Options
	for i, t := range c.Volts {
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	for i, t := range c.Ohms {
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	step := max(d.speak.Circuit.Step(c.Step), 0)
	if c.Kind() == log.Ohms {
		o.State = d.ladder().Off(step)
	} else {
		o.State = d.ladder().At(step)
	}
	return o
}

// drawCheck draws the rungs that a check is made on.
func (d *dialogue) drawCheck(c log.Check) {
	ladder := d.ladder()
	o := d.markedFor(c)
	for _, l := range o.Leads {
		o.Rungs = append(o.Rungs, ladder.Of(l.Terminal))
	}
	if c.Kind() == log.Look {
		o.Rungs = append(o.Rungs, ladder.OfLoad(d.speak.Circuit.Device(c.Look)))
	}
	o.Rungs = slices.DeleteFunc(o.Rungs, func(r int) bool { return r == 0 })
	if len(o.Rungs) == 0 {
		d.out.Para("  ", "It is on no rung of the drawing.")
		return
	}
	o.Columns, o.ASCII = d.out.Columns(), d.ascii
	d.out.Blank()
	d.out.Raw(ladder.Text(o))
	signs := "═ is energised; * is operated or working."
	if o.ASCII {
		signs = "= is energised; * is operated or working."
	}
	if o.State.Off {
		signs = "* is held operated."
	}
	d.out.Para("", "A good circuit, "+o.State.Title()+". "+signs)
}

// follow rewrites the file of --follow: the whole drawing, with the check that is asked for.
// A file that cannot be written is told once, and does not end the session.
func (d *dialogue) follow(c *log.Check) {
	if d.following == "" {
		return
	}
	var o drawing.Options
	if c != nil {
		o = d.markedFor(*c)
	}
	o.Foot = footCaution
	if err := d.files.Write(d.following, d.drawingOf(o)); err != nil {
		d.out.Parf("", "The drawing cannot be written and is not renewed any more: %v.", err)
		d.following = ""
	}
}

// drawingOf writes the whole drawing.
func (d *dialogue) drawingOf(o drawing.Options) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(d.ladder().SVG(o))
		return err
	}
}
