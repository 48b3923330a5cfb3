package diagnose

import (
	"context"
	"slices"

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
		of := func() *offSpace {
			return &offSpace{whole: m.panel.OffLocal(m.panel.Net), open: m.panel.OffLocal(m.panel.Net)}
		}
		s := of()
		s.through = of()
		return s
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
	// through is the same with every semiconductor conducting; nil where there is none.
	through *Locked
}

// Locked gives the panel with the operators as in a step and wires lifted off terminals.
func (t *Ohmmeter) Locked(step int, lifted []circuits.Terminal) Locked {
	return t.offs.locked(step, lifted, &t.offs.whole)
}

// locked is the panel in one condition, its semiconductors conducting or not.
func (o *offs) locked(step int, lifted []circuits.Terminal, f *fuses) Locked {
	l := o.lock(step, lifted, f)
	if o.through != nil {
		through := o.through.lock(step, lifted, o.through.like(o, f))
		l.through = &through
	}
	return l
}

func (o *offs) lock(step int, lifted []circuits.Terminal, f *fuses) Locked {
	if o.small(step, lifted, f) {
		return Locked{change: f.local}
	}
	return Locked{off: o.solve(step, lifted, f)}
}

// Ohms is what a meter shows between two nodes, and whether that is firm.
func (l Locked) Ohms(a, b network.Node) (ohms float64, firm bool) {
	if l.change != nil {
		ohms, firm = l.change.Ohms(a, b)
	} else {
		ohms, firm = l.off.Ohms(a, b)
	}
	if l.through != nil && firm {
		through, sure := l.through.Ohms(a, b)
		firm = sure && network.SameOhms(ohms, through)
	}
	return ohms, firm
}

// Super gives the least node that a node is joined to by what is closed, the panel having been worked out whole.
func (l Locked) Super(n network.Node) network.Node { return l.off.Super(n) }

// Region gives the nodes that a small change reaches, up to the sides of the sources: what happens
// elsewhere between those stands as it would without it. It reports false where the change is not small.
func (l Locked) Region() ([]network.Node, bool) {
	if l.change == nil {
		return nil, false
	}
	nodes := slices.Clone(l.change.Nodes())
	if l.through == nil {
		return nodes, true
	}
	more, small := l.through.Region()
	return append(nodes, more...), small
}

// least is the least that a meter shows between two nodes, whatever electronic outputs and
// semiconductors do.
func (l Locked) least(a, b network.Node) float64 {
	var ohms float64
	if l.change != nil {
		ohms = l.change.Least(a, b)
	} else {
		ohms = l.off.Least(a, b)
	}
	if l.through != nil {
		return min(ohms, l.through.least(a, b))
	}
	return ohms
}

// Differing gives the nodes that stand otherwise than in the good circuit in the same
// condition, which was worked out whole; false where that may be all of them.
func (l Locked) Differing(good Locked) ([]network.Node, bool) {
	var nodes []network.Node
	ok := true
	if l.change != nil {
		nodes = slices.Clone(l.change.Nodes())
	} else {
		nodes, ok = good.off.Differing(l.off)
	}
	if l.through != nil && ok {
		var more []network.Node
		more, ok = l.through.Differing(*good.through)
		nodes = append(nodes, more...)
		slices.Sort(nodes)
		nodes = slices.Compact(nodes)
	}
	return nodes, ok
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
