package diagnose

import (
	"cmp"
	"context"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// table is the checks in the terms of package split: the hypotheses are the faults
// and, last, the good circuit.
type table struct {
	split  *split.Table
	checks []int32  // by test: index into Model.checks
	parts  [][]part // by test, by outcome
	group  []int32  // by hypothesis: no check tells two of one number apart
	linked []int32  // by hypothesis: chains of groups that hang together
}

// row is one check in the terms of the table; without parts where nothing differs on it.
type row struct {
	parts  []part
	usual  []split.Outcome // by course
	except []split.Exception
}

// build turns readings into outcomes. Two readings are one outcome if either would
// agree with what the other foretells. A check on which nothing differs is left out.
func (m *Model) build(ctx context.Context) table {
	rows := make([]row, len(m.checks))
	share(ctx, len(m.checks), func() *rowSpace { return &rowSpace{} }, func(s *rowSpace, i int) { rows[i] = m.row(int32(i), s) })
	if ctx.Err() != nil {
		return table{}
	}
	var t table
	b := split.NewBuilder(len(m.faults) + 1)
	b.Follow(append(slices.Clone(m.follows), 0), len(m.beside))
	for i, r := range rows {
		if len(r.parts) > 0 {
			b.AddShared(r.usual, len(r.parts), r.except)
			t.checks = append(t.checks, int32(i))
			t.parts = append(t.parts, r.parts)
		}
	}
	var err error
	if t.split, err = b.Build(); err != nil {
		panic("diagnose: a table that cannot be: " + err.Error())
	}
	t.group, t.linked = groups(t.split)
	return t
}

// rowSpace is room for the readings of a check.
type rowSpace struct{ along, values []log.Reading }

// row divides the readings of a check into outcomes.
func (m *Model) row(check int32, s *rowSpace) row {
	if m.cannotBeHeld(m.checks[check]) {
		return row{}
	}
	along, same := m.onCourses(check, s.along)
	s.along = along
	if same && len(m.cells[check]) == 0 {
		return row{}
	}
	at := m.checks[check]
	values := s.values[:0]
	value := func(x log.Reading) {
		if m.settles(at, along[0], x) {
			values = append(values, x)
		}
	}
	for q, x := range along {
		if q == 0 || x != along[q-1] {
			value(x)
		}
	}
	for _, c := range m.cells[check] {
		value(c.reading)
	}
	s.values = values
	r := row{parts: m.part(at, values), usual: make([]split.Outcome, len(along))}
	same = true
	for q, x := range along {
		r.usual[q] = m.outcome(at, along[0], r.parts, x)
		same = same && r.usual[q] == r.usual[0]
	}
	for _, c := range m.cells[check] {
		if got := m.outcome(at, along[0], r.parts, c.reading); got != r.usual[m.follows[c.fault]] {
			r.except = append(r.except, split.Exception{Hypothesis: split.Hypothesis(c.fault), Outcome: got})
		}
	}
	if same && len(r.except) == 0 {
		return row{}
	}
	return r
}

// outcome is the part that a foretold reading falls to; usual is the good circuit's.
func (m *Model) outcome(l log.Located, usual log.Reading, parts []part, r log.Reading) split.Outcome {
	if !m.settles(l, usual, r) {
		return split.Any
	}
	v := r.Number()
	return split.Outcome(slices.IndexFunc(parts, func(p part) bool { return v >= p.least && v <= p.most }))
}

// part is one outcome of a check: the foretold readings that it stands for, and the
// answers that fall to it.
type part struct {
	least, most float64 // foretold
	band                // answered
}

// part divides foretold readings into outcomes, in rising order. Where the answers of
// two neighbours overlap they are parted in the middle.
func (m *Model) part(l log.Located, values []log.Reading) []part {
	slices.SortStableFunc(values, func(a, b log.Reading) int { return cmp.Compare(a.Number(), b.Number()) })
	var parts []part
	for _, r := range slices.Compact(values) {
		v, b := r.Number(), m.bandOf(l, r)
		if n := len(parts); n > 0 && (parts[n-1].holds(v) || b.holds(parts[n-1].most)) {
			parts[n-1].most = v
			parts[n-1].low, parts[n-1].high = min(parts[n-1].low, b.low), max(parts[n-1].high, b.high)
		} else {
			parts = append(parts, part{v, v, b})
		}
	}
	for i := 1; i < len(parts); i++ {
		below, above := &parts[i-1], &parts[i]
		if below.high >= above.low {
			middle := (max(below.most, above.low) + min(above.least, below.high)) / 2
			below.high, above.low = middle, middle
		}
	}
	return parts
}
