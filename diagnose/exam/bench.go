package exam

import (
	"errors"
	"fmt"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Insert is what an instructor does to put one fault into a trainer and take it out.
type Insert struct {
	Fault faultmodel.ID `json:"fault"`
	Text  string        `json:"text"`
	Ready string        `json:"ready,omitempty"` // what must lie ready
	Put   []string      `json:"put"`             // power locked off
	Take  []string      `json:"take"`            // power locked off again
	Moves []string      `json:"moves,omitempty"` // what is on with it, and where, that should not be
	Check log.Check     `json:"check"`           // tells whether it is in or out
	In    log.Reading   `json:"-"`               // what it reads with the fault in
	Out   log.Reading   `json:"-"`               // and with it out
}

// OnBench tells how a fault is put into a trainer and taken out, with the check that tells
// the one from the other. Prepared says that prepared parts lie ready. The error is the
// reason why it cannot be, or is not.
func OnBench(m *diagnose.Model, fault int, prepared bool) (Insert, error) {
	f := m.Faults()[fault]
	row := faultmodel.InsertionOf(f.Key)
	in := Insert{Fault: f.ID, Text: f.Text}
	if row.Way == faultmodel.NoWay {
		return in, errors.New(row.Why)
	}
	if row.Needs == faultmodel.NeedsPrepared && !prepared {
		return in, errors.New("it needs a prepared part")
	}
	if d := m.Panel().OpensSecondary(f.Overlay); d != nil {
		return in, fmt.Errorf("it opens the secondary of %s, which is never opened", d.Name)
	}
	var err error
	switch row.Way {
	case faultmodel.LiftWire:
		err = in.liftWire(m, f)
	case faultmodel.SwapFuse:
		in.swapFuse(m, f)
	case faultmodel.SwapLamp:
		in.Ready = fmt.Sprintf("a burnt-out lamp for %s, marked as such", f.Effect.OpenLoad)
		in.Put = []string{fmt.Sprintf("Take the lamp out of %s and put the burnt-out one in. Keep the good one with this card.", f.Effect.OpenLoad)}
		in.Take = []string{fmt.Sprintf("Take the burnt-out lamp out of %s and put the good one back.",
			f.Effect.OpenLoad)}
	case faultmodel.SetLongest, faultmodel.SetLeast:
		in.setTimer(m, f, row.Way)
	case faultmodel.TakeBridge:
		in.Put = []string{fmt.Sprintf("Take the bridge %s out and keep it with this card.",
			f.Effect.OpenLink)}
		in.Take = []string{fmt.Sprintf("Put the bridge %s back and tighten its screws.", f.Effect.OpenLink)}
	case faultmodel.TakePin:
		in.Ready = fmt.Sprintf("the maker's tool to withdraw pin %s, or a mate with that pin missing",
			f.Effect.OpenLink)
		in.Put = []string{fmt.Sprintf("Unplug the connector, withdraw pin %s, insulate it and plug the connector in again.", f.Effect.OpenLink)}
		in.Take = []string{fmt.Sprintf("Unplug the connector, put pin %s back until it locks, and plug the connector in again.", f.Effect.OpenLink)}
	case faultmodel.SwapPart:
		d := m.Panel().Circuit.Device(f.Devices[0])
		in.Ready = fmt.Sprintf("a prepared part for %s: %s; its like in all else, marked as prepared",
			d.Called(), f.Text)
		in.Put = []string{fmt.Sprintf("Put the prepared part in the place of %s, every wire on its own screw. Keep the good one with this card.", d.Called())}
		in.Take = []string{fmt.Sprintf("Put the good %s back, every wire on its own screw, tight.",
			d.Called())}
	}
	if err != nil {
		return in, err
	}
	meter := m.Meter(fault)
	for _, move := range movements(m, meter) {
		if move.atRest {
			return in, errors.New("with it something moves where nothing should")
		}
		in.Moves = append(in.Moves, fmt.Sprintf("%s in step %q", move.device.Name, move.step))
	}
	return in, in.findCheck(m, f, meter)
}

// movement is a mover that a fault has on, or unsteady, at the end of a step where the good
// circuit has it off. Not every open is harmless: behind the NC contact of a relay whose coil
// is dead, something goes on running.
type movement struct {
	device *circuits.Device
	step   string
	atRest bool // the good circuit has every mover off there
}

// movements finds all of them.
func movements(m *diagnose.Model, meter *diagnose.Meter) []movement {
	var found []movement
	for _, s := range m.Panel().Circuit.Steps {
		atRest, at := true, len(found)
		for _, d := range m.Panel().Visible() {
			c := log.Check{Look: d.Name, Step: s.Name}
			if good, err := m.Usual(c); !d.Type.Moves || err != nil {
				continue
			} else if good.On {
				atRest = false
				continue
			}
			if with, err := meter.Read(c); err != nil || with.On || !with.Firm {
				found = append(found, movement{device: d, step: s.Name})
			}
		}
		for i := range found[at:] {
			found[at+i].atRest = atRest
		}
	}
	return found
}

// liftWire chooses the end that is easier and safer to lift.
func (in *Insert) liftWire(m *diagnose.Model, f faultmodel.Fault) error {
	w := f.Effect.OpenWire
	p := m.Panel()
	best, least := circuits.Terminal(""), 0
	for _, t := range []circuits.Terminal{w.From, w.To} {
		name, _ := t.Split()
		d := p.Circuit.Device(name)
		if d.Type.Kind == circuits.GroundKind {
			return errors.New("a bonding wire stays where it is")
		}
		cost := len(p.Landings(p.Node(t)))
		if d.Place != "panel" {
			cost += 10 // easier in the panel
		}
		if d.Type.Kind == circuits.SourceKind {
			cost += 100 // rather not at the supply
		}
		if best == "" || cost < least {
			best, least = t, cost
		}
	}
	other := w.From
	if best == w.From {
		other = w.To
	}
	which := fmt.Sprintf("wire %s", w.Wire)
	if n := len(p.Landings(p.Node(best))); n > 1 {
		which = fmt.Sprintf("of the %d wires there only the one of wire %s that goes to %s", n, w.Wire, other)
	}
	in.Ready = "an insulating cap, a tag"
	in.Put = []string{
		fmt.Sprintf("At %s lift %s.", best, which),
		"Put the insulating cap over its bare end, lay it back among the others so that it looks landed, and tighten the screw on what stays.",
	}
	in.Take = []string{fmt.Sprintf("Take the cap off, land wire %s on %s again and tighten the screw. Pull at it.", w.Wire, best)}
	return nil
}

func (in *Insert) swapFuse(m *diagnose.Model, f faultmodel.Fault) {
	d := m.Panel().Circuit.Device(f.Effect.OpenLink)
	in.Ready = fmt.Sprintf("a blown fuse of the size of %s, marked as such", d.Name)
	in.Put = []string{fmt.Sprintf("Take the good fuse out of %s and put the blown one in. Keep the good one with this card.", d.Name)}
	good := "the good one"
	if d.Amps > 0 {
		good += fmt.Sprintf(", %g A, as the circuit has it", d.Amps)
	}
	in.Take = []string{fmt.Sprintf("Take the blown fuse out of %s and put back %s; no other size.",
		d.Name, good)}
}

func (in *Insert) setTimer(m *diagnose.Model, f faultmodel.Fault, way faultmodel.Way) {
	d := m.Panel().Circuit.Device(f.Effect.Stuck)
	to := "its longest time: it must be well beyond every wait of the operation"
	if way == faultmodel.SetLeast {
		to = "its least time"
	}
	in.Put = []string{fmt.Sprintf("Note where the dial of %s stands. Set it to %s.", d.Name, to)}
	in.Take = []string{fmt.Sprintf("Set the dial of %s back to %g s.", d.Name, d.Seconds)}
}

// findCheck finds the check that tells whether the fault is in: ohms across what was
// opened, in any position of the operators, with a wire lifted if need be; else a look.
func (in *Insert) findCheck(m *diagnose.Model, f faultmodel.Fault, meter *diagnose.Meter) error {
	try := func(c log.Check) bool {
		out, err := m.Usual(c)
		if err != nil || !out.Firm {
			return false
		}
		with, err := meter.Read(c)
		if err != nil || !with.Firm {
			return false
		}
		answer := with
		e, err := m.Book().NewEntry(c, &answer)
		if err != nil || m.Fits(diagnose.Good, e) {
			return false
		}
		in.Check, in.In, in.Out = c, with, out
		return true
	}
	a, b := across(m.Panel(), f)
	steps := m.Panel().Circuit.Steps
	if a != "" {
		for _, lifted := range [][]circuits.Terminal{nil, {a}, {b}} {
			for _, s := range steps {
				if try(log.Check{Ohms: []circuits.Terminal{a, b}, Lifted: lifted, Step: s.Name}) {
					return nil
				}
			}
		}
	}
	for _, s := range steps {
		for _, d := range m.Panel().Visible() {
			if a == "" && try(log.Check{Look: d.Name, Step: s.Name}) {
				return nil
			}
		}
	}
	return errors.New("no check tells whether it is out again")
}

// across gives the two terminals that a fault opens the way between; none where it opens
// none.
func across(p *work.Panel, f faultmodel.Fault) (a, b circuits.Terminal) {
	e := f.Effect
	switch {
	case e.OpenWire != nil:
		return e.OpenWire.From, e.OpenWire.To
	case e.OpenContact != nil:
		return e.OpenContact[0], e.OpenContact[1]
	case e.OpenLoad != "":
		d := p.Circuit.Device(e.OpenLoad)
		for i, ends := range d.Coils() {
			if d.CoilName(i) == e.Coil {
				return d.Terminal(ends[0]), d.Terminal(ends[1])
			}
		}
	case e.OpenLink != "":
		name, rest, _ := strings.Cut(e.OpenLink, ":")
		d := p.Circuit.Device(name)
		switch d.Type.Kind {
		case circuits.LinkKind:
			return d.Terminal(d.Ends[0]), d.Terminal(d.Ends[1])
		case circuits.ConnectorKind:
			return d.Terminal(rest + "a"), d.Terminal(rest + "b")
		}
		for _, pair := range d.Bridges {
			if pair[0]+"-"+pair[1] == rest {
				return d.Terminal(pair[0]), d.Terminal(pair[1])
			}
		}
	}
	return "", ""
}
