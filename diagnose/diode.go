package diagnose

import (
	"math"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// The diode test of a meter, with the power locked off: it drives about a milliampere from its red lead
// to its black one and shows the volts that this takes. A silicon diode shows what it keeps for itself
// forward, and OL the other way round; a short nothing; and what else hangs between the leads its share of
// the meter's volts, so that a coil of a few hundred ohm hides a diode across it.
const (
	// TestVolts are those of the meter between its open leads, and TestOhms what they stand behind.
	// Common practice, no source: meter manuals give some 3 V and a milliampere.
	TestVolts = 3.0
	TestOhms  = 3000.0
	// DiodeMost is from how many volts on it shows OL. Common practice, no source.
	DiodeMost = 2.0
	// DiodeLow and DiodeHigh are what a silicon diode shows forward, and DiodeShows a usual one.
	// Common practice, no source: meter manuals give 0.4 to 0.9 V, mostly 0.5 to 0.7.
	DiodeLow, DiodeShows, DiodeHigh = 0.4, 0.6, 0.8
	// ShortMost is what a short or a closed contact shows at the most.
	ShortMost = 0.1
	// partsSpan is by how much the ohms of a part that nobody gave may differ here.
	partsSpan = 2.0
)

// shows are the volts that a resistance makes on a diode test.
func shows(ohms float64) float64 {
	if math.IsInf(ohms, 1) {
		return log.OL
	}
	if v := TestVolts * ohms / (ohms + TestOhms); v < DiodeMost {
		return v
	}
	return log.OL
}

// diodeBand gives the readings of a diode test that agree with a foretold one.
func diodeBand(r log.Reading) band {
	switch v := r.Value; {
	case v == 0:
		return band{0, ShortMost}
	case math.IsInf(v, 1):
		return band{DiodeMost, log.OL}
	case r.Known:
		return band{DiodeLow, DiodeHigh}
	}
	ohms := TestOhms * r.Value / (TestVolts - r.Value)
	return band{shows(ohms / partsSpan), shows(ohms * partsSpan)}
}

// listDiodes lists the diode tests: each diode by itself, either way round.
func (m *Model) listDiodes(list func(log.Located)) {
	p := m.panel
	for _, c := range p.DiodeConductors() {
		a, k := p.Net.Ends(c)
		if !m.reachable(a) || !m.reachable(k) {
			continue
		}
		at := a
		if m.isSide(a) {
			at = k
		}
		for step := range p.Circuit.Steps {
			if m.book.Held(step) != step {
				continue
			}
			l := log.Located{Kind: log.Diode, Step: step, A: a, B: k, Lifted: []circuits.Terminal{p.Terminal(at)}}
			if m.book.Within(l) {
				list(l)
				l.A, l.B = k, a
				list(l)
				break // the diode alone is between the leads, however operators are held
			}
		}
	}
}

// diodeWith reads a diode test. It is firm, and Known set, where it tells a diode, a short or an open
// from each other; what other parts between the leads make of it is an estimate.
func (o *offs) diodeWith(l log.Located, f *fuses) log.Reading {
	r := log.Reading{Kind: log.Diode}
	locked := o.lock(l.Step, l.Lifted, f)
	ohms, firm := locked.Ohms(l.A, l.B)
	switch {
	case !firm:
		return r
	case ohms < ClosedBelow:
		r.Firm, r.Known = true, true
		return r
	}
	var open []network.Conductor // diodes right between the leads
	forward := false
	joined := func(x, y network.Node) bool {
		z, sure := locked.Ohms(x, y)
		return x == y || sure && z < ClosedBelow
	}
	for _, c := range o.m.panel.DiodeConductors() {
		a, k := o.m.panel.Net.Ends(c)
		switch {
		case slices.Contains(o.overlay.Open, c):
		case joined(l.A, a) && joined(k, l.B):
			forward = true
			open = append(open, c)
		case joined(l.A, k) && joined(a, l.B):
			open = append(open, c)
		}
	}
	if !o.alone(l, f, open, ohms) {
		return r // other semiconductors may lead
	}
	r.Value = shows(ohms)
	switch {
	case forward && shows(ohms/partsSpan) > DiodeHigh:
		r.Value, r.Firm, r.Known = DiodeShows, true, true
	case forward && shows(ohms*partsSpan) > DiodeLow:
		r.Value = 0 // nobody can foretell which of the two it is
	case ohms >= OpenFrom:
		r.Value, r.Firm, r.Known = log.OL, ohms >= network.OpenOhms, ohms >= network.OpenOhms
	default:
		r.Firm = ohms < work.MarkFrom // else it may read open or not
	}
	return r
}

// alone tells whether no semiconductor leads between the leads but some diodes right between them: the
// ohms stay what they are with all others conducting.
func (o *offs) alone(l log.Located, f *fuses, but []network.Conductor, ohms float64) bool {
	if o.through == nil {
		return true
	}
	overlay := o.overlay
	overlay.Open = append(slices.Clone(overlay.Open), but...)
	t := o.m.offsIn(o.net, overlay, f.blown, o.from, 0)
	t.conducts = true
	as := &t.whole
	if len(f.blown) > 0 {
		as = &t.open
	}
	through, firm := t.lock(l.Step, l.Lifted, as).Ohms(l.A, l.B)
	return firm && network.SameOhms(ohms, through)
}

// DiodeTest gives the reading of a diode test as found, with the protective devices whole or those open
// that the fault blows.
func (t *Meter) DiodeTest(c log.Check, blown bool) (log.Reading, error) {
	l, err := t.m.book.Locate(c)
	if err != nil {
		return log.Reading{}, err
	}
	f := &t.offs.whole
	if blown && len(t.offs.blown) > 0 {
		f = &t.offs.open
	}
	return t.offs.readWith(l, f), nil
}
