package work

import (
	"deadrung/circuits"
	"deadrung/circuits/network"
)

// A sensor that has to be fed is two devices in one: an operator, whose contacts follow what is
// before it, and behind each of them a gate that is open unless the sensor is fed. The gates are
// the contacts of a relay without a name of its own, whose coil is what the sensor draws: so the
// laws of operators and relays hold for it, one in series with the other.

// gateOf gives the relay that a sensor's supply pulls in, and makes it first.
func (p *Panel) gateOf(d *circuits.Device) *circuits.Device {
	if g := p.gates[d]; g != nil {
		return g
	}
	g := &circuits.Device{Name: d.Name, Place: d.Place, Ends: d.Ends, At: d.At, Odds: d.Odds,
		Positions: []string{"not fed", "fed"},
		Type: &circuits.Type{Name: d.Type.Name, Kind: circuits.RelayKind, Moved: circuits.ByCoil,
			Electronic: true, Loads: d.Type.Loads}}
	for _, c := range d.Contacts {
		g.Contacts = append(g.Contacts, circuits.Contact{A: c.A, B: c.B, Closed: []bool{false, true},
			Form: circuits.NormallyOpen, At: c.At})
	}
	p.gates[d] = g
	p.relays = append(p.relays, g)
	return g
}

// within adds a node within a device, before a terminal.
func (p *Panel) within(t circuits.Terminal) network.Node {
	p.terminals = append(p.terminals, t)
	return p.Net.AddNode()
}
