package dialogue

import (
	"slices"
	"strings"

	"deadrung/circuits/drawing"
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
	d.draw(o)
}

// drawWhole is up to how many rungs a drawing is shown whole; of a longer one those of the last
// check, and those where something is in doubt while they are no more.
const drawWhole = 14

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
	if n := len(history.Entries); n > 0 {
		last := history.Entries[n-1].Check
		o.Leads = diagnose.Drawn(ladder, last).Leads
		d.Out.Blank()
		d.Out.Hang("Last check: ", d.Speak.Entry(history.Entries[n-1]))
	}
	if r := d.Guide.Rules(); r.Helps && r.Coach != guide.CoachAfter {
		o.Doubts = d.Model.Doubts(d.Model.Left(history))
	}
	if len(ladder.Rungs) > drawWhole {
		o.Rungs = rungsOf(ladder, o)
	}
	d.draw(o)
}

// rungsOf are the rungs on which something is marked; all where nothing is.
func rungsOf(ladder *drawing.Drawing, o drawing.Options) []int {
	var leads, doubts []int
	for _, l := range o.Leads {
		leads = append(leads, ladder.Of(l.Terminal))
	}
	for _, x := range o.Doubts {
		for _, t := range x.At {
			doubts = append(doubts, ladder.Of(t))
		}
	}
	clean := func(rungs []int) []int {
		slices.Sort(rungs)
		return slices.DeleteFunc(slices.Compact(rungs), func(r int) bool { return r == 0 })
	}
	if all := clean(append(doubts, leads...)); len(all) <= drawWhole {
		return all
	}
	return clean(leads)
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
