package work

import (
	"slices"

	"deadrung/circuits/network"
)

// Relays that chatter are set off anew with every settling of the course. Where they then came back
// to how they stood, and the next settling has nothing to do with all that they went through, they
// come back once more, and are not followed.

// unrest is what a settling of relays that chatter went through.
type unrest struct {
	noting bool // it began with relays that chattered
	again  bool // it ended as it began: the next ends so too if it has nothing to do with this
	nodes  bits
	relays bits
	rings  []network.Node // see network.Local.Rings
	added  float64        // amperes, see Follower.more
}

// begin has a settling noted that begins while relays chatter.
func (u *unrest) begin(f *Follower) {
	u.again, u.noting = false, len(f.chatter) > 0
	if !u.noting {
		return
	}
	if u.nodes == nil {
		u.nodes, u.relays = newBits(f.p.Net.Nodes()+1), newBits(len(f.p.relays))
	}
	clear(u.nodes)
	clear(u.relays)
	u.rings, u.added = u.rings[:0], 0
	u.at(f, f.own...)
}

func (u *unrest) at(f *Follower, nodes ...network.Node) {
	for _, n := range nodes {
		if int(n) > f.p.Net.Nodes() {
			u.noting = false
			return
		}
		u.nodes.add(int(n))
	}
}

// note adds a condition as it is solved.
func (u *unrest) note(f *Follower) {
	if !u.noting {
		return
	}
	u.at(f, f.local.Nodes()...)
	end := func(l network.Load) { u.at(f, f.p.Net.Load(l).A, f.p.Net.Load(l).B) }
	relay := func(r int) {
		u.relays.add(r)
		for _, c := range f.p.good[r].coils {
			end(c.load)
		}
	}
	for r := range f.apart {
		relay(r)
	}
	load := func(l network.Load) {
		end(l)
		if r := f.p.relayOf[l]; r >= 0 {
			relay(r)
		}
	}
	for _, l := range f.local.Loads() {
		load(l)
	}
	ch := &f.change
	for _, c := range ch.Opened {
		u.at(f, f.p.ends(c)...)
	}
	for _, j := range ch.Joins {
		u.at(f, j[:]...)
	}
	for _, l := range ch.Leaks {
		u.at(f, l.A, l.B)
	}
	for _, l := range ch.OpenLoads {
		load(l)
	}
	for _, s := range ch.LoadScale {
		load(s.Load)
	}
	f.local.Rings(&ch.Change, func(super network.Node) {
		if !slices.Contains(u.rings, super) {
			u.rings = append(u.rings, super)
		}
	})
	u.added = max(u.added, f.added)
}

// end tells that the settling is over.
func (u *unrest) end(f *Follower) {
	u.again = u.noting && len(f.chatter) > 0 && !f.blew && len(f.apart) == len(f.stood)
	for _, was := range f.stood {
		a, ok := f.apart[int(was.relay)]
		u.again = u.again && ok && a.standsAs(was.at)
	}
	for r, d := range f.p.relays {
		u.again = u.again && !(u.relays.has(r) && d.Timer())
	}
	moments := f.c.steps[f.stepping].phases[f.atPhase].moments
	u.again = u.again && u.apart(f, &moments[0], moments[1:])
	u.noting = false
}

// apart tells whether from one moment through others nothing moves that it has to do with.
func (u *unrest) apart(f *Follower, was *moment, moments []moment) bool {
	for i := range moments {
		g := &moments[i]
		s := g.since(was, f.p)
		if g.base.Loose() || s.nodes.meets(u.nodes) || s.relays.meets(u.relays) || f.bolts(g) || !f.bears(g, u.added) ||
			slices.ContainsFunc(u.rings, func(n network.Node) bool { return s.opens.has(int(s.before.Super(n))) }) {
			return false
		}
		was = g
	}
	return true
}

// comesBack tells whether the relays that chatter come back once more in a settling of the course,
// and goes by its last moment.
func (f *Follower) comesBack(ph *coursePhase) bool {
	u := &f.unrest
	if !u.again || f.base != f.at.base || !u.apart(f, f.at, ph.moments) {
		return false
	}
	f.atMoment = len(ph.moments) - 1
	f.at = &ph.moments[f.atMoment]
	f.base = f.at.base
	f.local.Rebase(f.base)
	return true
}

// meets tells whether two sets have a number in common.
func (b bits) meets(other bits) bool {
	for i := range b {
		if b[i]&other[i] != 0 {
			return true
		}
	}
	return false
}
