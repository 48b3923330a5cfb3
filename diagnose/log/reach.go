package log

import (
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// What one person at the panel can do: both leads of a meter are at one place, what has to
// be held is held by the hands that there are, and what nobody can bring about is not asked
// for. It is a rule of what is proposed; a check that somebody made all the same is evidence
// like any other.

// reach is what there is to reach and to hold at a panel under the rules.
type reach struct {
	area   map[string]int // by place: equal for places that count as one
	areas  int
	closed map[string]bool // by place: nobody goes there
	at     [][]int         // by node: the areas where a lead can be put on it
	held   [][]int         // by step: the areas of the operators that spring back unless held
	dead   [][]int         // by step: the same with the power off
	live   []bool          // by step: the circuit can be brought to its end
	off    []bool          // by step: its operators can be put as there with the power off

	ground network.Node
	bonds  map[int]circuits.Terminal // by area: the metalwork that is there
}

func newReach(b *Book) *reach {
	p := b.panel
	r := &reach{area: make(map[string]int), closed: make(map[string]bool),
		at: make([][]int, p.Net.Nodes()+1), bonds: make(map[int]circuits.Terminal)}
	for _, place := range b.rules.OutOfReach {
		r.closed[place] = true
	}
	areas := make(map[string]int)
	number := func(place string) {
		name := p.Circuit.Area(place)
		if _, ok := areas[name]; !ok {
			areas[name] = len(areas)
		}
		r.area[place] = areas[name]
	}
	number("panel") // where the person begins
	for _, d := range p.Circuit.Devices {
		number(d.Place)
	}
	r.areas = len(areas)
	add := func(n network.Node, d *circuits.Device) bool {
		if r.closed[d.Place] {
			return false
		}
		if area := r.area[d.Place]; !slices.Contains(r.at[n], area) {
			r.at[n] = append(r.at[n], area)
		}
		return true
	}
	for _, d := range p.Circuit.Devices {
		for _, name := range d.Terminals {
			t := d.Terminal(name)
			n := p.Node(t)
			if add(n, d) && d.Type.Kind == circuits.GroundKind {
				r.ground, r.bonds[r.area[d.Place]] = n, t
			}
		}
	}
	// The metalwork is one node, and it is wherever a device is bonded to it.
	for _, w := range p.Landings(r.ground) {
		x, y := p.Net.Ends(w)
		name, _ := p.Terminal(x + y - r.ground).Split()
		add(r.ground, p.Device(name))
	}
	r.hands(b)
	return r
}

// hands works out which steps there are hands for.
func (r *reach) hands(b *Book) {
	live := true
	for step := range b.panel.Circuit.Steps {
		off := true
		var held, dead []int
		for i, d := range b.panel.Operators() {
			if b.hands[step][i] == d.Rest {
				continue
			}
			closed := d.NotAtWill || r.closed[d.Place]
			live = live && !closed // what comes after follows from it
			off = off && (!closed || d.Type.Electronic)
			if d.Momentary {
				held = append(held, r.area[d.Place])
				if !d.Type.Electronic {
					dead = append(dead, r.area[d.Place])
				}
			}
		}
		r.held, r.dead = append(r.held, held), append(r.dead, dead)
		r.live, r.off = append(r.live, live), append(r.off, off)
	}
}

// Within tells whether a check can be made where its leads reach, with the hands that there
// are, under the rules.
func (b *Book) Within(l Located) bool {
	if l.Kind != Look && b.panel.HasMeasuring() &&
		b.sparesSecondaries(l.Kind, []circuits.Terminal{b.panel.Terminal(l.A), b.panel.Terminal(l.B)}, l.Lifted) != nil {
		return false
	}
	_, ok := b.where(l)
	return ok
}

// Area gives the place where a check is made, by the number of those that count as one, and
// how many operators are held there and elsewhere meanwhile. It looks at no rule.
func (b *Book) Area(l Located) (area, here, elsewhere int) {
	areas := b.areas(l)
	if len(areas) == 0 {
		areas = b.anywhere(l)
	}
	held := b.reach.held[l.Step]
	if l.Kind.Off() {
		held = b.reach.dead[l.Step]
	}
	for i, a := range areas {
		h := 0
		for _, x := range held {
			if x == a {
				h++
			}
		}
		if e := len(held) - h; i == 0 || e < elsewhere {
			area, here, elsewhere = a, h, e
		}
	}
	return area, here, elsewhere
}

// Areas counts the places of the circuit that do not count as one.
func (b *Book) Areas() int { return b.reach.areas }

// AreaOf numbers a place: places that count as one have the same number.
func (b *Book) AreaOf(place string) int { return b.reach.area[place] }

// Across tells whether a check puts its leads in places that do not count as one.
func (b *Book) Across(l Located) bool {
	return l.Kind != Look && len(b.shared(l)) == 0
}

// Ground is the node of the bonded metalwork, 0 for none.
func (b *Book) Ground() network.Node { return b.reach.ground }

// where gives the place where a check is made, false where it cannot be.
func (b *Book) where(l Located) (area int, ok bool) {
	r, rules := b.reach, b.rules
	switch {
	case l.Kind != Look && rules.LooksOnly, l.Kind == Volts && rules.NoLive,
		len(l.Lifted) > 0 && rules.NoLift, l.Kind.Off() && !r.off[l.Step],
		!l.Kind.Off() && !r.live[l.Step], l.Kind == Look && !b.heard(l) && r.closed[l.Device.Place]:
		return 0, false
	}
	for _, t := range l.Lifted {
		if name, _ := t.Split(); r.closed[b.panel.Device(name).Place] {
			return 0, false
		}
	}
	if len(b.areas(l)) == 0 {
		return 0, false
	}
	area, here, elsewhere := b.Area(l)
	// One hand is free at the meter, whose leads are clipped on; each helper has one too.
	return area, elsewhere+max(0, here-1) <= rules.Helpers
}

// shared are the places where both leads reach, or where a device is looked at.
func (b *Book) shared(l Located) []int {
	if l.Kind == Look {
		at := []int{b.reach.area[l.Device.Place]}
		if b.heard(l) {
			at = append(at, b.reach.held[l.Step]...)
		}
		return at
	}
	at := b.reach.at[l.B]
	if l.A == l.B || len(b.reach.at[l.A]) == 1 && len(at) == 1 && b.reach.at[l.A][0] == at[0] {
		return at
	}
	var both []int
	for _, a := range b.reach.at[l.A] {
		if slices.Contains(at, a) {
			both = append(both, a)
		}
	}
	return both
}

// heard tells whether a look is told by ear, from wherever an operator is held.
func (b *Book) heard(l Located) bool { return l.Kind == Look && l.Device.Type.Looks[l.Look].Heard }

// areas are the places where a check can be made with the leads that there are.
func (b *Book) areas(l Located) []int {
	both := b.shared(l)
	if len(both) == 0 && b.rules.LongLead && len(b.reach.at[l.A]) > 0 && len(b.reach.at[l.B]) > 0 {
		return slices.Concat(b.reach.at[l.A], b.reach.at[l.B])
	}
	return both
}

// anywhere is where the red lead is, for a check that cannot be made in one place.
func (b *Book) anywhere(l Located) []int {
	if l.Kind == Look {
		return b.shared(l)
	}
	name, _ := b.panel.Terminal(l.A).Split()
	return []int{b.reach.area[b.panel.Device(name).Place]}
}

// near gives the terminal of a node that is where the other lead is: the metalwork has one at
// each place that a ground stands at.
func (b *Book) near(n, other network.Node) circuits.Terminal {
	if n == b.reach.ground && n != 0 {
		for _, a := range b.reach.at[other] {
			if t, ok := b.reach.bonds[a]; ok {
				return t
			}
		}
	}
	return b.panel.Terminal(n)
}
