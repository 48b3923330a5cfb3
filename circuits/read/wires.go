package read

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/wiring"

	"gopkg.in/yaml.v3"
)

// landing is a terminal that wires land on.
type landing struct {
	at     *yaml.Node // where it is first named
	number int        // index into Circuit.Numbers
	wires  int
	third  *yaml.Node // where the third wire is named
}

// land puts one more wire on a terminal.
func (l *landing) land(at *yaml.Node) {
	if l.wires++; l.wires == 3 {
		l.third = at
	}
}

// wiresRead is what is known of the wires while they are read.
type wiresRead struct {
	landings map[circuits.Terminal]*landing
	order    []circuits.Terminal                 // in file order
	joined   joined.Named[circuits.Terminal]     // bridges, connector pins and grounds
	bridged  joined.Named[circuits.Terminal]     // bridges alone
	between  map[[2]circuits.Terminal]*yaml.Node // wires, each way round
	partial  bool                                // the rungs tell the rest of every number
}

// readWiring reads the wires and the rungs, either or both; without rungs, every wire
// number must be whole by itself.
func (r *reader) readWiring(wires, rungs *entry) {
	w := &wiresRead{
		landings: make(map[circuits.Terminal]*landing),
		between:  make(map[[2]circuits.Terminal]*yaml.Node),
		partial:  rungs != nil,
	}
	r.joinParts(w)
	before := r.mistakes
	r.readWires(w, wires)
	whole := r.mistakes == before
	if r.readRungs(rungs) && whole && rungs != nil {
		r.layRungs(w)
	}
	r.checkBridges(w)
	if r.mistakes == 0 { // else what is odd may only follow from what is wrong
		r.checkCrowded(w)
		r.checkUnwired(w)
		r.checkBypassed(w)
	}
}

// layRungs turns the rungs into wires, with those that the file has itself.
func (r *reader) layRungs(w *wiresRead) {
	drawing := wiring.Drawing{
		Circuit:   r.circuit,
		Landed:    make(map[circuits.Terminal]wiring.Place, len(w.order)),
		Through:   make(map[string][]*circuits.Device, len(r.through)),
		ThroughAt: make(map[*circuits.Device]wiring.Place),
		Older:     r.older,
	}
	place := func(n *yaml.Node) wiring.Place { return wiring.Place{Pos: posOf(n), Width: r.width(n)} }
	for _, t := range w.order {
		drawing.Landed[t] = place(w.landings[t].at)
	}
	for name, through := range r.through {
		for _, d := range through {
			drawing.Through[name] = append(drawing.Through[name], d.Device)
			drawing.ThroughAt[d.Device] = place(d.throughAt)
		}
	}
	numbers, problems := drawing.Lay()
	for _, p := range problems {
		r.add(p)
	}
	if numbers == nil {
		return
	}
	r.circuit.Numbers = numbers
	w.landings, w.order = make(map[circuits.Terminal]*landing), nil
	for i, number := range numbers {
		for _, wire := range number.Wires {
			for _, t := range []circuits.Terminal{wire.From, wire.To} {
				at := &yaml.Node{Kind: yaml.ScalarNode, Line: wire.At.Line, Column: wire.At.Column}
				if w.landings[t] == nil {
					w.landings[t] = &landing{at: at, number: i}
					w.order = append(w.order, t)
				}
				w.landings[t].land(at)
			}
		}
	}
}

// readWires reads the wire numbers. e may be nil.
func (r *reader) readWires(w *wiresRead, e *entry) {
	if e == nil {
		return
	}
	const right = "number: terminals, as in 3: [F1:2, LS1:11]"
	entries, ok := r.entries(e.value, "wires", right)
	if ok && len(entries) == 0 {
		r.wrong(e.at, right, "wires is empty")
	}
	for _, e := range entries {
		r.fits(e.key, wireNumbers, e.at)
		r.circuit.Numbers = append(r.circuit.Numbers, circuits.Number{Name: e.key, At: posOf(e.at)})
		r.readNumber(w, e)
	}
}

// joinParts joins the terminals that are one node without a wire.
func (r *reader) joinParts(w *wiresRead) {
	var ground circuits.Terminal
	for _, d := range r.circuit.Devices {
		for _, b := range d.Bridges {
			w.joined.Join(d.Terminal(b[0]), d.Terminal(b[1]))
			w.bridged.Join(d.Terminal(b[0]), d.Terminal(b[1]))
		}
		for _, pin := range d.Pins {
			w.joined.Join(d.Terminal(pin+"a"), d.Terminal(pin+"b"))
		}
		if d.Type.Kind != circuits.GroundKind {
			continue
		}
		for _, name := range d.Terminals {
			if ground == "" {
				ground = d.Terminal(name)
			}
			w.joined.Join(ground, d.Terminal(name))
		}
	}
}

// readNumber reads the runs of one wire number.
func (r *reader) readNumber(w *wiresRead, e *entry) {
	const right = "terminals in the order they are joined, as in [F1:2, LS1:11], or a list of such runs"
	items, ok := r.items(e.value, "wire "+e.key, right)
	if !ok {
		return
	}
	runs := []*yaml.Node{e.value}
	if slices.ContainsFunc(items, func(n *yaml.Node) bool { return follow(n).Kind == yaml.SequenceNode }) {
		runs = items
	}
	before, whole := r.mistakes, true
	var firsts []*yaml.Node      // first terminal of each run
	var ends []circuits.Terminal // the same, read
	var parts joined.Named[circuits.Terminal]
	node := func(t circuits.Terminal) circuits.Terminal { return parts.Of(w.joined.Of(t)) }
	for _, run := range runs {
		if follow(run).Kind != yaml.SequenceNode {
			r.wrong(run, right, "wire %s mixes terminals with runs", e.key)
			continue
		}
		nodes := follow(run).Content
		terminals := r.readRun(w, e, nodes)
		if len(nodes) < 2 {
			r.tooShort(e, run, len(runs))
			continue
		}
		whole = whole && !slices.Contains(terminals, "")
		for i := 1; i < len(terminals); i++ {
			if a, b := terminals[i-1], terminals[i]; a != "" && b != "" {
				parts.Join(w.joined.Of(a), w.joined.Of(b))
			}
		}
		firsts, ends = append(firsts, nodes[0]), append(ends, terminals[0])
	}
	if !whole || r.mistakes > before || w.partial {
		return
	}
	seen := make(map[circuits.Terminal]bool)
	for i, end := range ends {
		part := node(end)
		if i > 0 && !seen[part] {
			r.wrong(firsts[i], "runs that share a terminal or are joined by the bridges of a terminal block",
				"wire %s is in two parts: the run from %s does not meet the run from %s", e.key, end, ends[0])
		}
		seen[part] = true
	}
}

// tooShort complains of a run that is no wire.
func (r *reader) tooShort(e *entry, run *yaml.Node, runs int) {
	at := run
	if n := follow(run).Content; len(n) == 1 {
		at = n[0]
	}
	const right = "two terminals or more"
	switch n := len(follow(run).Content); {
	case n == 0 && runs == 1:
		r.wrong(at, right, "wire %s has no terminals", e.key)
	case n == 0:
		r.wrong(at, right, "a run of wire %s has no terminals", e.key)
	case runs == 1:
		r.wrong(at, right, "wire %s has a single terminal", e.key)
	default:
		r.wrong(at, right, "a run of wire %s has a single terminal", e.key)
	}
}

// readRun reads one run and adds its physical wires to the number last begun. A
// terminal that could not be read is left empty.
func (r *reader) readRun(w *wiresRead, e *entry, nodes []*yaml.Node) []circuits.Terminal {
	number := len(r.circuit.Numbers) - 1
	wires := &r.circuit.Numbers[number].Wires
	terminals := make([]circuits.Terminal, len(nodes))
	for i, n := range nodes {
		t, ok := r.readTerminal(n)
		if !ok {
			continue
		}
		l := w.landings[t]
		switch {
		case l == nil:
			l = &landing{at: n, number: number}
			w.landings[t] = l
			w.order = append(w.order, t)
		case l.number != number:
			r.wrong(n, "each terminal under one wire number",
				"%s is on wire %s and already on wire %s, line %d",
				t, e.key, r.circuit.Numbers[l.number].Name, l.at.Line)
			continue
		}
		terminals[i] = t
		if i == 0 || terminals[i-1] == "" {
			continue
		}
		from := terminals[i-1]
		if from == t {
			r.wrong(n, "each terminal once in a row", "wire %s runs from %s to itself", e.key, t)
			continue
		}
		if before := w.between[[2]circuits.Terminal{from, t}]; before != nil {
			r.warn(n, "", "wire %s already runs between %s and %s, line %d", e.key, from, t, before.Line)
		}
		w.between[[2]circuits.Terminal{from, t}], w.between[[2]circuits.Terminal{t, from}] = n, n
		*wires = append(*wires, circuits.Wire{From: from, To: t, At: posOf(nodes[i-1])})
		l.land(n)
		w.landings[from].land(nodes[i-1])
	}
	return terminals
}

// readTerminal reads a terminal as it is written in a run, DEVICE:TERMINAL.
func (r *reader) readTerminal(n *yaml.Node) (circuits.Terminal, bool) {
	const right = "device:terminal, as in CR1:A1"
	v := follow(n)
	if v.Kind == yaml.MappingNode && len(v.Content) == 2 &&
		v.Content[0].Kind == yaml.ScalarNode && v.Content[1].Kind == yaml.ScalarNode {
		r.wrong(n, v.Content[0].Value+":"+v.Content[1].Value+" without a space",
			"a terminal is written as one word")
		return "", false
	}
	if v.Kind != yaml.ScalarNode || isNull(v) {
		r.wrong(n, right, "a terminal is needed here, not %s", described(v))
		return "", false
	}
	device, name, found := strings.Cut(v.Value, ":")
	d := r.drawn[device]
	switch {
	case d == nil && r.vagueDevices:
		return "", false
	case d == nil && !found:
		r.wrong(n, right, "%s is not a terminal", circuits.Quote(v.Value))
		return "", false
	case d == nil:
		r.wrong(n, r.meantDevice(device), "there is no device %s", circuits.Quote(device))
		return "", false
	case d.Type == nil:
		return "", false
	}
	if d.has[name] {
		return d.Terminal(name), true
	}
	if d.vagueTerminals {
		return "", false
	}
	its := strings.Join(d.Terminals, " ")
	if len(d.Terminals) > circuits.ShownWords {
		its = r.near(name, d.Terminals)
	}
	if !found || name == "" {
		r.wrong(n, right+"; "+device+" has "+its, "%s names no terminal of %s", circuits.Quote(v.Value),
			device)
		return "", false
	}
	r.wrong(n, its, "%s has no terminal %s", device, circuits.OneLine(name))
	return "", false
}

// checkBridges complains of bridges that join two wire numbers.
func (r *reader) checkBridges(w *wiresRead) {
	first := make(map[circuits.Terminal]circuits.Terminal) // by bridged node
	told := make(map[[2]int]bool)
	for _, t := range w.order {
		node := w.bridged.Of(t)
		before, ok := first[node]
		if !ok {
			first[node] = t
			continue
		}
		a, b := w.landings[before].number, w.landings[t].number
		if a == b || told[[2]int{a, b}] {
			continue
		}
		told[[2]int{a, b}] = true
		r.wrong(w.landings[t].at, "one wire number, or no bridge",
			"wire %s and wire %s are one: a bridge joins %s and %s",
			r.circuit.Numbers[a].Name, r.circuit.Numbers[b].Name, before, t)
	}
}

// checkCrowded warns of terminals with more than two wires.
func (r *reader) checkCrowded(w *wiresRead) {
	for _, t := range w.order {
		l := w.landings[t]
		device, _ := t.Split()
		if kind := r.drawn[device].Type.Kind; l.third != nil && kind != circuits.BlockKind &&
			kind != circuits.GroundKind {
			r.warn(l.third, "one or two, or a terminal block", "%s has %d wires", t, l.wires)
		}
	}
}

// checkUnwired warns of devices without any wire and of loads, links and sources with
// a wire on one side only.
func (r *reader) checkUnwired(w *wiresRead) {
	for _, name := range r.names {
		d := r.drawn[name]
		wired := func(name string) bool { return w.landings[d.Terminal(name)] != nil }
		if !slices.ContainsFunc(d.Terminals, wired) {
			r.warn(d.at, "", "%s is on no wire", d.Name)
			continue
		}
		warned := make(map[string]bool)
		for _, ends := range d.unlike() {
			for i, end := range ends {
				if other := ends[1-i]; end != "" && !wired(end) && wired(other) && !warned[end] {
					warned[end] = true
					if d.Fed() && slices.Contains(d.Ends[:], end) {
						r.warn(d.at, fmt.Sprintf("a wire on %s as well, from the other side of its supply", d.Terminal(end)),
							"%s is on no wire, though %s is: %s is not fed, and its output stays off", d.Terminal(end), d.Terminal(other), d.Name)
						continue
					}
					r.warn(d.at, "", "%s is on no wire, though %s is", d.Terminal(end), d.Terminal(other))
				}
			}
		}
	}
}

// unlike are the terminals of what has two sides: a source, a load, a link, each phase and pole.
func (d *drawn) unlike() [][2]string {
	pairs := append([][2]string{d.Ends}, d.Poles[min(1, len(d.Poles)):]...)
	if d.Type.Kind == circuits.OperatorKind {
		pairs = d.Poles
		if d.Fed() {
			pairs = [][2]string{d.Ends}
		}
	}
	if d.Type.Phases {
		pairs = append(pairs, d.More...)
	}
	for _, s := range d.Secondaries {
		pairs = append(pairs, s.Ends)
	}
	return pairs
}

// checkBypassed warns of parts that do nothing since one wire number is on both sides.
func (r *reader) checkBypassed(w *wiresRead) {
	for _, name := range r.names {
		d := r.drawn[name]
		pairs := d.unlike()
		for _, c := range d.Contacts {
			pairs = append(pairs, [2]string{c.A, c.B})
		}
		for _, p := range pairs {
			a, b := w.landings[d.Terminal(p[0])], w.landings[d.Terminal(p[1])]
			if a != nil && b != nil && a.number == b.number {
				r.warn(b.at, "", "%s and %s are both on wire %s", d.Terminal(p[0]), d.Terminal(p[1]),
					r.circuit.Numbers[a.number].Name)
			}
		}
	}
}
