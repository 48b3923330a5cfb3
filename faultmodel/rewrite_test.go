package faultmodel_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// draft is a circuit on its way back to a file, so that a fault can be written into it
// as wires and parts: a wire that is open is not there, a contact that is welded has a
// wire across it. What a fault takes wires off is found again at a spare terminal.
type draft struct {
	devices []*circuits.Device
	wires   []circuits.Wire
	steps   []circuits.Step
	ground  circuits.Terminal                       // "" where there is none
	moved   map[circuits.Terminal]circuits.Terminal // where what was on a terminal is now; "" for nowhere
	spare   *circuits.Device
}

// newDraft takes a circuit apart. What its file leaves to defaults that depend on how
// things are wired is written out, so that a fault does not change it.
func newDraft(p *work.Panel) *draft {
	d := &draft{steps: p.Circuit.Steps, moved: make(map[circuits.Terminal]circuits.Terminal)}
	for _, device := range p.Circuit.Devices {
		own := *device
		own.Contacts = slices.Clone(device.Contacts)
		own.Bridges = slices.Clone(device.Bridges)
		if volts := p.Values(device).Volts; volts > 0 && !unlikeInputs(p, device) {
			if own.HasPrimary() {
				own.PrimaryVolts = volts
			} else {
				own.Volts = volts
			}
		}
		if own.Type.Kind == circuits.GroundKind && d.ground == "" {
			d.ground = own.Terminal(own.Terminals[0])
		}
		d.devices = append(d.devices, &own)
	}
	for _, n := range p.Circuit.Numbers {
		d.wires = append(d.wires, n.Wires...)
	}
	d.spare = &circuits.Device{Name: "SPARE", Type: circuits.TypeNamed("terminal-block")}
	for _, device := range p.Circuit.Devices {
		for i, coil := range device.Type.Coils {
			// An input that counts as made where no wire is on it has one, whatever else is taken off.
			if t := device.Terminal(device.Coils()[i][0]); coil.Unwired && p.Wired(t) {
				name := fmt.Sprint(len(d.spare.Terminals) + 1)
				d.spare.Terminals = append(d.spare.Terminals, name)
				d.wires = append(d.wires, circuits.Wire{From: t, To: d.spare.Terminal(name)})
			}
		}
	}
	return d
}

// unlikeInputs tells whether a device has inputs for different volts, which no file can say: each
// then has those of what feeds it.
func unlikeInputs(p *work.Panel, d *circuits.Device) bool {
	for i, coil := range d.Coils() {
		if !d.Type.Inputs() || d.Type.Phases || !p.Wired(d.Terminal(coil[0])) {
			continue
		}
		if p.Net.Load(p.Coil(d, 0)).Running != p.Net.Load(p.Coil(d, i)).Running {
			return true
		}
	}
	return false
}

// electronic tells whether a fault holds a contact closed that is a semiconductor and has to be fed
// by something beside what it switches.
func (d *draft) electronic(e faultmodel.Effect) bool {
	name := e.Stuck
	if e.ClosedContact != nil {
		name, _ = e.ClosedContact[0].Split()
	}
	if name == "" {
		return false
	}
	device := d.device(name)
	at := slices.Index(device.Positions, e.Position)
	return device.Type.Electronic && (device.Type.Kind == circuits.RelayKind || device.Fed()) &&
		(at < 0 || slices.ContainsFunc(device.Contacts, func(c circuits.Contact) bool { return c.Closed[at] }))
}

// leaks tells whether a fault opens something where a contact leaks while it is open: how much is
// read off what feeds it.
func (d *draft) leaks(e faultmodel.Effect) bool {
	return e.ClosedContact == nil && e.Short == nil && e.ShortedLoad == "" &&
		slices.ContainsFunc(d.devices, func(x *circuits.Device) bool { return x.Leakage > 0 || x.Type.Leakage > 0 })
}

// bothCurrents tells whether a panel has supplies of ac and of dc.
func bothCurrents(p *work.Panel) bool {
	for i := 2; i <= p.Net.Sources(); i++ {
		if (p.Net.Source(network.Source(i)).Hertz == 0) != (p.Net.Source(1).Hertz == 0) {
			return true
		}
	}
	return false
}

// write writes a fault into the draft. It reports false for one that a file cannot say.
func (d *draft) write(p *work.Panel, f *faultmodel.Fault) bool {
	e := f.Effect
	switch {
	case d.leaks(e):
		return false
	case e.OpenWire != nil:
		i := slices.IndexFunc(d.wires,
			func(w circuits.Wire) bool { return w.From == e.OpenWire.From && w.To == e.OpenWire.To })
		d.wires = slices.Delete(d.wires, i, i+1)
	case e.OpenContact != nil:
		d.openContact(e.OpenContact[0], e.OpenContact[1])
	case d.electronic(e):
		return false // a wire conducts with the power off as well
	case e.ShortedDiode != nil:
		return false // it joins the two sides of a rectifier, which no file may
	case e.OpenDiode != nil:
		name, _ := e.OpenDiode[0].Split()
		d.device(name).Volts /= 2
	case e.ClosedContact != nil:
		d.closeContact(e.ClosedContact[0], e.ClosedContact[1])
	case e.OpenLoad != "":
		device := d.device(e.OpenLoad)
		star := device.Joined == circuits.Star && device.Type.Kind == circuits.LoadKind
		if len(device.Coils()) > 1 && device.Type.Armature != circuits.Latches && !star {
			return false // one of several windings on the same terminals
		}
		d.detach(device.Terminal(coilOf(device, e.Coil)[0]))
	case (e.ShortedLoad != "" || e.Ground != "") && bothCurrents(p):
		return false // it joins the sides of a supply, and what hangs on which is read off the wiring
	case e.ShortedLoad != "":
		device := d.device(e.ShortedLoad)
		ends := coilOf(device, e.Coil)
		d.join(device.Terminal(ends[0]), device.Terminal(ends[1]))
	case e.Stuck != "" && d.device(e.Stuck).Timer():
		d.mistime(d.device(e.Stuck), e.Position)
	case e.Stuck != "":
		device := d.device(e.Stuck)
		at := slices.Index(device.Positions, e.Position)
		for _, c := range slices.Clone(device.Contacts) {
			if a, b := device.Terminal(c.A), device.Terminal(c.B); c.Closed[at] {
				d.closeContact(a, b)
			} else {
				d.openContact(a, b)
			}
		}
	case e.OpenLink != "":
		d.openLink(e.OpenLink)
	case e.DeadSource != "":
		device := d.device(e.DeadSource)
		switch {
		case e.Winding != "" && device.Type.Phases:
			d.detach(device.Terminal(e.Winding))
		case len(device.Secondaries) > 0 && e.Winding != "primary":
			return false // a tap is left to what still stands
		case e.Winding == "secondary":
			d.detach(device.Terminal(device.Ends[0]))
		case e.Winding == "primary" && p.PrimaryWired(p.Circuit.Device(device.Name)):
			d.detach(device.Terminal(device.Primary[0]))
		case slices.ContainsFunc(p.Circuit.Devices, func(x *circuits.Device) bool { return unlikeInputs(p, x) }):
			return false // inputs that would be rated for next to nothing
		default:
			device.Volts = leastVolts
		}
	case e.Short != nil && (p.Net.Sources() > threeLines || bothCurrents(p)):
		return false // it may join two supplies, and what hangs on which is read off the wiring
	case e.Short != nil:
		d.join(d.first(p, e.Short[0]), d.first(p, e.Short[1]))
	case e.Ground != "":
		d.join(d.first(p, e.Ground), d.ground)
	case (e.Miswired != nil || e.Exchanged != nil) && p.Net.Sources() > 1:
		return false // it may join two supplies, and what hangs on which is read off the wiring
	case e.Miswired != nil:
		if name, terminal := e.Miswired.Lands.Split(); slices.Contains(d.device(name).Primary[:],
			terminal) && !p.PrimaryWired(p.Circuit.Device(name)) {
			return false // a wire on it would say that the primary is fed from within
		}
		part := p.Part(f.Overlay.Landings[0].Conductor)
		was := p.Circuit.Numbers[part.Number].Wires[part.Wire]
		i := slices.Index(d.wires, was)
		for _, end := range []*circuits.Terminal{&d.wires[i].From, &d.wires[i].To} {
			if *end == e.Miswired.End {
				*end = e.Miswired.Lands
				break
			}
		}
		if d.wires[i].From == d.wires[i].To {
			d.wires = slices.Delete(d.wires, i, i+1)
		}
	case e.Exchanged != nil:
		for i := range d.wires {
			for _, end := range []*circuits.Terminal{&d.wires[i].From, &d.wires[i].To} {
				switch *end {
				case e.Exchanged[0]:
					*end = e.Exchanged[1]
				case e.Exchanged[1]:
					*end = e.Exchanged[0]
				}
			}
		}
	default:
		return false
	}
	return true
}

// coilOf gives the terminals of a coil or winding by its name.
func coilOf(device *circuits.Device, name string) [2]string {
	for i, ends := range device.Coils() {
		if device.CoilName(i) == name {
			return ends
		}
	}
	return device.Ends
}

// threeLines are the sources of a supply of three phases; more of them have another beside it.
const threeLines = 3

// leastVolts is as little as a file may give a source: a dead one.
const leastVolts = 1e-6

func (d *draft) device(name string) *circuits.Device {
	return d.devices[slices.IndexFunc(d.devices, func(x *circuits.Device) bool { return x.Name == name })]
}

// first gives a terminal of a wire number of the good circuit.
func (d *draft) first(p *work.Panel, number string) circuits.Terminal {
	i := slices.IndexFunc(p.Circuit.Numbers, func(n circuits.Number) bool { return n.Name == number })
	return p.Circuit.Numbers[i].Wires[0].From
}

// join lays one more wire between what is on two terminals.
func (d *draft) join(a, b circuits.Terminal) {
	if a, b = d.now(a), d.now(b); a != b {
		d.wires = append(d.wires, circuits.Wire{From: a, To: b})
	}
}

// now gives the terminal where what was on one is now.
func (d *draft) now(t circuits.Terminal) circuits.Terminal {
	if to, ok := d.moved[t]; ok {
		return to
	}
	return t
}

// detach takes all wires off a terminal and lands them on a spare one.
func (d *draft) detach(t circuits.Terminal) {
	name := fmt.Sprint(len(d.spare.Terminals) + 1)
	d.spare.Terminals = append(d.spare.Terminals, name)
	d.moved[t] = d.spare.Terminal(name)
	for i := range d.wires {
		for _, end := range []*circuits.Terminal{&d.wires[i].From, &d.wires[i].To} {
			if *end == t {
				*end = d.moved[t]
			}
		}
	}
}

// closeContact joins the terminals of a contact. A sensor of two wires stays what it is, for it keeps
// some volts.
func (d *draft) closeContact(a, b circuits.Terminal) {
	name, _ := a.Split()
	device := d.device(name)
	if !device.Type.TwoWire {
		d.join(a, b)
		return
	}
	for i, c := range device.Contacts {
		if device.Terminal(c.A) == a && device.Terminal(c.B) == b {
			device.Contacts[i].Closed, device.Contacts[i].Form = []bool{true, true}, circuits.InPositions
		}
	}
}

// openContact takes a contact out of its device. Terminals that nothing else of the
// device has go with it.
func (d *draft) openContact(a, b circuits.Terminal) {
	name, _ := a.Split()
	device := d.device(name)
	device.Contacts = slices.DeleteFunc(device.Contacts, func(c circuits.Contact) bool {
		return device.Terminal(c.A) == a && device.Terminal(c.B) == b
	})
	for _, t := range []circuits.Terminal{a, b} {
		_, at := t.Split()
		if device.Fed() && slices.Contains(device.Ends[:], at) {
			continue // it feeds the sensor as well
		}
		if !slices.ContainsFunc(device.Contacts, func(c circuits.Contact) bool {
			return device.Terminal(c.A) == t || device.Terminal(c.B) == t
		}) {
			d.detach(t)
		}
	}
	if len(device.Contacts) == 0 && device.Type.Kind == circuits.OperatorKind {
		closed := make([]bool, len(device.Positions))
		closed[0] = true
		device.Contacts = []circuits.Contact{{A: "none1", B: "none2", Closed: closed, Form: circuits.InPositions}}
	}
}

// mistime makes a timer never time out, or at once.
func (d *draft) mistime(device *circuits.Device, how string) {
	if how == "never" {
		device.Seconds = 1e9
		return
	}
	for i := range device.Contacts {
		device.Contacts[i].Timed = false
	}
}

// openLink takes out a fuse, a breaker, a pin ("X1:3") or a bridge ("TB1:1-2").
func (d *draft) openLink(link string) {
	name, part, _ := strings.Cut(link, ":")
	switch device := d.device(name); device.Type.Kind {
	case circuits.LinkKind, circuits.OperatorKind:
		for _, pole := range device.Links() {
			if part == "" || part == pole[0]+"-"+pole[1] {
				d.detach(device.Terminal(pole[0]))
			}
		}
	case circuits.ConnectorKind:
		d.detach(device.Terminal(part + "a"))
	default:
		a, b, _ := strings.Cut(part, "-")
		device.Bridges = slices.DeleteFunc(device.Bridges,
			func(pair [2]string) bool { return pair == [2]string{a, b} })
	}
}

// text writes the draft as a circuit file. Wires that touch, over bridges, mated pins or
// the metalwork, are one wire number.
func (d *draft) text() string {
	var s strings.Builder
	s.WriteString("circuit: Rewritten\nplaces: {elsewhere: 1}\ndevices:\n")
	devices := d.devices
	if len(d.spare.Terminals) > 0 {
		devices = append(slices.Clone(devices), d.spare)
	}
	for _, device := range devices {
		fmt.Fprintf(&s, "  %s: {%s}\n", device.Name, strings.Join(deviceKeys(device), ", "))
	}
	s.WriteString("wires:\n")
	numbers := make(map[circuits.Terminal][]string) // runs by the first terminal
	joined := d.joined()
	for _, w := range d.wires {
		n := joined[w.From]
		numbers[n] = append(numbers[n], fmt.Sprintf("    - [%s, %s]\n", w.From, w.To))
	}
	for i, n := range slices.Sorted(maps.Keys(numbers)) {
		fmt.Fprintf(&s, "  %d:\n%s", i+1, strings.Join(numbers[n], ""))
	}
	s.WriteString("operation:\n")
	for _, step := range d.steps {
		fmt.Fprintf(&s, "  - step: %q\n", step.Name)
		var set []string
		for _, x := range step.Set {
			set = append(set, x.Device.Name+": "+x.Device.Positions[x.Position])
		}
		if len(set) > 0 {
			fmt.Fprintf(&s, "    set: {%s}\n", strings.Join(set, ", "))
		}
		if step.Wait > 0 {
			fmt.Fprintf(&s, "    wait: %g\n", step.Wait)
		}
	}
	return s.String()
}

// joined names, for every terminal, the group of terminals that it touches.
func (d *draft) joined() map[circuits.Terminal]circuits.Terminal {
	group := make(map[circuits.Terminal]circuits.Terminal)
	members := make(map[circuits.Terminal][]circuits.Terminal)
	of := func(t circuits.Terminal) circuits.Terminal {
		if _, ok := group[t]; !ok {
			group[t], members[t] = t, []circuits.Terminal{t}
		}
		return group[t]
	}
	unite := func(a, b circuits.Terminal) {
		if a, b = of(a), of(b); a == b {
			return
		}
		for _, t := range members[b] {
			group[t] = a
		}
		members[a] = append(members[a], members[b]...)
	}
	for _, w := range d.wires {
		unite(w.From, w.To)
	}
	for _, device := range d.devices {
		for _, b := range device.Bridges {
			unite(device.Terminal(b[0]), device.Terminal(b[1]))
		}
		for _, pin := range device.Pins {
			unite(device.Terminal(pin+"a"), device.Terminal(pin+"b"))
		}
		if device.Type.Kind == circuits.GroundKind {
			unite(d.ground, device.Terminal(device.Terminals[0]))
		}
	}
	return group
}

// deviceKeys writes everything that the file can say of a device.
func deviceKeys(d *circuits.Device) []string {
	keys := []string{"type: " + d.Type.Name}
	add := func(format string, args ...any) { keys = append(keys, fmt.Sprintf(format, args...)) }
	number := func(key string, v float64) {
		if v > 0 {
			add("%s: %g", key, v)
		}
	}
	list := func(names []string) string { return "[" + strings.Join(names, ", ") + "]" }
	switch {
	case d.Type.Phases:
		add("terminals: %s", list(d.Terminals[:min(len(d.Terminals), len(d.Type.Terminals))]))
	case len(d.Poles) > 0:
	case d.Type.Kind == circuits.RelayKind && len(d.Type.Coils) > 0:
		for i, ends := range d.Coils() {
			add("%s: %s", d.Type.Coils[i].Key, list(ends[:]))
		}
	case d.Type.Kind == circuits.RelayKind:
		add("coil: %s", list(d.Ends[:]))
	case d.Ends[0] != "":
		add("terminals: %s", list(d.Ends[:]))
	}
	if d.Joined != "" && d.Type.Kind != circuits.RelayKind {
		add("connection: %s", d.Joined)
	}
	if len(d.Poles) > 0 {
		var poles []string
		for _, pole := range d.Poles {
			poles = append(poles, list(pole[:]))
		}
		add("poles: %s", list(poles))
	}
	switch d.Type.Kind {
	case circuits.BlockKind:
		add("terminals: %s", list(d.Terminals))
	case circuits.ConnectorKind:
		add("pins: %s", list(d.Pins))
	}
	if d.HasPrimary() {
		var windings []string
		for _, s := range d.Secondaries {
			windings = append(windings, fmt.Sprintf("{terminals: %s, volts: %g}", list(s.Ends[:]), s.Volts))
		}
		if len(windings) > 0 {
			add("secondaries: %s", list(windings))
		}
		add("primary: %s", list(d.Primary[:]))
	}
	switch {
	case d.Type.DC:
	case d.DC:
		add("current: dc")
	default:
		number("hertz", d.Hertz)
	}
	if d.Phase != nil {
		add("phase: %g", *d.Phase)
	}
	number("volts", d.Volts)
	number("primary-volts", d.PrimaryVolts)
	number("amps", d.Amps)
	number("ohms", d.Ohms)
	number("leakage", d.Leakage)
	number("va", d.VA)
	number("pull-in", 100*d.PullIn)
	number("drop-out", 100*d.DropOut)
	if d.LoadKind != "" {
		add("kind: %s", d.LoadKind)
	}
	if d.Timer() {
		add("delay: %s", map[bool]string{false: "on", true: "off"}[d.OffDelay])
		number("seconds", d.Seconds)
	}
	if d.Type.Name == "selector-switch" {
		add("positions: %s", list(d.Positions))
		add("rest: %s", d.Positions[d.Rest])
	}
	if len(d.Bridges) > 0 {
		var bridges []string
		for _, b := range d.Bridges {
			bridges = append(bridges, list(b[:]))
		}
		add("bridges: %s", list(bridges))
	}
	if len(d.Contacts) > 0 {
		add("contacts: %s", list(contactKeys(d)))
	}
	return keys
}

// contactKeys writes the contacts of a device: an operator's by the positions in which
// they are closed, a relay's as NO, NC or changeover.
func contactKeys(d *circuits.Device) []string {
	var out []string
	for i, c := range d.Contacts {
		if d.Type.Kind == circuits.OperatorKind {
			var closed []string
			for at, on := range c.Closed {
				if on {
					closed = append(closed, d.Positions[at])
				}
			}
			out = append(out, fmt.Sprintf("{terminals: [%s, %s], closed: [%s]}", c.A, c.B, strings.Join(closed, ", ")))
			continue
		}
		form := "no"
		if c.Form == circuits.NormallyClosed {
			form = "nc"
		}
		timed := ""
		switch {
		case c.Timed && d.Timer():
			timed = ", timed: true"
		case c.Timed: // of a drive
			timed = ", fault: true"
		}
		if i > 0 && d.Contacts[i-1].A == c.A { // the other half of a changeover
			last := strings.Split(out[len(out)-1], "[")
			nc := strings.Split(strings.Split(last[1], "]")[0], ", ")[1]
			out[len(out)-1] = fmt.Sprintf("{common: %s, nc: %s, no: %s%s}", c.A, nc, c.B, timed)
			continue
		}
		out = append(out, fmt.Sprintf("{%s: [%s, %s]%s}", form, c.A, c.B, timed))
	}
	return out
}
