package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
)

// A zone is all nodes that conductors could join, whatever their position. It tells which
// source a load hangs on before anything is worked.

// markZones finds the zone of every node.
func (p *Panel) markZones() {
	closed := p.Net.NewState().Closed
	all := p.Net.Live(network.State{Closed: closed}, &network.Overlay{})
	p.zone = make([]network.Node, p.Net.Nodes()+1)
	for n := range p.zone {
		p.zone[n] = all.Super(network.Node(n))
	}
}

// feed finds the source that a load between two nodes hangs on: one that could be
// joined to both of its sides, else to one, else the first of the circuit.
func (p *Panel) feed(a, b network.Node, not *circuits.Device) *circuits.Device {
	za, zb := p.zone[a], p.zone[b]
	var best *circuits.Device
	most := -1
	for _, d := range slices.Compact(slices.Clone(p.sources[1:])) {
		if d == not {
			continue
		}
		for _, ends := range p.sourceEnds(d) {
			hot, ret := p.zone[ends[0]], p.zone[ends[1]]
			hits := 0
			if za == hot || zb == hot {
				hits += 2 // the hot side tells two supplies with one return apart
			}
			if za == ret || zb == ret {
				hits++
			}
			if hits == 2 && d.Type.Phases && p.neutral(d) == 0 {
				hits = 1 // any line may be the one that is grounded
			}
			if hits > most {
				best, most = d, hits
			}
		}
	}
	if best == nil {
		return not
	}
	return best
}

// shareOut finds the source that each node belongs to: one that conductors could join it
// to, its hot side before its return, else one on the far side of the loads there. Returns that
// the metalwork joins are told apart by their wire numbers.
func (p *Panel) shareOut() {
	behind := joined.New(len(p.zone)) // zones that loads tie together
	for i := 1; i <= p.Net.Loads(); i++ {
		l := p.Net.Load(network.Load(i))
		behind.Join(int32(p.zone[l.A]), int32(p.zone[l.B]))
	}
	p.sourceOf = make([]network.Source, len(p.zone))
	for n, zone := range p.zone {
		best := 0
		for i := 1; i <= p.Net.Sources(); i++ {
			s := p.Net.Source(network.Source(i))
			score := 0
			switch hot := p.zone[s.Hot]; {
			case zone == hot:
				score = 5
			case zone == p.zone[s.Return] && p.Number(network.Node(n)) >= 0 && p.Number(network.Node(n)) == p.Number(s.Return):
				score = 4
			case zone == p.zone[s.Return]:
				score = 3
			case behind.Of(int32(zone)) == behind.Of(int32(hot)):
				score = 2
			case i == 1:
				score = 1
			}
			if score > best {
				best, p.sourceOf[n] = score, network.Source(i)
			}
		}
	}
}

// SourcesOf gives the source that each node belongs to, by node.
func (p *Panel) SourcesOf() []network.Source { return slices.Clone(p.sourceOf) }
