package drawing

import (
	"fmt"
	"slices"

	"deadrung/circuits"
	"deadrung/circuits/work"
)

// State is a circuit at the end of a step: what is energised, and where the contacts are.
type State struct {
	Step string
	Off  bool // the power is locked off, and the operators are held as in the step
	// Hot tells by wire number (index into Circuit.Numbers) whether it has its supply's
	// voltage, or part of it, against the grounded side.
	Hot []bool
	// Position of each device with contacts: an index into Device.Positions.
	Position map[*circuits.Device]int
	// Timed is where the timed contacts of a timer are.
	Timed map[*circuits.Device]int
	// On tells which coils are pulled in and which loads work.
	On map[*circuits.Device]bool
	// Blown are the fuses and breakers that have opened.
	Blown []*circuits.Device
}

// hotShare is the share of the supply's voltage above which a conductor counts as
// energised. Common practice, no source: a drop that a technician would not call live.
const hotShare = 0.05

// At is the good circuit at the end of a step, an index into Circuit.Steps; nil if there is
// no such step.
func (d *Drawing) At(step int) *State { return d.AtUnder(&work.Overlay{}, step) }

// AtUnder is the circuit with a fault at the end of a step.
func (d *Drawing) AtUnder(o *work.Overlay, step int) *State {
	var s *State
	d.panel.Work(o, func(i int, e *work.End) bool {
		if i == step {
			s = d.state(o, e, d.Circuit.Steps[i].Name)
		}
		return i < step
	})
	return s
}

// Off is the circuit with the power locked off and the operators held as in a step: nothing
// is energised, every relay is released but those that keep their position.
func (d *Drawing) Off(step int) *State {
	s := d.At(step)
	if s == nil {
		return nil
	}
	s.Off = true
	clear(s.Hot)
	clear(s.On)
	clear(s.Timed)
	for i, at := range d.panel.Released(&work.Overlay{}, step) {
		s.Position[d.panel.Relays()[i]] = at
	}
	return s
}

func (d *Drawing) state(o *work.Overlay, e *work.End, step string) *State {
	p := d.panel
	s := &State{
		Step: step, Hot: make([]bool, len(d.Circuit.Numbers)),
		Position: make(map[*circuits.Device]int), Timed: make(map[*circuits.Device]int),
		On: make(map[*circuits.Device]bool), Blown: e.Blown,
	}
	for i, dev := range p.Operators() {
		s.Position[dev] = e.Positions[i]
	}
	for i, dev := range p.Relays() {
		s.Position[dev], s.Timed[dev] = b2i(e.In[i]), b2i(e.Timed[i])
	}
	for _, dev := range p.Visible() {
		s.On[dev], _ = p.Look(o, e, dev)
	}
	for i, num := range d.Circuit.Numbers {
		if len(num.Wires) == 0 {
			continue
		}
		at := p.Node(num.Wires[0].From)
		for _, dev := range d.Circuit.Devices {
			if dev.Type.Kind != circuits.SourceKind {
				continue
			}
			ret := p.Node(dev.Terminal(dev.Ends[1]))
			if e.Live.Island(at) != e.Live.Island(ret) {
				continue
			}
			if v, ok := e.Live.Between(at, ret); ok && v >= hotShare*dev.Volts {
				s.Hot[i] = true
			}
		}
	}
	return s
}

// Title says in words which state it is; none is at rest.
func (s *State) Title() string {
	switch {
	case s == nil:
		return "at rest, power off"
	case s.Off:
		return fmt.Sprintf("power locked off, operators held as in step %q", s.Step)
	}
	return fmt.Sprintf("at the end of step %q", s.Step)
}

// closed tells whether a contact is closed, at rest or in a state.
func (s *State) closed(p *Part) bool {
	c := p.Device.Contacts[p.Index]
	return c.Closed[s.position(p)]
}

// fed tells whether a fuse or a breaker is closed: with the power on, unless it has opened.
func (s *State) fed(d *circuits.Device) bool {
	return s != nil && !s.Off && !slices.Contains(s.Blown, d)
}

// position is where a contact stands, at rest or in a state.
func (s *State) position(p *Part) int {
	if s == nil {
		return p.Device.Rest
	}
	if p.Device.Contacts[p.Index].Timed {
		return s.Timed[p.Device]
	}
	return s.Position[p.Device]
}

// operated tells whether a contact stands otherwise than at rest.
func (s *State) operated(p *Part) bool {
	return s != nil && p.Kind == Contact && s.closed(p) != p.Device.ClosedAtRest(p.Index)
}

// hot tells whether a wire number is energised.
func (s *State) hot(number int) bool { return s != nil && number >= 0 && s.Hot[number] }
