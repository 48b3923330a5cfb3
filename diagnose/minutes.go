package diagnose

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Minutes at the panel, beside the time to reach a terminal, which the circuit file
// gives by place. Common practice, no source, all of them.
const (
	// LockOutMinutes: lock, tag, try, prove the meter, prove dead, prove the meter.
	LockOutMinutes = 5.0
	// RestoreMinutes: leads off, covers and people clear, locks off, power on.
	RestoreMinutes = 2.0
	// LiftMinutes to lift the wires off one terminal, and to land them again.
	LiftMinutes = 2.0
	// OperateMinutes to move one operator, or to have it held. Whoever moves those at a
	// place other than the panel and its door goes there first, once in a step: half as
	// long as bringing a lead there, since no cover comes off.
	OperateMinutes = 0.2
	// RestartMinutes to bring the circuit back to where its operation begins.
	RestartMinutes = 1.0
	// LookMinutes to look at a thing in the panel or on its door. What is in another
	// place takes half as long as bringing a lead there: no cover comes off.
	LookMinutes = 0.1
	// HurryMinutes more where a timer is about to change what is looked at: who comes too late
	// begins anew.
	HurryMinutes = 0.5
)

// mode is where the work stands, as package split carries it: zero is a panel as it was
// found, then two numbers for every step, power on and power off.
func mode(step int, off bool) split.Mode {
	m := split.Mode(1 + 2*step)
	if off {
		m++
	}
	return m
}

// stands is what a mode means; begun is false for a panel as it was found.
func stands(m split.Mode) (step int, off, begun bool) {
	if m == 0 {
		return 0, false, false
	}
	return int(m-1) / 2, m%2 == 0, true
}

// modeAfter is where the work stands after the last check that was made of a log.
func (m *Model) modeAfter(history log.Log) split.Mode {
	for i := len(history.Entries) - 1; i >= 0; i-- {
		if e := history.Entries[i]; e.Answer != nil {
			return mode(e.Located().Step, e.Located().Kind == log.Ohms)
		}
	}
	return 0
}

// minutes gives the minutes that a check takes from where the work stands.
func (m *Model) minutes(from split.Mode, l log.Located) float64 {
	step, off, begun := stands(from)
	var t float64
	switch {
	case l.Kind == log.Ohms:
		if !off {
			t += LockOutMinutes
		}
		t += m.holding(step, l.Step, begun)
	case off:
		t += RestoreMinutes + m.working(-1, l.Step)
	default:
		t += m.bringing(step, l.Step, begun)
	}
	if from == mode(l.Step, false) {
		t += m.afresh(l)
	}
	return t + m.making(l)
}

// holding is the time to bring the operators of a dead circuit from where they stand in
// one step to where they stand in another.
func (m *Model) holding(from, to int, begun bool) float64 {
	if !begun {
		from = -1
	}
	return m.moves[from+1][to]
}

// bringing is the time to bring a live circuit from the end of one step to that of
// another.
func (m *Model) bringing(from, to int, begun bool) float64 {
	switch {
	case !begun:
		return m.working(-1, to)
	case to >= from && (to == from || !m.drifts(from, to)):
		return m.working(from, to)
	}
	return RestartMinutes + m.working(-1, to)
}

// making is the time to make a check where the circuit stands in its condition.
func (m *Model) making(l log.Located) float64 {
	if l.Kind == log.Look {
		t := m.panel.Circuit.Places[l.Device.Place] / 2
		if atPanel(l.Device) {
			t = LookMinutes
		}
		if m.hurried(l) {
			t += HurryMinutes
		}
		return t
	}
	lifting := LiftMinutes * float64(len(l.Lifted))
	// The black lead stays clipped to a source's return from check to check.
	for i := 1; i <= m.panel.Net.Sources(); i++ {
		if r := m.panel.Net.Source(network.Source(i)).Return; r == l.B || r == l.A {
			other := l.A
			if r == l.A {
				other = l.B
			}
			return m.reach(m.panel.Terminal(other)) + lifting
		}
	}
	return m.reach(m.panel.Terminal(l.A)) + m.reach(m.panel.Terminal(l.B)) + lifting
}

// Condition is where the work at a panel stands between two checks.
type Condition struct {
	Step int  // the circuit stands at its end, or the operators are held as in it; -1 before any
	Off  bool // the power is off
}

// AsFound is a panel that nobody has worked yet, power on.
var AsFound = Condition{Step: -1}

// ConditionMinutes gives the minutes to work a live circuit to the end of a step, or to
// hold the operators of a dead one as in it, from where the work stands. Switching the
// power is not in it.
func (m *Model) ConditionMinutes(from Condition, step int) float64 {
	begun := from.Step >= 0
	if from.Off {
		return m.holding(max(0, from.Step), step, begun)
	}
	return m.bringing(from.Step, step, begun)
}

// CheckMinutes gives the minutes to make a check once the circuit is in its condition.
// The error says what is wrong with the check.
func (m *Model) CheckMinutes(c log.Check) (float64, error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return 0, err
	}
	return m.making(l), nil
}

// reach is the time to get a lead onto a terminal.
func (m *Model) reach(t circuits.Terminal) float64 {
	name, _ := t.Split()
	return m.panel.Circuit.Places[m.panel.Device(name).Place]
}

// working is the time to work the circuit from the end of one step to that of another
// further on.
func (m *Model) working(from, to int) float64 {
	var t float64
	for _, step := range m.works[from+1 : to+1] {
		t += step
	}
	return t
}

// timeSteps works out how long each step takes, and how long it takes to put the operators
// from where they are in one step to where they are in another, with the power off.
func (m *Model) timeSteps() {
	var rest []int
	for _, d := range m.panel.Operators() {
		rest = append(rest, d.Rest)
	}
	for _, s := range m.panel.Circuit.Steps {
		var moved []*circuits.Device
		for _, set := range s.Set {
			moved = append(moved, set.Device)
		}
		m.works = append(m.works, m.moving(moved)+s.Wait/60)
	}
	hands := make([][]int, len(m.panel.Circuit.Steps))
	for step := range hands {
		hands[step] = m.book.Hands(step)
	}
	for _, from := range append([][]int{rest}, hands...) {
		var row []float64
		for _, to := range hands {
			var moved []*circuits.Device
			for i, d := range m.panel.Operators() {
				if from[i] != to[i] {
					moved = append(moved, d)
				}
			}
			row = append(row, m.moving(moved))
		}
		m.moves = append(m.moves, row)
	}
}

// moving is the time to move operators one after another, or to have them held, with
// the way to each place that is not at the panel.
func (m *Model) moving(operators []*circuits.Device) float64 {
	t := OperateMinutes * float64(len(operators))
	var been []string
	for _, d := range operators {
		if !atPanel(d) && !slices.Contains(been, d.Place) {
			been = append(been, d.Place)
			t += m.panel.Circuit.Places[d.Place] / 2
		}
	}
	return t
}

// atPanel tells whether a device is in the panel or on its door.
func atPanel(d *circuits.Device) bool { return d.Place == "panel" || d.Place == "door" }
