package diagnose

import (
	"math"
	"slices"

	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// A leak of some kilohms puts full volts on a point on which nothing draws, and reads as ohms in
// between, just as wires that touch or a welded contact do. What tells them apart is that
// something acts, that next to nothing is read, or that a fuse goes.

// leaky tells whether the verdict is that something joins what it should not, and a leak would
// explain every odd reading as well.
func (b *belief) leaky(left []split.Weighted) bool {
	m := b.m
	good := len(m.faults)
	for _, w := range left {
		if !m.joins(int(w.Hypothesis)) {
			return false
		}
	}
	for i, against := range b.against {
		if against == nil || !against[good] {
			continue
		}
		l := b.history.Entries[i].Located()
		fits := func(w split.Weighted) bool { return !against[w.Hypothesis] && b.open[i][w.Hypothesis] == foretold }
		if slices.ContainsFunc(left, fits) && hard(l, b.history.Entries[i].Answer.Number()) {
			return false
		}
	}
	return true
}

// joins tells whether all that a fault does is to join what should be apart, no fuse blown.
func (m *Model) joins(fault int) bool {
	o := m.overlay(fault).Overlay
	return len(o.Joins)+len(o.Closed) > 0 && len(o.Open)+len(o.OpenLoads) == 0 && len(m.blown[fault]) == 0
}

// hard tells whether no leak gives an odd reading: something acts, or next to nothing is read.
func hard(l log.Located, answer float64) bool {
	return l.Kind == log.Look || answer < ClosedBelow
}

// proofOfJoin is the check that tells such a verdict from a leak; nil where there is none.
func (b *belief) proofOfJoin(left []split.Weighted, from split.Mode, by By) *Proposal {
	m := b.m
	allowed, good := b.allowed(false), split.Hypothesis(len(m.faults))
	best, least := split.Test(-1), math.Inf(1)
	for t, i := range m.table.checks {
		l, test := m.checks[i], split.Test(t)
		found := m.table.split.Outcome(test, left[0].Hypothesis)
		usual := m.table.split.Outcome(test, good)
		if found == split.Any || usual == split.Any || found == usual || !allowed(test) ||
			!hard(l, m.table.parts[t][found].most) {
			continue
		}
		if minutes := m.minutes(from, l); minutes < least {
			best, least = test, minutes
		}
	}
	if best < 0 {
		return nil
	}
	return m.propose(best, b.withRest(left), from, by)
}
