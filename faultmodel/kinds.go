package faultmodel

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// kinds is the table of fault kinds: each row lists the faults of its kind that a
// panel has.
var kinds = []struct {
	name     string
	newBuild bool // only asked of a panel that has never worked
	list     func(*lister)
}{
	{"open wire", false, (*lister).openWires},
	{"contact open or closed", false, (*lister).contacts},
	{"load open or shorted", false, (*lister).loads},
	{"stuck", false, (*lister).stuck},
	{"timing", false, (*lister).timers},
	{"open link", false, (*lister).links},
	{"dead source", false, (*lister).sources},
	{"ground", false, (*lister).grounds},
	{"wires touching", false, (*lister).shorts},
	{"miswired end", true, (*lister).miswired},
	{"exchanged wires", true, (*lister).exchanged},
}

// openWires: each physical wire, with its two terminations.
func (l *lister) openWires() {
	for i, n := range l.p.Circuit.Numbers {
		for k, w := range n.Wires {
			from, to := l.device(w.From), l.device(w.To)
			factor := from.Odds
			if to != from {
				factor *= to.Odds
			}
			if outside(from) || outside(to) {
				factor *= Of(FieldWiringFactor).Value
			}
			l.add(Fault{
				ID:      ID(fmt.Sprintf("open-%s-%s", w.From, w.To)),
				Text:    fmt.Sprintf("wire %s is open between %s and %s", n.Name, w.From, w.To),
				Where:   fmt.Sprintf("wire %s, from %s to %s: the wire or either screw", n.Name, l.at(w.From), l.at(w.To)),
				Key:     WireOpen,
				Effect:  Effect{OpenWire: &OpenWire{n.Name, w.From, w.To}},
				Overlay: circuits.Overlay{Overlay: network.Overlay{Open: []network.Conductor{l.p.Wire(i, k)}}},
				Devices: []string{from.Name, to.Name},
			}, factor)
		}
	}
}

// contactKeys gives the rows for a contact that stays open and one that stays closed.
func contactKeys(d *circuits.Device, c circuits.Contact) (open, closed Key) {
	switch {
	case d.Type.Kind == circuits.RelayKind && c.Form == circuits.NormallyClosed:
		return RelayNCOpen, RelayWelded
	case d.Type.Kind == circuits.RelayKind:
		return RelayNOOpen, RelayWelded
	case d.Type.Name == "overload-relay":
		return OverloadOpen, OverloadClosed
	case d.Type.Name == "push-button" || d.Type.Name == "selector-switch":
		return ButtonOpen, ButtonClosed
	}
	return SwitchOpen, SwitchClosed
}

// contacts: each contact that has a wire on both of its terminals.
func (l *lister) contacts() {
	for _, d := range l.p.Circuit.Devices {
		for i, c := range d.Contacts {
			a, b := d.Terminal(c.A), d.Terminal(c.B)
			if !l.p.Wired(a) || !l.p.Wired(b) {
				continue
			}
			open, closed := contactKeys(d, c)
			name := fmt.Sprintf("%s:%s-%s", d.Name, c.A, c.B)
			where := fmt.Sprintf("%s, contact %s-%s, %s", d.Called(), c.A, c.B, place(d))
			contact := []network.Conductor{l.p.Contact(d, i)}
			l.add(Fault{
				ID:   ID("open-" + name),
				Text: fmt.Sprintf("contact %s stays open", name), Where: where, Key: open,
				Effect:  Effect{OpenContact: []circuits.Terminal{a, b}},
				Overlay: circuits.Overlay{Overlay: network.Overlay{Open: contact}},
				Devices: []string{d.Name},
			}, d.Odds)
			word := "stays closed"
			if d.Type.Kind == circuits.RelayKind {
				word = "is welded closed"
			}
			l.add(Fault{
				ID:   ID("closed-" + name),
				Text: fmt.Sprintf("contact %s %s", name, word), Where: where, Key: closed,
				Effect:  Effect{ClosedContact: []circuits.Terminal{a, b}},
				Overlay: circuits.Overlay{Overlay: network.Overlay{Closed: contact}},
				Devices: []string{d.Name},
			}, d.Odds)
		}
	}
}

func loadKeys(d *circuits.Device) (open, shorted Key) {
	switch {
	case d.Type.Kind == circuits.RelayKind:
		return CoilOpen, CoilShorted
	case d.LED:
		return LEDOpen, LoadShorted
	case d.Type.Name == "lamp":
		return FilamentOpen, LoadShorted
	case d.Type.Name == "horn":
		return HornOpen, LoadShorted
	case d.Type.Name == "motor":
		return MotorOpen, LoadShorted
	}
	return SolenoidOpen, LoadShorted
}

// loads: coils, lamps, horns, solenoids, motors.
func (l *lister) loads() {
	for _, d := range l.p.Visible() {
		open, shorted := loadKeys(d)
		load := []network.Load{l.p.Load(d)}
		name := d.Called()
		if d.Type.Kind == circuits.RelayKind {
			name = "the coil of " + d.Name
		}
		where := fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), d.Ends[0], d.Ends[1], place(d))
		l.add(Fault{
			ID: ID("open-" + d.Name), Text: name + " is open", Where: where, Key: open,
			Effect:  Effect{OpenLoad: d.Name},
			Overlay: circuits.Overlay{Overlay: network.Overlay{OpenLoads: load}},
			Devices: []string{d.Name},
		}, d.Odds)
		l.add(Fault{
			ID: ID("shorted-" + d.Name), Text: name + " is shorted", Where: where, Key: shorted,
			Effect:  Effect{ShortedLoad: d.Name},
			Overlay: circuits.Overlay{Overlay: network.Overlay{ShortedLoads: load}},
			Devices: []string{d.Name},
		}, d.Odds)
	}
}

// stuck: operators that do not move their contacts, armatures that are jammed.
func (l *lister) stuck() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind != circuits.OperatorKind && d.Type.Kind != circuits.RelayKind || d.Timer() || !l.wiredContact(d) {
			continue
		}
		for i, pos := range d.Positions {
			key, text := OperatorStuck, fmt.Sprintf("%s is stuck %s: its contacts do not move", d.Name, pos)
			switch {
			case d.Type.Kind == circuits.RelayKind:
				key, text = ArmatureStuck, fmt.Sprintf("the armature of %s is stuck %s", d.Name, pos)
			case d.Type.Name == "overload-relay" && i != d.Rest:
				key, text = OverloadTripped, fmt.Sprintf("overload relay %s is tripped and does not reset", d.Name)
			case d.Type.Name == "overload-relay":
				key, text = OverloadClosed, fmt.Sprintf("overload relay %s never trips", d.Name)
			}
			l.add(Fault{
				ID: ID(fmt.Sprintf("stuck-%s-%s", d.Name, typeable(pos))), Text: text,
				Where: fmt.Sprintf("%s, %s", d.Called(), place(d)), Key: key,
				Effect:  Effect{Stuck: d.Name, Position: pos},
				Overlay: circuits.Overlay{Stuck: []circuits.Stuck{{Device: d, Position: i}}},
				Devices: []string{d.Name},
			}, d.Odds)
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
		timed := false
		for _, c := range d.Contacts {
			timed = timed || c.Timed && l.p.Wired(d.Terminal(c.A)) && l.p.Wired(d.Terminal(c.B))
		}
		if !d.Timer() || !timed {
			continue
		}
		for _, t := range []struct {
			key      Key
			position string
			text     string
		}{
			{TimerNever, "never", "timer %s never times out"},
			{TimerAtOnce, "at-once", "timer %s times out at once"},
		} {
			l.add(Fault{
				ID: ID(fmt.Sprintf("stuck-%s-%s", d.Name, t.position)), Text: fmt.Sprintf(t.text, d.Name),
				Where: fmt.Sprintf("%s, %s", d.Called(), place(d)), Key: t.key,
				Effect:  Effect{Stuck: d.Name, Position: t.position},
				Overlay: circuits.Overlay{Timers: []circuits.Timing{{Device: d, AtOnce: t.position == "at-once"}}},
				Devices: []string{d.Name},
			}, d.Odds)
		}
	}
}

// links: fuses, breakers, connector pins, bridges of terminal blocks.
func (l *lister) links() {
	for _, d := range l.p.Circuit.Devices {
		link := func(i int, key Key, name, text string) {
			l.add(Fault{
				ID: ID("open-" + name), Text: text,
				Where: fmt.Sprintf("%s, %s", d.Called(), place(d)), Key: key,
				Effect:  Effect{OpenLink: name},
				Overlay: circuits.Overlay{Overlay: network.Overlay{Open: []network.Conductor{l.p.Link(d, i)}}},
				Devices: []string{d.Name},
			}, d.Odds)
		}
		switch d.Type.Kind {
		case circuits.LinkKind:
			text := fmt.Sprintf("fuse %s is blown", d.Name)
			if d.Type.Name == "breaker" {
				text = fmt.Sprintf("breaker %s is tripped or open", d.Name)
			}
			link(0, LinkOpen, d.Name, text)
		case circuits.ConnectorKind:
			for i, pin := range d.Pins {
				if l.p.Wired(d.Terminal(pin+"a")) && l.p.Wired(d.Terminal(pin+"b")) {
					link(i, PinOpen, d.Name+":"+pin, fmt.Sprintf("pin %s of connector %s is open", pin, d.Name))
				}
			}
		case circuits.BlockKind:
			for i, b := range d.Bridges {
				link(i, BridgeOpen, fmt.Sprintf("%s:%s-%s", d.Name, b[0], b[1]),
					fmt.Sprintf("bridge %s-%s of terminal block %s is open", b[0], b[1], d.Name))
			}
		}
	}
}

// sources: windings, feeds, supplies.
func (l *lister) sources() {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind != circuits.SourceKind {
			continue
		}
		source := []network.Source{l.p.Source(d)}
		add := func(id, text string, key Key, winding string, o network.Overlay) {
			l.add(Fault{
				ID: ID(id), Text: text, Where: fmt.Sprintf("%s, %s", d.Called(), place(d)), Key: key,
				Effect:  Effect{DeadSource: d.Name, Winding: winding},
				Overlay: circuits.Overlay{Overlay: o}, Devices: []string{d.Name},
			}, d.Odds)
		}
		if !d.Transformer() {
			add("dead-"+d.Name, fmt.Sprintf("supply %s is dead, or its feed is open", d.Name), SupplyDead, "",
				network.Overlay{DeadSources: source})
			continue
		}
		primary := network.Overlay{DeadSources: source}
		text := fmt.Sprintf("the primary of transformer %s or its feed is open", d.Name)
		if l.p.PrimaryWired(d) {
			primary.OpenLoads = []network.Load{l.p.Load(d)}
			text = fmt.Sprintf("the primary winding of transformer %s is open", d.Name)
		}
		add("dead-"+d.Name+"-primary", text, PrimaryOpen, "primary", primary)
		add("dead-"+d.Name+"-secondary", fmt.Sprintf("the secondary winding of transformer %s is open", d.Name), SecondaryOpen,
			"secondary", network.Overlay{OpenSources: source})
	}
}

// grounds: each wire number that is not bonded, where the panel has bonded metalwork.
func (l *lister) grounds() {
	ground := l.ground()
	if ground == 0 {
		return
	}
	for i, n := range l.p.Circuit.Numbers {
		var leaving, inside float64
		bonded := false
		for _, w := range n.Wires {
			bonded = bonded || l.p.Node(w.From) == ground || l.p.Node(w.To) == ground
			if l.device(w.From).Place != "panel" || l.device(w.To).Place != "panel" {
				leaving++
			} else {
				inside++
			}
		}
		if bonded {
			continue
		}
		key, factor := GroundOutside, leaving+inside*Of(GroundInside).Value/Of(GroundOutside).Value
		if leaving == 0 {
			key, factor = GroundInside, inside
		}
		at := n.Wires[0].From
		l.add(Fault{
			ID: ID("ground-" + n.Name), Text: fmt.Sprintf("wire %s touches ground", n.Name),
			Where: fmt.Sprintf("wire %s, anywhere along %s", n.Name, l.along(i)), Key: key,
			Effect:  Effect{Ground: n.Name},
			Overlay: circuits.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{l.p.Node(at), ground}}}},
			Devices: l.devicesOn(i),
		}, factor)
	}
}

func (l *lister) ground() network.Node {
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.GroundKind {
			return l.p.Node(d.Terminal(d.Terminals[0]))
		}
	}
	return 0
}

// shorts: two wire numbers that land on one device or terminal block.
func (l *lister) shorts() {
	done := make(map[[2]int]bool)
	for _, d := range l.p.Circuit.Devices {
		var here []int
		for _, t := range d.Terminals {
			if n := l.p.Number(l.p.Node(d.Terminal(t))); n >= 0 {
				here = append(here, n)
			}
		}
		for _, a := range here {
			for _, b := range here {
				if a >= b || done[[2]int{a, b}] {
					continue
				}
				done[[2]int{a, b}] = true
				na, nb := l.p.Circuit.Numbers[a], l.p.Circuit.Numbers[b]
				if byNumber(na.Name, nb.Name) > 0 {
					na, nb = nb, na // whatever their order in the file
				}
				l.add(Fault{
					ID: ID(fmt.Sprintf("short-%s-%s", na.Name, nb.Name)), Text: fmt.Sprintf("wires %s and %s touch", na.Name, nb.Name),
					Where: fmt.Sprintf("where wires %s and %s run together, first at %s, %s", na.Name, nb.Name, d.Called(), place(d)), Key: WiresTouch,
					Effect: Effect{Short: []string{na.Name, nb.Name}},
					Overlay: circuits.Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{
						{l.p.Node(na.Wires[0].From), l.p.Node(nb.Wires[0].From)}}}},
					Devices: []string{d.Name},
				}, 1)
			}
		}
	}
}

// byNumber orders wire numbers as people do: 3, 5A, 10, L1.
func byNumber(a, b string) int {
	leading := func(s string) uint64 {
		digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
		n, err := strconv.ParseUint(s[:digits], 10, 64)
		if err != nil {
			return math.MaxUint64 // letters come after numbers
		}
		return n
	}
	return cmp.Or(cmp.Compare(leading(a), leading(b)), strings.Compare(a, b))
}

// miswired: a wire end on another terminal of the same device. NO used for NC is one
// of these.
func (l *lister) miswired() {
	for i, n := range l.p.Circuit.Numbers {
		for k, w := range n.Wires {
			for _, end := range []circuits.Terminal{w.From, w.To} {
				d := l.device(end)
				if d.Type.Kind == circuits.GroundKind {
					continue
				}
				from := l.p.Node(end)
				for _, name := range d.Terminals {
					to := d.Terminal(name)
					if d.Transformer() && !l.p.PrimaryWired(d) && (name == d.Primary[0] || name == d.Primary[1]) {
						continue // fed from outside: no wire of this circuit belongs there
					}
					if l.p.Node(to) == from || l.p.Number(l.p.Node(to)) == i {
						continue
					}
					far := w.From
					if end == w.From {
						far = w.To
					}
					l.add(Fault{
						ID:    ID(fmt.Sprintf("miswired-%s-%s-on-%s", far, end, name)),
						Text:  fmt.Sprintf("wire %s from %s sits on %s and not on %s", n.Name, far, to, end),
						Where: fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), end, to, place(d)), Key: MiswiredEnd,
						Effect: Effect{Miswired: &Miswired{n.Name, end, to}},
						Overlay: circuits.Overlay{Overlay: network.Overlay{Landings: []network.Landing{
							{Conductor: l.p.Wire(i, k), From: from, To: l.p.Node(to)}}}},
						Devices: []string{d.Name},
					}, d.Odds)
				}
			}
		}
	}
}

// exchanged: the wires of two terminals of a device, each on the other. Where one part
// alone is between the two, and nothing else hangs on either, it makes no difference.
func (l *lister) exchanged() {
	net := l.p.Net
	hangs := make(map[network.Node][]network.Node) // what parts lead to from a node
	part := func(a, b network.Node) {
		hangs[a] = append(hangs[a], b)
		hangs[b] = append(hangs[b], a)
	}
	for i := 1; i <= net.Conductors(); i++ {
		if c := network.Conductor(i); l.p.Part(c).Kind != circuits.WirePart {
			part(net.Ends(c))
		}
	}
	for i := 1; i <= net.Loads(); i++ {
		p := net.Load(network.Load(i))
		part(p.A, p.B)
	}
	for i := 1; i <= net.Sources(); i++ {
		p := net.Source(network.Source(i))
		part(p.Hot, p.Return)
	}
	for _, d := range l.p.Circuit.Devices {
		if d.Type.Kind == circuits.GroundKind || d.Type.Kind == circuits.BlockKind {
			continue
		}
		for i, one := range d.Terminals {
			for _, other := range d.Terminals[i+1:] {
				a, b := l.p.Node(d.Terminal(one)), l.p.Node(d.Terminal(other))
				wa, wb := l.p.Landings(a), l.p.Landings(b)
				if len(wa) == 0 || len(wb) == 0 || l.p.Number(a) == l.p.Number(b) {
					continue
				}
				if d.Type.Kind != circuits.SourceKind && len(hangs[a]) == 1 && len(hangs[b]) == 1 && hangs[a][0] == b {
					continue
				}
				var o network.Overlay
				for _, c := range wa {
					o.Landings = append(o.Landings, network.Landing{Conductor: c, From: a, To: b})
				}
				for _, c := range wb {
					o.Landings = append(o.Landings, network.Landing{Conductor: c, From: b, To: a})
				}
				l.add(Fault{
					ID:    ID(fmt.Sprintf("exchanged-%s-%s", d.Terminal(one), other)),
					Text:  fmt.Sprintf("the wires of %s and %s are exchanged", d.Terminal(one), d.Terminal(other)),
					Where: fmt.Sprintf("%s, terminals %s and %s, %s", d.Called(), one, other, place(d)), Key: WiresExchanged,
					Effect:  Effect{Exchanged: []circuits.Terminal{d.Terminal(one), d.Terminal(other)}},
					Overlay: circuits.Overlay{Overlay: o}, Devices: []string{d.Name},
				}, d.Odds)
			}
		}
	}
}

func (l *lister) device(t circuits.Terminal) *circuits.Device {
	name, _ := t.Split()
	return l.p.Circuit.Device(name)
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

func place(d *circuits.Device) string {
	switch d.Place {
	case "panel":
		return "in the panel"
	case "door":
		return "on the door"
	case "field":
		return "in the field"
	}
	return "at " + d.Place
}

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
