package diagnose

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// Wires that touch are planted at the screws of each device where they can, and in the duct:
// with wires lifted there, what the meter reads never speaks against the fault.
func TestTouchAtTheScrewsOrInTheDuct(t *testing.T) {
	differ := 0
	for _, name := range circuits.Builtin() {
		t.Run(name, func(t *testing.T) {
			m := builtin(t, name)
			for f, fault := range m.faults {
				if len(fault.Effect.Short) == 0 && fault.Effect.Ground == "" {
					continue
				}
				for _, l := range m.checks {
					if l.Kind != log.Ohms || len(l.Lifted) == 0 {
						continue
					}
					duct := plantedOhms(t, m, fault.Overlay, l, 0, 0)
					assert.True(t, fits(m, f, l, duct), "%s in the duct, %s", fault.ID, m.book.Check(l))
					for _, ends := range screwsOf(m, fault.Overlay.Joins[0], l.Lifted[0]) {
						screws := plantedOhms(t, m, fault.Overlay, l, ends[0], ends[1])
						assert.True(t, fits(m, f, l, screws), "%s at the screws, %s", fault.ID, m.book.Check(l))
						if !sameReading(duct, screws) {
							differ++
						}
						told := m.bandOf(l, m.foretell(f, l))
						if !told.holds(duct.Number()) || !told.holds(screws.Number()) {
							assert.False(t, m.decides(l, m.foretell(f, l)), "%s, %s", fault.ID, m.book.Check(l))
						}
					}
				}
			}
		})
	}
	assert.Greater(t, differ, 100, "hardly any touch reads otherwise at the screws")
}

func fits(m *Model, fault int, l log.Located, r log.Reading) bool {
	if !r.Firm {
		return true
	}
	e, err := m.book.NewEntry(m.book.Check(l), &r)
	return err == nil && m.Fits(fault, e) && !slices.Contains(m.Disagreeing(e), fault)
}

// screwsOf gives the pairs of nodes at which the two that touch can do so on the device that a
// terminal is of, the terminal itself being one.
func screwsOf(m *Model, join [2]network.Node, at circuits.Terminal) [][2]network.Node {
	p := m.panel
	name, _ := at.Split()
	var pairs [][2]network.Node
	for k, other := range [2]network.Node{join[1], join[0]} {
		if p.Number(p.Node(at)) != p.Number(join[k]) || p.Number(join[k]) < 0 {
			continue
		}
		owner, _ := p.Terminal(other).Split()
		if p.Device(owner).Type.Kind == circuits.GroundKind {
			pairs = append(pairs, [2]network.Node{p.Node(at), other})
			continue
		}
		for _, terminal := range p.Device(name).Terminals {
			n := p.Node(p.Device(name).Terminal(terminal))
			if p.Number(n) == p.Number(other) && n != p.Node(at) {
				pairs = append(pairs, [2]network.Node{p.Node(at), n})
			}
		}
	}
	return pairs
}

// plantedOhms solves the whole panel with wires lifted and what touches tied between two
// terminals; with none, in the duct. Before, with the wires on, the panel is worked with what
// touches: a relay that keeps its position has the one that it got then.
func plantedOhms(t *testing.T, m *Model, o work.Overlay, l log.Located, a, b network.Node) log.Reading {
	t.Helper()
	stands := m.panel.LockedOut(&o, l.Step)
	if a != 0 {
		o.Joins = nil
	}
	lifted, err := m.panel.Lift(o, l.Lifted)
	require.NoError(t, err)
	if a != 0 {
		lifted.Joins = [][2]network.Node{{a, b}}
	}
	off := m.panel.Net.Off(stands, &lifted.Overlay)
	r := log.Reading{Kind: log.Ohms}
	r.Value, r.Firm = off.Ohms(l.A, l.B)
	return r
}

// A reading has one other that fits as well; with a third it is not firm.
func TestOrElse(t *testing.T) {
	ohms := func(v float64) log.Reading { return log.Reading{Kind: log.Ohms, Value: v, Firm: true} }
	one, two := ohms(1), log.Reading{Kind: log.Ohms, Value: 1, Firm: true, Else: 200, Either: true}
	assert.Equal(t, one, orElse(one, ohms(1)))
	assert.Equal(t, two, orElse(one, ohms(200)))
	assert.Equal(t, two, orElse(two, ohms(200)))
	assert.Equal(t, two, orElse(two, ohms(1)))
	assert.Equal(t, log.Reading{Kind: log.Ohms}, orElse(two, ohms(3000)))
	assert.Equal(t, log.Reading{Kind: log.Ohms}, orElse(one, log.Reading{Kind: log.Ohms, Value: 7}))
}
