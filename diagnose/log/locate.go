package log

import (
	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"fmt"
	"slices"
	"strings"
)

// Located is a check with its names resolved.
type Located struct {
	Kind   Kind
	Step   int              // its index
	Device *circuits.Device // of a look
	Look   int              // which look at the device, 0 for the first
	A, B   network.Node     // red lead, black lead
	Lifted []circuits.Terminal
	// Replaced are the protective devices that were replaced before an ohms check.
	Replaced []*circuits.Device
	Low      bool // volts in low-impedance mode
}

// Check writes a located check in its outer form.
func (b *Book) Check(l Located) Check {
	c := Check{Step: b.panel.Circuit.Steps[l.Step].Name, Lifted: l.Lifted, LowImpedance: l.Low}
	for _, d := range l.Replaced {
		c.Replaced = append(c.Replaced, d.Name)
	}
	leads := func() []circuits.Terminal {
		return []circuits.Terminal{b.near(l.A, l.B), b.near(l.B, l.A)}
	}
	switch l.Kind {
	case Look:
		c.Look, c.Part = l.Device.Name, l.Device.Type.Looks[l.Look].At
	case Volts:
		c.Volts = leads()
	case Ohms:
		c.Ohms = leads()
	case Diode:
		c.Diode = leads()
	}
	return c
}

// Locate resolves the names of a check. The error says which is unknown and what is
// near it.
func (b *Book) Locate(c Check) (Located, error) {
	l := Located{Kind: c.Kind(), Low: c.LowImpedance}
	set := 0
	for _, on := range []bool{c.Look != "", len(c.Volts) > 0, len(c.Ohms) > 0, len(c.Diode) > 0} {
		if on {
			set++
		}
	}
	if set != 1 {
		return l, fmt.Errorf("a check is one of look, volts, ohms and diode; this is %s", c)
	}
	if c.LowImpedance && l.Kind != Volts {
		return l, fmt.Errorf("low-impedance mode is for volts checks only")
	}
	if c.Part != "" && l.Kind != Look {
		return l, fmt.Errorf("\"part\" tells what of a device is looked at; it is for looks only")
	}
	if len(c.Lifted) > 0 && !l.Kind.Off() {
		return l, fmt.Errorf("wires are lifted for ohms and diode checks only")
	}
	var err error
	if l.Replaced, err = b.replaced(c); err != nil {
		return l, err
	}
	switch {
	case c.Step != "":
		if l.Step = b.panel.Circuit.Step(c.Step); l.Step < 0 {
			var names []string
			for _, s := range b.panel.Circuit.Steps {
				names = append(names, s.Name)
			}
			return l, fmt.Errorf("the operation has no step %q%s", c.Step, circuits.Suggest(c.Step, names))
		}
	case !l.Kind.Off():
		return l, fmt.Errorf("%s check needs the step that the circuit is in", l.Kind.article())
	}
	if l.Kind == Look {
		var names []string
		for _, d := range b.panel.Visible() {
			names = append(names, d.Name)
			if d.Name == c.Look {
				l.Device = d
			}
		}
		if l.Device == nil {
			if b.panel.Device(c.Look) != nil {
				return l, fmt.Errorf("%s does nothing that can be seen; look at one of %s", c.Look,
					strings.Join(names, ", "))
			}
			return l, fmt.Errorf("no lamp, horn, solenoid, motor or relay is called %q%s", c.Look,
				circuits.Suggest(c.Look, names))
		}
		if l.Look = l.Device.Type.LookAt(c.Part); l.Look < 0 {
			return l, noPart(l.Device, c.Part)
		}
		return l, nil
	}
	leads := c.Leads()
	if len(leads) != 2 {
		return l, fmt.Errorf("a meter has two leads, so a check names two terminals, not %d", len(leads))
	}
	if err := b.Allows(c); err != nil {
		return l, err
	}
	if leads[0] == leads[1] {
		return l, fmt.Errorf("both leads are on %q: a meter reads between two terminals", leads[0])
	}
	l.A, l.B = b.panel.Node(leads[0]), b.panel.Node(leads[1])
	l.Lifted = slices.Clone(c.Lifted)
	slices.Sort(l.Lifted)
	l.Lifted = slices.Compact(l.Lifted)
	return l, nil
}

// noPart tells what of a device can be looked at beside the device itself.
func noPart(d *circuits.Device, part string) error {
	var parts []string
	for _, l := range d.Type.Looks[1:] {
		parts = append(parts, fmt.Sprintf("%q", l.At))
	}
	if len(parts) == 0 {
		return fmt.Errorf("%s has no part %q that can be looked at: there is one look at %s, without \"part\"",
			d.Name, part, d.Type.Article())
	}
	return fmt.Errorf("%s has no part %q that can be looked at; it has %s", d.Name, part, strings.Join(parts, ", "))
}

// Sight gives what a look is at.
func (l Located) Sight() work.Sight { return work.Sight{Device: l.Device, Look: l.Look} }

// replaced gives the protective devices that were replaced before a check.
func (b *Book) replaced(c Check) ([]*circuits.Device, error) {
	if len(c.Replaced) > 0 && !c.Kind().Off() {
		return nil, fmt.Errorf("a fuse is replaced before an ohms or a diode check only: live, what blew it blows it again")
	}
	var devices []*circuits.Device
	for _, name := range c.Replaced {
		d := b.panel.Device(name)
		if d == nil || d.Type.Kind != circuits.LinkKind {
			var names []string
			for _, d := range b.panel.Circuit.Devices {
				if d.Type.Kind == circuits.LinkKind {
					names = append(names, d.Name)
				}
			}
			return nil, fmt.Errorf("no fuse or breaker is called %q%s", name, circuits.Suggest(name, names))
		}
		if !slices.Contains(devices, d) {
			devices = append(devices, d)
		}
	}
	slices.SortFunc(devices, func(a, b *circuits.Device) int { return strings.Compare(a.Name, b.Name) })
	return devices, nil
}

// Spot is where a check is made, whatever the step: two checks at the same points or on
// the same device have the same.
type Spot struct {
	kind   Kind
	device *circuits.Device
	look   int
	a, b   network.Node // the lesser first, but for a diode check, which has a direction
	lifted string
	// replaced names the fuses and breakers that were replaced before it.
	replaced string
	low      bool
}

// Key is the same for checks that are one and the same: leads exchanged, but for a diode check, or an
// ohms check in two steps with the operators in the same positions.
type Key struct {
	spot Spot
	step int
}

// Key gives that of a check.
func (b *Book) Key(l Located) Key {
	step := l.Step
	if l.Kind.Off() {
		step = b.held[l.Step]
	}
	return Key{l.Spot(), step}
}

// Spot gives that of a check.
func (l Located) Spot() Spot {
	s := Spot{kind: l.Kind, device: l.Device, look: l.Look, a: min(l.A, l.B), b: max(l.A, l.B), low: l.Low}
	if l.Kind == Diode {
		s.a, s.b = l.A, l.B
	}
	for _, t := range l.Lifted {
		s.lifted += string(t) + " "
	}
	for _, d := range l.Replaced {
		s.replaced += d.Name + " "
	}
	return s
}
