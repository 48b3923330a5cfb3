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
	share(context.Background(), len(overlays), m.meterSpace, func(s *offSpace, i int) {
		use(i, m.Ohmmeter(overlays[i]).in(s, true))
	})
}

// Survey has an ohmmeter of the good circuit used that works as those of EachOhmmeter do. What it
// comes to is kept for them: the network with wires lifted off a source, and such.
func (m *Model) Survey(use func(t *Ohmmeter)) {
	use(m.Ohmmeter(work.Overlay{}).in(m.meterSpace(), false))
}

func (m *Model) meterSpace() *offSpace {
	of := func() *offSpace {
		return &offSpace{whole: m.panel.OffLocal(m.panel.Net), open: m.panel.OffLocal(m.panel.Net)}
	}
	s := of()
	s.through = of()
	return s
}

// in gives an ohmmeter a space to work in, with bases of its own or not.
func (t *Ohmmeter) in(s *offSpace, own bool) *Ohmmeter {
	t.offs.in(s)
	for _, o := range []*offs{t.offs, t.offs.through} {
		if o == nil {
			continue
		}
		o.branches = true
		if own {
			o.own = make(network.Own)
		}
	}
	return t
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
	change *work.OffLocal     // what the overlay changes, where that is little
	at     *network.OffBranch // what change is against; nil for the good circuit as it is
	off    *network.Off
	// through is the same with every semiconductor conducting; nil where there is none.
	through *Locked
}

// Locked gives the panel with the operators as in a step and wires lifted off terminals. With none
// lifted, an empty list in place of nil has it worked out as where some are.
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
	if o.branches && lifted != nil {
		f.at = nil
		if at, ok := f.local.SolveFrom(o.m.lockedRoot(o.net, step, o.conducts), &o.overlay, lifted, o.own); ok {
			return Locked{change: f.local, at: at}
		}
		return Locked{off: o.solve(step, lifted, f)}
	}
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

// Reach is what a small change reaches: what happens elsewhere between the rails stands as it would
// without it.
type Reach struct {
	Nodes []network.Node
	Loads []network.Load // that are at any of them
	// Rings are the least nodes of those supernodes in which the change opened a conductor and parted
	// nothing: another one that opens there may part something now.
	Rings []network.Node
	// at and through are what the change is against.
	at, through *network.OffBranch
}

// Beside tells whether another change is against the same.
func (r *Reach) Beside(other *Reach) bool { return r.at == other.at && r.through == other.through }

// Super gives the least nodes that a node is joined to in what the change is against.
func (r *Reach) Super(n network.Node) (super []network.Node) {
	for _, b := range []*network.OffBranch{r.at, r.through} {
		if b != nil {
			super = append(super, b.Super(n))
		}
	}
	return super
}

// Reach gives what the change reaches, against the good circuit with no or some wires lifted. It reports
// false where that is not small, or where a meter shows it between two rails too.
func (l Locked) Reach() (Reach, bool) {
	if l.at == nil || l.change.Spread() {
		return Reach{}, false
	}
	r := Reach{Nodes: slices.Clone(l.change.Nodes()), Loads: slices.Clone(l.change.Loads()), at: l.at}
	l.change.RingsLeft(func(super network.Node) { r.Rings = append(r.Rings, super) })
	if l.through == nil {
		return r, true
	}
	through, ok := l.through.Reach()
	r.through = through.at
	r.Nodes, r.Loads, r.Rings = append(r.Nodes, through.Nodes...), append(r.Loads, through.Loads...), append(r.Rings, through.Rings...)
	return r, ok
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
// condition, which was worked out whole; false where that may be all of them. The good circuit's
// reach is that of the condition alone; nil where nothing is lifted, or it is not small.
func (l Locked) Differing(good Locked, reach *Reach) ([]network.Node, bool) {
	var nodes []network.Node
	ok := true
	switch {
	case l.at != nil:
		if reach == nil || l.at != reach.at || l.change.Spread() {
			return nil, false
		}
		nodes = slices.Concat(l.change.Nodes(), reach.Nodes)
		slices.Sort(nodes)
		nodes = slices.Compact(nodes)
	case l.change != nil:
		nodes = slices.Clone(l.change.Nodes())
	default:
		nodes, ok = good.off.Differing(l.off)
	}
	if l.through != nil && ok {
		var more []network.Node
		var through *Reach
		if reach != nil {
			through = &Reach{at: reach.through}
		}
		more, ok = l.through.Differing(*good.through, through)
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
