package read

import "deadrung/circuits"

// readSecondaries reads the secondaries of a transformer beside the first, each with its volts. A
// tap is a terminal that two of them share.
func (r *reader) readSecondaries(d *drawn, e *entry) {
	const right = "[{terminals: [X3, X4], volts: 24}]"
	items, ok := r.items(e.value, e.key, right)
	if !ok {
		return
	}
	if len(items) == 0 {
		r.wrong(e.value, right, "secondaries of %s is empty", d.Name)
	}
	for _, end := range d.Ends {
		d.shared[end] = true
	}
	d.pair(d.Ends[0], d.Ends[1])
	for _, n := range items {
		entries, ok := r.entries(n, "a secondary", right)
		if !ok {
			continue
		}
		given := r.known(entries, []string{"terminals", "volts"}, "in a secondary of "+d.Name)
		terminals, volts := given["terminals"], given["volts"]
		if terminals == nil || volts == nil {
			r.wrong(n, right, "a secondary of %s needs both terminals and volts", d.Name)
			continue
		}
		var s circuits.Winding
		r.keep(&s.Volts, volts)
		pair, ok := r.pairOf(d, terminals, true)
		switch {
		case !ok:
		case d.pair(pair[0], pair[1]):
			r.wrong(terminals.value, "each secondary once", "%s already has a secondary between %s and %s", d.Name, pair[0], pair[1])
		case s.Volts > 0:
			s.Ends = pair
			d.shared[pair[0]], d.shared[pair[1]] = true, true
			d.Secondaries = append(d.Secondaries, s)
		}
	}
}
