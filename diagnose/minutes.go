package diagnose

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Minutes at the panel, beside the time to reach a terminal, which the circuit file
// gives by place. Common practice, no source, all of them; the reason stands beside each.
const (
	// LockOutMinutes: tell whoever is near, switch off and fix a lock and a tag (3), try the
	// start (1), prove the meter on a known source, every conductor dead to the others and to
	// ground, the meter once more (4), wait for what is stored and for what runs down (2).
	LockOutMinutes = 10.0
	// RestoreMinutes: leads and tools out, covers on, people clear and told, lock and tag off,
	// power on and a moment to see that nothing starts.
	RestoreMinutes = 4.0
	// ReadyMinutes before the first reading on live parts, and after each lock-out: gloves and
	// eyes as the site asks, cover open, leads looked over, the meter proved on a known source.
	ReadyMinutes = 2.0
	// LiftMinutes to lift the wires off one terminal, and to land them again: mark them, one
	// screw out and in, a tug at each wire.
	LiftMinutes = 3.0
	// OperateMinutes to move one operator that a hand moves: ten seconds. What a machine or
	// the process moves has minutes of its own ([circuits.Device.Makes]). Whoever moves those
	// at a place other than the panel goes there first, once in a step: half as long as
	// bringing a lead there, since no cover comes off.
	OperateMinutes = 0.2
	// HoldMinutes more where one hand holds an operator during the check: the leads are
	// clipped on first, and read with the other hand busy.
	HoldMinutes = 0.3
	// HelperMinutes for each operator that a second person holds somewhere else: find each
	// other, agree on a word, call it.
	HelperMinutes = 2.0
	// RestartMinutes to bring the circuit back to where its operation begins.
	RestartMinutes = 1.0
	// LookMinutes to look at a thing in the panel or on its door, five seconds. What is in
	// another place is reached in half the time of a lead: no cover comes off.
	LookMinutes = 0.1
	// HurryMinutes more where a timer is about to change what is looked at: who comes too late
	// begins anew.
	HurryMinutes = 0.5
	// LongLeadMinutes to lay a lead from one place to another and take it up again, the way
	// to the far end not counted.
	LongLeadMinutes = 3.0
)

// power is what has been done about the power and the meter.
type power int

const (
	untouched power = iota // power on, nothing but looks so far
	ready                  // power on, meter at hand for live parts
	lockedOff
)

// stand is where the work stands.
type stand struct {
	step  int
	power power
	area  int // where the person is
	begun bool
}

// mode is where the work stands, as package split carries it: zero is a panel as it was
// found, with the person at it.
func (m *Model) mode(s stand) split.Mode {
	if !s.begun {
		return 0
	}
	return split.Mode(1 + (3*s.step+int(s.power))*m.book.Areas() + s.area)
}

// stands is what a mode means.
func (m *Model) stands(at split.Mode) stand {
	if at == 0 {
		return stand{area: m.book.AreaOf("panel")}
	}
	n, areas := int(at-1), m.book.Areas()
	return stand{n / areas / 3, power(n / areas % 3), n % areas, true}
}

// after is where a check leaves the work.
func (m *Model) after(s stand, l log.Located) stand {
	area, _, _ := m.book.Area(l)
	then := stand{l.Step, untouched, area, true}
	switch {
	case l.Kind.Off():
		then.power = lockedOff
	case l.Kind == log.Volts || s.power == ready:
		then.power = ready
	}
	return then
}

// modeAfter is where the work stands after the checks that were made of a log.
func (m *Model) modeAfter(history log.Log) split.Mode {
	s := m.stands(0)
	for _, e := range history.Entries {
		if e.Answer == nil {
			continue
		}
		area := s.area
		if s = m.after(s, e.Located()); e.Note == log.ComplaintNote {
			s.area = area // who reported it was there
		}
	}
	return m.mode(s)
}

// minutes gives the minutes that a check takes from where the work stands.
func (m *Model) minutes(from split.Mode, l log.Located) float64 {
	s := m.stands(from)
	t := m.turning(s, l.Kind, l.Step) + m.walking(s.area, l, s.switches(l.Kind)) + m.making(l)
	if s.liveIn(l.Step) {
		t += m.afresh(l)
	}
	return t
}

// liveIn tells whether the circuit stands live at the end of a step.
func (s stand) liveIn(step int) bool { return s.begun && s.power != lockedOff && s.step == step }

// switches tells whether the power is switched for a kind of check, which is done in the panel.
func (s stand) switches(kind log.Kind) bool { return (s.power == lockedOff) != kind.Off() }

// turning is the time to bring the circuit, and the meter, to where a kind of check is made.
func (m *Model) turning(s stand, kind log.Kind, step int) float64 {
	off := s.power == lockedOff
	var t float64
	switch {
	case kind.Off():
		if !off {
			t += LockOutMinutes
		}
		t += m.holding(s.step, step, s.begun)
	case off:
		t += RestoreMinutes + m.working(-1, step)
	default:
		t += m.bringing(s.step, step, s.begun)
	}
	if kind == log.Volts && s.power != ready {
		t += ReadyMinutes
	}
	return t
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

// walking is the time to go from where the person is to where a check is made, by way of the
// panel where the power is switched.
func (m *Model) walking(from int, l log.Located, switches bool) float64 {
	to, _, _ := m.book.Area(l)
	if from == to && !switches {
		return 0
	}
	t := m.WayBack(from)
	switch {
	case to == m.book.AreaOf("panel"):
	case l.Kind == log.Look:
		t += m.distance[to] / 2
	default:
		t += max(0, m.distance[to]-m.panel.Circuit.Places["panel"])
	}
	return t
}

// WayBack gives the minutes from a place, see [log.Book.AreaOf], to the panel: half as long as
// to bring a lead there, since no cover comes off.
func (m *Model) WayBack(area int) float64 {
	if area == m.book.AreaOf("panel") {
		return 0
	}
	return m.distance[area] / 2
}

// making is the time to make a check where the person and the circuit are in place.
func (m *Model) making(l log.Located) float64 {
	_, here, elsewhere := m.book.Area(l)
	t := HelperMinutes * float64(elsewhere)
	if here > 0 {
		t += HoldMinutes
	}
	if l.Kind == log.Look {
		if m.hurried(l) {
			t += HurryMinutes
		}
		return t + LookMinutes
	}
	t += LiftMinutes * float64(len(l.Lifted))
	if m.book.Across(l) {
		t += LongLeadMinutes + m.reach(m.panel.Terminal(l.A)) + m.reach(m.panel.Terminal(l.B))
	}
	// The black lead stays clipped to a source's return from check to check.
	for i := 1; i <= m.panel.Net.Sources(); i++ {
		if r := m.panel.Net.Source(network.Source(i)).Return; r == l.B || r == l.A {
			return t + m.lead(l.A+l.B-r)
		}
	}
	return t + m.lead(l.A) + m.lead(l.B)
}

// lead is the time to put a lead on a point once the person is at its place: no longer than
// in the panel, since the way is not in it.
func (m *Model) lead(n network.Node) float64 {
	return min(m.reach(m.panel.Terminal(n)), m.panel.Circuit.Places["panel"])
}

// Condition is where the work at a panel stands between two checks.
type Condition struct {
	Step  int  // the circuit stands at its end, or the operators are held as in it; -1 before any
	Off   bool // the power is off
	Ready bool // the meter is at hand for live parts
	Area  int  // where the person is, see [log.Book.AreaOf]
}

// Standing is where the work stands after the checks of a log.
func (m *Model) Standing(history log.Log) Condition {
	s := m.stands(m.modeAfter(history))
	if !s.begun {
		return AsFound
	}
	return Condition{s.step, s.power == lockedOff, s.power == ready, s.area}
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

// CheckMinutes gives the minutes to make a check once the circuit is in its condition, and
// where that leaves the work. The error says what is wrong with the check.
func (m *Model) CheckMinutes(from Condition, c log.Check) (minutes float64, then Condition, err error) {
	l, err := m.book.Locate(c)
	if err != nil {
		return 0, from, err
	}
	minutes, then = m.walking(from.Area, l, false)+m.making(l), from
	then.Area, _, _ = m.book.Area(l)
	if l.Kind == log.Volts {
		if !from.Ready {
			minutes += ReadyMinutes
		}
		then.Ready = true
	}
	return minutes, then, nil
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

// measureWays works out how far each place is from the panel, in minutes: of places that count
// as one the nearest.
func (m *Model) measureWays() {
	m.distance = make([]float64, m.book.Areas())
	for i := range m.distance {
		m.distance[i] = math.Inf(1)
	}
	m.distance[m.book.AreaOf("panel")] = m.panel.Circuit.Places["panel"]
	for _, d := range m.panel.Circuit.Devices {
		at := &m.distance[m.book.AreaOf(d.Place)]
		*at = min(*at, m.panel.Circuit.Places[d.Place])
	}
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
				if from[i] != to[i] && !d.Type.Electronic { // which is not held with the power off
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
	t := 0.0
	var been []int
	for _, d := range operators {
		t += max(OperateMinutes, d.Makes)
		if area := m.book.AreaOf(d.Place); area != m.book.AreaOf("panel") && !slices.Contains(been, area) {
			been = append(been, area)
			t += m.panel.Circuit.Places[d.Place] / 2
		}
	}
	return t
}
