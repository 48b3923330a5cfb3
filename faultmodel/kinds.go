package faultmodel

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// kinds is the table of fault kinds: each row lists the faults of its kind that a
// panel has.
var kinds = []struct {
	name string
	when when
	list func(*lister)
}{
	{"open wire", plain, (*lister).openWires},
	{"contact open or closed", plain, (*lister).contacts},
	{"load open or shorted", plain, (*lister).loads},
	{"stuck", plain, (*lister).stuck},
	{"timing", plain, (*lister).timers},
	{"open link", plain, (*lister).links},
	{"dead source", plain, (*lister).sources},
	{"diode of a rectifier", plain, (*lister).rectifiers},
	{"ground", plain, (*lister).grounds},
	{"wires touching", plain, (*lister).shorts},
	{"bad joint", worn, (*lister).joints},
	{"low source", worn, (*lister).lowSources},
	{"shorted source", worn, (*lister).shortedSources},
	{"leak", worn, (*lister).leaks},
	{"coil or armature", worn, (*lister).coils},
	{"sticking load", worn, (*lister).stickingLoads},
	{"wrong setting", worn, (*lister).settings},
	{"miswired end", newBuild, (*lister).miswired},
	{"exchanged wires", newBuild, (*lister).exchanged},
}

// when says which lists a kind is in.
type when int

const (
	plain    when = iota // all
	worn                 // only where they are asked for
	newBuild             // only of a panel that has never worked
)

// openWires: each physical wire, with its two terminations.
func (l *lister) openWires() {
	for i, n := range l.p.Circuit.Numbers {
		for k, w := range n.Wires {
			from, to := l.device(w.From), l.device(w.To)
			l.add(Fault{
				ID:   ID(fmt.Sprintf("open-%s-%s", w.From, w.To)),
				Text: fmt.Sprintf("wire %s is open between %s and %s", n.Name, w.From, w.To),
				Where: fmt.Sprintf("wire %s, from %s to %s: the wire or either screw", n.Name, l.at(w.From),
					l.at(w.To)),
				Key:     WireOpen,
				Effect:  Effect{OpenWire: &OpenWire{n.Name, w.From, w.To}},
				Overlay: work.Overlay{Overlay: network.Overlay{Open: []network.Conductor{l.p.Wire(i, k)}}},
				Devices: []string{from.Name, to.Name},
			}, l.wireFactor(from, to))
		}
	}
}

// wireFactor is by how much likelier a wire between two devices fails than one in the panel.
func (l *lister) wireFactor(from, to *circuits.Device) float64 {
	factor := from.Odds
	if to != from {
		factor *= to.Odds
	}
	if outside(from) || outside(to) {
		factor *= Of(FieldWiringFactor).Value
	}
	return factor
}

// contacts: each contact that has a wire on both of its terminals.
func (l *lister) contacts() {
	for _, d := range l.p.Circuit.Devices {
		for i, c := range d.Contacts {
			a, b := d.Terminal(c.A), d.Terminal(c.B)
			if !l.p.Wired(a) || !l.p.Wired(b) {
				continue
			}
			open, closed := d.Type.Faults.ContactOpen, d.Type.Faults.ContactClosed
			if c.Form == circuits.NormallyClosed {
				open = d.Type.Faults.NCContactOpen
			}
			name := fmt.Sprintf("%s:%s-%s", d.Name, c.A, c.B)
			where := fmt.Sprintf("%s, contact %s-%s, %s", d.Called(), c.A, c.B, d.Whereabouts())
			contact := []network.Conductor{l.p.Contact(d, i)}
			l.add(Fault{
				ID:   ID("open-" + name),
				Text: fmt.Sprintf("contact %s stays open", name), Where: where, Key: open,
				Effect:  Effect{OpenContact: []circuits.Terminal{a, b}},
				Overlay: work.Overlay{Overlay: network.Overlay{Open: contact}},
				Devices: []string{d.Name},
			}, l.odds(d))
			word := "stays closed"
			if d.Type.Moved == circuits.ByCoil && !d.Type.Electronic {
				word = "is welded closed"
			}
			l.add(Fault{
				ID:   ID("closed-" + name),
				Text: fmt.Sprintf("contact %s %s", name, word), Where: where, Key: closed,
				Effect:  Effect{ClosedContact: []circuits.Terminal{a, b}},
				Overlay: work.Overlay{Overlay: network.Overlay{Closed: l.p.Through(d, i)}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
}

// loads: coils, what is lit, sounds, runs, pulls or gets hot, and what is only in the way of the
// current.
func (l *lister) loads() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			continue
		}
		for i, ends := range d.Coils() {
			if !d.Type.Inputs() || l.p.Wired(d.Terminal(ends[0])) { // one that is not used does nothing
				l.load(d, i)
			}
		}
	}
}

// load lists what goes wrong with one coil of a device, or with a load.
func (l *lister) load(d *circuits.Device, coil int) {
	row, ends := d.Load(), d.Coils()[coil]
	var opened, shorted network.Overlay
	if d.OneWay() {
		opened.Open = []network.Conductor{l.p.Link(d, 0)}
		shorted.Closed = opened.Open
	} else {
		opened.OpenLoads = []network.Load{l.p.Coil(d, coil)}
		shorted.ShortedLoads = opened.OpenLoads
	}
	name, id := d.Called(), d.Name
	if d.Type.Kind == circuits.RelayKind {
		name = "the coil of " + d.Name
		if d.Type.Electronic {
			name = "the input of " + d.Name
		}
	}
	which := d.CoilName(coil)
	switch {
	case d.Fed():
		name = "the supply input of " + d.Name
	case which != "" && d.Type.Inputs():
		name, id = fmt.Sprintf("the %s input of %s", which, d.Name), d.Name+"-"+which
	case which != "" && d.Type.Kind == circuits.LoadKind:
		name, id = fmt.Sprintf("the %s winding of motor %s", which, d.Name), d.Name+"-"+which
	case which != "":
		name, id = fmt.Sprintf("the %s coil of %s", which, d.Name), d.Name+"-"+which
	}
	where := fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), ends[0], ends[1], d.Whereabouts())
	broken := name
	if d.Joined == circuits.Star && d.Type.Kind == circuits.LoadKind { // a winding for each line
		// The network has it as a delta. What is left of the star is two windings in series.
		const windings = 3
		first := coil - coil%windings // of its set
		opened.OpenLoads = append(opened.OpenLoads, l.p.Coil(d, first+(coil+windings-1)%windings))
		opened.LoadScale = []network.LoadScale{{Load: l.p.Coil(d, first+(coil+1)%windings), Factor: 2.0 / 3}}
		broken = fmt.Sprintf("the winding behind %s of motor %s", ends[0], d.Name)
	}
	l.add(Fault{
		ID: ID("open-" + id), Text: broken + " is open", Where: where, Key: row.Open,
		Effect:  Effect{OpenLoad: d.Name, Coil: which},
		Overlay: work.Overlay{Overlay: opened},
		Devices: []string{d.Name},
	}, l.odds(d))
	l.add(Fault{
		ID: ID("shorted-" + id), Text: name + " is shorted", Where: where, Key: row.Shorted,
		Effect:  Effect{ShortedLoad: d.Name, Coil: which},
		Overlay: work.Overlay{Overlay: shorted},
		Devices: []string{d.Name},
	}, l.odds(d))
}

// stuck: operators that do not move their contacts, armatures that are jammed.
func (l *lister) stuck() {
	for _, d := range l.p.Circuit.Devices {
		jams := d.Type.Faults.Stuck
		if jams == (circuits.Jams{}) || !l.wiredContact(d) {
			continue
		}
		for i, pos := range d.Positions {
			said := jams.Away
			if i == d.Rest {
				said = jams.AtRest
			}
			if said.Key == "" {
				continue
			}
			l.add(Fault{
				ID: ID(fmt.Sprintf("stuck-%s-%s", d.Name, typeable(pos))), Text: said.Of(d, pos),
				Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: said.Key,
				Effect:  Effect{Stuck: d.Name, Position: pos},
				Overlay: work.Overlay{Stuck: []work.Stuck{{Device: d, Position: i}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
}

// typeable writes a name with a stroke for every sign that a shell or a person may
// stumble over.
func typeable(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return '-'
	}, name)
}

// timers that do not time; only where a timed contact is wired.
func (l *lister) timers() {
	for _, d := range l.p.Relays() {
		if !l.timedWired(d) {
			continue
		}
		for _, t := range []struct {
			said     circuits.Said
			position string
		}{
			{d.Type.Faults.Never, "never"},
			{d.Type.Faults.AtOnce, "at-once"},
		} {
			l.add(Fault{
				ID: ID(fmt.Sprintf("stuck-%s-%s", d.Name, t.position)), Text: t.said.Of(d, ""),
				Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: t.said.Key,
				Effect:  Effect{Stuck: d.Name, Position: t.position},
				Overlay: work.Overlay{Timers: []work.Timing{{Device: d, AtOnce: t.position == "at-once"}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
	}
}

// timedWired tells whether a device is a timer with a timed contact that is wired.
func (l *lister) timedWired(d *circuits.Device) bool {
	return d.Timer() && slices.ContainsFunc(d.Contacts, func(c circuits.Contact) bool {
		return c.Timed && l.p.Wired(d.Terminal(c.A)) && l.p.Wired(d.Terminal(c.B))
	})
}

// links: fuses, breakers, connector pins, bridges of terminal blocks.
func (l *lister) links() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.LinkKind {
			l.tripped(d)
		}
		opens := d.Type.Faults.Opens
		if len(d.Poles) > 0 {
			opens = d.Type.Faults.PoleOpens
		}
		l.eachLink(d, func(i int, name, part string) {
			if part == "" {
				return
			}
			l.add(Fault{
				ID: ID("open-" + name), Text: opens.Of(d, part),
				Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: opens.Key,
				Effect:  Effect{OpenLink: name},
				Overlay: work.Overlay{Overlay: network.Overlay{Open: []network.Conductor{l.p.Link(d, i)}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		})
	}
}

// tripped: a fuse or breaker, with all of its poles.
func (l *lister) tripped(d *circuits.Device) {
	var poles []network.Conductor
	for i := range d.Links() {
		poles = append(poles, l.p.Link(d, i))
	}
	opens := d.Type.Faults.Opens
	l.add(Fault{
		ID: ID("open-" + d.Name), Text: opens.Of(d, ""),
		Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: opens.Key,
		Effect:  Effect{OpenLink: d.Name},
		Overlay: work.Overlay{Overlay: network.Overlay{Open: poles}},
		Devices: []string{d.Name},
	}, l.odds(d))
}

// eachLink calls visit for the link of a fuse or breaker, and for each pole, pin or bridge of a
// device that is in use.
func (l *lister) eachLink(d *circuits.Device, visit func(i int, name, part string)) {
	if d.Type.Kind == circuits.LinkKind && len(d.Poles) == 0 {
		visit(0, d.Name, "")
	}
	for i, pole := range d.Poles {
		if l.p.Wired(d.Terminal(pole[0])) && l.p.Wired(d.Terminal(pole[1])) {
			part := pole[0] + "-" + pole[1]
			visit(i, d.Name+":"+part, part)
		}
	}
	for i, pin := range d.Pins {
		if l.p.Wired(d.Terminal(pin+"a")) && l.p.Wired(d.Terminal(pin+"b")) {
			visit(i, d.Name+":"+pin, pin)
		}
	}
	for i, b := range d.Bridges {
		part := b[0] + "-" + b[1]
		visit(i, d.Name+":"+part, part)
	}
}

// sources: windings, feeds, supplies.
func (l *lister) sources() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind || d.Rectifier() {
			continue
		}
		source := l.p.Sources(d)
		add := func(id, text string, key Key, winding string, o network.Overlay) {
			l.add(Fault{
				ID: ID(id), Text: text, Where: fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts()), Key: key,
				Effect:  Effect{DeadSource: d.Name, Winding: winding},
				Overlay: work.Overlay{Overlay: o}, Devices: []string{d.Name},
			}, l.odds(d))
		}
		if !d.Transformer() {
			add("dead-"+d.Name, fmt.Sprintf("supply %s is dead, or its feed is open", d.Name), SupplyDead, "",
				network.Overlay{DeadSources: source})
			l.lostPhases(d, add)
			continue
		}
		primary := network.Overlay{DeadSources: source}
		text := fmt.Sprintf("the primary of transformer %s or its feed is open", d.Name)
		if l.p.PrimaryWired(d) {
			primary.OpenLoads = []network.Load{l.p.Load(d)}
			text = fmt.Sprintf("the primary winding of transformer %s is open", d.Name)
		}
		add("dead-"+d.Name+"-primary", text, PrimaryOpen, "primary", primary)
		if len(d.Secondaries) == 0 {
			add("dead-"+d.Name+"-secondary",
				fmt.Sprintf("the secondary winding of transformer %s is open", d.Name), SecondaryOpen,
				"secondary", network.Overlay{OpenSources: source})
			continue
		}
		for i, ends := range d.Sources(false) {
			winding := ends[0] + "-" + ends[1]
			add("dead-"+d.Name+"-"+winding,
				fmt.Sprintf("the secondary %s of transformer %s is open", winding, d.Name), SecondaryOpen,
				winding, network.Overlay{OpenSources: source[i : i+1]})
		}
	}
}

// rectifiers: each of the four diodes, and all of it.
func (l *lister) rectifiers() {
	for _, d := range l.p.Circuit.Devices {
		if !d.Rectifier() {
			continue
		}
		where := fmt.Sprintf("%s, %s", d.Called(), d.Whereabouts())
		said := d.Type.Faults
		const half = 0.5 // of the waves, and of their mean
		for _, ends := range d.Diodes() {
			way := ends[0] + " to " + ends[1]
			diode := []circuits.Terminal{d.Terminal(ends[0]), d.Terminal(ends[1])}
			id := fmt.Sprintf("%s:%s-%s", d.Name, ends[0], ends[1])
			l.add(Fault{
				ID: ID("open-" + id), Text: said.DiodeOpens.Of(d, way), Where: where, Key: said.DiodeOpens.Key,
				Effect:  Effect{OpenDiode: diode},
				Overlay: work.Overlay{Overlay: network.Overlay{Scale: l.scaled(d, half)}},
				Devices: []string{d.Name},
			}, l.odds(d))
			l.add(Fault{
				ID: ID("shorted-" + id), Text: said.DiodeShorts.Of(d, way), Where: where, Key: said.DiodeShorts.Key,
				Effect:  Effect{ShortedDiode: diode},
				Overlay: work.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{l.p.Node(diode[0]), l.p.Node(diode[1])}}}},
				Devices: []string{d.Name},
			}, l.odds(d))
		}
		l.add(Fault{
			ID: ID("dead-" + d.Name), Text: said.Dead.Of(d, ""), Where: where, Key: said.Dead.Key,
			Effect:  Effect{DeadSource: d.Name},
			Overlay: work.Overlay{Overlay: network.Overlay{DeadSources: l.p.Sources(d)}},
			Devices: []string{d.Name},
		}, l.odds(d))
	}
}

// lostPhases: one line of a supply of three.
func (l *lister) lostPhases(d *circuits.Device, add func(id, text string, key Key, winding string, o network.Overlay)) {
	if !d.Type.Phases {
		return
	}
	const lines = 3
	for _, line := range d.Terminals[:lines] {
		at := l.p.Node(d.Terminal(line))
		var lost []network.Source
		for _, s := range l.p.Sources(d) {
			if parts := l.p.Net.Source(s); parts.Hot == at || parts.Return == at {
				lost = append(lost, s)
			}
		}
		add("dead-"+d.Name+"-"+line, fmt.Sprintf("line %s of supply %s is lost", line, d.Name), PhaseLost, line,
			network.Overlay{OpenSources: lost})
	}
}

func (l *lister) device(t circuits.Terminal) *circuits.Device {
	name, _ := t.Split()
	return l.p.Device(name)
}

func (l *lister) wiredContact(d *circuits.Device) bool {
	for _, c := range d.Contacts {
		if l.p.Wired(d.Terminal(c.A)) && l.p.Wired(d.Terminal(c.B)) {
			return true
		}
	}
	return false
}

// at names a terminal with its place: "CR1:22 (panel)".
func (l *lister) at(t circuits.Terminal) string {
	return fmt.Sprintf("%s (%s)", t, l.device(t).Place)
}

// outside reports whether a device sits neither in the panel nor on its door.
func outside(d *circuits.Device) bool { return d.Place != "panel" && d.Place != "door" }

// along lists the terminals of a wire number in words.
func (l *lister) along(number int) string {
	wires := l.p.Circuit.Numbers[number].Wires
	return fmt.Sprintf("%s to %s", l.at(wires[0].From), l.at(wires[len(wires)-1].To))
}

func (l *lister) devicesOn(number int) []string {
	var names []string
	seen := make(map[string]bool)
	for _, w := range l.p.Circuit.Numbers[number].Wires {
		for _, t := range []circuits.Terminal{w.From, w.To} {
			if d := l.device(t); !seen[d.Name] {
				seen[d.Name] = true
				names = append(names, d.Name)
			}
		}
	}
	return names
}
