package work

import (
	"fmt"
	"math/cmplx"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/joined"
	"deadrung/circuits/network"
)

// Verify works the good circuit step by step and holds it against what the file
// expects. Each disagreement is a Problem at the place of the expectation that names
// the step, the device, both values and why. Text, if not nil, is the circuit file,
// for the lines in the problems.
func (p *Panel) Verify(text []byte) circuits.Problems {
	lines := strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")
	var problems circuits.Problems
	add := func(at circuits.Pos, what, hint string) {
		pr := circuits.Problem{File: p.Circuit.File, Pos: at, What: what, Hint: hint}
		if at.Line >= 1 && at.Line <= len(lines) && text != nil {
			pr.Source = lines[at.Line-1]
		}
		problems = append(problems, pr)
	}
	none := &Overlay{}
	var said []*circuits.Device // protective devices whose opening has been told
	p.Work(none, func(i int, e *End) bool {
		step := &p.Circuit.Steps[i]
		if len(e.Blown) > len(said) {
			blown := slices.DeleteFunc(slices.Clone(e.Blown),
				func(d *circuits.Device) bool { return slices.Contains(said, d) })
			for _, d := range blown {
				p.tellBlown(step, e, d, add)
			}
			said = e.Blown
		}
		if len(e.Collapsed) > 0 {
			var shorted []string
			for _, s := range e.Collapsed {
				shorted = append(shorted, p.SourceDevice(s).Called())
			}
			add(step.At, fmt.Sprintf("in step %q %s is shorted with nothing to protect it", step.Name,
				strings.Join(shorted, ", ")),
				"look for a load that the wires bridge")
		}
		if len(e.Chatter) > 0 {
			add(step.At, fmt.Sprintf("in step %q %s chatters: it finds no rest", step.Name, names(e.Chatter)),
				"a relay must not open the way to its own coil")
		}
		for _, x := range step.Expect {
			on, _ := p.Look(none, e, x.Device)
			flashes := p.Flashes(none, e, Sight{Device: x.Device})
			switch {
			case x.Flashing && !flashes:
				add(x.At, fmt.Sprintf("in step %q %s is expected flashing, but the circuit as described has it %s and steady",
					step.Name, x.Device.Name, OnOff(on)), "")
				continue
			case x.Flashing, flashes && x.On: // on, by turns
				continue
			case flashes:
				add(x.At, fmt.Sprintf("in step %q %s is expected off, but the circuit as described has it on and off by turns",
					step.Name, x.Device.Name), "")
				continue
			}
			if on == x.On || slices.Contains(e.Chatter, x.Device) {
				continue
			}
			why, dead := p.why(e, x.Device, on)
			if dead && !on || len(e.Collapsed) > 0 && !on {
				continue // what has opened or is shorted has been told
			}
			add(x.At, fmt.Sprintf("in step %q %s is expected %s, but the circuit as described has it %s: %s",
				step.Name, x.Device.Name, OnOff(x.On), OnOff(on), why), "")
		}
		return true
	})
	return problems
}

// OnOff writes a look.
func OnOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

func names(devices []*circuits.Device) string {
	var n []string
	for _, d := range devices {
		n = append(n, d.Name)
	}
	return strings.Join(n, ", ")
}

// tellBlown tells that a protective device opened, and of an overload what takes the most.
func (p *Panel) tellBlown(step *circuits.Step, e *End, d *circuits.Device, add func(circuits.Pos, string, string)) {
	amps, overload := e.Carried[d]
	if !overload {
		add(step.At, fmt.Sprintf("in step %q %s opens: a dead short", step.Name, d.Name),
			"a good circuit blows no fuse; look for a load that the wires bridge")
		return
	}
	most, taken := (*circuits.Device)(nil), 0.0
	for _, load := range p.visible {
		if load.VA > 0 || load.Ohms > 0 {
			continue // the file says what it takes
		}
		v := p.values[load]
		if a := v.Volts / cmplx.Abs(v.Running); a > taken {
			most, taken = load, a
		}
	}
	hint := "more amps for " + d.Name
	if most != nil {
		hint += fmt.Sprintf(", or the va of %s: where the file gives none, %s is taken to draw %.2g A at %g V", most.Name,
			most.Type.Article(), taken, p.values[most].Volts)
	}
	add(step.At, fmt.Sprintf("in step %q %s opens: it is rated %g A and carries %.2g A", step.Name, d.Name, d.Amps, amps), hint)
}

// why tells what stands in the way of a device that is off, or what feeds one that is
// on. Dead is set where a protective device that has opened is in the way.
func (p *Panel) why(e *End, d *circuits.Device, on bool) (why string, dead bool) {
	if l := d.Interlock; l != nil && !on && e.In[slices.Index(p.relays, l)] {
		return l.Name + " is pulled in, and the mechanical interlock keeps it out", false
	}
	feed := p.feed(p.end(d, 0), p.end(d, 1), nil)
	hot, ret := p.end(feed, 0), p.end(feed, 1)
	way := func(from, to network.Node) ([]network.Conductor, bool) {
		if w, ok := p.way(e, from, to, d); ok {
			return w, true
		}
		return p.way(e, from, to, nil) // by no other than its own open contacts
	}
	through := func(in, out int) ([]network.Conductor, bool) {
		there, ok := way(hot, p.end(d, in))
		back, also := way(p.end(d, out), ret)
		return append(there, back...), ok && also
	}
	best, ok := through(0, 1)
	if !ok {
		best, ok = through(1, 0)
	}
	if !ok {
		return p.noWay(feed, d), false
	}
	var open, closed []string
	for _, c := range best {
		part := p.parts[c]
		if part.Kind != ContactPart && part.Kind != LinkPart {
			continue
		}
		if e.State.Closed[c] {
			closed = append(closed, p.Name(c))
			continue
		}
		s := p.Name(c) + " is open"
		switch {
		case part.Kind == LinkPart:
			s = p.Name(c) + " has opened"
			dead = true
		case part.Device.Type.Kind == circuits.RelayKind:
			i := slices.Index(p.relays, part.Device)
			state := relayState(part.Device, e.In[i], e.Timed[i], part.Device.Contacts[part.Contact].Timed)
			s += " (" + part.Device.Name + " " + state + ")"
		case part.Device.Type.Kind == circuits.OperatorKind:
			i := slices.Index(p.operators, part.Device)
			s += " (" + part.Device.Name + " is " + part.Device.Positions[e.Positions[i]] + ")"
		}
		open = append(open, s)
	}
	switch {
	case !on && len(open) > 0:
		return "on the way to " + d.Name + " " + strings.Join(open, ", "), dead
	case on && len(closed) > 0:
		return d.Name + " is fed through " + strings.Join(closed, ", "), false
	case on:
		return d.Name + " is fed with no contact in between", false
	}
	return d.Name + " does not get the volts that it needs", false
}

// relayState tells how a relay stands, to explain a contact of it. Timed tells whether its
// timed contacts are operated, of whether the contact is one of them.
func relayState(d *circuits.Device, in, timed, of bool) string {
	switch {
	case in && of && !d.OffDelay:
		return "is pulled in, timed out: " + yesNo(timed)
	case in:
		return "is pulled in"
	case of && d.OffDelay && timed:
		return "is released, timed out: no"
	case of && !d.OffDelay:
		return "did not pull in, timed out: no"
	}
	return "did not pull in"
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

// noWay tells why no wires and contacts lead from a source through a device and back: the
// terminals without a wire at which the way ends, if it does, else what is not joined.
func (p *Panel) noWay(feed, d *circuits.Device) string {
	var bare []string
	for _, part := range []*circuits.Device{d, feed} {
		for _, name := range part.Ends {
			if t := part.Terminal(name); !p.Wired(t) {
				bare = append(bare, string(t))
			}
		}
	}
	if len(bare) > 0 {
		return "no wire lands on " + circuits.Listed(bare)
	}
	sides := [2]network.Node{p.zone[p.end(feed, 0)], p.zone[p.end(feed, 1)]}
	for i, side := range sides {
		if p.zone[p.end(d, 0)] == side || p.zone[p.end(d, 1)] == side {
			continue
		}
		ends := p.deadEnds(side)
		for k := range d.Ends {
			if at := p.zone[p.end(d, k)]; at != sides[1-i] {
				ends = append(ends, p.deadEnds(at)...)
			}
		}
		slices.Sort(ends)
		ends = slices.Compact(ends)
		what := fmt.Sprintf("no wires and contacts lead from %s to %s", feed.Terminal(feed.Ends[i]), d.Name)
		if len(ends) > 0 {
			what += "; no wire lands on " + circuits.Listed(ends)
		}
		return what
	}
	return fmt.Sprintf("both sides of %s lead to one side of %s", feed.Name, d.Name)
}

// deadEnds lists the terminals without a wire in a zone: the far sides of links and
// contacts. The unused side of a changeover whose other side is wired is none.
func (p *Panel) deadEnds(zone network.Node) []string {
	var ends []string
	for n, at := range p.zone {
		if t := p.Terminal(network.Node(n)); n > 0 && at == zone && !p.Wired(t) && !p.spare(t) {
			ends = append(ends, string(t))
		}
	}
	return ends
}

// spare tells whether a terminal is one side of a changeover whose other side is wired.
func (p *Panel) spare(t circuits.Terminal) bool {
	name, at := t.Split()
	d := p.Device(name)
	for _, c := range d.Contacts {
		for _, other := range d.Contacts {
			if c.B == at && other.A == c.A && p.Wired(d.Terminal(other.B)) {
				return true
			}
		}
	}
	return false
}

// Name writes a conductor as a person would: CR1:11-14, F1, wire 7 from A to B.
func (p *Panel) Name(c network.Conductor) string {
	part := p.parts[c]
	switch part.Kind {
	case WirePart:
		n := p.Circuit.Numbers[part.Number]
		w := n.Wires[part.Wire]
		return fmt.Sprintf("wire %s from %s to %s", n.Name, w.From, w.To)
	case ContactPart:
		k := part.Device.Contacts[part.Contact]
		return fmt.Sprintf("%s:%s-%s", part.Device.Name, k.A, k.B)
	case PinPart:
		return part.Device.Name + ":" + part.Device.Pins[part.Index]
	case LinkPart, HeaterPart:
		if poles := part.Device.Poles; len(poles) > 0 {
			return fmt.Sprintf("%s:%s-%s", part.Device.Name, poles[part.Index][0], poles[part.Index][1])
		}
	case BridgePart:
		b := part.Device.Bridges[part.Index]
		return fmt.Sprintf("%s:%s-%s", part.Device.Name, b[0], b[1])
	}
	return part.Device.Name
}

// way finds the conductors from one node to another that pass the fewest open contacts, and
// none of one device; false if there are none.
func (p *Panel) way(e *End, from, to network.Node, not *circuits.Device) ([]network.Conductor, bool) {
	search := joined.Search[network.Node, network.Conductor]{
		Beside: func(at network.Node, lead func(network.Node, network.Conductor, int)) {
			for _, c := range p.Net.At(at) {
				switch {
				case e.State.Closed[c]:
					lead(p.Net.Other(c, at), c, 0)
				case not == nil || p.parts[c].Device != not:
					lead(p.Net.Other(c, at), c, 1)
				}
			}
		},
	}
	search.From(from, 0)
	return search.Way(to)
}
