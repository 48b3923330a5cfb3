package diagnose

import (
	"math"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// A reading of which nobody can say which part of a check it falls to may still lie for certain
// on one side of a figure: a winding is near zero or in between, and never open. So a check is a
// test once more for each such figure, which asks only on which side of it the reading lies. What
// floats decides nothing there either.

// cuts are the figures at which the readings of a check are cut.
func (m *Model) cuts(l log.Located) []float64 {
	switch l.Kind {
	case log.Volts:
		nominal := m.nominal(l.A, l.B)
		return []float64{AbsentBelow * nominal, PresentFrom * nominal}
	case log.Ohms:
		return []float64{ClosedBelow, OpenFrom}
	}
	return nil
}

// span is the readings that a firm one may come to at a check.
func (m *Model) span(l log.Located, r log.Reading) band {
	b := m.bandOf(l, r)
	if r.Either {
		other := m.bandOf(l, r.Other())
		b = band{min(b.low, other.low), max(b.high, other.high)}
	}
	return b
}

// Sides of a cut.
const (
	below split.Outcome = iota
	above
	sides = 2
)

// side is the side of a cut on which a foretold reading lies for certain, or split.Any.
func (m *Model) side(l log.Located, cut float64, r log.Reading) split.Outcome {
	if !r.Firm {
		return split.Any
	}
	b := m.span(l, r)
	closed := l.Kind == log.Ohms && m.decides(l, r) && r.Value < ClosedBelow // its band goes beyond
	switch {
	case b.high <= cut, closed:
		return below
	case b.low >= cut:
		return above
	}
	return split.Any
}

// cutRow divides the readings of a check at a figure; without parts where that tells nothing that
// the check in full does not tell.
func (m *Model) cutRow(check int32, cut float64, along []log.Reading) row {
	l := m.checks[check]
	r := row{usual: make([]split.Outcome, len(along))}
	parts := [sides]part{below: none, above: none}
	more := false
	side := func(x log.Reading) split.Outcome {
		o := m.side(l, cut, x)
		if o == split.Any {
			return o
		}
		more = more || !m.decides(l, x)
		parts[o].add(x.Number(), m.span(l, x))
		return o
	}
	for q, x := range along {
		r.usual[q] = side(x)
	}
	for _, c := range m.cells[check] {
		if got := side(c.reading); got != r.usual[m.follows[c.fault]] {
			r.except = append(r.except, split.Exception{Hypothesis: split.Hypothesis(c.fault), Outcome: got})
		}
	}
	if !more || parts[below] == none || parts[above] == none {
		return row{}
	}
	parts[below].high, parts[above].low = min(parts[below].high, cut), max(parts[above].low, cut)
	r.parts = parts[:]
	return r
}

// none is the part of no reading.
var none = part{math.Inf(1), math.Inf(-1), band{math.Inf(1), math.Inf(-1)}}

// add makes a part wider.
func (p *part) add(foretold float64, b band) {
	p.least, p.most = min(p.least, foretold), max(p.most, foretold)
	p.low, p.high = min(p.low, b.low), max(p.high, b.high)
}
