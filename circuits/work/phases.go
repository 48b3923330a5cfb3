package work

import (
	"math"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// phasor is what one source of a device delivers.
type phasor struct{ volts, degrees float64 }

// phasors are those of the sources of a supply of three phases, in their order: lines to the
// neutral, or line to line. The lines follow each other as L1, L2, L3; the phase of the file is
// that of L1. The high leg is L2 (NEC article 110.15, from memory).
func phasors(d *circuits.Device, neutral bool) []phasor {
	third := math.Sqrt(3)
	var at float64
	if d.Phase != nil {
		at = *d.Phase
	}
	line, half := d.Volts/third, d.Volts/2
	switch {
	case !d.Type.Phases:
		return nil
	case neutral && d.Joined == circuits.HighLeg:
		return []phasor{{half, at}, {half * third, at - 90}, {half, at + 180}}
	case neutral:
		return []phasor{{line, at}, {line, at - 120}, {line, at + 120}}
	case d.Joined == circuits.HighLeg:
		at += 30
	}
	return []phasor{{d.Volts, at + 30}, {d.Volts, at - 90}, {d.Volts, at + 150}}
}

// neutral is the node of the neutral of a supply, where wires land on it; else zero.
func (p *Panel) neutral(d *circuits.Device) network.Node {
	if n := d.Neutral(); n != "" && p.Wired(d.Terminal(n)) {
		return p.nodes[d.Terminal(n)]
	}
	return 0
}

// sourceEnds gives the two sides of each source of a device, the hot one first.
func (p *Panel) sourceEnds(d *circuits.Device) [][2]network.Node {
	var ends [][2]network.Node
	for _, e := range d.Sources(p.neutral(d) != 0) {
		ends = append(ends, [2]network.Node{p.nodes[d.Terminal(e[0])], p.nodes[d.Terminal(e[1])]})
	}
	return ends
}

// feeds is the rating of a part between two nodes that does not give its own: the volts of what
// feeds it, of three phases those from line to line unless one side hangs on the neutral. Three
// windings on supplies of one phase each are rated from line to line as well.
func (p *Panel) feeds(feed, d *circuits.Device, a, b network.Node) float64 {
	n := p.neutral(feed)
	switch {
	case len(feed.Secondaries) > 0:
		return feed.SourceVolts(p.windingOf(feed, a, b))
	case feed.Type.Phases && (n == 0 || d.Type.Phases && d.Type.Kind != circuits.SourceKind):
		return feed.Volts
	case d.Type.Phases && !feed.DC:
		return feed.Volts * math.Sqrt(3)
	case n == 0 || p.zone[a] != p.zone[n] && p.zone[b] != p.zone[n]:
		return feed.Volts
	}
	for i, ends := range p.sourceEnds(feed) {
		if hot := p.zone[ends[0]]; hot == p.zone[a] || hot == p.zone[b] {
			return phasors(feed, true)[i].volts
		}
	}
	return feed.Volts / math.Sqrt(3)
}

// windingOf tells which secondary of a transformer a part between two nodes hangs on: one with
// both of its sides there, else one with its first.
func (p *Panel) windingOf(d *circuits.Device, a, b network.Node) int {
	best, most := 0, 0
	for i, ends := range p.sourceEnds(d) {
		hits := 0
		for k, end := range ends {
			if z := p.zone[end]; z == p.zone[a] || z == p.zone[b] {
				hits += 2 - k
			}
		}
		if hits > most {
			best, most = i, hits
		}
	}
	return best
}

// ring is the number of coils or windings of a device of three phases.
const ring = 3

// atNode tells the island of a node and its voltage, by frequency.
type atNode func(network.Node) (network.Node, network.Phasors)

func atLive(live *network.Live) atNode {
	return func(n network.Node) (network.Node, network.Phasors) { return live.Island(n), live.Phasors(n) }
}

// gets is what the windings of a motor get, as shares of their rating.
type gets struct {
	torque float64 // what starts it
	most   float64 // by the winding that gets most
	way    float64 // of the field of three: above zero where it turns in their order, below the other way
	// Of a motor with two sets of windings, what starts it by the first alone and by the second.
	slow, fast float64
}

// windings works out what the windings of a motor get: of two sets, by the one that gets more.
func (p *Panel) windings(o *Overlay, d *circuits.Device, at atNode) gets {
	coils := p.coils[d]
	if len(coils) <= ring {
		return p.setOf(o, coils, at)
	}
	slow, fast := p.setOf(o, coils[:ring], at), p.setOf(o, coils[ring:], at)
	f := slow
	if fast.torque > slow.torque {
		f = fast
	}
	f.most = math.Max(slow.most, fast.most)
	f.slow, f.fast = slow.torque, fast.torque
	return f
}

// setOf works out what one set of windings gets. Three start a motor by what they get as one
// rotating field over what turns the other way (symmetrical components: C. L. Fortescue, 1918): none
// where one line is lost. A winding to run and one to start it need both.
func (p *Panel) setOf(o *Overlay, coils []coil, at atNode) gets {
	var v [ring]network.Phasors
	var f gets
	least := math.Inf(1)
	for i, c := range coils {
		l := p.Net.Load(c.load)
		ia, va := at(l.A)
		ib, vb := at(l.B)
		if ia != ib || o.opens(c.load) {
			least = 0
			continue
		}
		var share float64
		for s := range va {
			v[i][s] = (va[s] - vb[s]) / complex(c.values.Volts, 0)
			share = math.Max(share, math.Hypot(real(v[i][s]), imag(v[i][s])))
		}
		f.most, least = math.Max(f.most, share), math.Min(least, share)
	}
	if f.torque = least; len(coils) < ring {
		return f
	}
	f.torque = 0
	turn := complex(-0.5, math.Sqrt(3)/2)
	size := func(x complex128) float64 { return real(x)*real(x) + imag(x)*imag(x) }
	for s := range v[0] {
		ahead := size(v[0][s]+turn*v[1][s]+turn*turn*v[2][s]) / (ring * ring)
		back := size(v[0][s]+turn*turn*v[1][s]+turn*v[2][s]) / (ring * ring)
		if torque := math.Sqrt(math.Abs(ahead - back)); torque > f.torque {
			f.torque, f.way = torque, ahead-back
		}
	}
	return f
}

// Turns tells which way a motor of three phases runs at the end of a step: 1 where its field turns
// in the order of its windings, -1 where it turns the other way. It is 0 where the motor stands, and
// of any other device.
func (p *Panel) Turns(o *Overlay, e *End, d *circuits.Device) int {
	if d.Type.Kind != circuits.LoadKind || len(p.coils[d]) < ring {
		return 0
	}
	if on, _ := p.Look(o, e, d); !on {
		return 0
	}
	switch way := p.windings(o, d, atLive(e.Live)).way; {
	case way > 0:
		return 1
	case way < 0:
		return -1
	}
	return 0
}
