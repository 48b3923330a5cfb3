package work

import (
	"cmp"
	"encoding/binary"
	"maps"
	"slices"

	"deadrung/circuits/network"
)

// A fault under which armatures go round in a circle is followed as worker.settle works it: the
// relays in the circle, and those that moved on the way into it, race; the rest of the panel
// stands as on the course. From the first race on a second follower, the rival, goes the way that
// it takes in reverse.

// roundPhase is one condition of a panel of which relays find no rest.
type roundPhase struct {
	nodes map[network.Node]phaseNode // those that may differ from the base
	loads []network.Load
	volts []float64 // across them
}

// phaseNode is a node's island and voltage. An island that no source holds goes by its least
// node.
type phaseNode struct {
	island network.Node
	volts  network.Phasors
}

// begin notes how things stand as a settling begins.
func (f *Follower) begin(from *moment) {
	f.unrest.begin(f)
	f.chatter, f.round = nil, f.round[:0]
	f.from = from
	f.stood = f.stood[:0]
	for r, a := range f.apart {
		f.stood = append(f.stood, diverging{int32(r), a})
	}
}

// stoodAt is how a relay stood when the settling began.
func (f *Follower) stoodAt(r int) armature {
	for _, d := range f.stood {
		if int(d.relay) == r {
			return d.at
		}
	}
	return f.good(r, f.from)
}

// key tells apart the ways in which the relays can stand, all else as at a moment of the course.
func (f *Follower) key(g *moment) string {
	f.order = f.order[:0]
	for r, a := range f.apart {
		if good := f.good(r, g); a.in != good.in || a.timed != good.timed || a.fed != good.fed {
			f.order = append(f.order, r)
		}
	}
	slices.Sort(f.order)
	b := []byte{0} // never empty
	for _, r := range f.order {
		a := f.apart[r]
		b = append(binary.AppendUvarint(b, uint64(r)), byte(b2i(a.in)|b2i(a.timed)<<1|b2i(a.fed)<<2))
	}
	return string(b)
}

// goodTimesOut tells whether a timer that stands as on the course times out as its next phase
// begins: else nothing sets off the fault there, and what chatters goes on as it was.
func (f *Follower) goodTimesOut() bool {
	phases := f.c.steps[f.stepping].phases
	was, now := phases[f.next-1].moments, phases[f.next].moments[0].stand
	for r, a := range was[len(was)-1].stand {
		if _, apart := f.apart[r]; !apart && a.timed != now[r].timed {
			return true
		}
	}
	return false
}

// goOnChattering comes to the next phase of the course while relays chatter, where nothing sets
// off the fault: all its armatures stand as they did, and what moves on the course parts from
// them. It reports false where the fault cannot be followed there.
func (f *Follower) goOnChattering() bool {
	ph := &f.c.steps[f.stepping].phases[f.next]
	last := len(ph.moments) - 1
	g := &ph.moments[last]
	for r := range f.p.relays {
		if _, apart := f.apart[r]; apart {
			continue
		}
		if a := f.good(r, f.at); !f.relay(r).same(a, g.stand[r]) {
			f.apart[r] = a
		}
	}
	f.atPhase, f.atMoment, f.at = f.next, last, g
	f.next++
	f.now, f.atTime = ph.at, ph.at
	for r, a := range f.apart {
		if f.held[r] == nil && f.relay(r).same(a, g.stand[r]) {
			delete(f.apart, r)
		}
	}
	f.chatter, f.round, f.unrest.again = nil, f.round[:0], false
	return f.solve(g) && f.noteRound(g, f.key(g))
}

// settleRace lets those that go round in a circle race, the course at rest. It reports false
// where the fault cannot be followed there.
func (f *Follower) settleRace(g *moment) bool {
	if f.raced = true; f.blew {
		return false // where they stood is not known here
	}
	moves := make(map[int]bool)
	start := f.key(g)
	for key := ""; key != start; key = f.key(g) {
		if !f.solve(g) {
			return false
		}
		f.advance(g, g, moves)
	}
	for r := range f.p.relays {
		if !moves[r] && f.stoodAt(r).in != f.stands(r, g).in {
			moves[r] = true // on the way into the circle
		}
	}
	for r := range moves {
		a := f.stoodAt(r)
		if f.held[r] == nil && f.relay(r).same(a, f.good(r, g)) {
			delete(f.apart, r)
		} else {
			f.apart[r] = a
		}
	}
	var been map[string]bool
	if !f.solve(g) {
		return false
	}
	for turn := 0; ; turn++ {
		if f.advanceOne(g) < 0 {
			return true
		}
		if !f.solve(g) {
			return false
		}
		if turn < patience {
			continue
		}
		if been == nil {
			been = make(map[string]bool)
		}
		k := f.key(g)
		if been[k] {
			return f.noteRound(g, k)
		}
		been[k] = true
	}
}

// noteRound goes once more round a circle in which relays chatter.
func (f *Follower) noteRound(g *moment, start string) bool {
	base := f.base
	for key := ""; key != start; key = f.key(g) {
		f.round = append(f.round, f.phaseNow())
		if r := f.advanceOne(g); !slices.Contains(f.chatter, r) {
			f.chatter = append(f.chatter, r)
		}
		if !f.solve(g) || f.base != base {
			return false
		}
	}
	slices.Sort(f.chatter)
	f.unrest.end(f)
	return true
}

// advanceOne lets the quickest armature move that wants to, and gives its relay; less than zero
// where all are at rest.
func (f *Follower) advanceOne(g *moment) int {
	f.order = f.order[:0]
	for r := range f.apart {
		f.order = append(f.order, r)
	}
	for _, l := range f.local.Loads() {
		if r := f.p.relayOf[l]; r >= 0 {
			f.order = append(f.order, r)
		}
	}
	slices.Sort(f.order)
	f.order = slices.Compact(f.order)
	if f.reverse {
		slices.Reverse(f.order)
	}
	for _, r := range f.order {
		law := f.relay(r)
		a, moved := law.follow(f.stands(r, g), f.across)
		if !moved {
			continue
		}
		if f.held[r] == nil && law.same(a, f.good(r, g)) {
			delete(f.apart, r)
		} else {
			f.apart[r] = a
		}
		return r
	}
	return -1
}

// phaseNow is the condition as it is solved.
func (f *Follower) phaseNow() roundPhase {
	p := roundPhase{nodes: make(map[network.Node]phaseNode)}
	floats := make(map[network.Node]network.Node) // least node by island
	for _, n := range f.local.Nodes() {
		island, volts := f.local.At(n)
		p.nodes[n] = phaseNode{island, volts}
		if int(island) > f.p.Net.Nodes() && (floats[island] == 0 || n < floats[island]) {
			floats[island] = n
		}
	}
	for n, at := range p.nodes {
		if least := floats[at.island]; least != 0 {
			at.island = least
			p.nodes[n] = at
		}
	}
	for _, l := range f.local.Loads() {
		parts := f.p.Net.Load(l)
		p.loads = append(p.loads, l)
		p.volts = append(p.volts, f.local.Between(parts.A, parts.B))
	}
	return p
}

// at is a node in a phase.
func (p *roundPhase) at(base *network.Base, n network.Node) phaseNode {
	if at, ok := p.nodes[n]; ok {
		return at
	}
	live := base.Live()
	return phaseNode{island: live.Island(n), volts: live.Phasors(n)}
}

// across is the voltage across a load in a phase.
func (p *roundPhase) across(f *Follower, l network.Load) float64 {
	if slices.Contains(f.o.OpenLoads, l) {
		return 0
	}
	if i, ok := slices.BinarySearch(p.loads, l); ok {
		return p.volts[i]
	}
	parts := f.p.Net.Load(l)
	volts, _ := f.base.Live().Between(parts.A, parts.B)
	return volts
}

// race goes on with the rival in a step. It reports false where the two cannot be held against
// each other.
func (f *Follower) race(before *Follower, step int) bool {
	if f.rival == nil {
		kept := *before
		kept.apart = maps.Clone(before.apart)
		kept.rival, kept.other = nil, nil
		f.forked, f.forkAt = &kept, step
		f.fork(&kept)
	}
	return f.rival.step(step+1) && f.besideRival()
}

// raceFromStart goes on with the rival where some race before the operation begins.
func (f *Follower) raceFromStart() bool {
	from := *f
	from.c, from.apart = f.trunk, make(map[int]armature)
	for r := range f.held {
		from.apart[r] = armature{}
	}
	from.now, from.depends = 0, false
	f.fork(&from)
	return f.rival.step(0) && f.besideRival()
}

// fork makes a rival that stands as another follower did.
func (f *Follower) fork(from *Follower) {
	if f.other == nil {
		f.other = f.trunk.Follower()
		f.other.spare, f.other.before = make(map[int]armature), make(map[int]armature)
	}
	r := f.other
	room := *r
	*r = *from
	r.local, r.change, r.spare, r.before = room.local, room.change, room.spare, room.before
	r.order, r.stood, r.round = room.order, room.stood, nil
	r.apart = maps.Clone(from.apart)
	r.raced, r.reverse, r.rival, r.other, r.forked = false, true, nil, nil, nil
	r.settled, r.ringed, r.rings, r.unrest = false, false, room.rings, room.unrest
	r.unrest.again, r.unrest.noting = false, false
	f.rival = r
}

// besideRival tells whether the two stand against the same course.
func (f *Follower) besideRival() bool { return f.rival.c == f.c && f.rival.base == f.base }

// beside gives the rival where it ends otherwise, else nil.
func (f *Follower) beside() *Follower {
	r := f.rival
	if r == nil {
		return nil
	}
	same := slices.Equal(f.chatter, r.chatter)
	for _, of := range []map[int]armature{f.apart, r.apart} {
		for k := range of {
			a, at := f.relay(k).positions(f.stands(k, f.at))
			b, bt := r.relay(k).positions(r.stands(k, r.at))
			same = same && a == b && at == bt
		}
	}
	if same {
		return nil
	}
	return r
}

// phases are the conditions of a panel without rest, the one that counts first; none where it is
// at rest.
func (d *Departure) phases() []roundPhase {
	if d.known {
		return d.all
	}
	d.known = true
	d.all = slices.Clone(d.f.round)
	if r := d.f.beside(); r != nil {
		if len(d.all) == 0 {
			d.all = []roundPhase{d.f.phaseNow()}
		}
		d.all = append(d.all, r.phaseNow())
		d.all = append(d.all, r.round...)
	}
	return d.all
}

// Unsure tells whether the voltage of a node is not steady, or is one or the other by which of
// several armatures is the quicker.
func (d *Departure) Unsure(n network.Node) bool {
	phases := d.phases()
	for i := range phases {
		if i == 0 {
			continue
		}
		first, at := phases[0].at(d.f.base, n), phases[i].at(d.f.base, n)
		if first.island != at.island {
			return true
		}
		for s := range at.volts {
			if abs2(at.volts[s]-first.volts[s]) > 1e-12 {
				return true
			}
		}
	}
	return false
}

func abs2(v complex128) float64 { return real(v)*real(v) + imag(v)*imag(v) }

// unrestful are the nodes and the loads that may stand otherwise in any of the phases.
func unrestful(phases []roundPhase, nodes []network.Node, loads []network.Load) ([]network.Node, []network.Load) {
	nodes, loads = slices.Clone(nodes), slices.Clone(loads)
	for _, p := range phases {
		for n := range p.nodes {
			nodes = append(nodes, n)
		}
		loads = append(loads, p.loads...)
	}
	slices.Sort(nodes)
	slices.SortFunc(loads, func(a, b network.Load) int { return cmp.Compare(a, b) })
	return slices.Compact(nodes), slices.Compact(loads)
}

// doubtful tells whether a relay chatters or races.
func (d *Departure) doubtful(r int) bool {
	if slices.Contains(d.f.chatter, r) {
		return true
	}
	rival := d.f.beside()
	return rival != nil && (slices.Contains(rival.chatter, r) ||
		d.f.relay(r).seen(d.f.stands(r, d.f.at)) != rival.relay(r).seen(rival.stands(r, rival.at)))
}
