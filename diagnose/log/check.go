package log

import (
	"deadrung/circuits"
	"encoding/json"
	"errors"
)

// Check is one thing to look at or measure, in the form in which other programs give
// and get it. One of Look, Volts, Ohms and Diode is set.
type Check struct {
	Look string `json:"look,omitempty"`
	// Part is what of the device a second look is at, as "coil"; empty for the first look.
	Part   string              `json:"part,omitempty"`
	Volts  []circuits.Terminal `json:"volts,omitempty"` // red lead, black lead
	Ohms   []circuits.Terminal `json:"ohms,omitempty"`
	Diode  []circuits.Terminal `json:"diode,omitempty"`  // red lead, black lead
	Lifted []circuits.Terminal `json:"lifted,omitempty"` // wires lifted off these
	// Replaced names fuses and breakers that were replaced or reset before an ohms check,
	// with the power off since.
	Replaced []string `json:"replaced,omitempty"`
	Step     string   `json:"step,omitempty"`
	// LowImpedance is set on a volts check made with the meter's low-impedance mode.
	LowImpedance bool `json:"low-impedance,omitempty"`
}

// Kind is one of the kinds of check.
type Kind int8

const (
	Look  Kind = iota + 1 // is it on?
	Volts                 // live
	Ohms                  // with the power locked off
	Diode                 // the same on the meter's diode test, which shows volts
)

// Kinds are all of them.
var Kinds = []Kind{Look, Volts, Ohms, Diode}

// Off tells whether a check of the kind is made with the power locked off.
func (k Kind) Off() bool { return k == Ohms || k == Diode }

// Kind tells which kind of check it is; zero if none is set.
func (c Check) Kind() Kind {
	switch {
	case c.Look != "":
		return Look
	case len(c.Volts) > 0:
		return Volts
	case len(c.Ohms) > 0:
		return Ohms
	case len(c.Diode) > 0:
		return Diode
	}
	return 0
}

// CheckOf is a check of a kind with the leads of the meter on two terminals.
func CheckOf(kind Kind, leads []circuits.Terminal) Check {
	switch kind {
	case Volts:
		return Check{Volts: leads}
	case Diode:
		return Check{Diode: leads}
	case Look, Ohms:
	}
	return Check{Ohms: leads}
}

// Leads gives the terminals of the two leads; empty for a look.
func (c Check) Leads() []circuits.Terminal {
	switch c.Kind() {
	case Volts:
		return c.Volts
	case Diode:
		return c.Diode
	case Look, Ohms:
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
	case Diode:
		return "diode"
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
	case Volts, Diode:
		return "V"
	case Ohms:
		return "ohm"
	}
	return ""
}
