package work

import (
	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Departure is how a fault departs, at the end of a step, from the course that it was
// followed along last.
type Departure struct{ f *Follower }

// From is what it departs from: the good circuit at the end of the step, or the good
// circuit but for the protective devices that have opened on the way (End.Blown).
func (d *Departure) From() *End {
	s := d.f.c.steps[d.f.stepping]
	if d.f.base != d.f.at.base {
		return d.f.c.boltedEnd(s, d.f.base.Live())
	}
	return s.end
}

// Depends tells what End.Depends tells.
func (d *Departure) Depends() bool { return d.f.depends }

// Nodes are those whose voltage may differ, without order.
func (d *Departure) Nodes() []network.Node { return d.f.local.Nodes() }

// At gives the island of a node and its voltage by frequency.
func (d *Departure) At(n network.Node) (network.Node, [2]complex128) { return d.f.local.At(n) }

// Looks calls visit for each sight that may look otherwise than on the course.
func (d *Departure) Looks(visit func(s Sight, on, firm bool)) {
	p := d.f.p
	relay := func(r int) {
		a := d.f.stands(r, d.f.at)
		for i, look := range p.relays[r].Type.Looks {
			var on, firm bool
			switch look.Follows {
			case circuits.TheDevice:
				on, firm = d.f.relay(r).seen(a), true
			case circuits.TheCoil:
				on, firm = a.in, !d.f.o.still(p.relays[r])
			}
			visit(Sight{p.relays[r], i}, on, firm)
		}
	}
	for r := range d.f.apart {
		relay(r)
	}
	for _, s := range d.f.o.Stuck {
		if s.Device.Type.Kind == circuits.LoadKind {
			visit(Sight{Device: s.Device}, false, true)
		}
	}
	for _, l := range d.f.local.Loads() {
		dev := p.loads[l]
		if dev.Type.Kind == circuits.LoadKind && !d.f.o.still(dev) {
			on, firm := p.judge(dev, p.values[dev], d.f.across(l))
			visit(Sight{Device: dev}, on, firm)
		}
	}
}
