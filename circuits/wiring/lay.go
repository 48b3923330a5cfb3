package wiring

import (
	"fmt"
	"unicode/utf8"

	"deadrung/circuits"
	"deadrung/circuits/joined"
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
	at    point
	part  *circuits.Item // whose terminal it is; nil for landings and wires
	out   bool           // the part's right terminal
	t     circuits.Terminal
	place Place
}

// mark is a wire number that the file fixes at a point.
type mark struct {
	at     point
	number string
	place  Place
}

// ladder is the rungs of a circuit while their wires are worked out.
type ladder struct {
	Drawing
	devices  map[string]*circuits.Device
	bridged  joined.Named[circuits.Terminal]
	problems []circuits.Problem
	up       joined.Sets // points that the drawing joins
	seats    []seat
	marks    []mark
	order    []point // as wire numbers are given
	ends     map[*circuits.Item][2]point
	bonds    map[circuits.Terminal]circuits.Terminal // ground: where it bonds the grounded side
	fixed    []circuits.Wire                         // of the file's own wires

	hot, grounded point // of the feed before
	number        map[point]string
	spots         map[point][]spot
	places        map[circuits.Terminal]circuits.Pos // of terminals in the file
	old           map[circuits.Terminal]string       // numbers of the older circuit
}

// Lay works out the wires. It gives the contacts that the rungs name by their kind, and the
// wire numbers, to the items of the rungs. No numbers come with mistakes in the drawing;
// with blocks and connectors that are too small they do.
func (d Drawing) Lay() ([]circuits.Number, []circuits.Problem) {
	l := &ladder{
		Drawing: d,
		devices: make(map[string]*circuits.Device, len(d.Circuit.Devices)),
		ends:    make(map[*circuits.Item][2]point),
		bonds:   make(map[circuits.Terminal]circuits.Terminal),
		number:  make(map[point]string),
		spots:   make(map[point][]spot),
		places:  make(map[circuits.Terminal]circuits.Pos),
	}
	for _, d := range d.Circuit.Devices {
		l.devices[d.Name] = d
		for _, b := range d.Bridges {
			l.bridged.Join(d.Terminal(b[0]), d.Terminal(b[1]))
		}
	}
	if d.Older != nil {
		l.old = d.Older.NumberOf()
	}
	l.walk()
	l.seatWires()
	l.joinLandings()
	l.joinNumbers()
	l.pickContacts()
	l.checkSeats()
	if len(l.problems) > 0 {
		return nil, l.problems
	}
	l.giveNumbers()
	if len(l.problems) > 0 {
		return nil, l.problems
	}
	return l.lead(), l.problems
}

// wrong notes a mistake at its place, with what would be right.
func (l *ladder) wrong(at Place, right, format string, args ...any) {
	what := fmt.Sprintf(format, args...)
	l.problems = append(l.problems, circuits.Problem{Pos: at.Pos, Width: at.Width, What: what, Hint: right})
}

// point makes a new one.
func (l *ladder) point() point { return point(l.up.Add()) }

// section gives the section of a point: the first of its points.
func (l *ladder) section(p point) point { return point(l.up.Of(int32(p))) }

// join makes two sections one.
func (l *ladder) join(a, b point) { l.up.Join(int32(a), int32(b)) }

// placeOfItem gives the place of an item for a message.
func placeOfItem(it *circuits.Item) Place {
	return Place{Pos: it.At, Width: utf8.RuneCountInString(it.Written)}
}

// walk goes along all rungs and makes their points.
func (l *ladder) walk() {
	rungs := l.Circuit.Rungs
	l.hot, l.grounded = -1, -1
	for i := range rungs {
		rung := &rungs[i]
		if rung.Feed {
			l.feed(rung)
			continue
		}
		if (rung.OnHot || rung.OnGrounded) && l.hot < 0 {
			l.feed(plainFeed(l.Circuit))
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
func plainFeed(c *circuits.Circuit) *circuits.Rung {
	for _, d := range c.Devices {
		if d.Type.Kind == circuits.SourceKind {
			at := func(name string) []circuits.Item {
				return []circuits.Item{{Kind: circuits.LandingItem, Written: d.Name, At: d.At,
					Device: d, In: name, Contact: -1}}
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
			l.seats = append(l.seats, seat{at: back, t: ground, place: placeOfItem(g)})
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
			l.marks = append(l.marks, mark{at: at, number: it.Number, place: placeOfItem(it)})
		case circuits.LandingItem:
			l.seats = append(l.seats, seat{at: at, t: it.Device.Terminal(it.In), place: placeOfItem(it)})
		case circuits.PartItem:
			at = l.point()
			l.seats = append(l.seats, seat{at: from, part: it, place: placeOfItem(it)},
				seat{at: at, part: it, out: true, place: placeOfItem(it)})
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
func (l *ladder) seatWires() {
	own := l.Circuit.Numbers
	at := make(map[circuits.Terminal]point)
	seated := func(t circuits.Terminal, n *circuits.Number) point {
		if p, ok := at[t]; ok {
			return p
		}
		p := l.point()
		at[t] = p
		place := l.Landed[t]
		l.seats = append(l.seats, seat{at: p, t: t, place: place})
		l.marks = append(l.marks, mark{at: p, number: n.Name, place: place})
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
		if !l.bridged.Has(t) {
			continue
		}
		root := l.bridged.Of(t)
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
	for _, d := range l.Circuit.Devices {
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
	over := joined.New(l.up.Len()) // points that pins join as well
	cluster := func(p point) int32 { return over.Of(int32(l.section(p))) }
	for _, pin := range l.pins() {
		over.Join(cluster(pin[0]), cluster(pin[1]))
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
		over.Join(a, b)
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
			l.wrong(m.place, "one number for what no contact, coil or fuse parts",
				"wire %s and wire %s are one here; wire %s is on line %d", before.number, m.number,
				before.number, before.place.Pos.Line)
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
			l.wrong(s.place, "another contact, or the wire that both places are, as in wire 5, at both",
				"%s is on another wire here than on line %d", t, before.place.Pos.Line)
		}
	}
}
