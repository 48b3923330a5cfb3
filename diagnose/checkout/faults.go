package checkout

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// wiringFaults gives the faults that are mistakes of wiring.
func (pl *planner) wiringFaults() (faults []fault, ungrounded bool) {
	ungrounded = !slices.ContainsFunc(pl.panel.Circuit.Devices,
		func(d *circuits.Device) bool { return d.Type.Kind == circuits.GroundKind })
	one := pl.alwaysJoined()
	list := pl.model.Faults()
	for i := range list {
		f := &list[i]
		if pl.isWiring(f) && !pl.nothing(f, one) {
			faults = append(faults, fault{text: f.Text, overlay: f.Overlay})
		}
	}
	numbers := pl.panel.Circuit.Numbers
	for i := range numbers {
		for k := i + 1; k < len(numbers); k++ {
			a, b := pl.panel.Node(numbers[i].Wires[0].From), pl.panel.Node(numbers[k].Wires[0].From)
			if one.Joined(a, b) {
				continue // by a plug, or both are bonded: they are one
			}
			faults = append(faults, fault{text: fmt.Sprintf("wires %s and %s touch", numbers[i].Name, numbers[k].Name),
				overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{a, b}}}}, touch: true})
		}
	}
	return faults, ungrounded
}

// isWiring tells whether a fault is a mistake of wiring. Two numbers that touch are listed
// apart, for any two.
func (pl *planner) isWiring(f *faultmodel.Fault) bool {
	e := f.Effect
	if e.OpenLink != "" {
		return slices.ContainsFunc(f.Overlay.Open,
			func(c network.Conductor) bool { return pl.panel.Part(c).Kind == work.BridgePart })
	}
	return e.OpenWire != nil || e.Miswired != nil || e.Exchanged != nil || e.Ground != ""
}

// nothing tells whether a fault only joins what is one already, or moves wires from one
// terminal to another of the same node: by a mated plug, or where both are bonded.
func (pl *planner) nothing(f *faultmodel.Fault, one *network.Live) bool {
	changes := len(f.Overlay.Open) > 0
	for _, j := range f.Overlay.Joins {
		changes = changes || !one.Joined(j[0], j[1])
	}
	for _, l := range f.Overlay.Landings {
		// Moved along a wire of its own number it may still leave another one open.
		changes = changes || !one.Joined(l.From, l.To)
	}
	return !changes
}

// alwaysJoined is the network of what nobody opens: wires, bridges, mated plugs, metalwork.
func (pl *planner) alwaysJoined() *network.Live {
	net := pl.panel.Net
	var o network.Overlay
	for i := 1; i <= net.Loads(); i++ {
		o.OpenLoads = append(o.OpenLoads, network.Load(i))
	}
	for i := 1; i <= net.Sources(); i++ {
		o.OpenSources = append(o.OpenSources, network.Source(i))
	}
	for i := 1; i <= net.Conductors(); i++ {
		switch c := network.Conductor(i); pl.panel.Part(c).Kind {
		case work.ContactPart, work.LinkPart:
			o.Open = append(o.Open, c)
		}
	}
	return net.Live(network.State{Closed: net.NewState().Closed}, &o)
}
