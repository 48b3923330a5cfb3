package work

import (
	"math/cmplx"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// A current transformer drives the current of its primary, by its ratio, through what hangs on its
// secondary. No source of the network does so: what a coil or a meter there gets is worked out
// beside it, from the current in the primary and the impedances of the secondary. Where that is
// open the volts on it are what the core gives, hundreds and more. So it is never opened while
// the primary may carry current, and no lead goes there with the power on.

// measuring is a current transformer in the network.
type measuring struct {
	device  *circuits.Device
	through network.Conductor
	winding network.Load
	ends    [2]network.Node
	loads   []network.Load // coils and meters for current that hang on it
	nodes   []network.Node // of its secondary, but for what is shared with sources and the metalwork
}

// addMeasuring finds what hangs on the secondaries of current transformers.
func (p *Panel) addMeasuring() {
	for _, d := range p.Circuit.Devices {
		if !d.Measures() {
			continue
		}
		m := measuring{device: d, through: p.links[d][0], winding: p.load[d],
			ends: [2]network.Node{p.nodes[d.Terminal(d.Ends[0])], p.nodes[d.Terminal(d.Ends[1])]}}
		m.nodes = p.secondaryOf(m)
		for i := 1; i <= p.Net.Loads(); i++ {
			l := network.Load(i)
			parts := p.Net.Load(l)
			if p.loads[l].Load().Curve == circuits.CurrentCurve && (slices.Contains(m.nodes, parts.A) || slices.Contains(m.nodes, parts.B)) {
				m.loads = append(m.loads, l)
			}
		}
		p.Net.Induces(append(slices.Clone(m.loads), m.winding)...)
		p.measuring = append(p.measuring, m)
	}
}

// secondaryOf gives the nodes that hang together with the secondary by conductors and loads, up to
// what sources or the metalwork have as well.
func (p *Panel) secondaryOf(m measuring) []network.Node {
	shared := make(map[network.Node]bool) // by zone
	for i := 1; i <= p.Net.Sources(); i++ {
		s := p.Net.Source(network.Source(i))
		shared[p.zone[s.Hot]], shared[p.zone[s.Return]] = true, true
	}
	for n := network.Node(1); int(n) <= p.screws; n++ {
		if p.grounded(n) {
			shared[p.zone[n]] = true
		}
	}
	nodes := slices.Clone(m.ends[:])
	add := func(n network.Node) {
		if !slices.Contains(nodes, n) {
			nodes = append(nodes, n)
		}
	}
	for i := 0; i < len(nodes); i++ {
		n := nodes[i]
		if shared[p.zone[n]] {
			continue
		}
		for _, c := range p.Net.At(n) {
			add(p.Net.Other(c, n))
		}
		for k := 1; k <= p.Net.Loads(); k++ {
			switch l := p.Net.Load(network.Load(k)); n {
			case l.A:
				add(l.B)
			case l.B:
				add(l.A)
			}
		}
	}
	return nodes
}

// HasMeasuring tells whether there are current transformers.
func (p *Panel) HasMeasuring() bool { return len(p.measuring) > 0 }

// Measuring gives the current transformer whose secondary a node belongs to, or nil.
func (p *Panel) Measuring(n network.Node) *circuits.Device {
	for _, m := range p.measuring {
		if slices.Contains(m.nodes, n) {
			return m.device
		}
	}
	return nil
}

// OpensSecondary gives the current transformer whose secondary an overlay opens, or nil.
func (p *Panel) OpensSecondary(o Overlay) *circuits.Device {
	for _, m := range p.measuring {
		closed := func(o network.Overlay) bool {
			o.OpenLoads = append(slices.Clone(o.OpenLoads), m.winding)
			live := p.Net.Live(network.State{Closed: p.Net.NewState().Closed}, &o)
			return live.Island(m.ends[0]) == live.Island(m.ends[1])
		}
		if slices.Contains(o.OpenLoads, m.winding) || closed(network.Overlay{}) && !closed(o.Overlay) {
			return m.device
		}
	}
	return nil
}

// drive works out the volts across what hangs on current transformers, by load.
func (w *worker) drive() {
	w.driven = nil
	for _, m := range w.p.measuring {
		if w.driven == nil {
			w.driven = make(map[network.Load]float64)
		}
		amps := w.through(m.through) * m.device.Amps / m.device.PrimaryAmps
		if slices.Contains(w.o.OpenLoads, m.winding) {
			amps = 0
		}
		for _, l := range m.loads {
			parts := w.p.Net.Load(l)
			z, _ := w.live.Transfer(m.ends, [2]network.Node{parts.A, parts.B})
			w.driven[l] += amps * cmplx.Abs(z)
		}
	}
}
