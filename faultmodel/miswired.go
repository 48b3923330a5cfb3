package faultmodel

import (
	"fmt"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// miswired: a wire end on another terminal of the same device. NO used for NC is one
// of these.
func (l *lister) miswired() {
	for i, n := range l.p.Circuit.Numbers {
		for k, w := range n.Wires {
			for _, end := range []circuits.Terminal{w.From, w.To} {
				d := l.device(end)
				if d.Type.Kind == circuits.GroundKind {
					continue
				}
				from := l.p.Node(end)
				for _, name := range d.Terminals {
					to := d.Terminal(name)
					if d.HasPrimary() && !l.p.PrimaryWired(d) && (name == d.Primary[0] || name == d.Primary[1]) {
						continue // fed from outside: no wire of this circuit belongs there
					}
					if l.p.Node(to) == from || l.p.Number(l.p.Node(to)) == i {
						continue
					}
					far := w.From
					if end == w.From {
						far = w.To
					}
					l.add(Fault{
						ID:     ID(fmt.Sprintf("miswired-%s-%s-on-%s", far, end, name)),
						Text:   fmt.Sprintf("wire %s from %s sits on %s and not on %s", n.Name, far, to, end),
						Where:  fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), end, to, d.Whereabouts()),
						Key:    MiswiredEnd,
						Effect: Effect{Miswired: &Miswired{n.Name, end, to}},
						Overlay: work.Overlay{Overlay: network.Overlay{Landings: []network.Landing{
							{Conductor: l.p.Wire(i, k), From: from, To: l.p.Node(to)}}}},
						Devices: []string{d.Name},
					}, d.Odds)
				}
			}
		}
	}
}

// exchanged: the wires of two terminals of a device, each on the other. Where one part
// alone is between the two, and nothing else hangs on either, it makes no difference.
func (l *lister) exchanged() {
	net := l.p.Net
	hangs := make(map[network.Node][]network.Node) // what parts lead to from a node
	part := func(a, b network.Node) {
		hangs[a] = append(hangs[a], b)
		hangs[b] = append(hangs[b], a)
	}
	for i := 1; i <= net.Conductors(); i++ {
		if c := network.Conductor(i); l.p.Part(c).Kind != work.WirePart {
			part(net.Ends(c))
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		p := net.Load(network.Load(i))
		part(p.A, p.B)
	}
	for i := 1; i <= net.Sources(); i++ {
		p := net.Source(network.Source(i))
		part(p.Hot, p.Return)
	}
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.GroundKind || d.Type.Kind == circuits.BlockKind {
			continue
		}
		for i, one := range d.Terminals {
			for _, other := range d.Terminals[i+1:] {
				a, b := l.p.Node(d.Terminal(one)), l.p.Node(d.Terminal(other))
				wa, wb := l.p.Landings(a), l.p.Landings(b)
				if len(wa) == 0 || len(wb) == 0 || l.p.Number(a) == l.p.Number(b) {
					continue
				}
				if d.Type.Kind != circuits.SourceKind && !d.OneWay() && len(hangs[a]) == 1 && len(hangs[b]) == 1 && hangs[a][0] == b {
					continue
				}
				var o network.Overlay
				for _, c := range wa {
					o.Landings = append(o.Landings, network.Landing{Conductor: c, From: a, To: b})
				}
				for _, c := range wb {
					o.Landings = append(o.Landings, network.Landing{Conductor: c, From: b, To: a})
				}
				text := fmt.Sprintf("the wires of %s and %s are exchanged", d.Terminal(one), d.Terminal(other))
				if d.OneWay() {
					text = fmt.Sprintf("%s is in the wrong way round", d.Called())
				}
				l.add(Fault{
					ID:      ID(fmt.Sprintf("exchanged-%s-%s", d.Terminal(one), other)),
					Text:    text,
					Where:   fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), one, other, d.Whereabouts()),
					Key:     WiresExchanged,
					Effect:  Effect{Exchanged: []circuits.Terminal{d.Terminal(one), d.Terminal(other)}},
					Overlay: work.Overlay{Overlay: o}, Devices: []string{d.Name},
				}, d.Odds)
			}
		}
	}
}
