package network

import "slices"

// A machine with two sets of windings, one of which is fed, has volts on the other by induction:
// how many, no file tells. So between the terminals of a set that hangs on no source, and all that
// hangs there with it, no reading is firm.

// partMachines makes an island of every supernode that hangs on nothing but such windings.
func (l *Live) partMachines(o *Overlay) {
	var fed []int32
	for i := 1; i < len(l.net.sources); i++ {
		if !slices.Contains(o.OpenSources, Source(i)) {
			fed = append(fed, l.island[l.net.sources[i].Return])
		}
	}
	var induced []int32
	for _, w := range l.net.machines {
		p := l.net.loads[w]
		for _, at := range [2]Node{p.A, p.B} {
			if i := l.island[at]; !slices.Contains(fed, i) && !slices.Contains(induced, i) {
				induced = append(induced, i)
			}
		}
	}
	for i := range l.island {
		if len(induced) > 0 && slices.Contains(induced, l.island[i]) {
			l.island[i] = l.super[i]
		}
	}
}
