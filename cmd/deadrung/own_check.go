package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
)

// other has another check chosen: one of the next best, or one of the person's own.
// It gives nil if the person returns without.
func (d *dialogue) other() (*diagnose.Proposal, error) {
	q := question{
		text:    "Which check?",
		choices: []choice{returnChoice},
		help:    "The checks with a time are the next best. A check of your own is a look, volts or ohms anywhere in the circuit, at any step.",
	}
	for _, p := range d.turn.Others {
		q.choices = append(q.choices, choice{text: fmt.Sprintf("%s (%s)", d.speak.condensed(p.Check), span(p.Minutes))})
	}
	q.choices = append(q.choices,
		choice{word: "look", text: "a look of your own"},
		choice{word: "volts", text: "volts of your own, live"},
		choice{word: "ohms", text: "ohms of your own, power locked off"})
	i, err := d.ask.choose(q)
	if err != nil || i == 0 {
		return nil, err
	}
	if i <= len(d.turn.Others) {
		return &d.turn.Others[i-1], nil
	}
	kind := diagnose.Kind(i - len(d.turn.Others))
	var c diagnose.Check
	if c.Step, err = d.ownStep(kind); err != nil || c.Step == "" {
		return nil, err
	}
	return d.ownCheck(kind, c.Step)
}

// ownStep asks for the step of a check; none if the person returns.
func (d *dialogue) ownStep(kind diagnose.Kind) (string, error) {
	q := question{
		text:    "At the end of which step?",
		choices: []choice{returnChoice},
		help:    "The circuit is worked up to that step and held there while the check is made.",
	}
	if kind == diagnose.Ohms {
		q.text = "Power locked off, operators held as in which step?"
		q.help = "Relays are all released then; only the operators are held as they are in that step."
	}
	for _, st := range d.speak.circuit.Steps {
		q.choices = append(q.choices, choice{also: []string{st.Name}, text: st.Name})
	}
	i, err := d.ask.choose(q)
	if err != nil || i == 0 {
		return "", err
	}
	return d.speak.circuit.Steps[i-1].Name, nil
}

// ownCheck asks for the device or the terminals of a check, until they are right or
// the person returns.
func (d *dialogue) ownCheck(kind diagnose.Kind, step string) (*diagnose.Proposal, error) {
	q := question{choices: []choice{returnChoice}}
	switch kind {
	case diagnose.Look:
		var names []string
		for _, v := range d.m.Panel().Visible() {
			names = append(names, v.Name)
		}
		q.text, q.typed = "Which device? As "+names[0]+".", "type the device"
		q.help = "There are " + strings.Join(names, ", ") + "."
	case diagnose.Volts:
		q.text, q.typed = "Red lead and black lead, as "+d.example()+".", "type the two terminals"
		q.help = "A terminal is a device and its screw. The black lead mostly stays on the grounded side."
	case diagnose.Ohms:
		q.text = "The two terminals, as " + d.example() + "; with wires lifted: " + d.example() + " lifted " + strings.Fields(d.example())[0] + "."
		q.typed = "type the two terminals"
		q.help = "Lifting the wires off one terminal takes every parallel path away. The lead then touches the terminal, not the wires."
	}
	for {
		typed, i, err := d.ask.line(q)
		if err != nil || i >= 0 {
			return nil, err
		}
		c, err := d.speak.parseCheck(kind, typed)
		if err == nil {
			c.Step = step
			if _, err = d.m.NewEntry(c, nil); err == nil {
				return &diagnose.Proposal{Check: c}, nil
			}
		}
		d.out.para("  ", sentence(err.Error()))
	}
}

// example is two terminals of the circuit: those of its first coil or load.
func (d *dialogue) example() string {
	v := d.m.Panel().Visible()
	if len(v) == 0 {
		return "CR1:A1 CR1:A2"
	}
	return string(v[0].Terminal(v[0].Ends[0]) + " " + v[0].Terminal(v[0].Ends[1]))
}

// parseCheck reads the device or the terminals of a check as a person types them: "h1",
// "CR1:22 T1:X2", "cr1:a1 to cr1:a2 lifted cr1:a1". What would be unsafe or read
// nothing is refused, with the reason.
func (s *speaker) parseCheck(kind diagnose.Kind, typed string) (diagnose.Check, error) {
	var c diagnose.Check
	if kind == diagnose.Look {
		c.Look = typed
		if d := s.device(typed); d != nil {
			c.Look = d.Name
		}
		return c, nil
	}
	leads, lifted, err := s.terminals(typed)
	if err != nil {
		return c, err
	}
	if len(leads) != 2 {
		return c, fmt.Errorf("a meter has two leads: type two terminals, red then black; here are %d", len(leads))
	}
	if leads[0] == leads[1] {
		return c, errors.New("both leads on one terminal read nothing: type two terminals")
	}
	for _, t := range append(slices.Clone(leads), lifted...) {
		if err := s.unsafe(t); err != nil {
			return c, err
		}
	}
	for _, t := range lifted {
		name, _ := t.Split()
		if d := s.circuit.Device(name); d != nil && d.Type.Kind == circuits.GroundKind {
			return c, fmt.Errorf("the bonding wires on %s stay where they are: lift the other end of the part", t)
		}
	}
	if kind == diagnose.Volts {
		if len(lifted) > 0 {
			return c, errors.New("no wire is lifted in a live circuit: lift for ohms only")
		}
		c.Volts = leads
	} else {
		c.Ohms, c.Lifted = leads, lifted
	}
	return c, nil
}

// terminals reads terminals, and those with wires lifted after the word "lifted".
func (s *speaker) terminals(typed string) (leads, lifted []circuits.Terminal, err error) {
	to := &leads
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
		switch strings.ToLower(word) {
		case "to", "and", "red", "black", "from", "-", "at", "off", "lead":
		case "lifted", "lift", "lifting", "wires":
			to = &lifted
		default:
			t, err := s.terminal(word)
			if err != nil {
				return nil, nil, err
			}
			*to = append(*to, t)
		}
	}
	if to == &lifted && len(lifted) == 0 {
		return nil, nil, errors.New("name the terminal whose wires are lifted after the word lifted")
	}
	return leads, lifted, nil
}

// terminal finds a terminal whatever the case of its letters.
func (s *speaker) terminal(word string) (circuits.Terminal, error) {
	name, at, ok := strings.Cut(word, ":")
	d := s.device(name)
	switch {
	case !ok && d != nil:
		return "", fmt.Errorf("name the screw as well: %s has %s, as %s", d.Name, strings.Join(d.Terminals, ", "), d.Terminal(d.Terminals[0]))
	case !ok:
		for _, n := range s.circuit.Numbers {
			if strings.EqualFold(n.Name, word) {
				return "", fmt.Errorf("a wire number is many screws: name one, as %s", n.Wires[0].From)
			}
		}
		return "", fmt.Errorf("%q is no terminal: type device and screw, as CR1:A1", shortened(word))
	case d == nil:
		var names []string
		for _, d := range s.circuit.Devices {
			names = append(names, d.Name)
		}
		return "", fmt.Errorf("there is no device %q%s", shortened(name), circuits.Suggest(name, names))
	}
	for _, t := range d.Terminals {
		if strings.EqualFold(t, at) {
			return d.Terminal(t), nil
		}
	}
	return "", fmt.Errorf("%s has no terminal %q; it has %s", d.Name, shortened(at), strings.Join(d.Terminals, ", "))
}

// device finds a device whatever the case of its letters.
func (s *speaker) device(name string) *circuits.Device {
	for _, d := range s.circuit.Devices {
		if strings.EqualFold(d.Name, name) {
			return d
		}
	}
	return nil
}

// unsafe refuses terminals that no lead of a control circuit's check belongs on.
func (s *speaker) unsafe(t circuits.Terminal) error {
	name, at := t.Split()
	d := s.circuit.Device(name)
	if d.Transformer() && slices.Contains(d.Primary[:], at) && !s.m.Panel().PrimaryWired(d) {
		return fmt.Errorf("%s is fed from outside this circuit, maybe at a higher voltage, and its lock-out is not this one's: no lead goes there", t)
	}
	if d.Type.Kind != circuits.GroundKind && !s.m.Panel().Wired(t) {
		return fmt.Errorf("no wire lands on %s: a lead reads nothing there", t)
	}
	return nil
}
