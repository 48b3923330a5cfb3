package diagnose

import (
	"context"
	"math"
	"slices"

	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// A fault under which a coil gets a part of the supply, or a fuse nearly its rated current,
// leaves open what the circuit does: it depends on parts whose values nobody gave. Such a
// fault is worked with eager and with reluctant parts too, and what then reads otherwise is
// not foretold. Most faults never meet such a moment and are worked once.

// tempers are what parts may be like beside those of the table.
var tempers = []work.Temper{work.Eager, work.Reluctant}

// workOtherwise works the faults that depend on their parts with others, and the good circuit
// too where that depends on them.
func (m *Model) workOtherwise(ctx context.Context, c *work.Course, depends []bool, known *conditions) {
	m.otherwise = make([][][]change, len(m.faults)+1)
	depends = append(depends, c.End(len(m.good)-1).Depends)
	share(ctx, len(depends), c.Follower, func(f *work.Follower, i int) {
		if !depends[i] {
			return
		}
		h := m.fault(i)
		for _, t := range tempers {
			o := m.overlay(h)
			o.Temper = t
			trace, blown, _, _ := m.trace(f, &o, known)
			m.otherwise[i] = append(m.otherwise[i], trace)
			if h == Good {
				continue
			}
			for _, d := range blown {
				if !slices.Contains(m.blown[i], d) {
					m.blown[i] = append(slices.Clone(m.blown[i]), d)
				}
			}
		}
	})
}

// differ tells whether two foretold readings of a look or a volts check differ as far as matters.
func (m *worked) differ(l log.Located, one, other log.Reading) bool {
	return other.On != one.On || other.Firm != one.Firm || other.Divided != one.Divided ||
		l.Kind == log.Volts && !other.Divided && math.Abs(other.Value-one.Value) > 0.01*m.nominal(l.A, l.B)
}

// alongChange is the reading of a look or a volts check with a change.
func (m *Model) alongChange(c *change, fault int, l log.Located) log.Reading {
	if l.Kind == log.Look {
		return c.seen(m.visible[l.Sight()])
	}
	return m.volts(c.at, l.A, l.B, m.degree(fault))
}

// potentials give the island and the voltage of a node, by frequency.
type potentials func(network.Node) (int32, phasors)

// volts is the reading between two nodes, whose islands and voltages at gives. What is neither
// nothing nor a difference of two sides of sources is divided by loads.
func (m *worked) volts(at potentials, a, b network.Node, degree bool) log.Reading {
	r := between(at, m.panel.Net.Beats(), a, b)
	if !r.Firm || r.Value == 0 {
		return r
	}
	r.Degree = degree
	if math.Abs(r.Value-m.nominal(a, b)) < exactly {
		return r
	}
	sides := m.heldSides(at, degree)
	tied := m.tied(at, sides)
	one, other := m.nearSide(at, sides, a), m.nearSide(at, sides, b)
	if r.Divided = one < 0 || other < 0 || tied[one] != tied[other]; r.Divided && len(sides) > 2 {
		s := spreading{m, at, r.Value, sides, tied}
		r.Span = s.span(a, b, one, other)
	}
	return r
}

// sideOf is the first of some sides of sources that has the voltage of a node, -1 for none.
func (m *worked) sideOf(at potentials, sides []network.Node, n network.Node) int {
	return slices.IndexFunc(sides, func(side network.Node) bool {
		r := between(at, false, side, n)
		return r.Firm && r.Value < exactly
	})
}

// nearSide is the same where diodes may stand between.
func (m *worked) nearSide(at potentials, sides []network.Node, n network.Node) int {
	if i := m.sideOf(at, sides, n); i >= 0 || m.panel.Drops() == 0 {
		return i
	}
	return slices.IndexFunc(sides, func(side network.Node) bool {
		r := between(at, false, side, n)
		return r.Firm && r.Value < m.panel.Drops()+exactly
	})
}

// tied numbers sides of sources, two for each source: those that have a number have volts between
// them that no load divides. No two parts are alike, so sides that have one voltage are joined.
func (m *worked) tied(at potentials, sides []network.Node) []int {
	tied := make([]int, len(sides))
	for i := range tied {
		tied[i] = i / 2
	}
	for i := range sides {
		for k := range i {
			if from, to := tied[i], tied[k]; from != to && m.sideOf(at, sides[k:k+1], sides[i]) == 0 {
				for j := range tied {
					if tied[j] == from {
						tied[j] = to
					}
				}
			}
		}
	}
	return tied
}

// heldSides are the sides of the sources that give what they should, whatever hangs on them. The
// line that a supply has lost is none, nor is the secondary of a transformer that is fed with
// volts that loads divide.
func (m *worked) heldSides(at potentials, degree bool) []network.Node {
	net := m.panel.Net
	var sides []network.Node
	held := make([]bool, net.Sources()+1)
	for again := true; again; {
		again = false
		for i := 1; i <= net.Sources(); i++ {
			s, d := net.Source(network.Source(i)), m.panel.SourceDevice(network.Source(i))
			if held[i] {
				continue
			}
			should := s.Volts
			if m.panel.PrimaryWired(d) {
				fed := net.Load(m.panel.Load(d))
				if m.sideOf(at, sides, fed.A) < 0 || m.sideOf(at, sides, fed.B) < 0 {
					continue
				}
				should *= between(at, false, fed.A, fed.B).Value / m.panel.Values(d).Volts
			}
			gives := between(at, false, s.Hot, s.Return)
			if gives.Firm && gives.Value > 0 && (degree || math.Abs(gives.Value-should) < exactly) {
				held[i], again = true, true
				sides = append(sides, s.Hot, s.Return)
			}
		}
	}
	return sides
}

// exactly is how far a computed voltage may be from that of a source, in volts, to be the same.
const exactly = 3e-4

// degree tells whether a fault comes in degrees: its resistance, or how far a supply is down,
// is a representative one.
func (m *worked) degree(fault int) bool {
	if fault == Good {
		return false
	}
	o := &m.faults[fault].Overlay
	return len(o.Joints)+len(o.Leaks)+len(o.Scale)+len(o.LoadScale) > 0
}

// inBetween tells whether ohms are neither near zero nor as good as open.
func inBetween(ohms float64) bool { return ohms >= ClosedBelow && ohms < network.OpenOhms }
