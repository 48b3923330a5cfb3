package training

import (
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// Doubt is what is not known yet.
type Doubt struct {
	Faults int     `json:"faults"` // still possible
	Groups int     `json:"groups"`
	Bits   float64 `json:"bits"` // the entropy of the groups
}

// DoubtOf is what is not known while some faults are left.
func DoubtOf(m *diagnose.Model, left []int) Doubt {
	return Doubt{len(left), m.Groups(left), m.Doubt(left)}
}

// Judged is what a check was worth.
type Judged struct {
	Check  log.Check
	Answer log.Reading
	// Bits is what its answer was expected to tell, and Told what it told: how far the
	// doubt has fallen, which may be less than nothing where likely faults were ruled out.
	Bits, Told    float64
	Before, After Doubt
	Left          []int // the faults still possible after it
	// Minutes to make it from where the check before has left the person and the meter, the
	// circuit in its condition already.
	Minutes float64
	// Best is the check that the guided search would have made there; nil for none.
	Best *diagnose.Proposal
	// Turn is where the search stood before it.
	Turn *diagnose.Turn
	// Most is what the best check was expected to tell, about the same faults.
	Most  float64
	Waste Waste
	// Proof is set on a check that proves a verdict.
	Proof bool
}

// Judge holds the check with its answer at an index of a log against the best that could
// have been made there. It does not know the hidden fault: all is worked out from what the
// log leaves possible.
func Judge(m *diagnose.Model, history log.Log, index int, by diagnose.By) (Judged, error) {
	before := log.Log{Entries: history.Entries[:index]}
	e := history.Entries[index]
	if e.Repaired {
		before = log.Log{} // what was read before the repair no longer counts
	}
	j := Judged{Check: e.Check}
	if e.Answer != nil {
		j.Answer = *e.Answer
	}
	worth, err := m.Weigh(e.Check)
	if err != nil {
		return j, err
	}
	w := weighing{m: m, log: before, turn: m.Turn(before, diagnose.Choosing{By: by, Most: -1}),
		entry: e, worth: worth}
	w.bits = worth.Bits(w.turn.Left)
	after := append(before.Entries[:len(before.Entries):len(before.Entries)], e)
	j.Left = m.Left(log.Log{Entries: after})
	j.Bits, j.Before, j.After = w.bits, DoubtOf(m, w.turn.Left), DoubtOf(m, j.Left)
	j.Told = j.Before.Bits - j.After.Bits
	j.Turn, j.Best, j.Waste, j.Proof = &w.turn, w.turn.Next, w.waste(), w.proof()
	if j.Best != nil && j.Before.Groups > 1 {
		if b, err := m.Weigh(j.Best.Check); err == nil {
			j.Most = b.Bits(w.turn.Left)
		}
	}
	j.Minutes, _, err = m.CheckMinutes(m.Standing(before), e.Check)
	return j, err
}

// Better tells whether there was a better check to make.
func (j *Judged) Better() bool {
	return j.Best != nil && j.Before.Groups > 1 && j.Best.Check.String() != j.Check.String()
}

// HintMinutes are what the three strengths of a hint cost, in minutes at the panel.
// Common practice, no source: about what asking a colleague takes, and his walk.
var HintMinutes = [3]float64{2, 5, 10}

// Hint is one of three strengths of help towards the best check. What a lesser one does
// not tell is empty.
type Hint struct {
	Strength int
	Kind     log.Kind
	Place    string    // where to go: the place of the device
	Device   string    // from strength 2
	Step     string    // from strength 2
	Check    log.Check // strength 3
	// Best is the check that it leads to, and Turn where the search stands: why it is that one.
	Best *diagnose.Proposal
	Turn *diagnose.Turn
	// Done is set where no check is left to be made: name the fault.
	Done bool
}

// HintFor gives a hint of a strength from 1 to 3 towards the best check after a log: the
// region, then the device and the step, then the exact check.
func HintFor(m *diagnose.Model, history log.Log, strength int, by diagnose.By) Hint {
	h := Hint{Strength: strength}
	turn := m.Turn(history, diagnose.Choosing{By: by, Most: -1})
	best := turn.Next
	if h.Turn, h.Best = &turn, best; best == nil {
		h.Done = true
		return h
	}
	c := best.Check
	h.Kind = c.Kind()
	name := c.Look
	if name == "" {
		name, _ = c.Leads()[0].Split()
	}
	d := m.Panel().Circuit.Device(name)
	h.Place = d.Whereabouts()
	if strength >= 2 {
		h.Device, h.Step = name, c.Step
	}
	if strength >= 3 {
		h.Check = c
	}
	return h
}
