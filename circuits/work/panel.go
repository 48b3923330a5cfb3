package work

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"sync"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// PartKind says what a conductor of the network is in the panel.
type PartKind int

const (
	WirePart    PartKind = iota + 1 // between two terminals
	ContactPart                     // of a relay, switch, push button, overload relay
	LinkPart                        // fuse or breaker
	PinPart                         // connector pin
	HeaterPart                      // in a pole of an overload relay
	BridgePart                      // terminal-block bridge
	DiodePart                       // it conducts one way
	KeptPart                        // what a sensor of two wires keeps for itself
	ThroughPart                     // what a current transformer is around
)

// Part is what a conductor of the network is in the panel.
type Part struct {
	Kind    PartKind
	Device  *circuits.Device // all but wires
	Contact int              // contact: index into Device.Contacts
	Index   int              // pin, bridge, pole: index into Device.Pins, Bridges or Links
	Number  int              // wire: index into Circuit.Numbers
	Wire    int              // wire: index into Number.Wires
}

// Panel is a circuit as a network: terminals are nodes, wires, contacts, fuses, pins
// and bridges are conductors, coils and other loads are loads.
type Panel struct {
	Circuit *circuits.Circuit
	Net     *network.Net

	terminals []circuits.Terminal // by node; of one within a device, the terminal behind it
	screws    int                 // how many nodes are terminals: the first ones
	nodes     map[circuits.Terminal]network.Node
	parts     []Part                // by conductor
	loads     []*circuits.Device    // by load; a transformer for its primary
	sources   []*circuits.Device    // by source
	leaks     map[network.Load]bool // which of the loads are open contacts that leak
	contacts  map[*circuits.Device][]network.Conductor
	links     map[*circuits.Device][]network.Conductor // fuse, breaker, heaters: by pole; connector: by pin; block: by bridge; diode
	wires     [][]network.Conductor                    // by number, by wire
	landings  map[network.Node][]network.Conductor
	load      map[*circuits.Device]network.Load // a transformer's is its primary
	source    map[*circuits.Device]network.Source
	values    map[*circuits.Device]Electrical
	coils     map[*circuits.Device][]coil // with which a relay is moved, in the order of its row
	number    map[network.Node]int        // index into Circuit.Numbers
	zone      []network.Node              // by node: what conductors could join it to, by its first node
	sourceOf  []network.Source            // by node: the source that it belongs to

	devices    map[string]*circuits.Device
	gates      map[*circuits.Device]*circuits.Device // of sensors that have to be fed; see gate.go
	relays     []*circuits.Device                    // with a coil, in file order
	locks      map[int]int                           // which of them a mechanical interlock joins: by index into relays
	repeats    []int                                 // those of them that are on and off by turns: indices into relays
	good       []*relay                              // the law of each
	tempered   [2][]*relay                           // the same with eager and with reluctant parts
	relayOf    []int                                 // by load: index into relays, or -1
	operators  []*circuits.Device
	electronic []network.Conductor // contacts that are semiconductors, and diodes
	alternates bool                // a source is of alternating current
	anyDC      bool                // a source is of direct current
	keeps      bool                // a relay keeps its position with the power off
	visible    []*circuits.Device
	fuses      []fuse  // greatest rating first
	most       float64 // amperes that no current of the good circuit reaches

	diodes            []network.Conductor                // see DiodeConductors
	keepers           map[network.Conductor]network.Node // contacts that keep volts for themselves, and where each ends
	measuring         []measuring                        // current transformers
	judged, otherwise *network.Net                       // by which ohms are believed
	bend              float64                            // see Bend
	used              func() []float64                   // see usedShares
	onNumber          func() [][]*circuits.Device        // see devicesOnNumbers
}

// fuse is a protective device seen from the secondary of the transformer it feeds.
type fuse struct {
	device  *circuits.Device
	poles   []network.Conductor // which open together
	amps    float64             // as rated; 0 where the file does not say
	equal   float64             // its amps on the secondary side, for comparison
	primary bool                // it feeds a transformer of the circuit
}

// closed tells whether it has not opened: a pole that is open by itself tells nothing.
func (f fuse) closed(in []bool) bool {
	return slices.ContainsFunc(f.poles, func(c network.Conductor) bool { return in[c] })
}

// Assemble turns a circuit into a network.
func Assemble(c *circuits.Circuit) *Panel {
	p := &Panel{
		Circuit:   c,
		Net:       network.New(),
		terminals: make([]circuits.Terminal, 1),
		nodes:     make(map[circuits.Terminal]network.Node),
		parts:     make([]Part, 1),
		loads:     make([]*circuits.Device, 1),
		sources:   make([]*circuits.Device, 1),
		contacts:  make(map[*circuits.Device][]network.Conductor),
		links:     make(map[*circuits.Device][]network.Conductor),
		landings:  make(map[network.Node][]network.Conductor),
		load:      make(map[*circuits.Device]network.Load),
		source:    make(map[*circuits.Device]network.Source),
		values:    make(map[*circuits.Device]Electrical),
		coils:     make(map[*circuits.Device][]coil),
		number:    make(map[network.Node]int),
		devices:   make(map[string]*circuits.Device, len(c.Devices)),
		leaks:     make(map[network.Load]bool),
		gates:     make(map[*circuits.Device]*circuits.Device),
	}
	for _, d := range c.Devices {
		p.devices[d.Name] = d
	}
	p.addTerminals()
	p.screws = p.Net.Nodes()
	p.addConductors()
	p.markZones()
	p.keepVolts()
	p.joinLocks()
	p.addSourcesAndLoads()
	p.shareOut()
	for _, d := range c.Devices {
		if len(d.Type.Looks) > 0 {
			p.visible = append(p.visible, d)
		}
	}
	for _, d := range p.loads {
		if g := p.gates[d]; g != nil {
			d = g
		}
		p.relayOf = append(p.relayOf, slices.Index(p.relays, d))
	}
	for _, d := range slices.Concat(p.operators, p.relays) {
		if d.Type.Electronic {
			p.electronic = append(p.electronic, p.contacts[d]...)
		}
	}
	p.setLaws(p.goodRelays())
	p.rankFuses()
	return p
}

func (p *Panel) addTerminals() {
	var ground network.Node
	for _, d := range p.Circuit.Devices {
		for _, name := range d.Terminals {
			t := d.Terminal(name)
			if d.Type.Kind == circuits.GroundKind && ground != 0 {
				p.nodes[t] = ground // the bonded metalwork is one node
				continue
			}
			n := p.Net.AddNode()
			p.nodes[t] = n
			p.terminals = append(p.terminals, t)
			if d.Type.Kind == circuits.GroundKind {
				ground = n
			}
		}
	}
}

func (p *Panel) addConductors() {
	add := func(part Part, a, b network.Node) network.Conductor {
		p.parts = append(p.parts, part)
		return p.Net.AddConductor(a, b)
	}
	for i, num := range p.Circuit.Numbers {
		var row []network.Conductor
		for k, w := range num.Wires {
			a, b := p.nodes[w.From], p.nodes[w.To]
			c := add(Part{Kind: WirePart, Number: i, Wire: k}, a, b)
			row = append(row, c)
			p.landings[a] = append(p.landings[a], c)
			p.landings[b] = append(p.landings[b], c)
			p.number[a], p.number[b] = i, i
		}
		p.wires = append(p.wires, row)
	}
	for _, d := range p.Circuit.Devices {
		at := func(name string) network.Node { return p.nodes[d.Terminal(name)] }
		for k, c := range d.Contacts {
			to := at(c.B)
			if d.Fed() {
				to = p.within(d.Terminal(c.B))
			}
			p.contacts[d] = append(p.contacts[d], add(Part{Kind: ContactPart, Device: d, Contact: k}, at(c.A), to))
			if d.Fed() {
				g := p.gateOf(d)
				p.contacts[g] = append(p.contacts[g], add(Part{Kind: ContactPart, Device: g, Contact: k}, to, at(c.B)))
			}
		}
		link := func(part Part, a, b string) {
			part.Device = d
			p.links[d] = append(p.links[d], add(part, at(a), at(b)))
		}
		kind := LinkPart
		if d.Type.Kind != circuits.LinkKind {
			kind = HeaterPart
		}
		for k, pole := range d.Links() {
			link(Part{Kind: kind, Index: k}, pole[0], pole[1])
		}
		switch d.Type.Kind {
		case circuits.ConnectorKind:
			for k, pin := range d.Pins {
				link(Part{Kind: PinPart, Index: k}, pin+"a", pin+"b")
			}
		case circuits.BlockKind:
			for k, b := range d.Bridges {
				link(Part{Kind: BridgePart, Index: k}, b[0], b[1])
			}
		case circuits.PassiveKind:
			if d.OneWay() {
				a, k := at(d.Ends[0]), at(d.Ends[1])
				p.parts = append(p.parts, Part{Kind: DiodePart, Device: d})
				diode := p.Net.AddDiode(a, k, circuits.DiodeDrop)
				p.links[d], p.diodes = append(p.links[d], diode), append(p.diodes, diode)
				p.electronic = append(p.electronic, p.links[d]...)
			}
			if d.Measures() {
				link(Part{Kind: ThroughPart}, d.Primary[0], d.Primary[1])
			}
		case circuits.OperatorKind:
			p.operators = append(p.operators, d)
		case circuits.RelayKind:
			if d.Type.Times == circuits.Repeats {
				p.repeats = append(p.repeats, len(p.relays))
			}
			p.relays = append(p.relays, d)
			p.keeps = p.keeps || d.Type.Armature.Keeps()
		}
	}
}

// joinLocks notes which relays a mechanical interlock joins.
func (p *Panel) joinLocks() {
	for i, d := range p.relays {
		if d.Interlock != nil {
			if p.locks == nil {
				p.locks = make(map[int]int)
			}
			p.locks[i] = slices.Index(p.relays, d.Interlock)
		}
	}
}

func (p *Panel) addSourcesAndLoads() {
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind {
			continue
		}
		for range p.sourceEnds(d) {
			p.sources = append(p.sources, d)
		}
	}
	p.alternates = slices.ContainsFunc(p.sources[1:], func(d *circuits.Device) bool { return !d.DC })
	p.anyDC = slices.ContainsFunc(p.sources[1:], func(d *circuits.Device) bool { return d.DC })
	beats := p.beats()
	for _, d := range slices.Compact(slices.Clone(p.sources[1:])) {
		emf := phasors(d, p.neutral(d) != 0)
		for i, ends := range p.sourceEnds(d) {
			parts := sourceOf(d, i, ends[0], ends[1])
			if d.Type.Phases {
				parts.Volts, parts.Phase = emf[i].volts, emf[i].degrees
			}
			parts.Beat = beats[d]
			if d.Rectifier() {
				parts.Input = [2]network.Node{p.nodes[d.Terminal(d.Primary[0])], p.nodes[d.Terminal(d.Primary[1])]}
			}
			if s := p.Net.AddSource(parts); i == 0 {
				p.source[d] = s
			}
		}
	}
	phased := slices.ContainsFunc(p.sources[1:], func(d *circuits.Device) bool { return d.Type.Phases || d.Phase != nil && *d.Phase != 0 })
	addLoad := func(d *circuits.Device, a, b network.Node, e Electrical) {
		p.values[d] = e
		parts := network.LoadParts{A: a, B: b, Running: e.Running, Ohms: e.Ohms}
		if d.Type.Kind != circuits.SourceKind {
			if phased && !cmplx.IsInf(parts.Running) {
				parts.Running *= unlike(len(p.loads))
			}
			if maybeDark(d) {
				parts.Judged = MarkOhms
			}
		}
		p.load[d] = p.Net.AddLoad(parts)
		p.loads = append(p.loads, d)
	}
	for _, d := range p.Circuit.Devices {
		switch {
		case d.Type.Kind == circuits.PassiveKind:
			if !d.OneWay() {
				a, b := p.nodes[d.Terminal(d.Ends[0])], p.nodes[d.Terminal(d.Ends[1])]
				addLoad(d, a, b, passive(d, p.feed(a, b, nil)))
				p.coils[d] = []coil{{load: p.load[d], values: p.values[d]}}
			}
		case len(d.Coils()) > 0:
			coils := d.Coils()
			for i := range coils {
				ends := coils[len(coils)-1-i] // the first last: it is what Load gives
				a, b := p.nodes[d.Terminal(ends[0])], p.nodes[d.Terminal(ends[1])]
				feed := p.feed(a, b, nil)
				volts := d.Volts
				if volts == 0 {
					volts = p.feeds(feed, d, a, b)
				}
				rated := *d
				if rows := d.Type.Coils; i < len(rows) && rows[len(coils)-1-i].VA > 0 {
					rated.VA = rows[len(coils)-1-i].VA
				}
				e := electrical(&rated, volts, feed.DC)
				if feed.DC {
					e.Drops = p.Drops()
				}
				addLoad(d, a, b, e)
				c := coil{load: p.load[d], values: p.values[d]}
				if row := d.Type.Coils; i < len(row) {
					c.spare = row[len(coils)-1-i].Unwired && !p.Wired(p.terminals[a])
				}
				p.coils[d] = append([]coil{c}, p.coils[d]...)
			}
			if d.Type.Kind == circuits.LoadKind && len(coils) > ring {
				for _, c := range p.coils[d] {
					p.Net.Induces(c.load)
				}
			}
			if g := p.gates[d]; g != nil {
				p.coils[g], p.load[g], p.values[g] = p.coils[d], p.load[d], p.values[d]
			}
		case d.Rectifier(): // once it is known what it feeds
		case p.PrimaryWired(d):
			a, b := p.nodes[d.Terminal(d.Primary[0])], p.nodes[d.Terminal(d.Primary[1])]
			volts := d.PrimaryVolts
			if volts == 0 {
				volts = p.feeds(p.feed(a, b, d), d, a, b)
			}
			ratio := volts / d.Volts
			z := volts * volts / PrimaryVA
			winding := p.Net.Source(p.source[d]).WindingOhms
			addLoad(d, a, b, Electrical{Volts: volts, Running: complex(0, z), Ohms: winding * ratio * ratio})
		}
	}
	for _, d := range p.Circuit.Devices {
		if d.Rectifier() {
			a, b := p.nodes[d.Terminal(d.Primary[0])], p.nodes[d.Terminal(d.Primary[1])]
			volts := d.PrimaryVolts
			if volts == 0 {
				volts = p.feeds(p.feed(a, b, d), d, a, b)
			}
			addLoad(d, a, b, Electrical{Volts: volts, Running: complex(volts*volts/p.behind(d), 0), Ohms: math.Inf(1)})
		}
	}
	p.addLeaks()
	p.addMeasuring()
	p.most = p.greatestCurrent(&network.Overlay{})
	p.assume()
	p.used = sync.OnceValue(p.usedShares)
	p.onNumber = sync.OnceValue(p.devicesOnNumbers)
}

// behind are the volt-amperes of all that hangs on a rectifier, or of its own leak.
func (p *Panel) behind(d *circuits.Device) float64 {
	const leak = 0.1 // common practice, no source
	va := leak
	for i := 1; i <= p.Net.Loads(); i++ {
		if l := p.Net.Load(network.Load(i)); p.feed(l.A, l.B, nil) == d && !cmplx.IsInf(l.Running) {
			va += p.values[p.loads[i]].Volts * p.values[p.loads[i]].Volts / cmplx.Abs(l.Running)
		}
	}
	return va
}

// beats tells ac sources apart whose phases to each other are not known: where a frequency has
// several sources, each that the file gives no phase has one of its own. A transformer with a
// wired primary goes with what feeds that.
func (p *Panel) beats() map[*circuits.Device]int {
	fed := func(d *circuits.Device) *circuits.Device {
		for range p.sources {
			if !p.PrimaryWired(d) {
				break
			}
			d = p.feed(p.nodes[d.Terminal(d.Primary[0])], p.nodes[d.Terminal(d.Primary[1])], d)
		}
		return d
	}
	first := make(map[float64][]*circuits.Device) // by frequency: those that nothing feeds
	for _, d := range p.sources[1:] {
		if !d.DC && fed(d) == d && !slices.Contains(first[d.Hertz], d) {
			first[d.Hertz] = append(first[d.Hertz], d)
		}
	}
	beats := make(map[*circuits.Device]int)
	for _, d := range p.sources[1:] {
		if of := fed(d); !d.DC && !of.DC && of.Phase == nil && len(first[of.Hertz]) > 1 {
			beats[d] = 1 + slices.Index(first[of.Hertz], of)
		}
	}
	return beats
}

// greatestCurrent is more than any current in the panel can be that nothing but loads, leaks
// and bad joints limit: all of them together, with all sources in series.
func (p *Panel) greatestCurrent(o *network.Overlay) (amps float64) {
	var highest float64
	for i, d := range p.sources[1:] {
		volts := d.Volts
		for _, s := range o.Scale {
			if s.Source == network.Source(i+1) {
				volts *= math.Max(1, s.Factor)
			}
		}
		highest += volts
	}
	for i := 1; i <= p.Net.Loads(); i++ {
		parts := o.Parts(p.Net, network.Load(i))
		least := max(real(parts.Running), math.Abs(imag(parts.Running)))
		if p.anyDC {
			least = min(least, parts.DirectOhms())
		}
		amps += highest / least
	}
	for _, l := range o.Leaks {
		amps += highest / l.Ohms
	}
	for _, j := range o.Joints {
		amps += highest / j.Ohms
	}
	return amps
}

// mostUnder is greatestCurrent under an overlay, of which most change nothing about it.
func (p *Panel) mostUnder(o *Overlay) float64 {
	if len(o.Scale)+len(o.LoadScale)+len(o.Leaks)+len(o.Joints) == 0 {
		return p.most
	}
	return p.greatestCurrent(&o.Overlay)
}

// rankFuses orders the protective devices, greatest rating first. One in the
// primary of a transformer is compared at what its amperes are on the secondary.
func (p *Panel) rankFuses() {
	for _, d := range p.Circuit.Devices {
		if d.Type.Kind != circuits.LinkKind {
			continue
		}
		f := fuse{device: d, poles: p.links[d], amps: d.Amps, equal: d.Amps}
		if d.Amps == 0 {
			f.equal = 1e9 // it still opens on a dead short, after all rated ones
		}
		for _, t := range p.sources[1:] {
			if !p.PrimaryWired(t) {
				continue
			}
			z := p.zone[p.end(d, 0)]
			if z == p.zone[p.end(t, 0)] || z == p.zone[p.end(t, 1)] {
				continue // a side that primary and secondary share
			}
			if z == p.zone[p.nodes[t.Terminal(t.Primary[0])]] || z == p.zone[p.nodes[t.Terminal(t.Primary[1])]] {
				f.equal *= p.values[t].Volts / t.Volts
				f.primary = true
				break
			}
		}
		at := len(p.fuses)
		for at > 0 && p.fuses[at-1].equal < f.equal {
			at--
		}
		p.fuses = append(p.fuses[:at], append([]fuse{f}, p.fuses[at:]...)...)
	}
}

func (p *Panel) end(d *circuits.Device, i int) network.Node { return p.nodes[d.Terminal(d.Ends[i])] }

// Device gives the device of that name, or nil.
func (p *Panel) Device(name string) *circuits.Device { return p.devices[name] }

// Node gives the node of a terminal; zero if no device has it.
func (p *Panel) Node(t circuits.Terminal) network.Node { return p.nodes[t] }

// Terminal gives a terminal at a node: the first that the file names.
func (p *Panel) Terminal(n network.Node) circuits.Terminal { return p.terminals[n] }

// Terminals gives the terminals with a wire on them or a part behind them, in file
// order, one a node.
func (p *Panel) Terminals() []circuits.Terminal { return p.terminals[1 : p.screws+1] }

// Landings gives the wires that land on a node.
func (p *Panel) Landings(n network.Node) []network.Conductor { return p.landings[n] }

// Part says what a conductor is.
func (p *Panel) Part(c network.Conductor) Part { return p.parts[c] }

// Wire gives the conductor of a physical wire.
func (p *Panel) Wire(number, wire int) network.Conductor { return p.wires[number][wire] }

// Contact gives the conductor of a device's contact.
func (p *Panel) Contact(d *circuits.Device, i int) network.Conductor { return p.contacts[d][i] }

// Through gives all that conducts, one behind the other, while a device's contact is closed.
func (p *Panel) Through(d *circuits.Device, i int) []network.Conductor {
	through := []network.Conductor{p.contacts[d][i]}
	if g := p.gates[d]; g != nil {
		through = append(through, p.contacts[g][i])
	}
	return through
}

// Link gives the conductor of a pole of a fuse, breaker or overload relay, of a connector pin
// or a bridge.
func (p *Panel) Link(d *circuits.Device, i int) network.Conductor { return p.links[d][i] }

// Load gives the load of a device: its coil, itself, or a transformer's primary;
// zero if it has none.
func (p *Panel) Load(d *circuits.Device) network.Load { return p.load[d] }

// Source gives the source of a device, the first of several; zero if it is none.
func (p *Panel) Source(d *circuits.Device) network.Source { return p.source[d] }

// Sources gives all sources of a device.
func (p *Panel) Sources(d *circuits.Device) []network.Source {
	var all []network.Source
	for i, of := range p.sources {
		if i > 0 && of == d {
			all = append(all, network.Source(i))
		}
	}
	return all
}

// Coil gives the load of one of a device's coils, or of a load.
func (p *Panel) Coil(d *circuits.Device, coil int) network.Load { return p.coils[d][coil].load }

// Keeps reports whether some relay keeps its position with the power off.
func (p *Panel) Keeps() bool { return p.keeps }

// LoadDevice gives the device that a load belongs to.
func (p *Panel) LoadDevice(l network.Load) *circuits.Device { return p.loads[l] }

// SourceDevice gives the device that a source belongs to.
func (p *Panel) SourceDevice(s network.Source) *circuits.Device { return p.sources[s] }

// Values gives the electrical values of a coil, a load or a primary.
func (p *Panel) Values(d *circuits.Device) Electrical { return p.values[d] }

// Number gives the index of the wire number that a node has; -1 if no wire lands
// there.
func (p *Panel) Number(n network.Node) int {
	if i, ok := p.number[n]; ok {
		return i
	}
	return -1
}

// Wired reports whether any wire lands on a terminal.
func (p *Panel) Wired(t circuits.Terminal) bool { return len(p.landings[p.nodes[t]]) > 0 }

// PrimaryWired reports whether the device is a transformer or rectifier whose primary is part of
// the circuit.
func (p *Panel) PrimaryWired(d *circuits.Device) bool {
	return d.HasPrimary() && (p.Wired(d.Terminal(d.Primary[0])) || p.Wired(d.Terminal(d.Primary[1])))
}

// Lift gives the overlay that lifts all wires off the terminals, beside another.
// It fails where a terminal has no wires.
func (p *Panel) Lift(o Overlay, terminals []circuits.Terminal) (Overlay, error) {
	for _, t := range terminals {
		n := p.nodes[t]
		wires := slices.Clone(p.landings[n])
		for _, l := range o.Landings {
			if l.From == n {
				wires = slices.DeleteFunc(wires, func(c network.Conductor) bool { return c == l.Conductor })
			}
			if l.To == n {
				wires = append(wires, l.Conductor)
			}
		}
		if n == 0 || len(wires) == 0 {
			return o, fmt.Errorf("no wire to lift at %s", t)
		}
		joins := o.Joins
		if o.Overlay = o.Overlay.Lift(p.Net, n, wires); o.Screws {
			o.Joins = joins
		}
	}
	return o, nil
}

// AtScrews gives an overlay under which what touches does so at the screw of a terminal, and
// stays there when its wires are lifted; false where nothing can touch there. A wire number
// can touch another on a device on which both land, and the metalwork on any.
func (p *Panel) AtScrews(o Overlay, t circuits.Terminal) (Overlay, bool) {
	at, found := p.nodes[t], false
	n := p.Number(at)
	if n < 0 || len(o.Joins) == 0 {
		return o, false
	}
	name, _ := t.Split()
	lands := func(other network.Node) bool {
		if p.grounded(other) {
			return true
		}
		d := p.devices[name]
		return slices.ContainsFunc(d.Terminals, func(s string) bool {
			return p.Number(p.nodes[d.Terminal(s)]) == p.Number(other)
		})
	}
	joins := o.Joins
	for i, j := range o.Joins {
		for k := range j {
			if p.Number(j[k]) == n && p.Number(j[1-k]) != n && lands(j[1-k]) {
				if !found {
					joins, found = slices.Clone(o.Joins), true
				}
				joins[i][k] = at
			}
		}
	}
	o.Joins, o.Screws = joins, found
	return o, found
}

// grounded tells whether a node is the metalwork.
func (p *Panel) grounded(n network.Node) bool {
	return p.devices[p.nameOf(n)].Type.Kind == circuits.GroundKind
}

// ScrewDevices gives the devices on which what touches may do so at the screws (AtScrews): those
// with a terminal on either of two numbers that touch, or on one that touches the metalwork.
func (p *Panel) ScrewDevices(o *Overlay) []*circuits.Device {
	var devices []*circuits.Device
	for _, j := range o.Joins {
		var sides [2][]*circuits.Device
		for k := range j {
			if n := p.Number(j[k]); n >= 0 && n != p.Number(j[1-k]) {
				sides[k] = p.onNumber()[n]
			}
		}
		switch a, b := p.grounded(j[0]), p.grounded(j[1]); {
		case a || b:
			devices = append(append(devices, sides[0]...), sides[1]...)
		case len(sides[0]) > len(sides[1]): // both land there
			devices = append(devices, sides[1]...)
		default:
			devices = append(devices, sides[0]...)
		}
	}
	return devices
}

// devicesOnNumbers gives, by wire number, the devices that it lands on.
func (p *Panel) devicesOnNumbers() [][]*circuits.Device {
	on := make([][]*circuits.Device, len(p.Circuit.Numbers))
	for _, d := range p.Circuit.Devices {
		for _, t := range d.Terminals {
			if n := p.Number(p.nodes[d.Terminal(t)]); n >= 0 && !slices.Contains(on[n][max(0, len(on[n])-1):], d) {
				on[n] = append(on[n], d)
			}
		}
	}
	return on
}

// Replaced is an overlay without what protective devices that are replaced have of it.
func (p *Panel) Replaced(o Overlay, devices []*circuits.Device) Overlay {
	o.Open = slices.DeleteFunc(slices.Clone(o.Open), func(c network.Conductor) bool {
		return p.parts[c].Kind == LinkPart && slices.Contains(devices, p.parts[c].Device)
	})
	return o
}

// nameOf names the device of a node.
func (p *Panel) nameOf(n network.Node) string {
	name, _ := p.terminals[n].Split()
	return name
}

// Operators gives the devices that a step can set, in file order.
func (p *Panel) Operators() []*circuits.Device { return p.operators }

// Relays gives the devices with a coil, in file order.
func (p *Panel) Relays() []*circuits.Device { return p.relays }

// Visible gives the devices that can be looked at: lit, sounding, running, pulled in.
func (p *Panel) Visible() []*circuits.Device { return p.visible }
