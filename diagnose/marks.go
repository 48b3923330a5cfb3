package diagnose

import (
	"cmp"
	"maps"
	"slices"

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
	if c.Kind().Off() {
		o.State = d.Off(step)
	} else {
		o.State = d.At(step)
	}
	return o
}

// RungsOf are the rungs that a check is made on; none where it is on none of the drawing.
func RungsOf(d *drawing.Drawing, c log.Check) []int {
	var rungs []int
	for _, t := range c.Leads() {
		rungs = append(rungs, d.Of(t))
	}
	if device := d.Circuit.Device(c.Look); device != nil {
		rungs = append(rungs, d.OfLoad(device))
	}
	slices.Sort(rungs)
	return slices.DeleteFunc(slices.Compact(rungs), func(r int) bool { return r == 0 })
}

// MostRungs is up to how many rungs a drawing is shown whole while somebody works at it: what is
// longer does not go on a screen. Common practice, no source.
const MostRungs = 14

// Around chooses the rungs to show of a drawing that is longer than [MostRungs]: those of the last
// check, if there is one, and those where faults are still possible, the likeliest first, while
// there is room. Out is how many doubtful rungs are not among them. No rungs stand for all.
func (m *Model) Around(d *drawing.Drawing, last *log.Check, left []int) (rungs []int, out int) {
	if len(d.Rungs) <= MostRungs {
		return nil, 0
	}
	if last != nil {
		rungs = RungsOf(d, *last)
	}
	odds := make(map[int]float64) // by rung
	for _, f := range left {
		for _, x := range m.Doubts([]int{f}) {
			var at []int
			for _, t := range x.At {
				if r := d.Of(t); r > 0 && !slices.Contains(at, r) {
					at = append(at, r)
				}
			}
			for _, r := range at {
				odds[r] += m.faults[f].Prior / float64(len(at))
			}
		}
	}
	for _, r := range rungs {
		delete(odds, r)
	}
	doubtful := slices.SortedFunc(maps.Keys(odds), func(a, b int) int {
		return cmp.Or(cmp.Compare(odds[b], odds[a]), a-b)
	})
	room := min(len(doubtful), max(0, MostRungs-len(rungs)))
	rungs = append(rungs, doubtful[:room]...)
	slices.Sort(rungs)
	return rungs, len(doubtful) - room
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
