package plan

import (
	"cmp"
	"maps"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/joined"
)

// belongs tells by terminal of the plan to which conductor of the drawing it belongs.
type belongs struct {
	*matching
	to     []int  // by terminal; -1 where the drawing has no use for it
	own    []bool // by terminal: an element or the metalwork is there, and says so
	shared []bool // by element of the plan: one of its terminals would have to be on two conductors
	wrong  []bool // by wire: it joins two conductors
	whole  []bool // by conductor of the drawing
}

// tell adds what differs between the plan and the drawing.
func (m *matching) tell(j *Judgement) {
	b := &belongs{matching: m, to: unset(len(m.drawn.hw.terminals)), own: make([]bool, len(m.drawn.hw.terminals)),
		shared: make([]bool, len(m.drawn.hw.elements)), wrong: make([]bool, len(m.planned.wires)), whole: make([]bool, m.drawn.nodes)}
	for n := range b.whole {
		b.whole[n] = true
	}
	b.take()
	b.tellElements(j)
	b.between()
	b.tellWires(j)
	b.tellPieces(j, b.pieces())
	b.tellNumbers(j)
	for _, n := range m.drawn.hw.circuit.Numbers {
		t := m.drawn.hw.index[n.Wires[0].From]
		j.Whole = append(j.Whole, b.whole[m.drawn.node[t]])
	}
}

// take says where the terminals of what is paired belong. A terminal that two elements share, as
// the common one of a changeover contact, belongs where more of what is there does.
func (b *belongs) take() {
	hw := b.drawn.hw
	for e, p := range b.pairs {
		if p.of < 0 {
			continue
		}
		for i, t := range hw.elements[e].ends {
			at, n := p.end(hw, i), b.drawn.node[t]
			if was := b.to[at]; was >= 0 && was != n {
				b.shared[p.of] = true
				if on := b.planned.node[at]; on < 0 || b.like[was][on] >= b.like[n][on] {
					continue
				}
			}
			b.to[at], b.own[at] = n, true
		}
	}
	bare := make([]bool, b.drawn.nodes) // nothing but terminals of blocks and spare ones is there
	for n := range bare {
		bare[n] = true
	}
	for e, el := range hw.elements {
		if b.drawn.used[e] {
			bare[b.drawn.node[el.ends[0]]], bare[b.drawn.node[el.ends[1]]] = false, false
		}
	}
	for t, d := range hw.device {
		n := b.drawn.node[t]
		if n >= 0 && (d.Type.Kind == circuits.GroundKind || bare[n] && b.to[t] < 0) {
			b.to[t], b.own[t] = n, true
		}
	}
}

// tellElements tells of elements that are left out, of the wrong kind, the wrong way round, or
// wired in beside what the drawing has.
func (b *belongs) tellElements(j *Judgement) {
	hw := b.drawn.hw
	stands := make([]bool, len(hw.elements))
	spoil := func(e int) {
		for _, t := range hw.elements[e].ends {
			b.whole[b.drawn.node[t]] = false
		}
	}
	for e, p := range b.pairs {
		el := &hw.elements[e]
		if !b.drawn.used[e] {
			continue
		}
		if p.of < 0 {
			spoil(e)
			j.add(Mistake{Kind: Left, Wire: -1, Device: el.device, Part: el.name, Wants: el.kind, Instead: b.free(el, -1)})
			continue
		}
		stands[p.of] = true
		if other := &hw.elements[p.of]; other.label != el.label || b.shared[p.of] {
			spoil(e)
			if !el.contact { // it shares a terminal with another winding that needs it elsewhere
				j.add(Mistake{Kind: Extra, Wire: -1, Device: el.device, Part: other.name, Terminals: b.names(other.ends[:])})
				continue
			}
			j.add(Mistake{Kind: WrongContact, Wire: -1, Device: el.device, Part: other.name, Wants: el.kind,
				Instead: b.free(el, p.of), Terminals: b.names(other.ends[:])})
		} else if el.directed && p.flip {
			spoil(e)
			if slices.ContainsFunc(j.Mistakes, func(m Mistake) bool { return m.Kind == Reversed && m.Device == el.device }) {
				continue // one exchange turns all its windings round
			}
			j.add(Mistake{Kind: Reversed, Wire: -1, Device: el.device, Part: el.name, Terminals: b.names(other.ends[:])})
		}
	}
	for e := range hw.elements {
		if el := &hw.elements[e]; b.planned.used[e] && !stands[e] {
			j.add(Mistake{Kind: Extra, Wire: -1, Device: el.device, Part: el.name, Terminals: b.names(el.ends[:])})
		}
	}
}

// free lists the contacts of a kind that could be taken: no wire is on them, but where they share
// a terminal with the contact that was taken in place of one; -1 where none was.
func (b *belongs) free(like *element, taken int) []string {
	hw := b.drawn.hw
	var free []string
	for i := range hw.elements {
		e := &hw.elements[i]
		if !e.contact || e.label != like.label || i == taken {
			continue
		}
		if !slices.ContainsFunc(e.ends[:], func(t int) bool {
			shared := taken >= 0 && slices.Contains(hw.elements[taken].ends[:], t)
			return len(b.planned.landed[t]) > 0 && !shared
		}) {
			free = append(free, e.name)
		}
	}
	return free
}

func (b *belongs) names(terminals []int) []circuits.Terminal {
	var names []circuits.Terminal
	for _, t := range terminals {
		names = append(names, b.drawn.hw.terminals[t])
	}
	return names
}

// Votes for where a terminal belongs that no element speaks for: those of a block, and spare
// ones that wires meet on.
const (
	byWire     = 1    // that leads to what belongs there
	byNumber   = 0.75 // of a wire, that is otherwise on that conductor alone
	byDrawing  = 0.5  // where the drawing has it there, and something else votes for that
	mostPasses = 1000 // through blocks, one after another
)

// between says where terminals belong that no element speaks for. What is wired to others of
// them alone goes with these.
func (b *belongs) between() {
	hw, p, home := b.drawn.hw, b.planned, b.homes()
	sets := joined.New(len(hw.terminals))
	for _, f := range hw.fixed {
		sets.Join(int32(f[0]), int32(f[1]))
	}
	for pass := range mostPasses {
		votes := make(map[int32]map[int]float64)
		vote := func(t, node int, worth float64) {
			set := sets.Of(int32(t))
			if votes[set] == nil {
				votes[set] = make(map[int]float64)
			}
			votes[set][node] += worth
		}
		for i, w := range p.wires {
			if !p.can(i) {
				continue
			}
			n, numbered := home[w.Number]
			for k, t := range p.ends[i] {
				if b.to[t] >= 0 {
					continue
				}
				if other := b.to[p.ends[i][1-k]]; other >= 0 {
					vote(t, other, byWire)
				}
				if numbered && pass == 0 {
					vote(t, n, byNumber)
				}
			}
		}
		if len(votes) == 0 {
			return
		}
		for t, n := range b.drawn.node {
			if set := sets.Of(int32(t)); n >= 0 && b.to[t] < 0 && len(p.landed[t]) > 0 && votes[set][n] > 0 {
				vote(t, n, byDrawing)
			}
		}
		for t := range b.to {
			if b.to[t] >= 0 {
				continue
			}
			most := 0.0
			for n := range b.drawn.nodes {
				if v := votes[sets.Of(int32(t))][n]; v > most {
					b.to[t], most = n, v
				}
			}
		}
	}
}

// homes gives by wire number the conductor that most of its ends are on at which an element
// speaks for one; a number that is on several alike has none.
func (b *belongs) homes() map[string]int {
	ends := make(map[string]map[int]int)
	for i, w := range b.planned.wires {
		if !b.planned.can(i) || w.Number == "" {
			continue
		}
		if ends[w.Number] == nil {
			ends[w.Number] = make(map[int]int)
		}
		for _, t := range b.planned.ends[i] {
			if b.own[t] {
				ends[w.Number][b.to[t]]++
			}
		}
	}
	home := make(map[string]int)
	for number, on := range ends {
		most := 0
		for n, k := range on {
			switch {
			case k > most:
				home[number], most = n, k
			case k == most:
				delete(home, number)
			}
		}
	}
	return home
}

// tellWires tells of wires that join two conductors, and of those that lead nowhere.
func (b *belongs) tellWires(j *Judgement) {
	p := b.planned
	for i := range p.wires {
		if !p.can(i) {
			continue
		}
		from, to := b.to[p.ends[i][0]], b.to[p.ends[i][1]]
		switch {
		case from < 0 || to < 0: // then neither belongs anywhere
			j.add(Mistake{Kind: Extra, Wire: i, Terminals: b.names(p.ends[i][:])})
		case from != to:
			b.wrong[i], b.whole[from], b.whole[to] = true, false, false
			j.add(Mistake{Kind: Joined, Wire: i, Terminals: b.beside(p.ends[i][0]), With: b.beside(p.ends[i][1])})
		}
	}
}

// beside lists a terminal and what else belongs to its conductor.
func (b *belongs) beside(t int) []circuits.Terminal {
	list := []int{t}
	for other := range b.to {
		if other != t && b.own[other] && b.to[other] == b.to[t] {
			list = append(list, other)
		}
	}
	return b.names(list)
}

// piece is a part of a conductor that the plan joins.
type piece struct {
	terminals []int
	owned     int // terminals at which an element says that they belong here
	wires     []int
}

// pieces gives by conductor of the drawing what the plan joins of it, the greatest first.
func (b *belongs) pieces() [][]*piece {
	p := b.planned
	sets := joined.New(len(b.to))
	for _, f := range b.drawn.hw.fixed {
		sets.Join(int32(f[0]), int32(f[1]))
	}
	for i := range p.wires {
		if p.can(i) && !b.wrong[i] {
			sets.Join(int32(p.ends[i][0]), int32(p.ends[i][1]))
		}
	}
	all := make([][]*piece, b.drawn.nodes)
	of := make(map[int32]*piece)
	for t, n := range b.to {
		if n < 0 || !b.own[t] && len(p.landed[t]) == 0 {
			continue
		}
		set := sets.Of(int32(t))
		if of[set] == nil {
			of[set] = &piece{}
			all[n] = append(all[n], of[set])
		}
		of[set].terminals = append(of[set].terminals, t)
		if b.own[t] {
			of[set].owned++
		}
	}
	for i := range p.wires {
		if x := of[sets.Of(int32(p.ends[i][0]))]; p.can(i) && !b.wrong[i] && x != nil {
			x.wires = append(x.wires, i)
		}
	}
	for n := range all {
		all[n] = slices.DeleteFunc(all[n], func(x *piece) bool { return x.owned == 0 })
		slices.SortStableFunc(all[n], func(x, y *piece) int { return cmp.Compare(y.owned, x.owned) })
	}
	return all
}

// tellPieces tells of conductors that are not joined, or that do not pass their terminal block.
func (b *belongs) tellPieces(j *Judgement, pieces [][]*piece) {
	for n, parts := range pieces {
		if len(parts) == 0 {
			continue
		}
		var bare []int // terminals without a wire
		for _, x := range parts[1:] {
			b.whole[n] = false
			if len(x.wires) == 0 {
				bare = append(bare, x.terminals...)
				continue
			}
			j.add(Mistake{Kind: Missing, Wire: b.deadEnd(n), Terminals: b.names(x.terminals), With: b.names(parts[0].terminals)})
		}
		switch first := parts[0]; {
		case len(bare) == 0:
		case len(first.wires) == 0:
			j.add(Mistake{Kind: Missing, Wire: b.deadEnd(n), Terminals: b.names(append(first.terminals, bare...))})
		default:
			j.add(Mistake{Kind: Missing, Wire: b.deadEnd(n), Terminals: b.names(bare), With: b.names(first.terminals)})
		}
		for _, block := range b.drawn.blocks(n) {
			passes := slices.ContainsFunc(parts, func(x *piece) bool {
				return slices.ContainsFunc(x.terminals, func(t int) bool { return b.drawn.hw.device[t] == block })
			})
			if !passes {
				b.whole[n] = false
				j.add(Mistake{Kind: Around, Wire: -1, Device: block, Part: block.Name, Terminals: b.names(parts[0].terminals)})
			}
		}
	}
}

// deadEnd is the wire of a conductor that ends where the drawing has nothing; -1 where there
// is none, or more than one.
func (b *belongs) deadEnd(node int) int {
	found := -1
	for t, wires := range b.planned.landed {
		if b.to[t] != node || b.own[t] || len(wires) != 1 || b.drawn.hw.device[t].Type.Kind == circuits.BlockKind {
			continue
		}
		if found >= 0 {
			return -1
		}
		found = wires[0]
	}
	return found
}

// tellNumbers tells of conductors with several wire numbers or none, and of numbers that are on
// several conductors. What only the metalwork joins may have a number each.
func (b *belongs) tellNumbers(j *Judgement) {
	home := make(map[string]numbered)
	for _, x := range b.numbered() {
		names := slices.Collect(maps.Keys(x.wires))
		slices.SortFunc(names, func(a, c string) int {
			return cmp.Or(cmp.Compare(len(x.wires[c]), len(x.wires[a])), cmp.Compare(a, c))
		})
		most := names[0]
		if len(names) > 1 || most == "" {
			j.add(Mistake{Kind: TwoNumbers, Wire: x.wires[names[len(names)-1]][0], Numbers: names, Terminals: b.names(x.terminals)})
		}
		if most == "" {
			continue
		}
		first, used := home[most]
		if used && first.node != x.node {
			j.add(Mistake{Kind: OneNumber, Wire: x.wires[most][0], Numbers: names[:1], Terminals: b.names(x.terminals),
				With: b.names(first.terminals)})
		} else if !used {
			home[most] = x
		}
	}
}

// numbered is what wires alone join, and by number which wires those are.
type numbered struct {
	node      int // the conductor of the drawing to which it belongs
	terminals []int
	wires     map[string][]int
}

// numbered gives what wires alone join, in the order of the drawing's conductors.
func (b *belongs) numbered() []numbered {
	hw, p := b.drawn.hw, b.planned
	sets := joined.New(len(b.to))
	bar := func(t int) bool { return hw.device[t].Type.Kind == circuits.GroundKind }
	for _, f := range hw.fixed {
		if !bar(f[0]) {
			sets.Join(int32(f[0]), int32(f[1]))
		}
	}
	counts := func(wire int) bool { return p.can(wire) && !b.wrong[wire] }
	for i := range p.wires {
		if ends := p.ends[i]; counts(i) && !bar(ends[0]) && !bar(ends[1]) {
			sets.Join(int32(ends[0]), int32(ends[1]))
		}
	}
	of := make(map[int32]*numbered)
	for i, w := range p.wires {
		at := p.ends[i][0]
		if bar(at) {
			at = p.ends[i][1]
		}
		if !counts(i) || b.to[at] < 0 {
			continue
		}
		set := sets.Of(int32(at))
		if of[set] == nil {
			of[set] = &numbered{node: b.to[at], wires: make(map[string][]int)}
		}
		of[set].wires[w.Number] = append(of[set].wires[w.Number], i)
		for _, t := range p.ends[i] {
			if !slices.Contains(of[set].terminals, t) {
				of[set].terminals = append(of[set].terminals, t)
			}
		}
	}
	all := make([]numbered, 0, len(of))
	for _, set := range slices.Sorted(maps.Keys(of)) {
		slices.Sort(of[set].terminals)
		all = append(all, *of[set])
	}
	slices.SortStableFunc(all, func(x, y numbered) int { return cmp.Compare(x.node, y.node) })
	return all
}
