package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
)

// Zones are the parts of a panel that nothing joins but the rails: what conductors and loads
// join, contacts open or closed, the rails themselves left out. Without a relay between them
// nothing that happens in one is seen in another, as long as the rails stand.
type Zones struct {
	p     *Panel
	of    []int32   // by node; the rails have none
	moves [][]int32 // by zone: those in which contacts of its coils stand
	// beside are, by node on a rail, the zones that hang on it.
	beside map[network.Node][]int32
}

// noZone is that of a node on a rail.
const noZone = -1

// Zones works out the zones of the panel; nil where a rail hangs on more than wires and
// fuses, so that no two are apart.
func (p *Panel) Zones() *Zones {
	z := &Zones{p: p, of: make([]int32, p.Net.Nodes()+1), beside: make(map[network.Node][]int32)}
	rails := joined.Search[network.Node, network.Conductor]{
		Beside: func(n network.Node, lead func(network.Node, network.Conductor, int)) {
			for _, c := range p.Net.At(n) {
				if p.parts[c].Kind != ContactPart {
					lead(p.Net.Other(c, n), c, 0)
				}
			}
		},
	}
	for i := 1; i <= p.Net.Sources(); i++ {
		s := p.Net.Source(network.Source(i))
		rails.From(s.Hot, 0)
		rails.From(s.Return, 0)
	}
	onRail := func(n network.Node) bool { _, ok := rails.Long(n); return ok }
	sets := joined.New(p.Net.Nodes() + 1)
	join := func(a, b network.Node) {
		if !onRail(a) && !onRail(b) {
			sets.Join(int32(a), int32(b))
		}
	}
	for c := 1; c <= p.Net.Conductors(); c++ {
		join(p.Net.Ends(network.Conductor(c)))
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		if d := p.loads[i]; d.Transformer() && p.PrimaryWired(d) && !(onRail(l.A) && onRail(l.B)) {
			return nil // what it feeds hangs on contacts
		}
		join(l.A, l.B)
	}
	for n := range z.of {
		if z.of[n] = noZone; n > 0 && !onRail(network.Node(n)) {
			z.of[n] = sets.Of(int32(n))
		}
	}
	z.hang()
	return z
}

// hang works out what moves what, and what hangs on the rails.
func (z *Zones) hang() {
	p := z.p
	for c := 1; c <= p.Net.Conductors(); c++ {
		a, b := p.Net.Ends(network.Conductor(c))
		z.hangs(a, z.at(b))
		z.hangs(b, z.at(a))
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		z.hangs(l.A, z.at(l.B))
		z.hangs(l.B, z.at(l.A))
	}
	z.moves = make([][]int32, len(z.of))
	for _, d := range p.relays {
		contacts := z.ofContacts(d)
		for i := range d.Coils() {
			l := p.Net.Load(p.Coil(d, i))
			for _, at := range z.at(l.A, l.B) {
				z.moves[at] = append(z.moves[at], contacts...)
			}
			z.hangs(l.A, contacts)
			z.hangs(l.B, contacts)
		}
	}
}

// hangs notes zones that hang on a node, if it is on a rail.
func (z *Zones) hangs(on network.Node, zones []int32) {
	if z.of[on] == noZone {
		z.beside[on] = append(z.beside[on], zones...)
	}
}

// at gives the zones of nodes.
func (z *Zones) at(nodes ...network.Node) []int32 {
	var zones []int32
	for _, n := range nodes {
		if int(n) < len(z.of) && z.of[n] != noZone && !slices.Contains(zones, z.of[n]) {
			zones = append(zones, z.of[n])
		}
	}
	return zones
}

// ofContacts gives the zones in which a device's contacts stand.
func (z *Zones) ofContacts(d *circuits.Device) []int32 {
	var nodes []network.Node
	for _, c := range z.p.contacts[d] {
		a, b := z.p.Net.Ends(c)
		nodes = append(nodes, a, b)
	}
	return z.at(nodes...)
}

// Reached are the zones that something may act on.
type Reached []bool

// Meets tells whether two have a zone in common.
func (r Reached) Meets(other Reached) bool {
	for i, reached := range r {
		if reached && other[i] {
			return true
		}
	}
	return false
}

// reach gives the zones that some act on, over relays.
func (z *Zones) reach(zones []int32) Reached {
	r := make(Reached, len(z.of))
	for queue := slices.Clone(zones); len(queue) > 0; {
		at := queue[0]
		queue = queue[1:]
		if !r[at] {
			r[at] = true
			queue = append(queue, z.moves[at]...)
		}
	}
	return r
}

// OfTimers gives what timers act on as they time out.
func (z *Zones) OfTimers(timers []Running) Reached {
	var zones []int32
	for _, t := range timers {
		zones = append(zones, z.ofContacts(t.Device)...)
	}
	return z.reach(zones)
}

// OfFault gives what a fault acts on that shows at some nodes: where its own parts are, where it
// shows, and what hangs on a rail at which it shows. False for what acts on all.
func (z *Zones) OfFault(o *Overlay, shows []network.Node) (Reached, bool) {
	if len(o.OpenSources)+len(o.DeadSources)+len(o.Scale) > 0 || o.Temper != AsTable {
		return nil, false
	}
	nodes := slices.Clone(shows)
	ends := func(c network.Conductor) {
		a, b := z.p.Net.Ends(c)
		nodes = append(nodes, a, b)
	}
	for _, c := range slices.Concat(o.Open, o.Closed) {
		ends(c)
	}
	for _, j := range o.Joints {
		ends(j.Conductor)
	}
	for _, j := range o.Joins {
		nodes = append(nodes, j[0], j[1])
	}
	for _, l := range o.Leaks {
		nodes = append(nodes, l.A, l.B)
	}
	for _, l := range o.Landings {
		if int(l.From) >= len(z.of) || int(l.To) >= len(z.of) {
			return nil, false
		}
		ends(l.Conductor)
		nodes = append(nodes, l.From, l.To)
	}
	devices := z.p.Concerns(o)
	for _, t := range o.Timers {
		devices = append(devices, t.Device)
	}
	for _, d := range devices {
		for _, t := range d.Terminals {
			nodes = append(nodes, z.p.Node(d.Terminal(t)))
		}
	}
	zones := z.at(nodes...)
	for _, n := range shows {
		zones = append(zones, z.beside[n]...)
	}
	return z.reach(zones), true
}
