package work

// The laws of what has several inputs. Both keep what they have to in the two signs of an
// armature, so that whoever follows relays follows them as well.

// Inputs, as the rows of their types have them (see circuits.Guards, circuits.Drives).
const (
	supplyInput = iota
	firstInput  // channel 1; start
	secondInput // channel 2; trip
	resetInput
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

// parted tells whether two stands of an armature differ in more than what time has come to.
func (r *relay) parted(a, b armature) bool {
	return a.in != b.in || r.device.Type.Inputs() && a.timed != b.timed
}

// tripped tells whether a drive is.
func (r *relay) tripped(a armature) bool { return a.in && !a.timed }
