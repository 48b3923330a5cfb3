package work

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// overlayChange is how conductors stand otherwise under an overlay than in a base.
type overlayChange struct {
	network.Change
	p      *Panel
	o      *Overlay
	closed func(network.Conductor) bool // in the base
	joint  []bool                       // by bad joint of the overlay: its conductor is closed
	loose  [][2]network.Node            // joins that hold lifted wires together
}

// begin collects what the overlay changes by itself, but for armatures and timers.
func (ch *overlayChange) begin(p *Panel, o *Overlay, closed func(network.Conductor) bool) {
	ch.p, ch.o, ch.closed = p, o, closed
	ch.Opened, ch.Joins, ch.Leaks = ch.Opened[:0], ch.Joins[:0], ch.Leaks[:0]
	ch.OpenLoads, ch.LoadScale = o.OpenLoads, o.LoadScale
	ch.joint, ch.loose = ch.joint[:0], ch.loose[:0]
	for _, j := range o.Joints {
		is := closed(j.Conductor)
		ch.joint = append(ch.joint, is)
		if is {
			ch.Opened = append(ch.Opened, j.Conductor)
		}
	}
	for _, c := range o.Open {
		ch.want(c, false)
	}
	for _, c := range o.Closed {
		ch.want(c, true)
	}
	for _, l := range o.ShortedLoads {
		load := p.Net.Load(l)
		ch.Joins = append(ch.Joins, [2]network.Node{load.A, load.B})
	}
	ch.Joins = append(ch.Joins, o.Joins...)
	for _, l := range o.Landings {
		if _, bad := o.Joint(l.Conductor); bad || !closed(l.Conductor) {
			continue
		}
		ch.Opened = append(ch.Opened, l.Conductor)
		ch.Joins = append(ch.Joins, [2]network.Node{p.farEnd(l.Conductor, l.From), l.To})
	}
	for _, s := range o.Stuck {
		if s.Device.Type.Kind != circuits.RelayKind {
			ch.contacts(s.Device, s.Position, s.Position)
		}
	}
}

// Concerns gives the devices of which a part is otherwise under an overlay: a contact, a
// link, a pin or bridge, a coil or other load. Wires are no part of a device.
func (p *Panel) Concerns(o *Overlay) []*circuits.Device {
	var devices []*circuits.Device
	for _, c := range slices.Concat(o.Open, o.Closed) {
		if d := p.parts[c].Device; d != nil {
			devices = append(devices, d)
		}
	}
	for _, j := range o.Joints {
		if d := p.parts[j.Conductor].Device; d != nil {
			devices = append(devices, d)
		}
	}
	for _, l := range slices.Concat(o.OpenLoads, o.ShortedLoads) {
		devices = append(devices, p.loads[l])
	}
	for _, s := range o.LoadScale {
		devices = append(devices, p.loads[s.Load])
	}
	for _, l := range o.Leaks {
		if l.Inside {
			name, _ := p.terminals[l.A].Split()
			devices = append(devices, p.devices[name])
		}
	}
	for _, s := range o.Stuck {
		devices = append(devices, s.Device)
	}
	return devices
}

// finish adds the resistances, once every contact is put: leaks, and bad joints that are
// closed.
func (ch *overlayChange) finish() {
	ch.Leaks = append(ch.Leaks, ch.o.Leaks...)
	for i, j := range ch.o.Joints {
		if ch.joint[i] && ch.jointOf(j.Conductor) == i {
			ch.Leaks = append(ch.Leaks, ch.o.Resistance(ch.p.Net, j.Conductor))
		}
	}
}

// jointOf gives the first bad joint of a conductor; less than zero for none.
func (ch *overlayChange) jointOf(c network.Conductor) int {
	return slices.IndexFunc(ch.o.Joints, func(j network.Joint) bool { return j.Conductor == c })
}

// want puts a conductor.
func (ch *overlayChange) want(c network.Conductor, closed bool) {
	if i := ch.jointOf(c); i >= 0 {
		ch.joint[i] = closed
		return
	}
	switch is := ch.closed(c); {
	case is && !closed:
		ch.Opened = append(ch.Opened, c)
	case closed && !is:
		a, b := ch.p.Net.Ends(c)
		ch.Joins = append(ch.Joins, [2]network.Node{a, b})
	}
}

// contacts puts the contacts of a device as they are in a position, the timed ones as in
// another, but for those that the overlay itself holds.
func (ch *overlayChange) contacts(d *circuits.Device, position, timed int) {
	for k, c := range d.Contacts {
		conductor := ch.p.contacts[d][k]
		if slices.Contains(ch.o.Open, conductor) || slices.Contains(ch.o.Closed, conductor) ||
			slices.ContainsFunc(ch.o.Landings, func(l network.Landing) bool { return l.Conductor == conductor }) {
			continue
		}
		ch.want(conductor, c.ClosedIn(position, timed))
	}
}

// farEnd gives the other end of a conductor.
func (p *Panel) farEnd(c network.Conductor, end network.Node) network.Node {
	a, b := p.Net.Ends(c)
	if a == end {
		return b
	}
	return a
}

// lift takes all wires off a terminal, also those that the overlay lets land there. They
// stay joined to each other, and what touches the terminal goes with them; where no wire
// lands there, nothing changes. It may be done for one terminal after the other. It reports false
// where it cannot be told as a small change.
func (ch *overlayChange) lift(at network.Node) bool {
	var ends []network.Node // what the wires that are lifted lead to
	var wires []network.Conductor
	for _, c := range ch.p.landings[at] {
		if slices.ContainsFunc(ch.o.Landings,
			func(l network.Landing) bool { return l.Conductor == c && l.From == at }) {
			continue // it lands elsewhere
		}
		wires = append(wires, c)
		if far := ch.p.farEnd(c, at); far != at && !slices.Contains(ch.Opened, c) {
			ends = append(ends, far)
		}
	}
	// Shorts, but at the screws, and wires that land there by mistake are on the wires' side
	// of the terminal.
	var moved [][2]network.Node
	if !ch.o.Screws {
		moved = slices.Clone(ch.o.Joins)
	}
	for _, l := range ch.o.Landings {
		if l.To == at {
			wires = append(wires, l.Conductor)
		}
		if ch.jointOf(l.Conductor) < 0 {
			moved = append(moved, [2]network.Node{ch.p.farEnd(l.Conductor, l.From), l.To})
		}
	}
	if len(wires) == 0 {
		return true
	}
	moved = append(moved, ch.loose...) // a wire that is lifted off its other end already
	for _, c := range wires {
		if ch.closed(c) && !slices.Contains(ch.Opened, c) {
			ch.Opened = append(ch.Opened, c)
		}
	}
	joins := slices.Clone(ch.Joins)
	for _, j := range moved {
		i := slices.Index(joins, j)
		if i < 0 || j[0] != at && j[1] != at {
			continue
		}
		joins = slices.Delete(joins, i, i+1)
		if j[0] == at {
			j[0] = j[1]
		}
		ends = append(ends, j[0])
	}
	for i := 1; i < len(ends); i++ {
		j := [2]network.Node{ends[0], ends[i]}
		joins, ch.loose = append(joins, j), append(ch.loose, j)
	}
	ch.Joins = joins
	return ch.liftLeaks(at, wires, ends)
}

// liftLeaks takes the resistances that go with the wires off a terminal. The wires lead to
// ends, if to any; where they do not, the resistances alone meet there.
func (ch *overlayChange) liftLeaks(at network.Node, wires []network.Conductor, ends []network.Node) bool {
	stays, goes := ch.Leaks[:0:0], ch.Leaks[:0:0]
	lifted := func(l network.Leak) bool {
		if l.Inside || l.A != at && l.B != at {
			return false
		}
		// A bad joint goes only as its own wire does.
		for _, j := range ch.o.Joints {
			if ch.o.Resistance(ch.p.Net, j.Conductor) == l {
				return slices.Contains(wires, j.Conductor)
			}
		}
		return true
	}
	for _, l := range ch.Leaks {
		switch {
		case l.A == l.B:
		case !lifted(l):
			stays = append(stays, l)
		case l.A == at:
			goes = append(goes, network.Leak{A: l.B, B: at, Ohms: l.Ohms})
		default:
			goes = append(goes, network.Leak{A: l.A, B: at, Ohms: l.Ohms})
		}
	}
	ch.Leaks = stays
	switch {
	case len(ends) > 0:
		for _, l := range goes {
			ch.Leaks = append(ch.Leaks, network.Leak{A: l.A, B: ends[0], Ohms: l.Ohms})
		}
	case len(goes) == 2:
		ch.Leaks = append(ch.Leaks, network.Leak{A: goes[0].A, B: goes[1].A, Ohms: goes[0].Ohms + goes[1].Ohms})
	}
	return len(ends) > 0 || len(goes) < 3
}

// LockedBase is the panel with the power locked off and the operators held as in a step,
// solved, for small changes to be worked out against it. Of the protective devices those
// that are named are open, and semiconductors conduct or do not; joins are nodes that touch.
// The net is the panel's own, or one of those by which ohms are believed.
func (p *Panel) LockedBase(n *network.Net, step int, conduct bool, blown []*circuits.Device,
	joins ...[2]network.Node) *network.OffBase {
	return n.NewOffBase(p.Semiconductors(p.LockedOut(&Overlay{}, step, blown...), conduct), joins...)
}

// LockedBranch is LockedBase for changes that are not small as well.
func (p *Panel) LockedBranch(n *network.Net, step int, conduct bool) *network.OffBranch {
	return n.NewOffBranch(p.Semiconductors(p.LockedOut(&Overlay{}, step), conduct))
}

// Bolt gives where the short that opened a protective device may still be: the side of it
// that went dead, and the return of the source that feeds the other side. It reports false
// where the base, locked off with the device open, does not tell.
func (p *Panel) Bolt(open *network.OffBase, device *circuits.Device) (bolt [2]network.Node, ok bool) {
	if len(p.links[device]) == 0 {
		return bolt, false
	}
	return p.bolt(open.Super, p.links[device])
}

// bolt is Bolt for a protective device that is open in what super tells of.
func (p *Panel) bolt(super func(network.Node) network.Node,
	poles []network.Conductor) (bolt [2]network.Node, ok bool) {
	if len(poles) > 1 {
		return bolt, false // between which of them it is, or to what, is not plain
	}
	a, b := p.Net.Ends(poles[0])
	for i := 1; i <= p.Net.Sources(); i++ {
		s := p.Net.Source(network.Source(i))
		switch hot := super(s.Hot); {
		case hot == super(a) && hot != super(b):
			return [2]network.Node{b, s.Return}, true
		case hot == super(b) && hot != super(a):
			return [2]network.Node{a, s.Return}, true
		}
	}
	return bolt, false
}

// Bolts tells whether an overlay joins the two nodes of a bolt, and opens nothing.
func (p *Panel) Bolts(o *Overlay, b *network.OffBase, bolt [2]network.Node) bool {
	if len(o.Open)+len(o.Joints)+len(o.Landings)+len(o.Stuck)+len(o.OpenSources) > 0 {
		return false
	}
	bolted := joinsAs(b.Super, bolt)
	for _, l := range o.ShortedLoads {
		if load := p.Net.Load(l); bolted([2]network.Node{load.A, load.B}) {
			return true
		}
	}
	return slices.ContainsFunc(o.Joins, bolted)
}

// joinsAs gives a function that tells whether a join ties the same supernodes together as
// a bolt does.
func joinsAs(super func(network.Node) network.Node, bolt [2]network.Node) func(join [2]network.Node) bool {
	dead, ret := super(bolt[0]), super(bolt[1])
	return func(join [2]network.Node) bool {
		a, b := super(join[0]), super(join[1])
		return a == dead && b == ret || a == ret && b == dead
	}
}

// OffLocal reads ohms with small changes to a panel that is locked off. It holds the
// working space of one goroutine.
type OffLocal struct {
	*network.LocalOff
	p      *Panel
	change overlayChange
}

// OffLocal makes the working space for the panel's net, or one by which ohms are believed.
func (p *Panel) OffLocal(n *network.Net) *OffLocal { return &OffLocal{LocalOff: n.NewLocalOff(), p: p} }

// Solve works out an overlay with the wires lifted off a terminal; one that no wire lands
// on is left as it is. Relays that keep their position stand as they are given. It reports false where
// what changes is not small, or where wires are lifted off several terminals.
func (l *OffLocal) Solve(b *network.OffBase, o *Overlay, lifted []circuits.Terminal, kept []Kept) bool {
	return len(lifted) < 2 && l.begin(b, o, lifted, kept) && l.LocalOff.Solve(b, &l.change.Change)
}

// SolveFrom is Solve against a base or one that branches off it, as [network.LocalOff.SolveFrom] is.
// Wires may be lifted off several terminals; no relay may keep its position.
func (l *OffLocal) SolveFrom(b *network.OffBranch, o *Overlay, lifted []circuits.Terminal, own network.Own) (*network.OffBranch, bool) {
	if len(lifted) > 1 && len(o.Joints)+len(o.Leaks) > 0 || !l.begin(b.OffBase, o, lifted, nil) {
		return nil, false
	}
	return l.LocalOff.SolveFrom(b, &l.change.Change, own)
}

// begin tells what an overlay changes with the wires lifted off terminals. It reports false where
// that cannot be told as a change.
func (l *OffLocal) begin(b *network.OffBase, o *Overlay, lifted []circuits.Terminal, kept []Kept) bool {
	if len(o.OpenSources) > 0 || kept == nil && l.p.Keeps() {
		return false
	}
	l.change.begin(l.p, o, b.Closed)
	for _, s := range o.Stuck {
		if s.Device.Type.Kind == circuits.RelayKind {
			l.change.contacts(s.Device, s.Position, s.Position)
		}
	}
	for _, k := range kept {
		if !slices.ContainsFunc(o.Stuck, func(s Stuck) bool { return s.Device == k.Device }) {
			l.change.contacts(k.Device, k.Position, k.Timed)
		}
	}
	l.change.finish()
	for _, t := range lifted {
		if len(lifted) > 1 && !l.p.lands(o, l.p.nodes[t]) || !l.change.lift(l.p.nodes[t]) {
			return false
		}
	}
	return true
}

// lands tells whether under an overlay any wire lands on a node.
func (p *Panel) lands(o *Overlay, at network.Node) bool {
	return slices.ContainsFunc(o.Landings, func(l network.Landing) bool { return l.To == at }) ||
		slices.ContainsFunc(p.landings[at], func(c network.Conductor) bool {
			return !slices.ContainsFunc(o.Landings, func(l network.Landing) bool { return l.Conductor == c && l.From == at })
		})
}
