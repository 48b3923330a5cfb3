package dialogue

import (
	"slices"

	"deadrung/circuits/drawing"
	"deadrung/diagnose/log"
)

// Ladder is the drawing of the circuit, laid out when it is first asked for.
func (d *Dialogue) Ladder() *drawing.Drawing {
	if d.drawn == nil {
		d.drawn = drawing.New(d.Speak.Circuit)
	}
	return d.drawn
}

// Marked gives the options that mark a check on the drawing: its leads, and the good
// circuit in its step. With the power locked off nothing is energised.
func (d *Dialogue) Marked(c log.Check) drawing.Options {
	var o drawing.Options
	for i, t := range c.Volts {
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	for i, t := range c.Ohms {
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	step := max(d.Speak.Circuit.Step(c.Step), 0)
	if c.Kind() == log.Ohms {
		o.State = d.Ladder().Off(step)
	} else {
		o.State = d.Ladder().At(step)
	}
	return o
}

// drawCheck draws the rungs that a check is made on.
func (d *Dialogue) drawCheck(c log.Check) {
	ladder := d.Ladder()
	o := d.Marked(c)
	for _, l := range o.Leads {
		o.Rungs = append(o.Rungs, ladder.Of(l.Terminal))
	}
	if c.Kind() == log.Look {
		o.Rungs = append(o.Rungs, ladder.OfLoad(d.Speak.Circuit.Device(c.Look)))
	}
	o.Rungs = slices.DeleteFunc(o.Rungs, func(r int) bool { return r == 0 })
	if len(o.Rungs) == 0 {
		d.Out.Para("  ", "It is on no rung of the drawing.")
		return
	}
	o.Columns, o.ASCII = d.Out.Columns(), d.ASCII
	d.Out.Blank()
	d.Out.Raw(ladder.Text(o))
	signs := "═ is energised; * is operated or working."
	if o.ASCII {
		signs = "= is energised; * is operated or working."
	}
	if o.State.Off {
		signs = "* is held operated."
	}
	d.Out.Para("", "A good circuit, "+o.State.Title()+". "+signs)
}
