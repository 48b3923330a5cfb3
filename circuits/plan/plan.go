package plan

import "deadrung/circuits"

// Wire is one wire of a plan, from terminal to terminal.
type Wire struct {
	Number   string // as it would be on both ends; empty where none is given
	From, To circuits.Terminal
	At       circuits.Pos // where it was read; zero where it was typed
}

// MostWires is how many wires a terminal takes, but for terminal blocks and the metalwork.
// Common practice, no source.
const MostWires = 2

// Kind is what kind of mistake a plan has.
type Kind string

const (
	// Unknown: no device of the circuit has the terminal that a wire runs to.
	Unknown Kind = "unknown-terminal"
	// Itself: a wire runs from a terminal to itself.
	Itself Kind = "to-itself"
	// Crowded: more than two wires land on a terminal.
	Crowded Kind = "crowded"
	// Missing: terminals that are one conductor on the drawing are not joined.
	Missing Kind = "missing"
	// Joined: a wire joins what the drawing keeps apart.
	Joined Kind = "joined"
	// WrongContact: a contact of another kind stands where the drawing has one, or one that
	// shares a terminal with another which has to be on another conductor.
	WrongContact Kind = "wrong-contact"
	// Extra: something is wired in that the drawing does not have there.
	Extra Kind = "extra"
	// Left: a device, or a part of one, is not wired at all.
	Left Kind = "left-out"
	// Reversed: a source stands the wrong way round, or two lines of a motor are exchanged.
	Reversed Kind = "reversed"
	// Around: a conductor does not pass the terminal block that the drawing has in it.
	Around Kind = "around-block"
	// TwoNumbers: one conductor has several wire numbers, or a wire has none.
	TwoNumbers Kind = "two-numbers"
	// OneNumber: two conductors have the same wire number.
	OneNumber Kind = "one-number"
)

// Mistake is one thing that is wrong with a plan, and where.
type Mistake struct {
	Kind Kind `json:"kind"`
	// Terminals are where it is: those that have to be joined to With; the crowded one; those of
	// a conductor with several numbers.
	Terminals []circuits.Terminal `json:"terminals,omitempty"`
	// With are what the terminals belong to: the rest of their conductor, none where that has no
	// wire at all; of two conductors with one number, the other.
	With []circuits.Terminal `json:"with,omitempty"`
	// Wire is the wire that is wrong, as an index into the plan; -1 where none is.
	Wire int `json:"wire"`
	// Device is what it is about, Part which contact, coil or pin: CR1:21-22.
	Device *circuits.Device `json:"-"`
	Part   string           `json:"part,omitempty"`
	// Wants is the kind of contact on the drawing (no, nc, auto, no timed); Instead are
	// contacts of the device of that kind that could be taken.
	Wants   string   `json:"wants,omitempty"`
	Instead []string `json:"instead,omitempty"`
	// Numbers are the wire numbers that it is about.
	Numbers []string `json:"numbers,omitempty"`
}

// Judgement is what there is to say about a plan.
type Judgement struct {
	Mistakes []Mistake
	// Spare are wires (indices into the plan) without which everything would be joined as it is.
	// They are no mistake.
	Spare []int
	// Whole tells by wire number of the circuit whether the plan joins all of that conductor, with
	// nothing that does not belong to it.
	Whole []bool
}

// Unfinished tells whether a mistake may be only that the plan is not finished.
func (m Mistake) Unfinished() bool { return m.Kind == Missing || m.Kind == Left || m.Kind == Around }

// Done counts the conductors that are whole.
func (j *Judgement) Done() int {
	n := 0
	for _, whole := range j.Whole {
		if whole {
			n++
		}
	}
	return n
}

// Right tells whether a plan has no mistake.
func (j *Judgement) Right() bool { return len(j.Mistakes) == 0 }

// Judge holds a plan against the circuit as it is drawn. Mistakes come in the order of the
// drawing's wire numbers and the plan's wires: first those of single wires, then what is joined,
// then the numbers.
func Judge(c *circuits.Circuit, wires []Wire) *Judgement {
	hw := hardwareOf(c)
	j := &Judgement{}
	good := make([]bool, len(wires)) // it runs between two terminals that there are
	for i, w := range wires {
		good[i] = true
		for _, t := range []circuits.Terminal{w.From, w.To} {
			if _, ok := hw.index[t]; !ok {
				good[i] = false
				j.add(Mistake{Kind: Unknown, Wire: i, Terminals: []circuits.Terminal{t}})
			}
		}
		if good[i] && w.From == w.To {
			good[i] = false
			j.add(Mistake{Kind: Itself, Wire: i, Terminals: []circuits.Terminal{w.From}})
		}
	}
	drawn := hw.wired(drawnWires(c), nil)
	planned := hw.wired(wires, good)
	j.crowded(planned)
	j.Spare = planned.spare
	m := match(drawn, planned)
	m.tell(j)
	return j
}

func (j *Judgement) add(m Mistake) { j.Mistakes = append(j.Mistakes, m) }

// crowded tells of terminals with more wires than they take.
func (j *Judgement) crowded(p *wiring) {
	for t, wires := range p.landed {
		d := p.hw.device[t]
		if len(wires) > MostWires && d.Type.Kind != circuits.BlockKind && d.Type.Kind != circuits.GroundKind {
			j.add(Mistake{Kind: Crowded, Wire: wires[MostWires], Device: d,
				Terminals: []circuits.Terminal{p.hw.terminals[t]}})
		}
	}
}

// drawnWires are the wires of the circuit as a plan.
func drawnWires(c *circuits.Circuit) []Wire {
	var wires []Wire
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			wires = append(wires, Wire{Number: n.Name, From: w.From, To: w.To, At: w.At})
		}
	}
	return wires
}
