package read

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// What the reader takes for a rung and for an item of one.
const (
	rungForms = "a list from the hot side to the grounded side, as in [PB1, CR1:11-14, H1], or " +
		"{rung: [PB1, H1], title: TITLE}"
	itemForms = "a part (H1, CR1:11-14, CR1 no), a terminal (TB1:3), a wire number (wire 5) or " +
		"{parallel: [PB1, CR1 no]}"
)

// The keys of a rung written with keys.
var (
	rungKeys = []string{"rung", "title", "note"}
	feedKeys = []string{"feed", "return", "ground", "title", "note"}
)

// side says where an item of a bare source stands: a feed begins at its hot terminal, a
// return at the other.
type side int

const (
	onRung side = iota
	onFeed
	onReturn
)

// readRungs reads the rungs and gives whether all of them could be read. e may be nil.
func (r *reader) readRungs(e *entry) bool {
	if e == nil {
		return true
	}
	items, ok := r.items(e.value, e.key, "a list of rungs, each "+rungForms)
	if !ok {
		return false
	}
	if len(items) == 0 {
		r.wrong(e.at, "a list of rungs, each "+rungForms, "%s is empty", e.key)
		return false
	}
	before := r.mistakes
	r.inRung = make(map[string]*yaml.Node)
	r.certain = true
	fed, returned := len(r.sources()) == 1, false
	for _, n := range items {
		rung, ok := r.readRung(n)
		if !ok {
			continue
		}
		if !rung.Feed && (rung.OnHot || rung.OnGrounded) && !fed && !r.vagueDevices {
			r.wrong(n, "{feed: [T1, F1]} before it, the way from a source to the hot side",
				"which of %s feeds this rung is not said", circuits.Listed(r.sources()))
			fed = true // once is enough
		}
		if rung.Feed && rung.Return == nil && !returned && r.mistakes == before {
			r.wrong(n, "return: and the source, as in return: T1",
				"where the rungs of this feed end is not said")
		}
		returned = returned || rung.Return != nil
		fed = fed || rung.Feed
		r.circuit.Rungs = append(r.circuit.Rungs, rung)
	}
	return r.mistakes == before && r.certain && !r.vagueDevices
}

// readLadder reads the rungs as they were drawn before the file had wires.
func (r *reader) readLadder(e, rungs *entry) {
	if e == nil {
		return
	}
	if rungs != nil {
		r.wrong(e.at, "one of them: rungs, of which wires are made, or the ladder of a file with wires",
			"the file has rungs and a ladder")
		return
	}
	r.readRungs(e)
	r.circuit.Ladder, r.circuit.Rungs = r.circuit.Rungs, nil
	chosen := func(it *circuits.Item) {
		if it.Chosen {
			r.add(circuits.Problem{Pos: it.At, Width: len([]rune(it.Written)),
				What: fmt.Sprintf("which contact of %s this is, the rung does not say", it.Device.Name),
				Hint: circuits.Listed(r.drawn[it.Device.Name].pairsOf())})
		}
	}
	for _, rung := range r.circuit.Ladder {
		circuits.Items(rung.Line, chosen)
		circuits.Items(rung.Return, chosen)
	}
}

// sources names the sources of the circuit.
func (r *reader) sources() []string {
	var names []string
	for _, d := range r.circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			names = append(names, d.Name)
		}
	}
	return names
}

// readRung reads one rung, as a list or with keys.
func (r *reader) readRung(n *yaml.Node) (circuits.Rung, bool) {
	before, certain := r.mistakes, r.certain
	r.certain = true // of the devices in this rung
	defer func() { r.certain = r.certain && certain }()
	rung := circuits.Rung{At: posOf(n)}
	line := n
	if follow(n).Kind == yaml.MappingNode {
		entries, _ := r.entries(n, "a rung", rungForms)
		if slices.ContainsFunc(entries, func(e *entry) bool { return e.key == "parallel" }) {
			r.wrong(n, "a list around it, as in [{parallel: [CR1 no, CR2 no]}, H1]",
				"branches alone are no rung")
			return rung, false
		}
		keys := rungKeys
		if slices.ContainsFunc(entries, func(e *entry) bool {
			return slices.Contains(feedKeys, e.key) && !slices.Contains(rungKeys, e.key)
		}) {
			keys, rung.Feed = feedKeys, true
		}
		given := r.known(entries, keys, "in a rung")
		if e := given["title"]; e != nil {
			rung.Title, _ = r.line(e)
		}
		if e := given["note"]; e != nil {
			rung.Note, _ = r.text(e)
		}
		main := given[keys[0]]
		if main == nil {
			if !misspelt(keys[0], entries, keys) {
				r.wrong(n, rungForms, "a rung has no %s", keys[0])
			}
			return rung, false
		}
		line = main.value
		if rung.Feed {
			return r.readFeed(rung, main, given), true
		}
	} else if follow(n).Kind != yaml.SequenceNode {
		r.wrong(n, rungForms, "a rung is %s where a list is needed", described(follow(n)))
		return rung, false
	}
	rung.Line = r.readLine(line, onRung, "a rung")
	if len(rung.Line) == 0 {
		if r.mistakes == before && r.certain {
			r.wrong(line, rungForms, "a rung has nothing in it")
		}
		return rung, false
	}
	rung.OnHot = !isPlace(&rung.Line[0])
	rung.OnGrounded = !isPlace(&rung.Line[len(rung.Line)-1])
	switch parts := slices.ContainsFunc(rung.Line, func(it circuits.Item) bool { return !isPlace(&it) }); {
	case r.mistakes > before || !r.certain:
	case !parts && len(rung.Line) == 1:
		r.wrong(line, rungForms, "a rung has no part in it")
	case rung.OnHot && rung.OnGrounded && !loaded(rung.Line):
		r.wrong(line,
			"a coil, a lamp or another load on every way through, or the wire where the rung ends, as in wire 5",
			"this rung joins the hot side to the grounded side without a load")
	}
	return rung, true
}

// readFeed reads the way from a source to the hot side, and to the grounded side.
func (r *reader) readFeed(rung circuits.Rung, main *entry, given map[string]*entry) circuits.Rung {
	rung.Line = r.readLine(main.value, onFeed, "feed")
	if len(rung.Line) > 0 && !isPlace(&rung.Line[0]) {
		r.wrong(main.value,
			"the source first, as in [T1, F1], or the wire that it branches off, as in [wire 3, F2]",
			"a feed begins at %s", called(&rung.Line[0]))
	}
	if e := given["return"]; e != nil {
		rung.Return = r.readLine(e.value, onReturn, "return")
		if len(rung.Return) > 0 && !isPlace(&rung.Return[0]) {
			r.wrong(e.value, "the source first, as in T1", "a return begins at %s", called(&rung.Return[0]))
		}
	} else if len(rung.Line) > 0 {
		if d := rung.Line[0].Device; d != nil && d.Type.Kind == circuits.SourceKind {
			it := circuits.Item{Kind: circuits.LandingItem, Written: rung.Line[0].Written,
				At: rung.Line[0].At, Device: d, In: d.Ends[1], Contact: -1}
			if rung.Line[0].In == d.Ends[1] {
				it.In = d.Ends[0]
			}
			rung.Return = []circuits.Item{it}
		}
	}
	if e := given["ground"]; e != nil {
		name, _, _ := strings.Cut(follow(e.value).Value, ":")
		if d := r.drawn[name]; d != nil && d.Type != nil && d.Type.Kind != circuits.GroundKind {
			r.wrong(e.value, "a device of type ground, as in ground: PE", "%s is no ground",
				circuits.Quote(follow(e.value).Value))
		} else if it, ok := r.readItem(e.value, onRung); ok && it.Kind == circuits.LandingItem {
			rung.Ground = &it
		} else if ok {
			r.wrong(e.value, "a device of type ground, as in ground: PE", "%s is no ground",
				described(follow(e.value)))
		}
	}
	return rung
}

// called names an item in a message.
func called(it *circuits.Item) string {
	if it.Kind == circuits.ParallelItem {
		return "branches side by side"
	}
	return it.Written
}

// isPlace says whether an item is a place on a wire and no part of its own.
func isPlace(it *circuits.Item) bool {
	return it.Kind == circuits.NumberItem || it.Kind == circuits.LandingItem
}

// loaded says whether every way through a line has a load.
func loaded(line []circuits.Item) bool {
	return slices.ContainsFunc(line, func(it circuits.Item) bool {
		if it.Kind == circuits.ParallelItem {
			return !slices.ContainsFunc(it.Branches, func(b []circuits.Item) bool { return !loaded(b) })
		}
		return isLoad(&it)
	})
}

// isLoad says whether an item is a coil, a load or a winding, or something else that does not let a
// whole current through: of diodes, one that is the other way round.
func isLoad(it *circuits.Item) bool {
	if it.Kind != circuits.PartItem || it.Contact >= 0 || it.Chosen {
		return false
	}
	k := it.Device.Type.Kind
	return k == circuits.LoadKind || k == circuits.RelayKind || k == circuits.SourceKind || it.Device.Fed() ||
		k == circuits.PassiveKind && !(it.Device.OneWay() && it.In == it.Device.Ends[0])
}

// readLine reads items in series: a list, or one alone. Items that could not be read are
// left out.
func (r *reader) readLine(n *yaml.Node, s side, what string) []circuits.Item {
	nodes := []*yaml.Node{n}
	switch v := follow(n); {
	case v.Kind == yaml.SequenceNode:
		nodes = v.Content
	case v.Kind == yaml.ScalarNode && isNull(v):
		r.wrong(n, rungForms, "%s is nothing where a list is needed", what)
		return nil
	}
	var line []circuits.Item
	for i, n := range nodes {
		if i > 0 {
			s = onRung
		}
		if it, ok := r.readItem(n, s); ok {
			line = append(line, it)
		}
	}
	return line
}

// readItem reads one item of a line.
func (r *reader) readItem(n *yaml.Node, s side) (circuits.Item, bool) {
	v := follow(n)
	switch {
	case v.Kind == yaml.MappingNode:
		return r.readParallel(n)
	case v.Kind == yaml.SequenceNode:
		r.wrong(n, "its items in the list itself, or as a branch of {parallel: […]}", "a list within a rung")
		return circuits.Item{}, false
	case isNull(v):
		r.wrong(n, itemForms, "an item is nothing")
		return circuits.Item{}, false
	}
	it := circuits.Item{Written: v.Value, At: posOf(n), Contact: -1}
	if number, ok := strings.CutPrefix(v.Value, "wire "); ok {
		it.Kind, it.Number = circuits.NumberItem, strings.TrimSpace(number)
		return it, r.fits(it.Number, wireNumbers, n)
	}
	name, kind, byKind := strings.Cut(v.Value, " ")
	name, at, byTerminal := strings.Cut(name, ":")
	if byTerminal && byKind {
		r.wrong(n, itemForms, "%s is no item of a rung", circuits.Quote(v.Value))
		return it, false
	}
	d := r.drawn[name]
	switch {
	case d == nil && r.vagueDevices, d != nil && d.Type == nil:
		r.certain = false
		return it, false
	case d == nil && !deviceNames.allows(name):
		r.wrong(n, itemForms, "%s is no item of a rung", circuits.Quote(v.Value))
		return it, false
	case d == nil:
		r.wrong(n, r.meantDevice(name), "there is no device %s", circuits.Quote(name))
		return it, false
	}
	it.Device = d.Device
	ok := false
	switch {
	case byTerminal:
		ok = r.itemAtTerminals(&it, d, n, at)
	case byKind:
		ok = r.itemOfKind(&it, d, n, strings.TrimSpace(kind))
	default:
		ok = r.itemAlone(&it, d, n, s)
	}
	if ok && it.Kind == circuits.PartItem && !it.Chosen {
		ok = r.onceInRungs(&it, n)
	}
	return it, ok
}

// readParallel reads branches side by side.
func (r *reader) readParallel(n *yaml.Node) (circuits.Item, bool) {
	const right = "{parallel: [PB1, [CR1 no, CR2 no]]}, each branch an item or a list in series"
	it := circuits.Item{Kind: circuits.ParallelItem, At: posOf(n), Contact: -1}
	if m := follow(n).Content; len(m) == 2 && m[0].Kind == yaml.ScalarNode &&
		m[1].Kind == yaml.ScalarNode && r.drawn[m[0].Value] != nil {
		r.wrong(n, m[0].Value+":"+m[1].Value+" without a space", "a terminal is written as one word")
		return it, false
	}
	entries, _ := r.entries(n, "an item", right)
	e := r.known(entries, []string{"parallel"}, "in a rung")["parallel"]
	if e == nil {
		if len(entries) == 0 {
			r.wrong(n, right, "an item has nothing in it")
		}
		return it, false
	}
	branches, ok := r.items(e.value, "parallel", right)
	if !ok {
		return it, false
	}
	if len(branches) < 2 {
		r.wrong(e.value, "two branches or more", "parallel has %s", circuits.Counted(len(branches), "branch"))
	}
	before := r.mistakes
	for _, b := range branches {
		was := r.mistakes
		line := r.readLine(b, onRung, "a branch")
		if !slices.ContainsFunc(line, func(it circuits.Item) bool { return !isPlace(&it) }) &&
			r.mistakes == was && r.certain {
			r.wrong(b, "at least one part", "a branch has no part in it, and bridges the others")
		}
		it.Branches = append(it.Branches, line)
	}
	return it, r.mistakes == before
}

// onceInRungs complains of a part that two rungs have.
func (r *reader) onceInRungs(it *circuits.Item, n *yaml.Node) bool {
	a, b := string(it.Device.Terminal(it.In)), string(it.Device.Terminal(it.Out))
	key := a + "-" + b
	if b < a {
		key = b + "-" + a
	}
	if before := r.inRung[key]; before != nil {
		right := "each part once"
		if it.Contact >= 0 {
			right += "; " + it.Device.Name + " has " + circuits.Listed(r.drawn[it.Device.Name].pairsOf())
		}
		r.wrong(n, right, "%s is already in a rung on line %d", it.Text(), before.Line)
		return false
	}
	r.inRung[key] = n
	return true
}

// pairsOf writes the contacts of a device by their terminals.
func (d *drawn) pairsOf() []string {
	var pairs []string
	for _, c := range d.Contacts {
		pairs = append(pairs, d.Name+":"+c.A+"-"+c.B)
	}
	return pairs
}

// itemAtTerminals reads what is written with terminals: a part by its two, a connector
// pin by its name, or one terminal.
func (r *reader) itemAtTerminals(it *circuits.Item, d *drawn, n *yaml.Node, at string) bool {
	if d.has[at] {
		it.Kind, it.In = circuits.LandingItem, at
		return true
	}
	if slices.Contains(d.Pins, at) {
		it.Kind, it.In, it.Out = circuits.PartItem, at+"a", at+"b"
		return true
	}
	for i, c := range at {
		if c != '-' || !d.has[at[:i]] || !d.has[at[i+1:]] {
			continue
		}
		it.Kind, it.In, it.Out = circuits.PartItem, at[:i], at[i+1:]
		it.Contact = d.between(it.In, it.Out)
		if it.Contact >= 0 || d.isPart(it.In, it.Out) {
			return true
		}
	}
	if d.vagueTerminals {
		r.certain = false
		return false
	}
	switch {
	case it.Kind == circuits.PartItem && d.Type.Kind == circuits.BlockKind:
		r.wrong(n, it.Device.Name+":"+it.In,
			"a terminal block is no part of a rung; the wire lands on one of its terminals")
	case it.Kind == circuits.PartItem:
		r.wrong(n, circuits.Listed(d.parts()), "%s has nothing between %s and %s", d.Name, it.In, it.Out)
	default:
		its := strings.Join(d.Terminals, " ")
		if len(d.Terminals) > circuits.ShownWords {
			its = r.near(at, d.Terminals)
		}
		if parts := d.parts(); len(parts) > 0 && strings.Contains(at, "-") {
			its = circuits.Listed(parts)
		}
		r.wrong(n, its, "%s has no terminal %s", d.Name, circuits.Quote(at))
	}
	return false
}

// between gives the contact between two terminals, either way round, or -1.
func (d *drawn) between(a, b string) int {
	return slices.IndexFunc(d.Contacts,
		func(c circuits.Contact) bool { return c.A == a && c.B == b || c.A == b && c.B == a })
}

// isPart says whether a coil, a load, a link, a winding or a pin is between two
// terminals, either way round.
func (d *drawn) isPart(a, b string) bool {
	for _, p := range d.otherParts() {
		if p == [2]string{a, b} || p == [2]string{b, a} {
			return true
		}
	}
	return false
}

// otherParts gives the terminals of all that is no contact.
func (d *drawn) otherParts() [][2]string {
	var pairs [][2]string
	if d.Ends[0] != "" && len(d.Poles) == 0 {
		pairs = append(pairs, d.Ends)
	}
	pairs = append(append(pairs, d.More...), d.Poles...)
	for _, s := range d.Secondaries {
		pairs = append(pairs, s.Ends)
	}
	if d.Primary[0] != "" {
		pairs = append(pairs, d.Primary)
	}
	for _, pin := range d.Pins {
		pairs = append(pairs, [2]string{pin + "a", pin + "b"})
	}
	return pairs
}

// parts writes all parts of a device by their terminals.
func (d *drawn) parts() []string {
	var out []string
	for _, p := range d.otherParts() {
		out = append(out, d.Name+":"+p[0]+"-"+p[1])
	}
	return append(out, d.pairsOf()...)
}

// itemAlone reads a designation alone: a coil, a load, a fuse, the only contact of an
// operator, the metalwork, or the source at the beginning of a feed.
func (r *reader) itemAlone(it *circuits.Item, d *drawn, n *yaml.Node, s side) bool {
	it.Kind = circuits.PartItem
	switch kind := d.Type.Kind; {
	case d.vagueTerminals:
		r.certain = false
		return false
	case kind == circuits.GroundKind:
		it.Kind, it.In = circuits.LandingItem, d.Terminals[0]
		return true
	case kind == circuits.SourceKind && s != onRung:
		if d.Type.Phases {
			r.wrong(n, d.Name+":"+d.Ends[0], "which line of %s feeds this is not said", d.Name)
			return false
		}
		it.Kind, it.In = circuits.LandingItem, d.Ends[0]
		if s == onReturn {
			it.In = d.Ends[1]
		}
		return true
	case kind == circuits.SourceKind:
		r.wrong(n, circuits.Listed(append([]string{d.Name + ":" + d.Ends[0]}, d.parts()...)),
			"%s is a source, and not at the beginning of a feed", d.Name)
		return false
	case len(d.More) > 0:
		r.wrong(n, circuits.Listed(d.parts()), "which coil of %s is not said", d.Name)
	case len(d.Poles) > 1 && d.Ends[0] != "":
		r.wrong(n, circuits.Listed(d.parts()), "which pole of %s is not said", d.Name)
	case kind == circuits.OperatorKind && len(d.Contacts) == 1:
		it.In, it.Out, it.Contact = d.Contacts[0].A, d.Contacts[0].B, 0
		return true
	case d.Ends[0] != "" && kind != circuits.OperatorKind:
		it.In, it.Out = d.Ends[0], d.Ends[1]
		return true
	case kind == circuits.ConnectorKind:
		r.wrong(n, d.Name+":"+d.Pins[0], "which pin of %s is not said", d.Name)
	case kind == circuits.BlockKind:
		r.wrong(n, d.Name+":"+d.Terminals[0], "which terminal of %s is not said", d.Name)
	case kind == circuits.OperatorKind:
		r.wrong(n, circuits.Listed(d.parts()), "which contact of %s is not said", d.Name)
	}
	return false
}

// itemOfKind reads a contact that is given by its kind: no, nc, no timed, or the
// positions in which it is closed. Which one it is, is chosen later.
func (r *reader) itemOfKind(it *circuits.Item, d *drawn, n *yaml.Node, kind string) bool {
	if d.vagueTerminals || d.vaguePositions {
		r.certain = false
		return false
	}
	if len(d.Contacts) == 0 {
		r.wrong(n, "", "%s is %s and has no contacts", d.Name, d.Type.Article())
		return false
	}
	closed, timed, ok := d.ByKind(kind)
	if !ok || !slices.ContainsFunc(d.Contacts,
		func(c circuits.Contact) bool { return c.Timed == timed && slices.Equal(c.Closed, closed) }) {
		r.wrong(n, circuits.Listed(d.kinds()), "%s has no contact %s", d.Name, circuits.Quote(kind))
		return false
	}
	it.Kind, it.Chosen = circuits.PartItem, true
	return true
}

// kinds writes the kinds of contact that a device has, each once.
func (d *drawn) kinds() []string {
	var kinds []string
	for _, c := range d.Contacts {
		if k := d.Name + " " + d.KindOf(c); !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	return kinds
}
