package diagnose

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// CausesTried bounds for how many causes of a blown fuse checks are looked for, and
// CauseChecks how many checks are named. Common practice, no source.
const (
	CausesTried = 24
	CauseChecks = 3
)

// causes finds what may have blown a fuse or tripped a breaker that is among what is
// left, and the checks that show it. The causes are the faults that open it when the
// circuit is worked, those that disagree with the fewest readings first, then the
// likeliest. Readings do not rule one out: its short may be gone by now, as that of a wire
// that touched metal once.
func (b *belief) causes(left []int) ([]faultmodel.ID, []log.Check) {
	open := b.m.open(left)
	if len(open) == 0 {
		return nil, nil
	}
	var causes []int
	for f, blown := range b.m.blown {
		if meet(blown, open) {
			causes = append(causes, f)
		}
	}
	slices.SortStableFunc(causes, func(x, y int) int {
		return cmp.Or(cmp.Compare(b.disagree[x], b.disagree[y]), cmp.Compare(b.m.faults[y].Prior, b.m.faults[x].Prior))
	})
	var ids []faultmodel.ID
	for _, f := range causes {
		ids = append(ids, b.m.faults[f].ID)
	}
	return ids, b.m.causeChecks(causes[:min(len(causes), CausesTried)], open)
}

// open gives the protective devices that are open in some of the faults.
func (m *Model) open(faults []int) []*circuits.Device {
	var open []*circuits.Device
	for _, f := range faults {
		if d := m.panel.Device(m.faults[f].Effect.OpenLink); d != nil && d.Type.Kind == circuits.LinkKind {
			open = append(open, d)
		}
	}
	return open
}

// causeChecks gives the ohms checks to the grounded side, power locked off and the blown
// device still open, that show most of what may have blown it: each shows most of those
// that the ones before it do not, weighed by their priors.
func (m *Model) causeChecks(causes []int, open []*circuits.Device) []log.Check {
	var points []log.Located
	for _, l := range m.checks {
		if l.Kind == log.Ohms && len(l.Lifted) == 0 && l.B == m.panel.Net.Source(m.own[l.A]).Return {
			points = append(points, l)
		}
	}
	space := m.offSpace()
	readings := func(o *offs) []log.Reading {
		o.open.blown = open
		o.in(space)
		all := make([]log.Reading, len(points))
		for i, l := range points {
			all[i] = o.readWith(l, &o.open)
		}
		return all
	}
	usual := readings(m.offs(Good))
	shows := make([][]bool, len(causes)) // by cause, by point
	for i, f := range causes {
		shows[i] = make([]bool, len(points))
		for k, r := range readings(m.offs(f)) {
			shows[i][k] = r.Firm && usual[k].Firm && !m.bandOf(points[k], usual[k]).holds(r.Value)
		}
	}
	var out []log.Check
	for len(out) < CauseChecks {
		best, most := -1, 0.0
		for k := range points {
			var weight float64
			for i, f := range causes {
				if shows[i][k] {
					weight += m.faults[f].Prior
				}
			}
			if weight > most*(1+1e-9) {
				best, most = k, weight
			}
		}
		if best < 0 {
			break
		}
		out = append(out, m.book.Check(points[best]))
		for i := range shows {
			if shows[i][best] {
				shows[i] = make([]bool, len(points)) // shown
			}
		}
	}
	return out
}
