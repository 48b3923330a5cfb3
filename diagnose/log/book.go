package log

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// Book is the panel that a log is of: it knows which checks can be made there.
type Book struct {
	panel  *work.Panel
	faults []faultmodel.Fault
	hands  [][]int // by step, by operator: its position
	held   []int   // by step: the first step with the operators in the same positions
	rules  Rules
	reach  *reach
}

// NewBook makes the book of a panel. The faults are those that an act may name.
func NewBook(p *work.Panel, faults []faultmodel.Fault) *Book {
	b := &Book{panel: p, faults: faults}
	positions := make(map[*circuits.Device]int)
	var dead [][]int // hands, with what is electronic left as it is
	for _, s := range p.Circuit.Steps {
		for _, set := range s.Set {
			positions[set.Device] = set.Position
		}
		var row []int
		for _, d := range p.Operators() {
			at, ok := positions[d]
			if !ok {
				at = d.Rest
			}
			row = append(row, at)
		}
		still := slices.Clone(row)
		for i, d := range p.Operators() {
			if d.Type.Electronic {
				still[i] = d.Rest
			}
		}
		first := slices.IndexFunc(dead, func(r []int) bool { return slices.Equal(r, still) })
		if first < 0 || p.Keeps() { // relays may stand otherwise
			first = len(b.hands)
		}
		b.hands, dead = append(b.hands, row), append(dead, still)
		b.held = append(b.held, first)
	}
	b.Obey(Rules{})
	return b
}

// Obey has the book propose nothing that the rules forbid.
func (b *Book) Obey(r Rules) {
	b.rules = r
	b.reach = newReach(b)
}

// Rules are those that the book obeys.
func (b *Book) Rules() Rules { return b.rules }

// Panel is the panel of the book.
func (b *Book) Panel() *work.Panel { return b.panel }

// Held gives the first step in which the operators stand as in this one: with the power
// off the two are one condition. What is electronic is not held then, since it does not
// conduct with the power off whatever is before it. Where a relay keeps its position each step is one of its own.
func (b *Book) Held(step int) int { return b.held[step] }

// Hands gives the positions of [work.Panel.Operators] in a step.
func (b *Book) Hands(step int) []int { return b.hands[step] }

// Allows tells why the leads of a check are not put where it says, or wires not lifted
// there; nil if nothing speaks against it. Its step is not looked at.
func (b *Book) Allows(c Check) error {
	leads := c.Leads()
	for _, t := range slices.Concat(leads, c.Lifted) {
		if b.panel.Node(t) == 0 {
			return b.noTerminal(t)
		}
	}
	for _, t := range c.Lifted {
		name, _ := t.Split()
		switch {
		case b.panel.Device(name).Type.Kind == circuits.GroundKind:
			return fmt.Errorf("the bonding wires on %s stay where they are: lift the other end of the part", t)
		case !b.fedOutside(t) && !b.panel.Wired(t):
			return fmt.Errorf("no wire lands on %s, so none can be lifted there", t)
		}
	}
	for _, t := range slices.Concat(leads, c.Lifted) {
		if b.fedOutside(t) {
			return errFedOutside(t)
		}
	}
	return b.sparesSecondaries(c.Kind(), leads, c.Lifted)
}

// sparesSecondaries tells why a check is not made at the secondary of a current transformer: with the
// power on no lead goes there, and at no time a wire is lifted that opens it.
func (b *Book) sparesSecondaries(kind Kind, leads, lifted []circuits.Terminal) error {
	if kind == Volts {
		for _, t := range leads {
			if d := b.panel.Measuring(b.panel.Node(t)); d != nil {
				return fmt.Errorf("%s belongs to the secondary of current transformer %s: where that stands open it carries "+
					"a voltage that kills, so no lead goes there with the power on; look at what hangs on it, or lock off", t, d.Name)
			}
		}
	}
	if len(lifted) == 0 {
		return nil
	}
	o, err := b.panel.Lift(work.Overlay{}, lifted)
	if err != nil {
		return nil // which is told elsewhere
	}
	if d := b.panel.OpensSecondary(o); d != nil {
		var names []string
		for _, t := range lifted {
			names = append(names, string(t))
		}
		return fmt.Errorf("lifting %s opens the secondary of current transformer %s, which is never opened: while current flows in "+
			"its primary it then carries a voltage that kills; measure with the wires landed", strings.Join(names, " and "), d.Name)
	}
	return nil
}

// LeadOn tells why a person would put no lead on a terminal; nil if one is of use there. A
// check-out reaches through a part to a terminal without a wire, where a lead alone reads
// nothing.
func (b *Book) LeadOn(t circuits.Terminal) error {
	name, _ := t.Split()
	switch {
	case b.panel.Node(t) == 0:
		return b.noTerminal(t)
	case b.fedOutside(t):
		return errFedOutside(t)
	case b.panel.Device(name).Type.Kind != circuits.GroundKind && !b.panel.Wired(t):
		return fmt.Errorf("no wire lands on %s: a lead reads nothing there", t)
	}
	return nil
}

func errFedOutside(t circuits.Terminal) error {
	return fmt.Errorf("%s is fed from outside this circuit, maybe at a higher voltage, "+
		"and its lock-out is not this one's: no lead goes there", t)
}

// fedOutside tells whether a terminal is of a transformer's primary that is no part of the
// circuit.
func (b *Book) fedOutside(t circuits.Terminal) bool {
	name, at := t.Split()
	d := b.panel.Device(name)
	return d.HasPrimary() && slices.Contains(d.Primary[:], at) && !b.panel.PrimaryWired(d)
}

// noTerminal says why a terminal is none, and what is near it.
func (b *Book) noTerminal(t circuits.Terminal) error {
	name, _ := t.Split()
	d := b.panel.Device(name)
	if d == nil {
		var names []string
		for _, d := range b.panel.Circuit.Devices {
			names = append(names, d.Name)
		}
		return fmt.Errorf("no device has the terminal %q: there is no device %q%s", t, name,
			circuits.Suggest(name, names))
	}
	return fmt.Errorf("%s has no terminal %q; it has %s", d.Name, t, strings.Join(d.Terminals, ", "))
}
