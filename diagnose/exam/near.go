package exam

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/diagnose"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Near is how near a fault that is named is to another one.
type Near int

// From far to near; each holds what comes before it as well.
const (
	Elsewhere Near = iota
	OnRung         // on the same rung of the drawing
	InDevice       // in the same device, or on the same wire number
	InPart         // in the same part: contact, coil, physical wire
	Exact          // the same fault, or one that no check tells from it
)

// nearWords are the words for how near a fault is.
var nearWords = []string{"elsewhere", "rung", "device", "part", "exact"}

// String is the word of a scheme's file and of the results.
func (n Near) String() string { return nearWords[n] }

// MarshalText writes the word.
func (n Near) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads it.
func (n *Near) UnmarshalText(text []byte) error {
	i := slices.Index(nearWords, string(text))
	*n = Near(max(0, i))
	return nil
}

// nearness tells how near the faults of one circuit are to each other.
type nearness struct {
	m     *diagnose.Model
	rungs [][]int // by fault
}

func newNearness(m *diagnose.Model) *nearness {
	n := &nearness{m: m}
	d := drawing.New(m.Panel().Circuit)
	for _, f := range m.Faults() {
		n.rungs = append(n.rungs, rungsOf(d, f))
	}
	return n
}

// of tells how near one fault is to another.
func (n *nearness) of(a, b int) Near {
	f, g := n.m.Faults()[a], n.m.Faults()[b]
	switch {
	case a == b || n.m.Group(a) == n.m.Group(b):
		return Exact
	case f.Effect.Part() == g.Effect.Part():
		return InPart
	case training.SameRepair(n.m, a, b) || meet(f.Effect.Numbers(), g.Effect.Numbers()):
		return InDevice
	case meet(n.rungs[a], n.rungs[b]):
		return OnRung
	}
	return Elsewhere
}

func meet[T comparable](a, b []T) bool {
	return slices.ContainsFunc(a, func(x T) bool { return slices.Contains(b, x) })
}

// rungsOf are the rungs that a fault is drawn on: the one of a wire or contact, of a coil
// the coil's, of what moves its contacts by hand all of theirs. Two wires that touch and one
// that is grounded are on none: they may do so anywhere.
func rungsOf(d *drawing.Drawing, f faultmodel.Fault) []int {
	var out []int
	add := func(rung int) {
		if rung > 0 && !slices.Contains(out, rung) {
			out = append(out, rung)
		}
	}
	e := f.Effect
	for _, w := range []*faultmodel.OpenWire{e.OpenWire, e.ResistiveWire} {
		if w != nil {
			add(max(d.Of(w.From), d.Of(w.To)))
		}
	}
	for _, c := range [][]circuits.Terminal{e.OpenContact, e.ClosedContact, e.ResistiveContact, e.LeakyContact} {
		if len(c) == 2 {
			add(max(d.Of(c[0]), d.Of(c[1])))
		}
	}
	if len(out) > 0 || len(f.Devices) != 1 || len(e.Numbers()) > 0 {
		return out
	}
	device := d.Circuit.Device(f.Devices[0])
	if device == nil {
		return nil
	}
	if rung := d.OfLoad(device); rung > 0 {
		return []int{rung}
	}
	for _, t := range device.Terminals {
		add(d.Of(device.Terminal(t)))
	}
	return out
}
