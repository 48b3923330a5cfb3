package circuits

import (
	"slices"
	"strings"
)

// second is the word for contacts that follow what moves beside the armature: the delay of a
// timer, a fault relay.
func (d *Device) second() string {
	if d.Type.Armature.FaultRelay() {
		return " fault"
	}
	return " timed"
}

// Delayed tells whether a contact follows the delay of a timer.
func (d *Device) Delayed(contact int) bool { return d.Timer() && d.Contacts[contact].Timed }

// ByKind says in which positions a contact of that kind is closed, and whether it follows the time
// of a timer, or a fault relay.
func (d *Device) ByKind(kind string) (closed []bool, timed, ok bool) {
	closed = make([]bool, len(d.Positions))
	kind, timed = strings.CutSuffix(kind, d.second())
	timed = timed || d.Type.SeenTimed()
	if len(d.Positions) == 2 && (kind == "no" || kind == "nc") {
		closed[0], closed[1] = kind == "nc", kind == "no"
		return closed, timed, true
	}
	if i := slices.Index(d.Positions, kind); i >= 0 {
		closed[i] = true
		return closed, timed, true
	}
	for _, position := range strings.Split(kind, " or ") {
		i := slices.Index(d.Positions, position)
		if i < 0 {
			return closed, timed, false
		}
		closed[i] = true
	}
	return closed, timed, true
}

// KindOf writes what a contact is, as [Device.ByKind] takes it.
func (d *Device) KindOf(c Contact) string {
	var in []string
	for i, yes := range c.Closed {
		if yes {
			in = append(in, d.Positions[i])
		}
	}
	kind := strings.Join(in, " or ")
	if len(c.Closed) == 2 && c.Closed[0] != c.Closed[1] {
		kind = "no"
		if c.Closed[0] {
			kind = "nc"
		}
	}
	if c.Timed && !d.Type.SeenTimed() {
		kind += d.second()
	}
	return kind
}
