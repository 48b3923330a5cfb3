package read

import (
	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// From rungs to wires, in this order:
//
//	rungs ─ walk ─ points, seats ─ join ─ sections ─ choose ─ contacts by kind
//	                                         ├─ number ─ wire numbers
//	                                         └─ lead ─── runs from terminal to terminal
//
// A point is a place between two items of a rung. A seat is a terminal at a point. A
// section is the points that the drawing joins, and so what becomes one piece of wiring;
// a connector pin parts two sections of one wire number.

// point is a place on a rung; sections are named by one of their points.
type point int

// seat is a terminal on a point. Of a part that is chosen by kind, the terminal is not
// known at first.
type seat struct {
	at   point
	part *circuits.Item // whose terminal it is; nil for landings and wires
	out  bool           // the part's right terminal
	t    circuits.Terminal
	node *yaml.Node
}

// mark is a wire number that the file fixes at a point.
type mark struct {
	at     point
	number string
	node   *yaml.Node
}

// ladder is the rungs of a circuit while their wires are worked out.
type ladder struct {
	r     *reader
	w     *wiring
	up    []point // union-find: the point above each
	seats []seat
	marks []mark
	order []point // as wire numbers are given
	ends  map[*circuits.Item][2]point
	bonds map[circuits.Terminal]circuits.Terminal // ground: where it bonds the grounded side
	fixed []circuits.Wire                         // of the file's own wires

	hot, grounded point // of the feed before
	number        map[point]string
	spots         map[point][]spot
	places        map[circuits.Terminal]circuits.Pos // of terminals in the file
	old           map[circuits.Terminal]string       // numbers of the older circuit
}

// layRungs turns the rungs into wires, with those that the file has itself.
func (r *reader) layRungs(w *wiring) {
	l := &ladder{
		r: r, w: w,
		ends:   make(map[*circuits.Item][2]point),
		bonds:  make(map[circuits.Terminal]circuits.Terminal),
		number: make(map[point]string),
		spots:  make(map[point][]spot),
		places: make(map[circuits.Terminal]circuits.Pos),
	}
	if r.older != nil {
		l.old = r.older.NumberOf()
	}
	before := r.mistakes
	own := r.circuit.Numbers
	l.walk()
	l.seatWires(own)
	l.joinLandings()
	l.joinNumbers()
	l.choose()
	l.checkSeats()
	if r.mistakes > before {
		return
	}
	l.giveNumbers()
	if r.mistakes > before {
		return
	}
	l.lead()
}

// point makes a new one.
func (l *ladder) point() point {
	l.up = append(l.up, point(len(l.up)))
	return point(len(l.up) - 1)
}

// section gives the section of a point.
func (l *ladder) section(p point) point {
	for l.up[p] != p {
		l.up[p] = l.up[l.up[p]]
		p = l.up[p]
	}
	return p
}

// join makes two sections one, named by the older of the two.
func (l *ladder) join(a, b point) {
	a, b = l.section(a), l.section(b)
	l.up[max(a, b)] = min(a, b)
}

// nodeOf gives the place of an item for a message.
func nodeOf(it *circuits.Item) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: it.Written, Line: it.At.Line, Column: it.At.Column}
}

// walk goes along all rungs and makes their points.
func (l *ladder) walk() {
	rungs := l.r.circuit.Rungs
	l.hot, l.grounded = -1, -1
	for i := range rungs {
		rung := &rungs[i]
		if rung.Feed {
			l.feed(rung)
			continue
		}
		if (rung.OnHot || rung.OnGrounded) && l.hot < 0 {
			l.feed(l.r.plainFeed())
		}
		from := l.hot
		if !rung.OnHot {
			from = l.point()
		}
		to := l.line(rung.Line, from)
		if rung.OnGrounded {
			l.join(l.grounded, to)
		}
		l.order = append(l.order, from)
		l.read(rung.Line)
	}
}

// plainFeed is the feed of a circuit that says none: its one source, straight.
func (r *reader) plainFeed() *circuits.Rung {
	for _, d := range r.circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			at := func(name string) []circuits.Item {
				return []circuits.Item{{Kind: circuits.LandingItem, Written: d.Name, At: d.At, Device: d, In: name, Contact: -1}}
			}
			return &circuits.Rung{Feed: true, Line: at(d.Ends[0]), Return: at(d.Ends[1]), At: d.At}
		}
	}
	return &circuits.Rung{Feed: true}
}

// feed lays the way from a source to both sides of the rungs after it.
func (l *ladder) feed(rung *circuits.Rung) {
	from := l.point()
	l.order = append(l.order, from)
	l.hot = l.line(rung.Line, from)
	if rung.Return != nil || l.grounded < 0 {
		back := l.point()
		l.order = append(l.order, back)
		l.grounded = l.line(rung.Return, back)
		l.read(rung.Return)
		if g := rung.Ground; g != nil {
			ground := g.Device.Terminal(g.In)
			l.seats = append(l.seats, seat{at: back, t: ground, node: nodeOf(g)})
			if first := rung.Return; len(first) > 0 && first[0].Kind == circuits.LandingItem {
				l.bonds[ground] = first[0].Device.Terminal(first[0].In)
			}
		}
	}
	l.read(rung.Line)
}

// line lays items in series from a point on and gives the point behind them.
func (l *ladder) line(line []circuits.Item, at point) point {
	for i := range line {
		it := &line[i]
		from := at
		switch it.Kind {
		case circuits.NumberItem:
			l.marks = append(l.marks, mark{at: at, number: it.Number, node: nodeOf(it)})
		case circuits.LandingItem:
			l.seats = append(l.seats, seat{at: at, t: it.Device.Terminal(it.In), node: nodeOf(it)})
		case circuits.PartItem:
			at = l.point()
			l.seats = append(l.seats, seat{at: from, part: it, node: nodeOf(it)}, seat{at: at, part: it, out: true, node: nodeOf(it)})
		case circuits.ParallelItem:
			at = -1
			for _, b := range it.Branches {
				end := l.line(b, from)
				if at < 0 {
					at = end
				}
				l.join(at, end)
			}
		}
		l.ends[it] = [2]point{from, at}
	}
	return at
}

// read notes the points of a line in the order that it is read: along its top, then
// what hangs below, top to bottom.
func (l *ladder) read(line []circuits.Item) {
	var below [][]circuits.Item
	l.top(line, &below)
	for _, b := range below {
		l.read(b)
	}
}

func (l *ladder) top(line []circuits.Item, below *[][]circuits.Item) {
	for i := range line {
		it := &line[i]
		if it.Kind == circuits.ParallelItem {
			l.top(it.Branches[0], below)
			*below = append(*below, it.Branches[1:]...)
		}
		l.order = append(l.order, l.ends[it][1])
	}
}

// seatWires seats the terminals of the file's own wires.
func (l *ladder) seatWires(own []circuits.Number) {
	at := make(map[circuits.Terminal]point)
	seated := func(t circuits.Terminal, n *circuits.Number) point {
		if p, ok := at[t]; ok {
			return p
		}
		p := l.point()
		at[t] = p
		node := l.w.landings[t].at
		l.seats = append(l.seats, seat{at: p, t: t, node: node})
		l.marks = append(l.marks, mark{at: p, number: n.Name, node: node})
		l.order = append(l.order, p)
		return p
	}
	for i := range own {
		for _, w := range own[i].Wires {
			l.join(seated(w.From, &own[i]), seated(w.To, &own[i]))
			l.fixed = append(l.fixed, w)
		}
	}
}

// terminal gives the terminal of a seat, or "" while it is not chosen.
func (l *ladder) terminal(s *seat) circuits.Terminal {
	switch {
	case s.part == nil:
		return s.t
	case s.out && s.part.Out != "":
		return s.part.Device.Terminal(s.part.Out)
	case !s.out && s.part.In != "":
		return s.part.Device.Terminal(s.part.In)
	}
	return ""
}

// joinLandings joins the points that one terminal is named at as a landing, and the
// terminals that a bridge joins.
func (l *ladder) joinLandings() {
	landed := make(map[circuits.Terminal]point)
	for i := range l.seats {
		if s := &l.seats[i]; s.part == nil {
			if p, ok := landed[s.t]; ok {
				l.join(p, s.at)
			} else {
				landed[s.t] = s.at
			}
		}
	}
	for i := range l.seats {
		t := l.terminal(&l.seats[i])
		if p, ok := landed[t]; ok && l.seats[i].part != nil {
			l.join(p, l.seats[i].at)
			delete(landed, t) // a second part there must be drawn there
		}
	}
	bridged := make(map[circuits.Terminal]point)
	for i := range l.seats {
		t := l.terminal(&l.seats[i])
		if !l.w.isBridged[t] {
			continue
		}
		root := l.w.bridged.of(t)
		if p, ok := bridged[root]; ok {
			l.join(p, l.seats[i].at)
		} else {
			bridged[root] = l.seats[i].at
		}
	}
}

// pins gives the points that the pins of connectors join, in file order.
func (l *ladder) pins() [][2]point {
	at := make(map[circuits.Terminal]point)
	for i := range l.seats {
		t := l.terminal(&l.seats[i])
		if _, ok := at[t]; !ok && t != "" {
			at[t] = l.seats[i].at
		}
	}
	var out [][2]point
	for _, d := range l.r.circuit.Devices {
		for _, pin := range d.Pins {
			a, ok := at[d.Terminal(pin+"a")]
			b, both := at[d.Terminal(pin+"b")]
			if ok && both {
				out = append(out, [2]point{a, b})
			}
		}
	}
	return out
}

// joinNumbers joins the sections that carry one fixed number, unless the pin of a
// connector joins them already, and complains of sections that carry two.
func (l *ladder) joinNumbers() {
	over := make([]point, len(l.up)) // union-find over pins
	for i := range over {
		over[i] = point(i)
	}
	var cluster func(p point) point
	cluster = func(p point) point {
		p = l.section(p)
		if over[p] != p {
			over[p] = cluster(over[p])
		}
		return over[p]
	}
	for _, pin := range l.pins() {
		over[cluster(pin[0])] = cluster(pin[1])
	}
	first := make(map[string]point)
	for _, m := range l.marks {
		p, ok := first[m.number]
		if !ok {
			first[m.number] = m.at
			continue
		}
		a, b := cluster(p), cluster(m.at)
		if a == b {
			continue
		}
		l.join(p, m.at)
		s := l.section(p)
		over[a], over[b], over[s] = s, s, s
	}
	fixed := make(map[point]mark)
	told := make(map[[2]string]bool)
	for _, m := range l.marks {
		s := l.section(m.at)
		before, ok := fixed[s]
		if !ok {
			fixed[s] = m
			l.number[s] = m.number
			continue
		}
		if pair := [2]string{before.number, m.number}; before.number != m.number && !told[pair] {
			told[pair] = true
			l.r.wrong(m.node, "one number for what no contact, coil or fuse parts",
				"wire %s and wire %s are one here; wire %s is on line %d", before.number, m.number, before.number, before.node.Line)
		}
	}
}

// checkSeats complains of terminals that the drawing has in two places.
func (l *ladder) checkSeats() {
	first := make(map[circuits.Terminal]*seat)
	for i := range l.seats {
		s := &l.seats[i]
		t := l.terminal(s)
		if t == "" {
			continue // complained of
		}
		if before := first[t]; before == nil {
			first[t] = s
		} else if l.section(before.at) != l.section(s.at) {
			l.r.wrong(s.node, "another contact, or the wire that both places are, as in wire 5, at both",
				"%s is on another wire here than on line %d", t, before.node.Line)
		}
	}
}
