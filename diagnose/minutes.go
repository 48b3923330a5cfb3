package diagnose

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
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
)

// where the work stands, as package split carries it: zero is a panel as it was
// found, then two numbers for every step, power on and power off.
func mode(step int, off bool) split.Mode {
	m := split.Mode(1 + 2*step)
	if off {
		m++
	}
	return m
}

func stands(m split.Mode) (step int, off, begun bool) {
	if m == 0 {
		return 0, false, false
	}
	return int(m-1) / 2, m%2 == 0, true
}

// modeAfter is where the work stands after the last check that was made of a log.
func (m *Model) modeAfter(log Log) split.Mode {
	for i := len(log.Entries) - 1; i >= 0; i-- {
		if e := log.Entries[i]; e.Answer != nil {
			return mode(e.at.step, e.at.kind == Ohms)
		}
	}
	return 0
}

// minutes gives the minutes that a check takes from where the work stands.
func (m *Model) minutes(from split.Mode, l located) float64 {
	step, off, begun := stands(from)
	var t float64
	switch {
	case l.kind == Ohms:
		if !off {
			t += LockOutMinutes
		}
		t += m.moving(m.moved(make([]*circuits.Device, 0, someOperators), step, l.step, begun))
	case off:
		t += RestoreMinutes + m.working(-1, l.step)
	case !begun:
		t += m.working(-1, l.step)
	case l.step >= step:
		t += m.working(step, l.step)
	default:
		t += RestartMinutes + m.working(-1, l.step)
	}
	if l.kind == Look {
		if atPanel(l.device) {
			return t + LookMinutes
		}
		return t + m.panel.Circuit.Places[l.device.Place]/2
	}
	// The black lead stays clipped to a source's return from check to check.
	for i := 1; i <= m.panel.Net.Sources(); i++ {
		if r := m.panel.Net.Source(network.Source(i)).Return; r == l.b || r == l.a {
			other := l.a
			if r == l.a {
				other = l.b
			}
			return t + m.reach(m.panel.Terminal(other)) + LiftMinutes*float64(len(l.lifted))
		}
	}
	return t + m.reach(m.panel.Terminal(l.a)) + m.reach(m.panel.Terminal(l.b)) + LiftMinutes*float64(len(l.lifted))
}

// reach is the time to get a lead onto a terminal.
func (m *Model) reach(t circuits.Terminal) float64 {
	name, _ := t.Split()
	return m.panel.Circuit.Places[m.panel.Circuit.Device(name).Place]
}

// working is the time to work the circuit from the end of one step to that of another
// further on.
func (m *Model) working(from, to int) float64 {
	var t float64
	for i := from + 1; i <= to; i++ {
		s := m.panel.Circuit.Steps[i]
		moved := make([]*circuits.Device, 0, someOperators)
		for _, set := range s.Set {
			moved = append(moved, set.Device)
		}
		t += m.moving(moved) + s.Wait/60
	}
	return t
}

// moving is the time to move operators one after another, or to have them held, with
// the way to each place that is not at the panel.
func (m *Model) moving(operators []*circuits.Device) float64 {
	t := OperateMinutes * float64(len(operators))
	for i, d := range operators {
		there := func(other *circuits.Device) bool { return other.Place == d.Place }
		if !atPanel(d) && !slices.ContainsFunc(operators[:i], there) {
			t += m.panel.Circuit.Places[d.Place] / 2
		}
	}
	return t
}

// someOperators is room for as many as are mostly moved at a time.
const someOperators = 8

// moved adds to a list the operators that stand otherwise in one step than in another.
func (m *Model) moved(moved []*circuits.Device, from, to int, begun bool) []*circuits.Device {
	for i, d := range m.panel.Operators() {
		at := d.Rest
		if begun {
			at = m.hands[from][i]
		}
		if m.hands[to][i] != at {
			moved = append(moved, d)
		}
	}
	return moved
}

// atPanel tells whether a device is in the panel or on its door.
func atPanel(d *circuits.Device) bool { return d.Place == "panel" || d.Place == "door" }
