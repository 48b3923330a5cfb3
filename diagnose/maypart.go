package diagnose

import (
	"cmp"
	"slices"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// leastParted is the share of what is left, by weight, that a check which may part it has to cut
// off in the mean to be worth naming. Common practice, no source.
const leastParted = 0.02

// mayPart gives the ohms check at a part in doubt that may cut most off what is left: some of it
// reads in one of two ways there, as wires that touch do where one of them is lifted, at its screw or
// in the duct. Points that were measured in another step are not named again. No verdict waits for
// it; nil where there is none.
func (b *belief) mayPart(left []split.Weighted) *log.Check {
	m := b.m
	if len(left) < 2 || m.ohmsFrom < 0 {
		return nil
	}
	no := make(map[log.Spot]bool)
	for i, e := range b.history.Entries {
		if e.Answer == nil || i >= b.history.Since() {
			no[e.Located().Spot()] = true
		}
	}
	ends := make([][][2]network.Node, len(left))
	for i, w := range left {
		ends[i] = m.partEnds(int(w.Hypothesis))
	}
	best, most := -1, leastParted
	for i := int(m.ohmsFrom); i < len(m.checks); i++ {
		l := m.checks[i]
		if !slices.ContainsFunc(ends, func(e [][2]network.Node) bool { return atPart(e, l) }) || no[l.Spot()] || m.cannotBeHeld(l) {
			continue
		}
		if cut := m.cutOff(int32(i), left); cut > most*(1+1e-9) {
			best, most = i, cut
		}
	}
	if best < 0 {
		return nil
	}
	c := m.book.Check(m.checks[best])
	return &c
}

// cutOff is the share of what is left that a check rules out in the mean, each reading that a
// fault may give being as likely as its others.
func (m *Model) cutOff(check int32, left []split.Weighted) float64 {
	l := m.checks[check]
	told := make([]log.Reading, len(left))
	several := false
	for i, w := range left {
		told[i] = m.told(check, int32(w.Hypothesis))
		several = several || told[i] != told[0]
		if told[i].Either && len(l.Lifted) == 0 {
			return 0 // as found a fuse that a short opens is open
		}
	}
	if !several {
		return 0
	}
	var all, cut float64
	for i, w := range left {
		all += w.Weight
		may := m.MayRead(l, told[i])
		for _, answer := range may {
			for k, other := range left {
				if !m.agree(l, told[k], answer) {
					cut += w.Weight / float64(len(may)) * other.Weight
				}
			}
		}
	}
	return cut / (all * all)
}

// told is what a fault foretells of a check that may be proposed.
func (m *Model) told(check, fault int32) log.Reading {
	cells := m.cells[check]
	if i, ok := slices.BinarySearchFunc(cells, fault, func(c cell, f int32) int { return cmp.Compare(c.fault, f) }); ok {
		return cells[i].reading
	}
	return m.along(m.follows[fault], check)
}
