package read

import (
	"strings"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// defaults gives a device the terminals, positions and values of its type, but for
// the terminals that the file names itself.
func (d *drawn) defaults() {
	t := d.Type
	d.Positions, d.Momentary, d.Makes = t.Positions, t.Momentary, t.Makes
	if t.Kind == circuits.SourceKind {
		d.Hertz = 60 // the format's default
		if d.DC = t.DC; d.DC {
			d.Hertz = 0
		}
	}
	if len(t.Loads) > 0 && t.Loads[0].Curve == circuits.MeasuringCurve {
		d.Amps = circuits.SecondaryAmps
	}
	take := func(names ...string) {
		for _, name := range names {
			d.taken[name] = d.at
		}
	}
	switch {
	case t.Kind == circuits.GroundKind:
		d.Terminals = t.Terminals
	case t.Kind == circuits.BlockKind || d.given["terminals"] != nil || d.given["coil"] != nil || d.given["supply"] != nil ||
		d.given["poles"] != nil && t.Kind == circuits.LinkKind:
	case t.Phases:
		d.phases(t.Terminals)
		take(t.Terminals...)
	case len(t.Terminals) == 2:
		d.Ends = [2]string(t.Terminals)
		take(t.Terminals...)
		d.shareEnds()
	}
	for i, c := range t.Coils[min(1, len(t.Coils)):] {
		if c.Key == "" { // beside the first, between the same terminals
			continue
		}
		d.More = append(d.More, [2]string{})
		if d.given[c.Key] == nil {
			d.More[i] = [2]string(c.Terminals)
			take(c.Terminals...)
			for _, name := range c.Terminals {
				d.shared[name] = d.shared[name] || t.Inputs()
			}
		}
	}
	if t.Phases {
		d.Joined = circuits.Star
	}
	if t.Primary != nil && d.given["primary"] == nil {
		d.Primary = [2]string(t.Primary)
		take(t.Primary...)
	}
	if d.given["contacts"] == nil {
		for _, c := range t.Contacts {
			c.At = d.At
			d.Contacts = append(d.Contacts, c)
		}
	}
}

// shareEnds lets the outputs of a sensor begin at the leads that feed it. Those that it has by
// itself begin where the file has these leads.
func (d *drawn) shareEnds() {
	if !d.Fed() {
		return
	}
	for _, end := range d.Ends {
		d.shared[end] = true
	}
	for i := range d.Contacts {
		for k, lead := range d.Type.Terminals {
			if c := &d.Contacts[i]; c.A == lead {
				c.A = d.Ends[k]
			} else if c.B == lead {
				c.B = d.Ends[k]
			}
		}
	}
}

// order puts all terminals of a device in the order of the format's table, each once.
func (d *drawn) order() {
	own := d.Terminals
	d.Terminals = nil
	if d.Type != nil {
		for _, c := range d.Type.Coils[min(1, len(d.Type.Coils)):] {
			if c.Key == "" {
				d.More = append(d.More, d.Ends)
			}
		}
	}
	add := func(names ...string) {
		for _, name := range names {
			if name != "" && !d.has[name] {
				d.has[name] = true
				d.Terminals = append(d.Terminals, name)
			}
		}
	}
	add(d.Ends[:]...)
	for _, coil := range d.More {
		add(coil[:]...)
	}
	for _, s := range d.Secondaries {
		add(s.Ends[:]...)
	}
	add(d.Primary[:]...)
	for _, pole := range d.Poles {
		add(pole[:]...)
	}
	add(own...)
	for _, pin := range d.Pins {
		add(pin+"a", pin+"b")
	}
	for _, c := range d.Contacts {
		add(c.A, c.B)
	}
}

// terminal reads the name of a terminal of a device and takes it, so that no other
// part of the device can have it. Only a part that shares may name one that is shared.
func (r *reader) terminal(d *drawn, n *yaml.Node, shares bool) (string, bool) {
	name, ok := r.name(n, terminalNames)
	if !ok {
		return "", false
	}
	if before := d.taken[name]; before != nil && !(shares && d.shared[name]) {
		r.wrong(n, "each terminal once", "terminal %s of %s is already on line %d", name, d.Name, before.Line)
		return name, false
	}
	d.taken[name] = n
	return name, true
}

// pairOf reads the names of two terminals, see [reader.terminal].
func (r *reader) pairOf(d *drawn, e *entry, shares bool) (pair [2]string, ok bool) {
	right := "two terminals, as in [" + strings.Join(d.usual(e.key), ", ") + "]"
	items, ok := r.items(e.value, e.key, right)
	if !ok {
		return pair, false
	}
	if len(items) != 2 {
		r.wrong(e.value, right, "%s of %s has %s", e.key, d.Name,
			circuits.Counted(len(items), "terminal"))
		return pair, false
	}
	for i, n := range items {
		name, good := r.terminal(d, n, shares)
		pair[i], ok = name, ok && good
	}
	if ok && pair[0] == pair[1] {
		r.wrong(e.value, right, "%s of %s has one terminal twice", e.key, d.Name)
		ok = false
	}
	return pair, ok
}

// usual gives two terminals as a key of a device mostly has them.
func (d *drawn) usual(key string) []string {
	for _, c := range d.Type.Coils {
		if c.Key == key {
			return c.Terminals
		}
	}
	const ends = 2
	switch {
	case key == "primary":
		return d.Type.Primary
	case (key == "terminals" || key == "coil") && len(d.Type.Terminals) == ends:
		return d.Type.Terminals
	case key == "no" || key == "terminals":
		return []string{"13", "14"}
	case key == "nc":
		return []string{"11", "12"}
	}
	return []string{"1", "2"}
}

func (r *reader) readPair(d *drawn, e *entry, to *[2]string) {
	if pair, ok := r.pairOf(d, e, false); ok {
		*to = pair
	}
}

// readTrigger reads the terminals of the input that starts a timer. It may have one of them in
// common with the supply.
func (r *reader) readTrigger(d *drawn, e *entry) {
	for _, name := range d.Ends {
		d.shared[name] = true
	}
	if pair, ok := r.pairOf(d, e, true); ok {
		d.More[0] = pair
	}
	for _, name := range d.Ends {
		delete(d.shared, name)
	}
}

// timing fills in what a timer does with its time where that follows from its type.
func (d *drawn) timing() {
	if d.Type == nil || !d.Timer() {
		return
	}
	if d.Type.Times == circuits.OffDelay {
		d.OffDelay = true
	}
	if d.Type.Times == circuits.Repeats && d.OffSeconds == 0 {
		d.OffSeconds = d.Seconds
	}
	if d.Type.Armature == circuits.Triggered && d.given["trigger"] == nil { // it returns with the supply
		d.More[0] = [2]string{d.Type.Coils[1].Terminals[0], d.Ends[1]}
	}
}

// readFurtherCoil reads the terminals of a coil beside the first.
func (r *reader) readFurtherCoil(d *drawn, e *entry) {
	for i := range d.More {
		if d.Type.Coils[i+1].Key == e.key {
			r.readInput(d, e, &d.More[i])
		}
	}
}

// readInput reads the terminals of one of several coils. Inputs may have one in common.
func (r *reader) readInput(d *drawn, e *entry, to *[2]string) {
	if pair, ok := r.pairOf(d, e, d.Type.Inputs()); ok {
		*to = pair
		d.shared[pair[0]], d.shared[pair[1]] = true, true
	}
}

// readTerminals reads the terminals of a terminal block, or the two of another device.
func (r *reader) readTerminals(d *drawn, e *entry) {
	switch {
	case d.Type.Phases:
		r.readPhases(d, e)
	case d.Type.Kind != circuits.BlockKind:
		r.readPair(d, e, &d.Ends)
		d.shareEnds()
	default:
		d.Terminals = r.readNames(d, e)
	}
}

// readPins reads the pins of a connector. Pin 1 has the terminals 1a and 1b.
func (r *reader) readPins(d *drawn, e *entry) { d.Pins = r.readNames(d, e) }

// readNames reads a list of terminals or pins, at least one.
func (r *reader) readNames(d *drawn, e *entry) []string {
	items, ok := r.items(e.value, e.key, "a list, as in [1, 2, 3]")
	if !ok {
		return nil
	}
	if len(items) == 0 {
		r.wrong(e.value, "a list, as in [1, 2, 3]", "%s of %s is empty", e.key, d.Name)
	}
	var names []string
	for _, n := range items {
		name, ok := r.terminal(d, n, false)
		if ok && d.Type.Kind == circuits.BlockKind && strings.Contains(name, "-") {
			// A bridge is written with one, as in TB1:1-2.
			r.wrong(n, "a name without -", "a terminal of %s cannot be named %s", d.Name,
				circuits.Quote(name))
			continue
		}
		if ok {
			names = append(names, name)
		}
	}
	return names
}

// readBridges reads the bridges of a terminal block. A bridge over more than two
// terminals joins each with the next.
func (r *reader) readBridges(d *drawn, e *entry) {
	const right = "a list of bridges, as in [[1, 2]]"
	bridges, ok := r.items(e.value, "bridges", right)
	if !ok {
		return
	}
	for _, bridge := range bridges {
		items, ok := r.items(bridge, "a bridge", right)
		if !ok {
			continue
		}
		if len(items) < 2 {
			r.wrong(bridge, "two terminals or more, as in [1, 2]", "a bridge of %s has %s", d.Name,
				circuits.Counted(len(items), "terminal"))
		}
		last := ""
		for _, n := range items {
			name, ok := r.name(n, terminalNames)
			if ok && d.taken[name] == nil {
				if !d.vagueTerminals {
					r.wrong(n, circuits.Listed(d.Terminals), "%s has no terminal %s to bridge", d.Name, name)
				}
				ok = false
			}
			if !ok {
				last = ""
				continue
			}
			if last != "" {
				r.bridge(d, n, last, name)
			}
			last = name
		}
	}
}

func (r *reader) bridge(d *drawn, n *yaml.Node, a, b string) {
	if a == b {
		r.wrong(n, "two terminals", "a bridge of %s joins %s with itself", d.Name, a)
		return
	}
	if d.pair(a, b) {
		r.wrong(n, "each bridge once", "%s already bridges %s and %s", d.Name, a, b)
		return
	}
	d.Bridges = append(d.Bridges, [2]string{a, b})
}

// pair notes that two terminals are joined and says whether they were already.
func (d *drawn) pair(a, b string) bool {
	before := d.pairs[[2]string{a, b}]
	d.pairs[[2]string{a, b}], d.pairs[[2]string{b, a}] = true, true
	return before
}
