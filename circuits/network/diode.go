package network

import (
	"math"
	"math/cmplx"
	"slices"

	"deadrung/circuits/joined"
)

// A diode either conducts, and then keeps its drop for itself and lets current forward only; or
// it blocks, and then has less than its drop across it. Which of them do what is a linear
// complementarity problem:
//
//	conducts: volts = drop, current >= 0        blocks: current = 0, volts <= drop
//
// To settle it, each is given a little resistance while it conducts and a leak while it blocks,
// as real ones have. Then the network is strictly passive seen from the diodes, the matrix of
// the problem is a P-matrix, and there is one answer. It is found by block principal pivoting: all that are
// wrong are turned over as long as their number falls, else the one with the greatest number alone,
// which cannot go round in a circle (Judice and Pires 1994 with the rule of Murty 1974; from
// memory). The solution that meters read has neither: diodes that conduct are ties of a fixed
// drop, and those that block are open.
const (
	// seriesOhms and leakOhms settle the question only; leakOhms is what a capacitor lets through
	// as well. Common practice, no source.
	seriesOhms = 0.1
	leakOhms   = 100e6
	// slackAmps and slackVolts are below what counts as current and volts.
	slackAmps  = 1e-9
	slackVolts = 1e-6
	// patientTurns are how often all are turned over though their number does not fall.
	patientTurns = 3
	// meterAmps is more than leaks or a meter draw, and less than any load.
	meterAmps = 10e-6
)

// Half is a half of the cycle of alternating current. Direct current is the same in both.
type Half float64

const (
	Rising  Half = 1
	Falling Half = -1
)

// Conduct settles which diodes conduct while the sources deliver what the state says, at the peak
// of a half of their cycle, and puts them so in the state. It tells whether it found an answer,
// which rounding alone can keep it from.
func (n *Net) Conduct(st State, o *Overlay, half Half) bool {
	v := n.valves(st, o, half)
	on := make([]bool, len(n.diodes))
	for i, d := range n.diodes {
		on[i] = st.Closed[d.conductor]
	}
	most := 50 + 10*len(on)*len(on)
	settled := false
	fewest, patience := len(on)+1, patientTurns
	for range most {
		wrong := v.wrong(on)
		if settled = len(wrong) == 0; settled {
			break
		}
		switch {
		case len(wrong) < fewest:
			fewest, patience = len(wrong), patientTurns
		case patience > 0:
			patience--
		default:
			wrong = wrong[len(wrong)-1:]
		}
		for _, i := range wrong {
			on[i] = !on[i]
		}
	}
	for i := range on { // what carries a leak, or nothing at all, might as well block
		on[i] = on[i] && v.amps(i) > meterAmps
	}
	feeds := slices.Clone(on)
	v.lead(on)
	for i, d := range n.diodes {
		st.Closed[d.conductor], st.Leads[d.conductor] = on[i], on[i] && !feeds[i]
	}
	return settled
}

// valves is a network at one moment, of which only the diodes are still to be settled.
type valves struct {
	net    *Net
	number []int32 // by node: the number of its supernode
	size   int     // of the supernodes
	ends   [][2]int32
	fixed  []bool // by diode: an overlay holds it open or joins its ends
	ties   []tied
	loads  []branch
	b      *blocks // as last solved
}

// tied is a source: what it holds between two supernodes.
type tied struct {
	hot, ret int32
	volts    complex128
}

func (n *Net) valves(st State, o *Overlay, half Half) *valves {
	sets := n.joined(n.withoutDiodes(st.Closed), o)
	v := &valves{net: n, number: make([]int32, sets.Len()), fixed: make([]bool, len(n.diodes))}
	for i := range v.number {
		if s := sets.Of(int32(i)); s == int32(i) {
			v.number[i] = int32(v.size)
			v.size++
		} else {
			v.number[i] = v.number[s]
		}
	}
	alternates := slices.ContainsFunc(n.tones, func(t tone) bool { return t.hertz != 0 })
	for i := 1; i < len(n.sources); i++ {
		s, p := Source(i), n.sources[i]
		if slices.Contains(o.OpenSources, s) {
			continue
		}
		volts := real(st.EMF[i]) * o.scale(s)
		if p.Hertz != 0 {
			volts *= math.Sqrt2 * float64(half)
		}
		if slices.Contains(o.DeadSources, s) {
			volts = 0
		}
		v.ties = append(v.ties, tied{v.number[p.Hot], v.number[p.Return], complex(volts, 0)})
	}
	for i := 1; i < len(n.loads); i++ {
		p := o.Parts(n, Load(i))
		var hertz float64
		if alternates {
			hertz = 1
		}
		z := p.impedance(hertz)
		if a, b := v.number[p.A], v.number[p.B]; a != b && !cmplx.IsInf(z) && !slices.Contains(o.OpenLoads, Load(i)) {
			v.loads = append(v.loads, branch{a, b, complex(1/cmplx.Abs(z), 0)})
		}
	}
	for _, r := range o.resistances(n, st.Closed) {
		if a, b := v.number[r.A], v.number[r.B]; a != b && leads(r.Ohms) {
			v.loads = append(v.loads, branch{a, b, complex(1/r.Ohms, 0)})
		}
	}
	for i, d := range n.diodes {
		p := n.conductors[d.conductor]
		v.ends = append(v.ends, [2]int32{v.number[p.a], v.number[p.b]})
		v.fixed[i] = v.ends[i][0] == v.ends[i][1] || slices.Contains(o.Open, d.conductor)
	}
	return v
}

// wrong solves the network with some diodes conducting, and gives those that would rather do the
// other thing.
func (v *valves) wrong(on []bool) (wrong []int) {
	b := newBlocks(v.size + len(on))
	for _, t := range v.ties {
		b.tie(t.hot, t.ret, t.volts) // where one shorts another the network is solved again once it is cleared
	}
	b.branch = append(make([]branch, 0, len(v.loads)+len(on)), v.loads...)
	for i, ends := range v.ends {
		switch {
		case v.fixed[i]:
		case on[i]:
			b.tie(ends[0], v.within(i), complex(v.net.diodes[i].drop, 0))
			b.load(v.within(i), ends[1], seriesOhms)
		default:
			b.load(ends[0], ends[1], leakOhms)
		}
	}
	b.solve()
	v.b = b
	for i, ends := range v.ends {
		switch {
		case v.fixed[i]:
			on[i] = false
		case on[i] && v.amps(i) < -slackAmps,
			!on[i] && v.volts(ends[0])-v.volts(ends[1]) > v.net.diodes[i].drop+slackVolts:
			wrong = append(wrong, i)
		}
	}
	return wrong
}

// within is the point behind the drop of a diode.
func (v *valves) within(i int) int32 { return int32(v.size + i) }

// amps is the current through a diode that conducts.
func (v *valves) amps(i int) float64 {
	return (v.volts(v.within(i)) - v.volts(v.ends[i][1])) / seriesOhms
}

// volts of a supernode, against others of its island.
func (v *valves) volts(x int32) float64 {
	c, off := v.b.cluster(x)
	return real(v.b.v[c] + off)
}

// LeadDrop is what a diode keeps for itself that carries only what a meter draws, some microamperes:
// between nothing and half of its usual drop. Common practice, no source.
const LeadDrop = 0.2

// settles is the share of what a source delivers within which it is no matter where a voltage
// lies: a meter that reads it shows all or nothing either way.
const settles = 0.1

// lead lets diodes conduct that feed nothing but a meter: what would float but for a diode that
// leads there has the voltage before it, as the lamp side of a blocking diode whose lamp is out.
// It is so only where the voltage can lie nowhere else between the sides of the source.
func (v *valves) lead(on []bool) {
	for range on {
		v.wrong(slices.Clone(on))
		hangs := v.hangs(on)
		from, to := v.reach(hangs)
		changed := false
		for i, ends := range v.ends {
			for side, floating := range ends {
				other := ends[1-side]
				f, held := hangs.Of(floating), hangs.Of(other)
				if v.fixed[i] || on[i] || f == held || to[held]-from[held] <= v.net.diodes[i].drop || from[f] != to[f] {
					continue
				}
				at := v.volts(other) - v.net.diodes[i].drop // pulled down no further than this
				if side == 0 {
					at = v.volts(other) + v.net.diodes[i].drop // pulled up no further
				}
				near := settles * (to[held] - from[held])
				if side == 1 && at > to[held]-near-v.net.diodes[i].drop || side == 0 && at < from[held]+near+v.net.diodes[i].drop {
					on[i], changed = true, true
					break
				}
			}
			if changed {
				break
			}
		}
		if !changed {
			return
		}
	}
}

// hangs are the supernodes that hang together by anything but diodes that block.
func (v *valves) hangs(on []bool) *joined.Sets {
	s := joined.New(v.size)
	for _, t := range v.ties {
		s.Join(t.hot, t.ret)
	}
	for _, l := range v.loads {
		s.Join(l.a, l.b)
	}
	for i, ends := range v.ends {
		if on[i] {
			s.Join(ends[0], ends[1])
		}
	}
	return s
}

// reach gives, by what hangs together, the least and the greatest voltage that sources hold there.
func (v *valves) reach(hangs *joined.Sets) (from, to []float64) {
	from, to = make([]float64, v.size), make([]float64, v.size)
	known := make([]bool, v.size)
	for _, t := range v.ties {
		of := hangs.Of(t.hot)
		for _, side := range [2]int32{t.hot, t.ret} {
			volts := v.volts(side)
			if !known[of] {
				from[of], to[of], known[of] = volts, volts, true
			}
			from[of], to[of] = math.Min(from[of], volts), math.Max(to[of], volts)
		}
	}
	return from, to
}

// withoutDiodes gives the closed conductors that are of no drop.
func (n *Net) withoutDiodes(closed []bool) []bool {
	closed = slices.Clone(closed)
	for _, d := range n.diodes {
		closed[d.conductor] = false
	}
	return closed
}

// tieDiodes ties the ends of the diodes that conduct, at a difference of their drop at dc. It
// reports false where sources hold such ends apart: a dead short through a diode. Where two
// sources that differ by a little feed one point through diodes, the ties cannot all hold, and
// those that come first do.
func (n *Net) tieDiodes(b *blocks, t tone, st State, o *Overlay, number []int32) (ok bool) {
	ok = true
	for _, d := range n.diodes {
		p := n.conductors[d.conductor]
		if !st.Closed[d.conductor] || number[p.a] == number[p.b] || slices.Contains(o.Open, d.conductor) {
			continue
		}
		var drop complex128
		switch {
		case t.hertz != 0:
		case st.Leads != nil && st.Leads[d.conductor]:
			drop = LeadDrop
		default:
			drop = complex(d.drop, 0)
		}
		if b.tie(number[p.a], number[p.b], drop) {
			continue
		}
		_, a := b.cluster(number[p.a])
		_, k := b.cluster(number[p.b])
		ok = ok && cmplx.Abs(a-k-drop) < 2*d.drop
	}
	return ok
}
