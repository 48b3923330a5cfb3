package diagnose

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Check is one thing to look at or measure, in the form in which other programs give
// and get it. One of Look, Volts and Ohms is set.
type Check struct {
	Look   string              `json:"look,omitempty"`
	Volts  []circuits.Terminal `json:"volts,omitempty"` // red lead, black lead
	Ohms   []circuits.Terminal `json:"ohms,omitempty"`
	Lifted []circuits.Terminal `json:"lifted,omitempty"` // wires lifted off these
	Step   string              `json:"step,omitempty"`
	// LowImpedance is set on a volts check made with the meter's low-impedance mode.
	LowImpedance bool `json:"low-impedance,omitempty"`
}

// Kind is one of the three kinds of check.
type Kind int8

const (
	Look  Kind = iota + 1 // is it on?
	Volts                 // live
	Ohms                  // with the power locked off
)

// Kind tells which kind of check it is; zero if none is set.
func (c Check) Kind() Kind {
	switch {
	case c.Look != "":
		return Look
	case len(c.Volts) > 0:
		return Volts
	case len(c.Ohms) > 0:
		return Ohms
	}
	return 0
}

// Leads gives the terminals of the two leads; empty for a look.
func (c Check) Leads() []circuits.Terminal {
	if c.Kind() == Volts {
		return c.Volts
	}
	return c.Ohms
}

// String writes the check as JSON.
func (c Check) String() string {
	b, _ := json.Marshal(c)
	return string(b)
}

// ParseCheck reads a check in its JSON form. The error says what is wrong with the form;
// whether the circuit has what the check names is not looked at.
func ParseCheck(raw []byte) (Check, error) {
	var c Check
	if mistake := decodeOne(raw, &c); mistake != nil {
		_, what := mistake.words(raw, "check")
		return c, errors.New(what)
	}
	return c, nil
}

// Reading is what a check shows, foretold or answered.
type Reading struct {
	Value float64 // volts or ohms; +Inf for OL
	// Else is another value that fits as well, where it depends on whether a fuse was
	// replaced since it blew; it counts only if Either is set.
	Else   float64
	Kind   Kind
	On     bool // a look
	Firm   bool // false where nothing can be foretold
	Either bool
	// Floats is set where nothing can be foretold but that the full voltage of the supply
	// is not there: on a floating conductor, on a supply that has collapsed.
	Floats bool
}

// OL is what an ohmmeter shows across an open.
var OL = math.Inf(1)

// located is a check with its names resolved.
type located struct {
	kind   Kind
	step   int
	device *circuits.Device // look
	a, b   network.Node     // leads
	lifted []circuits.Terminal
	low    bool // volts in low-impedance mode
}

// locate resolves the names of a check. The error says which is unknown and what is
// near it.
func (m *Model) locate(c Check) (located, error) {
	l := located{kind: c.Kind(), low: c.LowImpedance}
	set := 0
	for _, on := range []bool{c.Look != "", len(c.Volts) > 0, len(c.Ohms) > 0} {
		if on {
			set++
		}
	}
	if set != 1 {
		return l, fmt.Errorf("a check is one of look, volts and ohms; this is %s", c)
	}
	if c.LowImpedance && l.kind != Volts {
		return l, fmt.Errorf("low-impedance mode is for volts checks only")
	}
	if len(c.Lifted) > 0 && l.kind != Ohms {
		return l, fmt.Errorf("wires are lifted for ohms checks only")
	}
	switch {
	case c.Step != "":
		if l.step = m.panel.Circuit.Step(c.Step); l.step < 0 {
			var names []string
			for _, s := range m.panel.Circuit.Steps {
				names = append(names, s.Name)
			}
			return l, fmt.Errorf("the operation has no step %q%s", c.Step, circuits.Suggest(c.Step, names))
		}
	case l.kind != Ohms:
		return l, fmt.Errorf("%s check needs the step that the circuit is in", l.kind.article())
	}
	if l.kind == Look {
		var names []string
		for _, d := range m.panel.Visible() {
			names = append(names, d.Name)
			if d.Name == c.Look {
				l.device = d
			}
		}
		if l.device == nil {
			if m.panel.Device(c.Look) != nil {
				return l, fmt.Errorf("%s does nothing that can be seen; look at one of %s", c.Look, strings.Join(names, ", "))
			}
			return l, fmt.Errorf("no lamp, horn, solenoid, motor or relay is called %q%s", c.Look, circuits.Suggest(c.Look, names))
		}
		return l, nil
	}
	leads := c.Leads()
	if len(leads) != 2 {
		return l, fmt.Errorf("a meter has two leads, so a check names two terminals, not %d", len(leads))
	}
	for i, to := range []*network.Node{&l.a, &l.b} {
		if *to = m.panel.Node(leads[i]); *to == 0 {
			return l, m.noTerminal(leads[i])
		}
	}
	for _, t := range c.Lifted {
		if m.panel.Node(t) == 0 {
			return l, m.noTerminal(t)
		}
		if len(m.panel.Landings(m.panel.Node(t))) == 0 {
			return l, fmt.Errorf("no wire lands on %s, so none can be lifted there", t)
		}
	}
	l.lifted = slices.Clone(c.Lifted)
	slices.Sort(l.lifted)
	l.lifted = slices.Compact(l.lifted)
	return l, nil
}

func (m *Model) noTerminal(t circuits.Terminal) error {
	name, _ := t.Split()
	d := m.panel.Device(name)
	if d == nil {
		var names []string
		for _, d := range m.panel.Circuit.Devices {
			names = append(names, d.Name)
		}
		return fmt.Errorf("no device has the terminal %q: there is no device %q%s", t, name, circuits.Suggest(name, names))
	}
	return fmt.Errorf("%s has no terminal %q; it has %s", d.Name, t, strings.Join(d.Terminals, ", "))
}

// check writes a located check in its outer form.
func (m *Model) check(l located) Check {
	c := Check{Step: m.panel.Circuit.Steps[l.step].Name, Lifted: l.lifted, LowImpedance: l.low}
	leads := func() []circuits.Terminal {
		return []circuits.Terminal{m.panel.Terminal(l.a), m.panel.Terminal(l.b)}
	}
	switch l.kind {
	case Look:
		c.Look = l.device.Name
	case Volts:
		c.Volts = leads()
	case Ohms:
		c.Ohms = leads()
	}
	return c
}

// spot is where a check is made, whatever the step: two checks at the same points or on
// the same device have the same.
type spot struct {
	kind   Kind
	device *circuits.Device
	a, b   network.Node // the lesser first
	lifted string
	low    bool
}

// checkKey is the same for checks that are one and the same: leads exchanged, or an
// ohms check in two steps with the operators in the same positions.
type checkKey struct {
	spot
	step int
}

func (m *Model) key(l located) checkKey {
	step := l.step
	if l.kind == Ohms {
		step = m.held[l.step]
	}
	return checkKey{l.spot(), step}
}

// Same tells whether two entries are of one and the same check: the same points, device
// and step, whichever way round the leads are.
func (m *Model) Same(a, b Entry) bool { return m.key(a.at) == m.key(b.at) }

func (l located) spot() spot {
	s := spot{kind: l.kind, device: l.device, a: min(l.a, l.b), b: max(l.a, l.b), low: l.low}
	for _, t := range l.lifted {
		s.lifted += string(t) + " "
	}
	return s
}

// String names a kind.
func (k Kind) String() string {
	switch k {
	case Look:
		return "look"
	case Volts:
		return "volts"
	case Ohms:
		return "ohms"
	}
	return "no"
}

// article names a kind in a sentence.
func (k Kind) article() string {
	if k == Ohms {
		return "an ohms"
	}
	return "a " + k.String()
}

// Unit is what the readings of a kind carry.
func (k Kind) Unit() string {
	switch k {
	case Volts:
		return "V"
	case Ohms:
		return "ohm"
	}
	return ""
}
