package talk

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// ParseCheck reads the device or the terminals of a check as a person types them: "h1",
// "alt1 coil", "CR1:22 T1:X2", "cr1:a1 to cr1:a2 lifted cr1:a1". What would be unsafe or read
// nothing is refused, with the reason.
func (s *Speaker) ParseCheck(kind log.Kind, typed string) (log.Check, error) {
	var c log.Check
	if kind == log.Look {
		c.Look = typed
		device, part, _ := strings.Cut(typed, " ")
		if d := s.Device(typed); d != nil {
			c.Look = d.Name
		} else if d := s.Device(device); d != nil {
			c.Look, c.Part = d.Name, strings.ToLower(strings.TrimSpace(part))
		}
		return c, nil
	}
	leads, lifted, err := s.terminals(typed)
	if err != nil {
		return c, err
	}
	if len(leads) != 2 {
		return c, fmt.Errorf("a meter has two leads: type two terminals, red then black; here are %d",
			len(leads))
	}
	if leads[0] == leads[1] {
		return c, errors.New("both leads on one terminal read nothing: type two terminals")
	}
	for _, t := range slices.Concat(leads, lifted) {
		if err := s.Model.Book().LeadOn(t); err != nil {
			return c, err
		}
	}
	if err := s.Model.Book().Allows(log.Check{Ohms: leads, Lifted: lifted}); err != nil {
		return c, err
	}
	if !kind.Off() && len(lifted) > 0 {
		return c, errors.New("no wire is lifted in a live circuit: lift with the power locked off only")
	}
	c = log.CheckOf(kind, leads)
	c.Lifted = lifted
	return c, nil
}

// terminals reads terminals, and those with wires lifted after the word "lifted".
func (s *Speaker) terminals(typed string) (leads, lifted []circuits.Terminal, err error) {
	to := &leads
	for _, word := range strings.FieldsFunc(typed,
		func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
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
func (s *Speaker) terminal(word string) (circuits.Terminal, error) {
	name, at, ok := strings.Cut(word, ":")
	d := s.Device(name)
	switch {
	case !ok && d != nil:
		return "", fmt.Errorf("name the screw as well: %s has %s, as %s", d.Name,
			strings.Join(d.Terminals, ", "), d.Terminal(d.Terminals[0]))
	case !ok:
		for _, n := range s.Circuit.Numbers {
			if strings.EqualFold(n.Name, word) {
				return "", fmt.Errorf("a wire number is many screws: name one, as %s", n.Wires[0].From)
			}
		}
		return "", fmt.Errorf("%q is not a terminal: type device and screw, as CR1:A1", Shortened(word))
	case d == nil:
		var names []string
		for _, d := range s.Circuit.Devices {
			names = append(names, d.Name)
		}
		return "", fmt.Errorf("there is no device %q%s", Shortened(name), circuits.Suggest(name, names))
	}
	for _, t := range d.Terminals {
		if strings.EqualFold(t, at) {
			return d.Terminal(t), nil
		}
	}
	return "", fmt.Errorf("%s has no terminal %q; it has %s", d.Name, Shortened(at),
		strings.Join(d.Terminals, ", "))
}

// Device finds a device whatever the case of its letters.
func (s *Speaker) Device(name string) *circuits.Device {
	for _, d := range s.Circuit.Devices {
		if strings.EqualFold(d.Name, name) {
			return d
		}
	}
	return nil
}
