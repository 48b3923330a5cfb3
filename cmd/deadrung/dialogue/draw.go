package dialogue

import (
	"strings"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// Ladder is the drawing of the circuit, laid out when it is first asked for.
func (d *Dialogue) Ladder() *drawing.Drawing {
	if d.drawn == nil {
		d.drawn = drawing.New(d.Speak.Circuit)
	}
	return d.drawn
}

// drawCheck draws the rungs that a check is made on.
func (d *Dialogue) drawCheck(c log.Check) {
	ladder := d.Ladder()
	o := diagnose.Drawn(ladder, c)
	o.Rungs = diagnose.RungsOf(ladder, c)
	if len(o.Rungs) == 0 {
		d.Out.Para("  ", "It is on no rung of the drawing.")
		return
	}
	d.draw(o)
	for _, line := range connections.OnTheScrews(d.Speak.Circuit, o.Leads) {
		d.Out.Hang("  ", line)
	}
}

// drawPanel draws the circuit as it stands, with the leads of the last check, and what is in
// doubt where that may be told.
func (d *Dialogue) drawPanel() {
	ladder, sitting := d.Ladder(), d.Guide.Sitting()
	var o drawing.Options
	if at := sitting.Stand(); at.Off {
		o.State = ladder.Off(max(at.Step, 0))
	} else if at.Step >= 0 {
		o.State = ladder.At(at.Step)
	}
	history := d.Log()
	var last *log.Check
	if n := len(history.Entries); n > 0 {
		last = &history.Entries[n-1].Check
		o.Leads = diagnose.Drawn(ladder, *last).Leads
		d.Out.Blank()
		d.Out.Hang("Last check: ", d.Speak.Entry(history.Entries[n-1]))
	}
	var left []int
	if r := d.Guide.Rules(); r.Helps && r.Coach != guide.CoachAfter {
		left = d.Model.Left(history)
		o.Doubts = d.Model.Doubts(left)
	}
	var out int
	o.Rungs, out = d.Model.Around(ladder, last, left)
	d.draw(o)
	d.Out.Para("", talk.RungsNotDrawn(out))
}

// draw shows a drawing, and says what its signs are.
func (d *Dialogue) draw(o drawing.Options) {
	o.Columns, o.ASCII = d.Out.Columns(), d.ASCII
	d.Out.Blank()
	d.Out.Raw(d.Ladder().Text(o))
	signs := "═ is energised; * is operated or working."
	if o.ASCII {
		signs = "= is energised; * is operated or working."
	}
	switch {
	case o.State == nil:
		signs = ""
	case o.State.Off:
		signs = "* is held operated."
	}
	if len(o.Doubts) > 0 {
		signs += " ? is still in doubt: at a name the part, at a terminal its wire."
	}
	d.Out.Para("", strings.TrimSpace("A good circuit, "+o.State.Title()+". "+signs))
}
