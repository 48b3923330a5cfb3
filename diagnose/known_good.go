package diagnose

import (
	"slices"

	"deadrung/circuits"
)

// MostCompared bounds the work of telling what is known good: looks times steps times faults. Beyond it
// nothing is told.
const MostCompared = 20_000_000

// KnownGood gives the devices of which no fault that a turn leaves changes what is seen in any
// step, while every reading is that of the good circuit: so much is known to be good. None before
// the first reading, and none where a reading is not the good circuit's.
func (m *Model) KnownGood(t *Turn) []string {
	if !t.sound || len(t.Left)*len(m.good)*len(m.visible) > MostCompared {
		return nil
	}
	doubt := make(map[*circuits.Device]bool)
	for sight, v := range m.visible {
		doubt[sight.Device] = doubt[sight.Device] || slices.ContainsFunc(t.Left, func(f int) bool {
			return !m.Hidden(f) && m.looksOtherwise(f, v)
		})
	}
	var known []string
	for _, d := range m.panel.Visible() {
		if !doubt[d] {
			known = append(known, d.Name)
		}
	}
	return known
}

// looksOtherwise tells whether a fault changes what is seen at the end of any step, or leaves it
// open.
func (m *Model) looksOtherwise(fault, visible int) bool {
	for step := range m.good {
		if m.lookAt(fault, step, visible) != m.lookAt(Good, step, visible) {
			return true
		}
	}
	return false
}
