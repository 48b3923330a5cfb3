package wiring

import (
	"cmp"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
)

// mostLanded is how many wires one terminal takes, but for those of terminal blocks and
// the metalwork. Common practice, no source; NFPA 79 13.1.1.2 has one conductor a
// terminal unless it is made for more (from memory).
const mostLanded = 2

// spot is a terminal of a section and the place where it is.
type spot struct {
	t     circuits.Terminal
	place string
}

// leads is one section while its wires are drawn.
type leads struct {
	l      *ladder
	s      point
	spots  []spot                          // in the order of the drawing
	first  circuits.Terminal               // what is drawn first
	whole  joined.Named[circuits.Terminal] // what is joined so far
	landed map[circuits.Terminal]int
	wires  [][2]circuits.Terminal
	forced [][2]circuits.Terminal    // from a terminal block on to a connector
	leaves map[circuits.Terminal]int // of a terminal block: leads to other places
}

// lead draws the wires of every number from terminal to terminal.
func (l *ladder) lead() []circuits.Number {
	seen := make(map[circuits.Terminal]bool)
	for i := range l.seats {
		t := l.terminal(&l.seats[i])
		if !seen[t] {
			seen[t] = true
			s := l.section(l.seats[i].at)
			l.spots[s] = append(l.spots[s], spot{t: t})
			l.places[t] = l.seats[i].place.Pos
		}
	}
	// Numbers come in the order in which they are read, those of the older circuit first.
	var names []string
	sections := make(map[string][]point)
	done := make(map[point]bool)
	add := func(s point) {
		if done[s] || len(l.spots[s]) == 0 {
			return
		}
		done[s] = true
		name := l.number[s]
		if sections[name] == nil {
			names = append(names, name)
		}
		sections[name] = append(sections[name], s)
	}
	for _, p := range l.order {
		add(l.section(p))
	}
	if l.Older != nil {
		rank := make(map[string]int)
		for i, n := range l.Older.Numbers {
			rank[n.Name] = i - len(l.Older.Numbers)
		}
		slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(rank[a], rank[b]) })
	}
	cross := newCrossings(l)
	var numbers []circuits.Number
	at := make(map[circuits.Terminal]string) // the number at each terminal
	for _, name := range names {
		number := circuits.Number{Name: name, At: l.places[l.spots[sections[name][0]][0].t]}
		for _, s := range sections[name] {
			number.Wires = append(number.Wires, l.wiresOf(s, cross)...)
		}
		for _, w := range number.Wires {
			at[w.From], at[w.To] = name, name
		}
		numbers = append(numbers, number)
	}
	cross.report()
	for it, ends := range l.ends {
		it.Number, it.OutNumber = l.number[l.section(ends[0])], l.number[l.section(ends[1])]
	}
	for i := range l.Circuit.Rungs {
		if g := l.Circuit.Rungs[i].Ground; g != nil {
			g.Number = at[g.Device.Terminal(g.In)]
			g.OutNumber = g.Number
		}
	}
	return numbers
}

// wiresOf draws the wires of one section.
func (l *ladder) wiresOf(s point, cross *crossings) []circuits.Wire {
	g := &leads{l: l, s: s, landed: make(map[circuits.Terminal]int), leaves: make(map[circuits.Terminal]int)}
	for _, sp := range l.spots[s] {
		sp.place = l.placeOf(sp.t, s)
		g.spots = append(g.spots, sp)
	}
	g.first = g.spots[0].t
	in := make(map[circuits.Terminal]bool)
	for _, sp := range g.spots {
		in[sp.t] = true
	}
	for _, sp := range g.spots {
		if root := l.bridged.Of(sp.t); root != sp.t {
			g.whole.Join(root, sp.t)
		}
	}
	for _, w := range l.fixed {
		if in[w.From] && in[w.To] {
			g.wire(w.From, w.To)
		}
	}
	entries := cross.through(g)
	for _, sp := range g.spots {
		in[sp.t] = true
	}
	if old := l.Older; old != nil {
		for _, n := range old.Numbers {
			for _, w := range n.Wires {
				if in[w.From] && in[w.To] && g.room(w.From) && g.room(w.To) &&
					!g.joined(w.From, w.To) && g.mayLead(w.From, w.To) {
					g.wire(w.From, w.To)
				}
			}
		}
	}
	g.ground()
	for _, w := range g.forced {
		if !g.joined(w[0], w[1]) {
			g.wire(w[0], w[1])
		}
	}
	g.connect(entries)
	return g.runs()
}

// mayLead says whether a wire may go straight from one terminal to another: to a place
// that is reached through something, only from there.
func (g *leads) mayLead(a, b circuits.Terminal) bool {
	place := func(t circuits.Terminal) (string, bool) {
		i := slices.IndexFunc(g.spots, func(sp spot) bool { return sp.t == t })
		return g.spots[i].place, g.isBlock(t) || g.kind(t) == circuits.ConnectorKind
	}
	at, crossing := place(a)
	to, also := place(b)
	through := g.l.Through
	return at == to || crossing || also || len(through[at]) == 0 && len(through[to]) == 0
}

// placeOf gives the place of a terminal. The a side of a connector is where the
// connector is, its b side where the wires beyond it go.
func (l *ladder) placeOf(t circuits.Terminal, s point) string {
	name, at := t.Split()
	d := l.devices[name]
	if d.Type.Kind != circuits.ConnectorKind || !slices.Contains(d.Pins, at[:len(at)-1]) ||
		at[len(at)-1] == 'a' {
		return d.Place
	}
	for _, sp := range l.spots[s] {
		other, _ := sp.t.Split()
		if o := l.devices[other]; o.Type.Kind != circuits.ConnectorKind && o.Place != d.Place {
			return o.Place
		}
	}
	return d.Place
}

// room says whether a terminal takes one more wire.
func (g *leads) room(t circuits.Terminal) bool {
	return g.isBlock(t) || g.isGround(t) || g.landed[t] < mostLanded
}

func (g *leads) joined(a, b circuits.Terminal) bool { return g.whole.Of(a) == g.whole.Of(b) }

// wire draws one wire.
func (g *leads) wire(a, b circuits.Terminal) {
	g.whole.Join(a, b)
	g.landed[a]++
	g.landed[b]++
	g.wires = append(g.wires, [2]circuits.Terminal{a, b})
}

// kind gives the kind of device that a terminal belongs to.
func (g *leads) kind(t circuits.Terminal) circuits.Kind {
	name, _ := t.Split()
	return g.l.devices[name].Type.Kind
}

// isGround says whether a terminal is the metalwork.
func (g *leads) isGround(t circuits.Terminal) bool { return g.kind(t) == circuits.GroundKind }

// isBlock says whether a terminal is one of a terminal block.
func (g *leads) isBlock(t circuits.Terminal) bool { return g.kind(t) == circuits.BlockKind }

// ground bonds the metalwork to the return of the source, or to what is drawn first.
func (g *leads) ground() {
	for _, sp := range g.spots {
		if !g.isGround(sp.t) {
			continue
		}
		to := g.l.bonds[sp.t]
		for _, other := range g.spots {
			if to == "" && !g.isGround(other.t) {
				to = other.t
			}
		}
		if to == "" && g.spots[0].t != sp.t {
			to = g.spots[0].t
		}
		if to != "" && !g.joined(to, sp.t) {
			if !g.room(to) {
				to = g.end(to, "", true)
			}
			g.wire(to, sp.t)
		}
	}
}

// end gives a terminal with room that is joined to another, if there is one at the
// place, the last or the first drawn, and no pin of a connector where there is another;
// else any, and at the worst the terminal itself.
func (g *leads) end(of circuits.Terminal, place string, last bool) circuits.Terminal {
	best, rank := of, 0
	for _, sp := range g.spots {
		if g.isGround(sp.t) || !g.joined(sp.t, of) || !g.room(sp.t) {
			continue
		}
		r := 1
		if g.l.bridged.Has(sp.t) && g.landed[sp.t] == 0 {
			r += 8 // the drawing has it for a wire
		}
		if sp.place == place {
			r += 4
		}
		if g.landed[sp.t] < mostLanded {
			r += 2
		}
		if g.kind(sp.t) != circuits.ConnectorKind {
			r++
		}
		if r > rank || last && r == rank {
			best, rank = sp.t, r
		}
	}
	return best
}

// group is the terminals of a section at one place.
type group struct {
	place string
	spots []circuits.Terminal
}

// connect joins what is not joined yet: at each place in a chain, then place to place
// with one lead each, from the panel out.
func (g *leads) connect(entries map[string]circuits.Terminal) {
	var groups []group
	for _, sp := range g.spots {
		if g.isGround(sp.t) {
			continue
		}
		i := slices.IndexFunc(groups, func(gr group) bool { return gr.place == sp.place })
		if i < 0 {
			i = len(groups)
			groups = append(groups, group{place: sp.place})
		}
		groups[i].spots = append(groups[i].spots, sp.t)
	}
	if len(groups) == 0 {
		return
	}
	for _, gr := range groups {
		at := gr.spots[0]
		for _, t := range gr.spots[1:] {
			if !g.joined(at, t) {
				g.wire(g.end(at, gr.place, true), g.end(t, gr.place, false))
			}
		}
	}
	first := groups[0]
	for _, gr := range groups {
		if slices.Contains(gr.spots, g.first) {
			first = gr
		}
	}
	home := slices.IndexFunc(groups, func(gr group) bool { return gr.place == "panel" })
	home = max(home, 0)
	minutes := g.l.Circuit.Places
	main := groups[home]
	slices.SortStableFunc(groups, func(a, b group) int {
		rank := func(gr group) int {
			switch gr.place {
			case main.place:
				return 0
			case first.place:
				return 1
			}
			return 2
		}
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(minutes[a.place], minutes[b.place]))
	})
	last := main
	for i, gr := range groups[1:] {
		if g.joined(gr.spots[0], main.spots[0]) {
			continue
		}
		entry, through := entries[gr.place]
		if through && !g.joined(entry, gr.spots[0]) {
			g.wire(entry, g.end(gr.spots[0], gr.place, false))
			continue
		}
		landing := func(last bool) circuits.Terminal { // where the lead arrives
			if through { // a box of terminals at the place itself
				return entry
			}
			return g.end(gr.spots[0], gr.place, last)
		}
		switch {
		case i == 0 && gr.place == first.place: // drawn before the panel, and so wired
			g.wire(landing(true), g.end(main.spots[0], main.place, false))
			continue
		case g.hasRoom(main):
			last = main
		}
		g.wire(g.end(last.spots[0], last.place, true), landing(false))
		last = gr
	}
}

// hasRoom says whether any terminal of a group takes one more wire.
func (g *leads) hasRoom(gr group) bool { return slices.ContainsFunc(gr.spots, g.room) }

// runs puts the wires in the order of runs: each from what is drawn first, along one
// branch after the other, the metalwork last.
func (g *leads) runs() []circuits.Wire {
	next := make(map[circuits.Terminal][]int)
	for i, w := range g.wires {
		next[w[0]] = append(next[w[0]], i)
		next[w[1]] = append(next[w[1]], i)
	}
	used := make([]bool, len(g.wires))
	var out []circuits.Wire
	var from func(t circuits.Terminal)
	from = func(t circuits.Terminal) {
		ways := next[t]
		slices.SortStableFunc(ways, func(a, b int) int {
			ground := func(i int) int {
				if g.isGround(g.wires[i][0]) || g.isGround(g.wires[i][1]) {
					return 1
				}
				return 0
			}
			return cmp.Compare(ground(a), ground(b))
		})
		for _, i := range ways {
			if used[i] {
				continue
			}
			used[i] = true
			to := g.wires[i][0]
			if to == t {
				to = g.wires[i][1]
			}
			out = append(out, circuits.Wire{From: t, To: to, At: g.at(t)})
			from(to)
		}
	}
	if !g.isGround(g.first) {
		from(g.first)
	}
	// What hangs on a bridge begins at the terminal block.
	for _, kind := range []func(circuits.Terminal) bool{
		g.l.bridged.Has,
		func(t circuits.Terminal) bool { return !g.isGround(t) },
		g.isGround,
	} {
		for _, sp := range g.spots {
			if kind(sp.t) {
				from(sp.t)
			}
		}
	}
	return out
}

// at gives the place in the file of a terminal; of one that the drawing does not name,
// that of the first of its section.
func (g *leads) at(t circuits.Terminal) circuits.Pos {
	if pos, ok := g.l.places[t]; ok {
		return pos
	}
	return g.l.places[g.first]
}
