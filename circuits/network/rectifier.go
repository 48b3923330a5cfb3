package network

import (
	"slices"

	"deadrung/circuits/joined"
)

// A rectifier of four diodes is a source of direct current whose volts whoever works the net takes
// from what is between the nodes of its input. Its diodes lead between those and its output by turns,
// so what is fed by it floats against what feeds it: half of the alternating voltage comes and goes
// between any two points of the two sides, and no reading there is firm. Where something of no
// resistance joins the two sides, or the two poles of the output, a diode shorts the input in
// one half of the cycle.

// Rectifies tells whether there are rectifiers.
func (n *Net) Rectifies() bool { return len(n.rectifiers) > 0 }

// bolted gives the nodes that rectifiers short: the poles of an output that are one, so that the input
// is shorted, and a pole and an end of an input between which no more than sources lie, which a diode
// joins in one half of the cycle. Numbers are those of supernodes.
func (n *Net) bolted(o *Overlay, number []int32) (pairs [][2]Node) {
	for _, s := range n.rectifiers {
		p := n.sources[s]
		sides := n.bySources(o, number, s)
		of := func(node Node) int32 { return sides.Of(number[node]) }
		if of(p.Hot) == of(p.Return) {
			pairs = append(pairs, p.Input)
		}
		for _, pole := range [2]Node{p.Hot, p.Return} {
			for _, in := range p.Input {
				if of(pole) == of(in) {
					pairs = append(pairs, [2]Node{pole, in})
				}
			}
		}
	}
	return pairs
}

// bySources gives the supernodes that sources hang together, but for one of them; none is 0.
func (n *Net) bySources(o *Overlay, number []int32, but Source) *joined.Sets {
	sides := joined.New(len(number))
	for i := 1; i < len(n.sources); i++ {
		if p := n.sources[i]; Source(i) != but && !slices.Contains(o.OpenSources, Source(i)) {
			sides.Join(number[p.Hot], number[p.Return])
		}
	}
	return sides
}

// tieBolted ties what rectifiers short, before any source.
func (l *Live) tieBolted(b *blocks, bolted [][2]Node) {
	for _, p := range bolted {
		b.tie(l.number[p[0]], l.number[p[1]], 0)
	}
}

// partSides makes islands of their own of the two sides of a rectifier that nothing but leaks ties
// together: what comes and goes between them no meter reads firmly.
func (l *Live) partSides(o *Overlay) {
	n := l.net
	if !slices.ContainsFunc(n.rectifiers, func(s Source) bool {
		p := n.sources[s]
		return l.island[p.Hot] == l.island[p.Input[0]] || l.island[p.Hot] == l.island[p.Input[1]]
	}) {
		return
	}
	sides := n.bySources(o, l.number, 0)
	for i := 1; i < len(n.loads); i++ {
		if p := n.loads[i]; !slices.Contains(o.OpenLoads, Load(i)) {
			sides.Join(l.number[p.A], l.number[p.B])
		}
	}
	for _, j := range o.Joints {
		r := o.Resistance(n, j.Conductor)
		sides.Join(l.number[r.A], l.number[r.B])
	}
	names := make(map[int32]int32) // by side
	for i := len(n.sources) - 1; i > 0; i-- {
		if p := n.sources[i]; !slices.Contains(o.OpenSources, Source(i)) {
			names[sides.Of(l.number[p.Return])] = int32(p.Return)
		}
	}
	for i, s := range l.number {
		side := sides.Of(s)
		name, ok := names[side]
		if !ok {
			name = int32(i)
			names[side] = name
		}
		l.island[i] = name
	}
}
