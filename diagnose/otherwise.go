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

// volts is the reading between two nodes, whose islands and voltages at gives. What is neither
// nothing nor a difference of two sides of sources is divided by loads.
func (m *worked) volts(at func(network.Node) (int32, [2]complex64), a, b network.Node, degree bool) log.Reading {
	beats := m.panel.Net.Beats()
	r := between(at, beats, a, b)
	if !r.Firm || r.Value == 0 {
		return r
	}
	r.Degree = degree
	if math.Abs(r.Value-m.nominal(a, b)) < exactly {
		return r
	}
	net := m.panel.Net
	var sides []network.Node
	for i := 1; i <= net.Sources(); i++ {
		s := net.Source(network.Source(i))
		sides = append(sides, s.Hot, s.Return)
	}
	for i, x := range sides {
		for _, y := range sides[i+1:] {
			if math.Abs(between(at, beats, x, y).Value-r.Value) < exactly {
				return r
			}
		}
	}
	r.Divided = true
	return r
}

// exactly is how far a computed voltage may be from that of a source, in volts, to be the same.
const exactly = 1e-3

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
