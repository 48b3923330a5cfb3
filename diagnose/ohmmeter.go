package diagnose

import (
	"context"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// Ohmmeter foretells ohms checks on the panel with an overlay, every protective device whole and
// every part as the table has it: what a sheet says that a meter will show. One goroutine uses
// it.
type Ohmmeter struct{ offs *offs }

// Ohmmeter gives an ohmmeter for an overlay; the good circuit has an empty one.
func (m *Model) Ohmmeter(overlay work.Overlay) *Ohmmeter {
	return &Ohmmeter{m.offsIn(m.panel.Net, overlay, nil, 0, 0)}
}

// EachOhmmeter has an ohmmeter for each overlay used, on all cores. What the ohmmeter gives is
// worked out in a space that the next one gets.
func (m *Model) EachOhmmeter(overlays []work.Overlay, use func(i int, t *Ohmmeter)) {
	space := func() *offSpace {
		return &offSpace{whole: m.panel.OffLocal(m.panel.Net), open: m.panel.OffLocal(m.panel.Net)}
	}
	share(context.Background(), len(overlays), space, func(s *offSpace, i int) {
		t := m.Ohmmeter(overlays[i])
		t.offs.in(s)
		use(i, t)
	})
}

// Read foretells the reading of an ohms check, the ohms of every part taken as given.
func (t *Ohmmeter) Read(l log.Located) log.Reading {
	r := t.offs.readWith(l, &t.offs.whole)
	r.Known = true
	return r
}

// Locked is the panel with the power locked off in one condition. That of an ohmmeter of
// [Model.EachOhmmeter] stands until the ohmmeter is asked again.
type Locked struct {
	change *work.OffLocal // what the overlay changes, where that is little
	off    *network.Off
}

// Locked gives the panel with the operators as in a step and wires lifted off terminals.
func (t *Ohmmeter) Locked(step int, lifted []circuits.Terminal) Locked {
	if t.offs.small(step, lifted, &t.offs.whole) {
		return Locked{change: t.offs.whole.local}
	}
	return Locked{off: t.offs.solve(step, lifted, &t.offs.whole)}
}

// Ohms is what a meter shows between two nodes, and whether that is firm.
func (l Locked) Ohms(a, b network.Node) (ohms float64, firm bool) {
	if l.change != nil {
		return l.change.Ohms(a, b)
	}
	return l.off.Ohms(a, b)
}

// Differing gives the nodes that stand otherwise than in the good circuit in the same
// condition, which was worked out whole; false where that may be all of them.
func (l Locked) Differing(good Locked) ([]network.Node, bool) {
	if l.change != nil {
		return l.change.Nodes(), true
	}
	return good.off.Differing(l.off)
}

// Band gives the readings of a check that agree with a foretold one, from the least to the
// most. A look has on at 1 and off at 0.
func (m *Model) Band(l log.Located, foretold log.Reading) (low, high float64) {
	b := m.bandOf(l, foretold)
	return b.low, b.high
}

// LeadPairs gives the pairs of points between which volts are worth measuring, on a panel of
// any size.
func (m *Model) LeadPairs() [][2]network.Node {
	live, _ := m.pairs(false)
	out := make([][2]network.Node, len(live))
	for i, p := range live {
		out[i] = [2]network.Node{p.a, p.b}
	}
	return out
}
