package network

import (
	"math"
	"math/cmplx"
	"slices"
)

// MeterOhms is the input resistance of a handheld voltmeter, in ohms.
// Source: handheld meter manuals, 10 megohm.
const MeterOhms = 10e6

// LowImpedanceOhms is the input resistance of a meter's low-impedance mode, in ohms.
// Source: handheld meter manuals, about 3 kilohm.
const LowImpedanceOhms = 3e3

// Live is the solution of a net with the power on.
type Live struct {
	net     *Net
	systems []system
	super   []int32 // by node: the least node that conductors join it to
	number  []int32 // by node: the number of its supernode, in the order of their least nodes
	least   []int32 // by number of a supernode
	island  []int32 // by node: the node that names its island
	shorts  []Source
}

// system is the solution at one frequency.
type system struct {
	tone
	volts  []complex128 // by node, against the node that names its island
	blocks *blocks
}

// Live solves the net with the power on.
func (n *Net) Live(st State, o *Overlay) *Live {
	closed := st.Closed
	if len(n.diodes) > 0 && st.EMF != nil {
		closed = n.withoutDiodes(closed)
	}
	sets := n.joined(closed, o)
	l := &Live{net: n, super: make([]int32, sets.Len()), number: make([]int32, sets.Len())}
	for i := range l.super {
		s := sets.Of(int32(i))
		l.super[i] = s
		if s == int32(i) {
			l.number[i] = int32(len(l.least))
			l.least = append(l.least, s)
		}
		l.number[i] = l.number[s] // its least node came first
	}
	tones := n.tones
	if len(tones) == 0 {
		tones = []tone{{}}
	}
	var bolted [][2]Node
	if n.Rectifies() {
		bolted = n.bolted(o, l.number)
	}
	for _, t := range tones {
		l.solve(t, st, o, bolted)
	}
	if st.EMF != nil {
		l.part(o)
	}
	return l
}

// part makes islands of what no reading is firm between though loads or leaks tie it together.
func (l *Live) part(o *Overlay) {
	if l.net.Rectifies() {
		l.partSides(o)
	}
	if len(l.net.machines) > 0 {
		l.partMachines(o)
	}
}

// solve adds the solution at one frequency. Sources of other frequencies hold their
// two sides together, and bolted are pairs of nodes that rectifiers short.
func (l *Live) solve(t tone, st State, o *Overlay, bolted [][2]Node) {
	n := l.net
	b := newBlocks(len(l.least))
	l.tieBolted(b, bolted)
	returns := l.tieSources(b, t, st, o)
	// Sources come first, so that they stay what they are. Where they hold a diode apart that
	// conducts it is the other way round, and those that it shorts are found.
	if len(n.diodes) > 0 && st.EMF != nil && !n.tieDiodes(b, t, st, o, l.number) {
		b = newBlocks(len(l.least))
		l.tieBolted(b, bolted)
		n.tieDiodes(b, t, st, o, l.number)
		l.tieSources(b, t, st, o)
	}
	for i := 1; i < len(n.loads); i++ {
		p := o.Parts(n, Load(i))
		z := p.impedance(t.hertz)
		if cmplx.IsInf(z) || slices.Contains(o.OpenLoads, Load(i)) {
			continue
		}
		b.load(l.number[p.A], l.number[p.B], z)
	}
	for _, r := range o.resistances(n, st.Closed) {
		if leads(r.Ohms) {
			b.load(l.number[r.A], l.number[r.B], complex(r.Ohms, 0))
		}
	}
	b.solve()
	b.christen(returns, l.number, l.least)
	volts := make([]complex128, len(l.super))
	if l.island == nil {
		l.island = make([]int32, len(l.super))
		for i, s := range l.number {
			l.island[i] = b.island(s)
		}
	}
	for i, s := range l.number {
		volts[i] = b.volts(s)
	}
	l.systems = append(l.systems, system{t, volts, b})
}

// tieSources holds the two sides of every source together and gives their returns. It notes those
// that are shorted.
func (l *Live) tieSources(b *blocks, t tone, st State, o *Overlay) (returns []int32) {
	n := l.net
	for i := 1; i < len(n.sources); i++ {
		s := Source(i)
		if slices.Contains(o.OpenSources, s) {
			continue
		}
		p := n.sources[i]
		returns = append(returns, int32(p.Return))
		var emf complex128
		if st.EMF != nil {
			emf = st.EMF[i]
		}
		if slices.Contains(o.DeadSources, s) || p.tone() != t {
			emf = 0
		}
		emf *= complex(o.scale(s), 0)
		if !b.tie(l.number[p.Hot], l.number[p.Return], emf) && !slices.Contains(l.shorts, s) {
			l.shorts = append(l.shorts, s)
		}
	}
	return returns
}

// impedance is that of a load at a frequency. At dc what is left of it is its
// resistance, of a pure inductance its winding, and of a capacitor a leak.
func (p LoadParts) impedance(hertz float64) complex128 {
	switch {
	case hertz != 0:
		return p.Running
	case real(p.Running) == 0 && math.IsInf(p.Ohms, 1):
		return leakOhms // so that what a capacitor ties together is one island at every frequency
	case real(p.Running) == 0:
		return complex(p.Ohms, 0)
	}
	return complex(real(p.Running), 0)
}

// DirectOhms is what a load has to direct current while it runs, in ohms.
func (p LoadParts) DirectOhms() float64 { return real(p.impedance(0)) }

// Shorts gives the sources that conductors alone join from side to side, or that
// work against another source with nothing in between. While there are any, the
// voltages mean nothing.
func (l *Live) Shorts() []Source { return l.shorts }

// Island names the island of a node by one of its nodes: the return of its first
// source, else the least. Voltages within an island are firm.
func (l *Live) Island(a Node) Node { return Node(l.island[a]) }

// Joined reports whether conductors alone join two nodes.
func (l *Live) Joined(a, b Node) bool { return l.super[a] == l.super[b] }

// Potential is the voltage of a node against the node that names its island, at one
// of the frequencies. Two nodes of one island can be compared.
func (l *Live) Potential(a Node, system int) complex128 { return l.systems[system].volts[a] }

// Phasors gives the potentials of a node by system.
func (l *Live) Phasors(a Node) (v Phasors) {
	for s := range min(len(l.systems), len(v)) {
		v[s] = l.Potential(a, s)
	}
	return v
}

// Systems is the number of frequencies, those of unknown phase counted each; at least one.
func (l *Live) Systems() int { return len(l.systems) }

// Between gives the voltage between two nodes without a meter in the way: its
// magnitude in volts, and whether it is firm. Where two frequencies meet it is the
// greater of the two, as a meter set to that kind of current reads; where two sources of
// one frequency meet of unknown phase it is not firm.
func (l *Live) Between(a, b Node) (volts float64, firm bool) {
	if l.island[a] != l.island[b] {
		return 0, false
	}
	for _, s := range l.systems {
		volts = math.Max(volts, cmplx.Abs(s.volts[a]-s.volts[b]))
	}
	return volts, !l.beat(a, b)
}

// beat tells whether sources of one frequency drive a voltage between two nodes together
// whose phases to each other are not known.
func (l *Live) beat(a, b Node) bool {
	if len(l.systems) < 2 {
		return false
	}
	const nothing = 1e-6 // volts
	for i, s := range l.systems {
		if cmplx.Abs(s.volts[a]-s.volts[b]) < nothing {
			continue
		}
		for _, x := range l.systems[:i] {
			if x.hertz == s.hertz && cmplx.Abs(x.volts[a]-x.volts[b]) >= nothing {
				return true
			}
		}
	}
	return false
}

// Across gives the voltage of a against b that a source and those in step with it drive, as
// a phasor; zero between two islands.
func (l *Live) Across(a, b Node, of Source) complex128 {
	if l.island[a] != l.island[b] {
		return 0
	}
	for _, s := range l.systems {
		if s.tone == l.net.sources[of].tone() {
			return s.volts[a] - s.volts[b]
		}
	}
	return 0
}

// Meter gives what a meter of the given input resistance reads between two nodes,
// in volts, with the meter as a branch of the network, and whether it is firm. On a
// conductor that floats nothing can be foretold for a high-impedance meter; the
// figure returned then is that of a network without stray coupling.
func (l *Live) Meter(a, b Node, ohms float64) (volts float64, firm bool) {
	if l.super[a] == l.super[b] {
		return 0, true
	}
	if l.island[a] != l.island[b] {
		return 0, false
	}
	for i := range l.systems {
		s := &l.systems[i]
		v := cmplx.Abs(s.volts[a] - s.volts[b])
		if v == 0 {
			continue
		}
		z := s.blocks.between(l.number[a], l.number[b])
		r := complex(ohms, 0)
		volts = math.Max(volts, v*cmplx.Abs(r/(r+z)))
	}
	return volts, !l.beat(a, b)
}

// Current gives the current, in amperes, that would flow through a conductor of no
// resistance laid between two nodes that conductors do not join yet; +Inf if nothing
// limits it.
func (l *Live) Current(a, b Node) float64 {
	if l.super[a] == l.super[b] || l.island[a] != l.island[b] {
		return 0
	}
	var most float64
	for i := range l.systems {
		s := &l.systems[i]
		v := cmplx.Abs(s.volts[a] - s.volts[b])
		if v < 1e-9 {
			continue
		}
		most = math.Max(most, v/cmplx.Abs(s.blocks.between(l.number[a], l.number[b])))
	}
	return most
}

// Super gives the least node that conductors join a node to.
func (l *Live) Super(a Node) Node { return Node(l.super[a]) }
