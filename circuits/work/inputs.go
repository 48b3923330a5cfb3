package work

// The laws of what has several inputs. They keep what they have to in the two signs of an
// armature, so that whoever follows relays follows them as well.

// Inputs, as the rows of their types have them (see circuits.Guards, circuits.Drives, circuits.Zones).
const (
	supplyInput = iota
	firstInput  // channel 1; start; line
	secondInput // channel 2; trip
	resetInput

	lineInput = firstInput
)

// guards is the law of a safety relay. It is in while both channels are made; timed says that it
// is held off, one channel having gone without the other.
func guards(a armature, made func(input int, in bool) bool) armature {
	first, second := made(firstInput, a.in), made(secondInput, a.in)
	switch {
	case !made(supplyInput, a.in):
		return armature{}
	case a.in, a.timed:
		on := a.in && first && second
		return armature{in: on, timed: !on && (first || second)}
	}
	return armature{in: first && second && made(resetInput, false)}
}

// drives is the law of a drive. Timed says that its fault relay is in; with that out, in says that
// it is tripped and not merely without power.
func drives(a armature, made func(input int, in bool) bool) armature {
	tripped := a.in && !a.timed
	switch {
	case !made(supplyInput, a.in || a.timed):
		return armature{}
	case !made(secondInput, a.timed), tripped && !made(resetInput, false):
		return armature{in: true}
	}
	return armature{in: made(firstInput, a.in && a.timed), timed: true}
}

// Shares of its supply that a zone module has across its own resistor, by which it tells what its line
// does: below the first the line is open, from the second there is an alarm, from the third it is
// shorted. With 1.5 kilohm of its own and 2.7 at the end of the line it has 0.36 while all is quiet, 0.67
// and more with a kilohm across the line. Common practice, no source.
const (
	openBelow   = 0.15
	alarmFrom   = 0.50
	shortedFrom = 0.95
)

// zones is the law of a zone module, by whether it has its supply and the share of that across its
// own resistor. As of a drive, timed says that its fault relay is in; with that out, in says that there is trouble.
func zones(fed bool, line float64) armature {
	switch {
	case !fed:
		return armature{}
	case line < openBelow, line >= shortedFrom:
		return armature{in: true}
	}
	return armature{in: line >= alarmFrom, timed: true}
}

// parted tells whether two stands of an armature differ in more than what time has come to.
func (r *relay) parted(a, b armature) bool {
	return a.in != b.in || r.device.Type.Inputs() && a.timed != b.timed
}

// tripped tells whether a drive is, or whether a zone module has trouble.
func (r *relay) tripped(a armature) bool { return a.in && !a.timed }
