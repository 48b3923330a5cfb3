package diagnose

import (
	"slices"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
)

// PartWorth is how many times as much a proof across the very part that a verdict names is
// worth: what is replaced is what was measured. Common practice, no source.
const PartWorth = 3.0

// partEnds gives the two points of each part that is at fault under a hypothesis: of a
// wire, a contact, a link, a coil, a lamp, a source. Points that touch each other are a pair.
func (m *Model) partEnds(hypothesis int) [][2]network.Node {
	o := m.overlay(m.fault(hypothesis)).Overlay
	net := m.panel.Net
	pairs := slices.Clone(o.Joins)
	add := func(a, b network.Node) { pairs = append(pairs, [2]network.Node{a, b}) }
	for _, c := range slices.Concat(o.Open, o.Closed) {
		add(net.Ends(c))
	}
	for _, l := range slices.Concat(o.OpenLoads, o.ShortedLoads) {
		add(net.Load(l).A, net.Load(l).B)
	}
	for _, s := range slices.Concat(o.OpenSources, o.DeadSources) {
		add(net.Source(s).Hot, net.Source(s).Return)
	}
	return pairs
}

// atPart tells whether the leads of a check are on the two points of a part.
func atPart(ends [][2]network.Node, l log.Located) bool {
	return l.Kind != log.Look && slices.ContainsFunc(ends, func(e [2]network.Node) bool {
		return e == [2]network.Node{l.A, l.B} || e == [2]network.Node{l.B, l.A}
	})
}

// acrossPart tells whether a check reads a part that is at fault under a hypothesis: its leads are
// on the two points of the part, and it is not the nothing that is left everywhere once a short has
// opened its fuse.
func (m *Model) acrossPart(hypothesis int, ends [][2]network.Node, l log.Located) bool {
	if !atPart(ends, l) {
		return false
	}
	if h := hypothesis; l.Kind == log.Volts && h < len(m.faults) && len(m.blown[h]) > 0 && int(m.blows[h]) <= l.Step {
		r := m.foretell(h, l)
		return !r.Firm || r.Value >= AbsentBelow*m.nominal(l.A, l.B)
	}
	return true
}

// fedAtPart tells whether a check finds the volts at a load that does nothing under a
// hypothesis: the good one has them as well, but it does something. The leads are on its very
// terminals; once they were there, any two points on its wire numbers do.
func (m *Model) fedAtPart(hypothesis int, l log.Located, wereThere bool) bool {
	if l.Kind != log.Volts {
		return false
	}
	for _, load := range m.overlay(m.fault(hypothesis)).OpenLoads {
		p := m.panel.Net.Load(load)
		if near, there := m.acrossLoad(l, p.A, p.B); there || wereThere && near {
			r := m.foretell(m.fault(hypothesis), l)
			return r.Firm && m.bandOf(l, r).low >= PresentFrom*m.nominal(l.A, l.B)
		}
	}
	return false
}
