package diagnose

import (
	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/diagnose/log"
)

// Drawn gives the options that mark a check on the drawing: its leads, and the good circuit in
// its step. With the power locked off nothing is energised.
func Drawn(d *drawing.Drawing, c log.Check) drawing.Options {
	var o drawing.Options
	for i, t := range c.Leads() {
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	step := max(d.Circuit.Step(c.Step), 0)
	if c.Kind() == log.Ohms {
		o.State = d.Off(step)
	} else {
		o.State = d.At(step)
	}
	return o
}

// Doubts are faults for the drawing to mark, each part and wire once. A load that may be open or
// shorted is in doubt between its ends, not at the contacts that it moves.
func (m *Model) Doubts(left []int) []drawing.Doubt {
	c := m.panel.Circuit
	doubts := make([]drawing.Doubt, 0, len(left))
	had := make(map[string]bool)
	for _, f := range left {
		fault := m.faults[f]
		e := fault.Effect
		part := e.Part()
		if had[part] {
			continue
		}
		had[part] = true
		d := drawing.Doubt{At: fault.Terminals(c), Wire: e.OfWires()}
		for _, load := range []string{e.OpenLoad, e.ShortedLoad, e.ShortedTurns, e.WrongCoil} {
			if v := c.Device(load); v != nil && len(v.Ends) > 1 {
				d.At = []circuits.Terminal{v.Terminal(v.Ends[0]), v.Terminal(v.Ends[1])}
			}
		}
		doubts = append(doubts, d)
	}
	return doubts
}
