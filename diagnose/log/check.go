package log

import (
	"deadrung/circuits"
	"encoding/json"
	"errors"
)

// Check is one thing to look at or measure, in the form in which other programs give
// and get it. One of Look, Volts and Ohms is set.
type Check struct {
	Look string `json:"look,omitempty"`
	// Part is what of the device a second look is at, as "coil"; empty for the first look.
	Part   string              `json:"part,omitempty"`
	Volts  []circuits.Terminal `json:"volts,omitempty"` // red lead, black lead
	Ohms   []circuits.Terminal `json:"ohms,omitempty"`
	Lifted []circuits.Terminal `json:"lifted,omitempty"` // wires lifted off these
	// Replaced names fuses and breakers that were replaced or reset before an ohms check,
	// with the power off since.
	Replaced []string `json:"replaced,omitempty"`
	Step     string   `json:"step,omitempty"`
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
