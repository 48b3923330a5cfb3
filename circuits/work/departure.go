package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Departure is how a fault departs, at the end of a step, from the course that it was
// followed along last.
type Departure struct {
	f     *Follower
	all   []roundPhase // once known
	known bool
}

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
func (d *Departure) Nodes() []network.Node {
	if phases := d.phases(); len(phases) > 0 {
		nodes, _ := unrestful(phases, d.f.local.Nodes(), nil)
		return nodes
	}
	return d.f.local.Nodes()
}

// Resting tells whether every relay is in or out for certain.
func (d *Departure) Resting() bool { return len(d.phases()) == 0 }

// At gives the island of a node and its voltage by frequency.
func (d *Departure) At(n network.Node) (network.Node, network.Phasors) { return d.f.local.At(n) }

// Looks calls visit for each sight that may look otherwise than on the course.
func (d *Departure) Looks(visit func(s Sight, on, firm bool)) {
	p, phases := d.f.p, d.phases()
	unrest := len(phases) > 0
	relay := func(r int) {
		a := d.f.stands(r, d.f.at)
		for i, look := range p.relays[r].Type.Looks {
			var on, firm bool
			switch look.Follows {
			case circuits.TheDevice:
				on, firm = d.f.relay(r).seen(a), true
			case circuits.TheCoil:
				on, firm = a.in, !d.f.o.still(p.relays[r])
			case circuits.TheTrip:
				on, firm = d.f.relay(r).tripped(a), !d.f.o.still(p.relays[r])
			case circuits.TheInput, circuits.TheTorque, circuits.TheHum, circuits.TheFast:
				continue // by volts alone
			}
			visit(Sight{p.relays[r], i}, on, firm && !(unrest && d.doubtful(r)))
		}
	}
	for r := range d.f.apart {
		relay(r)
	}
	loads := d.f.local.Loads()
	if unrest {
		_, loads = unrestful(phases, nil, loads)
		also := slices.Clone(d.f.chatter)
		if r := d.f.beside(); r != nil {
			also = append(also, r.chatter...)
			for k := range r.apart {
				also = append(also, k)
			}
		}
		slices.Sort(also)
		for _, r := range slices.Compact(also) {
			if _, done := d.f.apart[r]; !done {
				relay(r)
			}
		}
	}
	for _, s := range d.f.o.Stuck {
		if s.Device.Type.Kind == circuits.LoadKind {
			d.sees(s.Device, phases, visit)
		}
	}
	for _, l := range loads {
		dev := p.loads[l]
		if dev.Type.Kind == circuits.RelayKind || !d.f.o.still(dev) {
			d.sees(dev, phases, visit)
		}
	}
}

// sees calls visit for each look at a load.
func (d *Departure) sees(dev *circuits.Device, phases []roundPhase, visit func(s Sight, on, firm bool)) {
	for i, look := range dev.Type.Looks {
		if dev.Type.Kind == circuits.RelayKind && look.Follows != circuits.TheInput {
			continue
		}
		s := Sight{dev, i}
		on, firm := d.f.p.seeLoad(d.f.o, s, d.f.across, d.f.local.At)
		for k := range phases {
			ph := &phases[k]
			on2, firm2 := d.f.p.seeLoad(d.f.o, s,
				func(l network.Load) float64 { return ph.across(d.f, l) },
				func(n network.Node) (network.Node, network.Phasors) {
					at := ph.at(d.f.base, n)
					return at.island, at.volts
				})
			firm = firm && firm2 && on2 == on
		}
		visit(s, on, firm)
	}
}
