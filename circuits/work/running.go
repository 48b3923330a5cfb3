package work

import (
	"math"
	"slices"

	"deadrung/circuits"
)

// Running is a timer that is on its way to time out at the end of a step.
type Running struct {
	Device *circuits.Device
	Left   float64 // seconds still to go
}

// running gives the timers that are on their way, by how the relays stand.
func (p *Panel) running(law func(r int) *relay, stands func(r int) armature) []Running {
	var all []Running
	for r, d := range p.relays {
		if !d.Timer() {
			continue
		}
		if a := stands(r); law(r).running(a) {
			all = append(all, Running{d, law(r).left(a)})
		}
	}
	return all
}

// Running are the timers that a fault leaves on their way at the end of the step.
func (d *Departure) Running() []Running {
	return d.f.p.running(d.f.relay, func(r int) armature { return d.f.stands(r, d.f.at) })
}

// runs tells whether a timer is on its way at the end.
func (e *End) runs(d *circuits.Device) bool {
	return slices.ContainsFunc(e.Running, func(r Running) bool { return r.Device == d })
}

// Waiting is the panel with its operation waiting longer than it says, by step.
func (p *Panel) Waiting(longer []float64) *Panel {
	q, c := *p, *p.Circuit
	c.Steps = slices.Clone(c.Steps)
	for i, more := range longer {
		c.Steps[i].Wait += more
	}
	q.Circuit = &c
	return &q
}

// Paced is the panel with every timer as much slower than it is set as the factor says.
func (p *Panel) Paced(factor float64) *Panel {
	q := *p
	var laws []*relay
	for _, r := range p.good {
		paced := *r
		paced.seconds *= factor
		paced.off *= factor
		laws = append(laws, &paced)
	}
	q.setLaws(laws)
	return &q
}

// Stages gives, in rising order, courses with a longer wait at the end of a step: between one
// timeout and the next, and last with all timed out. Of many that follow each other only the
// first few are among them, and of one that flashes its next turn.
func (c *Course) Stages(step int) []*Course {
	most, least := 0.0, math.Inf(1)
	for _, d := range c.p.relays {
		if d.Timer() && d.Seconds > 0 {
			most += lateOrNot * (d.Seconds + d.OffSeconds)
			least = min(least, d.Seconds)
		}
	}
	if most == 0 {
		return nil
	}
	last := c.Waiting(step, min(most+1, mostTimeouts*least))
	if !last.whole { // where it cannot be followed it is worked all the same
		return []*Course{last}
	}
	var timeouts, turns []float64
	for k, ph := range last.steps[step+1].phases {
		of := &timeouts
		if last.onlyFlashes(step, k) {
			of = &turns
		}
		if after := ph.at - c.p.Circuit.Steps[step].Wait; after > 0 && !slices.Contains(*of, after) {
			*of = append(*of, after)
		}
	}
	var stages []*Course
	if len(turns) > 1 {
		turn := c.Waiting(step, (turns[0]+turns[1])/2)
		turn.turn = true
		stages = append(stages, turn)
	}
	for i := 0; i+1 < len(timeouts) && i < fewStages; i++ {
		stages = append(stages, c.Waiting(step, (timeouts[i]+timeouts[i+1])/2))
	}
	return append(stages, last)
}

// Turn tells whether the course is a stage that shows the next turn of what flashes.
func (c *Course) Turn() bool { return c.turn }

// onlyFlashes tells whether a phase of a step begins with nothing but a turn of what flashes.
func (c *Course) onlyFlashes(step, phase int) bool {
	if len(c.p.repeats) == 0 || phase == 0 {
		return false
	}
	phases := c.steps[step+1].phases
	was, now := phases[phase-1].moments, phases[phase].moments[0].stand
	for r, d := range c.p.relays {
		if was[len(was)-1].stand[r].timed != now[r].timed && !d.Flashes() {
			return false
		}
	}
	return phases[phase].at > 0
}

const (
	// mostTimeouts bounds how often timers that start each other time out while a panel waits.
	mostTimeouts = 200
	// lateOrNot is how many times its delay even a timer that is set wrong takes.
	lateOrNot = 3.5
	fewStages = 2
)

// Patience gives, by step, how much longer than the operation says one waits there so that
// timers within their tolerance have timed out as well: none where nothing times out, or where
// another timer would by then. That is made up for in the next step in which one waits; met tells
// whether it never has to be.
func (p *Panel) Patience(c *Course) (longer []float64, met bool) {
	longer, met = make([]float64, len(p.Circuit.Steps)), true
	late := 0.0                                 // not waited for yet
	spent := make(map[*circuits.Device]float64) // of the time that running timers have left
	before := c.steps[0].end
	for i := range longer {
		e, timedOut := c.End(i), c.TimedOut(i)
		for _, d := range timedOut {
			longer[i] += TimerTolerance * d.Seconds
		}
		if longer[i] > 0 {
			longer[i] += 0.1 // so that it is not a dead heat
		}
		if len(timedOut) > 0 || p.Circuit.Steps[i].Wait > 0 {
			longer[i], late = longer[i]+late, 0
		}
		for _, r := range e.Running {
			if r.Device.Flashes() { // nobody waits for it
				continue
			}
			if !before.runs(r.Device) {
				spent[r.Device] = 0
			}
			if r.Left-spent[r.Device]-TimerTolerance*r.Device.Seconds <= longer[i] {
				longer[i], late = 0, late+longer[i]
			}
		}
		met = met && late == 0
		for _, r := range e.Running {
			spent[r.Device] += longer[i]
		}
		before = e
	}
	return longer, met
}

// TimedOut are the timers that time out in a step of the good circuit while it waits.
func (c *Course) TimedOut(step int) []*circuits.Device {
	var out []*circuits.Device
	phases := c.steps[step+1].phases
	for k := 1; k < len(phases); k++ {
		was := phases[k-1].moments
		for r, d := range c.p.relays {
			before, now := was[len(was)-1].stand[r], phases[k].moments[0].stand[r]
			if d.Timer() && !d.Flashes() && phases[k].at > 0 && before.timed != now.timed {
				out = append(out, d)
			}
		}
	}
	return out
}
