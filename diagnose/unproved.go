package diagnose

import (
	"slices"

	"deadrung/circuits/network"
	"deadrung/diagnose/log"
	"deadrung/diagnose/split"
)

// Unproved says why nothing more proves a verdict that no reading has borne out.
type Unproved string

const (
	// ProofCannot: a check that would bear it out was said not to be possible here.
	ProofCannot Unproved = "cannot"
	// ProofForbidden: the rules of the site forbid volts, ohms, lifting or a place.
	ProofForbidden Unproved = "rules"
	// ProofApart: the ends of the part are at two places, and no meter reads across it.
	ProofApart Unproved = "apart"
	// ProofUnfed: it is a load that does nothing, and no check finds whether it has its volts.
	ProofUnfed Unproved = "unfed"
	// ProofMadeAtPart: the reading across the part itself led to the verdict, and nothing else
	// shows the fault.
	ProofMadeAtPart Unproved = "at-part"
	// ProofNone: nothing but what led to it shows the fault.
	ProofNone Unproved = "none"
)

// whyUnproved says why nothing more proves a verdict.
func (b *belief) whyUnproved(left []split.Weighted, by proven) Unproved {
	m := b.m
	found := int(left[0].Hypothesis)
	for _, e := range b.history.Entries[b.history.Since():] {
		if e.Answer == nil && m.tells(found, e.Located()) {
			return ProofCannot
		}
	}
	apart := func(ends [2]network.Node) bool {
		return m.book.Across(log.Located{Kind: log.Volts, A: ends[0], B: ends[1]})
	}
	r := m.options.Rules
	switch {
	case r.NoLive, r.NoLift, r.LooksOnly, len(r.OutOfReach) > 0:
		return ProofForbidden
	case b.unfed(left, by):
		return ProofUnfed
	case by.atPart:
		return ProofMadeAtPart
	case slices.ContainsFunc(m.partEnds(found), apart):
		return ProofApart
	}
	return ProofNone
}

// tells tells whether a check reads otherwise under a fault than in the good circuit.
func (m *Model) tells(fault int, l log.Located) bool {
	r := m.foretell(fault, l)
	return m.decides(l, r) && !m.agree(l, m.foretell(Good, l), r)
}
