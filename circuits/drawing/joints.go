package drawing

import (
	"slices"

	"deadrung/circuits"
)

// joint is a conductor of the drawing: wires that meet with no part between them. A wire
// number is one joint, or several where a terminal of a block or a bridge lies in it.
type joint int

// none is the joint of a side that a part does not have.
const none joint = -1

// few is the most ends of parts behind a terminal of a block on a rail for which the terminal
// is drawn once, in their way. With more of them in the field it is an outlet, which every
// group behind it has in its own way; in the panel it is drawn beside the rail.
const few = 4

// graph is a circuit as joints and parts.
type graph struct {
	c       *circuits.Circuit
	number  []int   // by joint: index into Circuit.Numbers, or -1
	order   [][]int // by joint: the ends that lie on it, as part<<1 | side, in the order of the wires
	parts   []*Part // in file order
	grounds []*Part
	unused  []*Part                      // contacts and others with a side that nothing is wired to
	taps    []*Part                      // beside a joint
	rungs   map[[2]circuits.Terminal]int // by the terminals of a part: its rung of the file
	outlets map[joint]*Part              // by the joint behind it: a terminal on a rail
}

// drawnAs is the key of a part of the file's rungs.
func drawnAs(a, b circuits.Terminal) [2]circuits.Terminal {
	return [2]circuits.Terminal{min(a, b), max(a, b)}
}

// rung gives the rung of the file that a part is on; their number where it is on none.
func (g *graph) rung(p *Part) int {
	if i, ok := g.rungs[drawnAs(p.Left, p.Right)]; ok {
		return i
	}
	return len(g.c.Drawn())
}

// rungOf gives the first rung of the file that parts of a way are on; their number where none is.
func (g *graph) rungOf(way []*Part) int {
	first := len(g.c.Drawn())
	for _, p := range way {
		first = min(first, g.rung(p))
	}
	return first
}

// rungsOf gives the rung of the file on which each part is drawn first.
func rungsOf(c *circuits.Circuit) map[[2]circuits.Terminal]int {
	rungs := make(map[[2]circuits.Terminal]int)
	for i, r := range c.Drawn() {
		for _, line := range [][]circuits.Item{r.Line, r.Return} {
			circuits.Items(line, func(it *circuits.Item) {
				if it.Kind != circuits.PartItem && it.Kind != circuits.LandingItem {
					return
				}
				key := drawnAs(it.Device.Terminal(it.In), it.Device.Terminal(it.Out))
				if it.Device.Type.Kind == circuits.SourceKind && !it.Device.HasPrimary() { // a feed begins at one side
					key = drawnAs(it.Device.Terminal(it.Device.Ends[0]),
						it.Device.Terminal(it.Device.Ends[1]))
				}
				if _, before := rungs[key]; !before {
					rungs[key] = i
				}
			})
		}
	}
	return rungs
}

// side of a block terminal: towards the source, or away from it.
type landing struct {
	t   circuits.Terminal
	far bool
}

// newGraph finds the joints and the parts between them.
func newGraph(c *circuits.Circuit) *graph {
	g := &graph{c: c, rungs: rungsOf(c), outlets: make(map[joint]*Part)}
	w := newWalk(c)
	find := make(map[landing]landing)
	var root func(l landing) landing
	root = func(l landing) landing {
		up, ok := find[l]
		if !ok || up == l {
			find[l] = l
			return l
		}
		r := root(up)
		find[l] = r
		return r
	}
	unite := func(a, b landing) { find[root(b)] = root(a) }
	for _, num := range c.Numbers {
		for _, wire := range num.Wires {
			unite(w.landing(wire.From, wire.To), w.landing(wire.To, wire.From))
		}
	}
	for pair := range w.bridge { // bridges along a rail are not drawn as parts of it
		if a, b := pair[0], pair[1]; w.split[a] == nil && w.split[b] == nil && w.lands[a] &&
			w.lands[b] && w.number[a] == w.number[b] {
			unite(landing{t: a}, landing{t: b})
		}
	}
	joints := make(map[landing]joint)
	at := func(l landing) joint {
		t := l.t
		if !w.wired(t) && len(w.beside[t]) == 0 {
			return none
		}
		r := root(l)
		if j, ok := joints[r]; ok {
			return j
		}
		j := joint(len(g.number))
		joints[r] = j
		i, ok := w.number[t]
		if !ok {
			i = -1
		}
		g.number = append(g.number, i)
		return j
	}
	for _, num := range c.Numbers { // joints in the order of the wires
		for _, wire := range num.Wires {
			at(w.landing(wire.From, wire.To))
			at(w.landing(wire.To, wire.From))
		}
	}
	add := func(p Part, a, b landing) {
		p.at = [2]joint{at(a), at(b)}
		p.Left, p.Right = a.t, b.t
		if p.at[0] == none && p.at[1] == none {
			g.unused = append(g.unused, &p)
			return
		}
		g.parts = append(g.parts, &p)
	}
	for _, d := range c.Devices {
		whole := wholeContacts(d, w)
		near := func(name string) landing { return landing{t: d.Terminal(name)} }
		for k, ct := range d.Contacts {
			if !whole[k] {
				g.unused = append(g.unused, &Part{Kind: Contact, Device: d, Index: k,
					Left: d.Terminal(ct.A), Right: d.Terminal(ct.B)})
				continue
			}
			add(Part{Kind: Contact, Device: d, Index: k}, near(ct.A), near(ct.B))
		}
		switch d.Type.Kind {
		case circuits.SourceKind:
			for k, ends := range d.Sources(w.wired(d.Terminal(d.Neutral()))) {
				add(Part{Kind: Source, Device: d, Index: k}, near(ends[0]), near(ends[1]))
			}
			if d.HasPrimary() && (w.wired(d.Terminal(d.Primary[0])) || w.wired(d.Terminal(d.Primary[1]))) {
				add(Part{Kind: Primary, Device: d}, near(d.Primary[0]), near(d.Primary[1]))
			}
		case circuits.LinkKind:
			for k, pole := range d.Links() {
				add(Part{Kind: Link, Device: d, Index: k}, near(pole[0]), near(pole[1]))
			}
		case circuits.OperatorKind:
			for k, pole := range d.Links() {
				add(Part{Kind: Link, Device: d, Index: k}, near(pole[0]), near(pole[1]))
			}
			for k, ends := range d.Coils() {
				add(Part{Kind: Load, Device: d, Index: k}, near(ends[0]), near(ends[1]))
			}
		case circuits.PassiveKind:
			add(Part{Kind: Link, Device: d}, near(d.Ends[0]), near(d.Ends[1]))
			if d.Measures() {
				add(Part{Kind: Link, Device: d, Index: 1}, near(d.Primary[0]), near(d.Primary[1]))
			}
		case circuits.RelayKind, circuits.LoadKind:
			for k, ends := range d.Coils() {
				if idle(d, k, w.wired) {
					g.unused = append(g.unused, &Part{Kind: Load, Device: d, Index: k,
						Left: d.Terminal(ends[0]), Right: d.Terminal(ends[1])})
					continue
				}
				add(Part{Kind: Load, Device: d, Index: k}, near(ends[0]), near(ends[1]))
			}
		case circuits.ConnectorKind:
			for k, pin := range d.Pins {
				add(Part{Kind: Pin, Device: d, Index: k}, near(pin+"a"), near(pin+"b"))
			}
		case circuits.GroundKind:
			for _, name := range d.Terminals {
				if j := at(near(name)); j != none {
					g.grounds = append(g.grounds,
						&Part{Kind: Ground, Device: d, Left: d.Terminal(name), at: [2]joint{j, none}})
				} else {
					g.unused = append(g.unused, &Part{Kind: Ground, Device: d, Left: d.Terminal(name)})
				}
			}
		case circuits.BlockKind:
			g.addBlock(d, w, at, add)
		}
	}
	g.sortEnds(w)
	return g
}

// idle tells of one of several inputs that no wire is on but on the terminal that it shares with
// another one, which is drawn with that.
func idle(dev *circuits.Device, input int, wired func(circuits.Terminal) bool) bool {
	ends := dev.Coils()[input]
	return dev.Type.Inputs() && !wired(dev.Terminal(ends[0])) &&
		slices.ContainsFunc(dev.Coils(), func(other [2]string) bool {
			return other[1] == ends[1] && wired(dev.Terminal(other[0]))
		})
}

// wholeContacts tells which contacts of a device are drawn: those with wires on both sides,
// and where a wire lands on no such contact, the first that it lands on. The others, as the
// half of a changeover contact that is not used, are spare.
func wholeContacts(dev *circuits.Device, w *walk) []bool {
	drawn := make([]bool, len(dev.Contacts))
	ends := make(map[string]bool)
	lands := func(name string) bool { return w.wired(dev.Terminal(name)) }
	for i, c := range dev.Contacts {
		if lands(c.A) && lands(c.B) {
			drawn[i], ends[c.A], ends[c.B] = true, true, true
		}
	}
	for i, c := range dev.Contacts {
		if lands(c.A) && !ends[c.A] || lands(c.B) && !ends[c.B] {
			drawn[i], ends[c.A], ends[c.B] = true, true, true
		}
	}
	return drawn
}

// addBlock adds the terminals of a block: those on the way of a conductor as parts of it,
// the others beside it.
func (g *graph) addBlock(d *circuits.Device, w *walk, at func(landing) joint,
	add func(Part, landing, landing)) {
	group := make(map[circuits.Terminal]int) // taps that bridges join
	for k, b := range d.Bridges {
		s, t := d.Terminal(b[0]), d.Terminal(b[1])
		x, y := w.landing(s, t), w.landing(t, s)
		if at(x) == at(y) && at(x) != none {
			if group[s] == 0 {
				group[s] = k + 1
			}
			if old := group[t]; old != 0 {
				for n, v := range group {
					if v == old {
						group[n] = group[s]
					}
				}
			}
			group[t] = group[s]
			continue
		}
		add(Part{Kind: Bridge, Device: d, Index: k}, x, y)
	}
	made := make(map[int]*Part)
	for _, name := range d.Terminals {
		t := d.Terminal(name)
		if w.split[t] != nil {
			add(Part{Kind: Post, Device: d}, landing{t: t}, landing{t: t, far: true})
			if w.outlet[t] {
				p := g.parts[len(g.parts)-1]
				g.outlets[p.at[1]] = p
			}
			continue
		}
		j := at(landing{t: t})
		if j == none {
			g.unused = append(g.unused, &Part{Kind: Tap, Device: d, Left: t})
			continue
		}
		if p := made[group[t]]; p != nil && group[t] != 0 {
			p.Also = append(p.Also, t)
			continue
		}
		p := &Part{Kind: Tap, Device: d, Left: t, at: [2]joint{j, none}}
		made[group[t]] = p
		g.taps = append(g.taps, p)
	}
}

// sortEnds lists the ends of parts on each joint in the order in which the wires name
// their terminals.
func (g *graph) sortEnds(w *walk) {
	g.order = make([][]int, len(g.number))
	for i, p := range g.parts {
		for side, j := range p.at {
			if j != none {
				g.order[j] = append(g.order[j], i<<1|side)
			}
		}
	}
	for _, ends := range g.order {
		slices.SortStableFunc(ends, func(a, b int) int { return w.place[g.terminal(a)] - w.place[g.terminal(b)] })
	}
}

// terminal gives the terminal of an end.
func (g *graph) terminal(end int) circuits.Terminal {
	p := g.parts[end>>1]
	if end&1 == 0 {
		return p.Left
	}
	return p.Right
}

// walk knows the wires of a circuit, and which terminals of blocks split them.
type walk struct {
	beside map[circuits.Terminal][]circuits.Terminal // over wires and bridges
	number map[circuits.Terminal]int
	place  map[circuits.Terminal]int // where the wires first name it
	block  map[circuits.Terminal]bool
	ends   map[circuits.Terminal]bool // of a source or fuse: what feeds a rail
	lands  map[circuits.Terminal]bool // a wire lands on it
	bridge map[[2]circuits.Terminal]bool
	split  map[circuits.Terminal]map[circuits.Terminal]bool // block terminal: neighbours on its far side
	away   map[circuits.Terminal]bool                       // where no supply is, or a pin on the way there
	outlet map[circuits.Terminal]bool                       // of what is split: many ends are away
}

func newWalk(c *circuits.Circuit) *walk {
	w := &walk{
		beside: make(map[circuits.Terminal][]circuits.Terminal), number: make(map[circuits.Terminal]int),
		place: make(map[circuits.Terminal]int), block: make(map[circuits.Terminal]bool),
		ends: make(map[circuits.Terminal]bool), lands: make(map[circuits.Terminal]bool),
		split:  make(map[circuits.Terminal]map[circuits.Terminal]bool),
		bridge: make(map[[2]circuits.Terminal]bool),
		away:   make(map[circuits.Terminal]bool),
		outlet: make(map[circuits.Terminal]bool),
	}
	link := func(a, b circuits.Terminal) {
		w.beside[a] = append(w.beside[a], b)
		w.beside[b] = append(w.beside[b], a)
	}
	for i, num := range c.Numbers {
		for _, wire := range num.Wires {
			for _, t := range []circuits.Terminal{wire.From, wire.To} {
				if !w.lands[t] {
					w.place[t] = len(w.place)
				}
				w.lands[t], w.number[t] = true, i
			}
			link(wire.From, wire.To)
		}
	}
	for _, d := range c.Devices {
		switch d.Type.Kind {
		case circuits.SourceKind, circuits.LinkKind:
			for _, ends := range append(d.Sources(false), d.Links()...) {
				w.ends[d.Terminal(ends[0])], w.ends[d.Terminal(ends[1])] = true, true
			}
		case circuits.BlockKind:
			for _, name := range d.Terminals {
				w.block[d.Terminal(name)] = true
			}
			for _, b := range d.Bridges {
				s, t := d.Terminal(b[0]), d.Terminal(b[1])
				link(s, t)
				w.bridge[[2]circuits.Terminal{s, t}], w.bridge[[2]circuits.Terminal{t, s}] = true, true
			}
		}
	}
	w.findAway(c)
	for t := range w.block {
		w.divide(t)
	}
	return w
}

// findAway finds the terminals of devices at other places than the supplies, and the pins of
// connectors, which lead there.
func (w *walk) findAway(c *circuits.Circuit) {
	supplied := make(map[string]bool)
	for _, d := range c.Devices {
		if d.Type.Kind == circuits.SourceKind {
			supplied[c.Area(d.Place)] = true
		}
	}
	for _, d := range c.Devices {
		if d.Type.Kind != circuits.ConnectorKind && supplied[c.Area(d.Place)] {
			continue
		}
		for _, name := range d.Terminals {
			w.away[d.Terminal(name)] = true
		}
		for _, pin := range d.Pins {
			w.away[d.Terminal(pin+"a")], w.away[d.Terminal(pin+"b")] = true, true
		}
	}
}

func (w *walk) wired(t circuits.Terminal) bool { return w.lands[t] }

// landing is the side of a terminal that a neighbour is on.
func (w *walk) landing(t, neighbour circuits.Terminal) landing {
	return landing{t, w.split[t][neighbour]}
}

// divide finds the two sides of a block terminal: the one with a source or fuse, or with most
// ends of parts, and all others. It leaves a terminal whole that has only one side.
func (w *walk) divide(t circuits.Terminal) {
	side := make(map[circuits.Terminal]int)
	var sides []struct {
		ends         int
		source, away bool
	}
	for _, n := range w.beside[t] {
		if _, ok := side[n]; ok {
			continue
		}
		k := len(sides)
		ends, source, out := 0, false, false
		stack := []circuits.Terminal{n}
		side[n] = k
		for len(stack) > 0 {
			x := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if !w.block[x] {
				ends++
				out = out || w.away[x]
			}
			source = source || w.ends[x]
			for _, y := range w.beside[x] {
				if _, ok := side[y]; !ok && y != t {
					side[y] = k
					stack = append(stack, y)
				}
			}
		}
		sides = append(sides, struct {
			ends         int
			source, away bool
		}{ends, source, out})
	}
	if len(sides) < 2 {
		return
	}
	root, rail := 0, false
	for k, s := range sides {
		if s.source && !rail || s.source == rail && s.ends > sides[root].ends {
			root = k
		}
		rail = rail || s.source
	}
	far := 0
	for k, s := range sides {
		if k != root {
			far += s.ends
		}
	}
	away := func(k int) bool { return k != root }
	if rail && far > few { // only what is away, or what a bridge leads to, is split off
		over := make([]bool, len(sides))
		for _, n := range w.beside[t] {
			k := side[n]
			over[k] = over[k] || w.block[n] && w.bridge[[2]circuits.Terminal{t, n}]
		}
		away = func(k int) bool { return k != root && (sides[k].away || over[k]) }
		far = 0
		for k, s := range sides {
			if away(k) {
				far += s.ends
				w.outlet[t] = w.outlet[t] || s.away
			}
		}
		w.outlet[t] = w.outlet[t] && far > few
	}
	if far == 0 || rail && far > few && !w.outlet[t] {
		return
	}
	w.split[t] = make(map[circuits.Terminal]bool)
	for _, n := range w.beside[t] {
		w.split[t][n] = away(side[n])
	}
}

// numberOf gives the wire number of a joint; -1 where it has none.
func (g *graph) numberOf(j joint) int {
	if j == none {
		return -1
	}
	return g.number[j]
}
