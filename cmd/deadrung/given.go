package main

import (
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// given is what the person says of the panel and the meter.
type given struct {
	wiringErrors bool
	age          string
	lowImpedance bool
	site
}

// faultFlags are the flags that say which faults there are and how likely.
func (g *given) faultFlags(f *pflag.FlagSet) {
	g.wiringFlag(f)
	f.StringVar(&g.age, "age", string(faultmodel.AgeUsed), "of the panel: new, used or old; it shifts how likely faults are")
}

// wiringFlag is for commands that only need to know the faults.
func (g *given) wiringFlag(f *pflag.FlagSet) {
	f.BoolVar(&g.wiringErrors, "wiring-errors", false, "think of a new build: wire ends on another terminal, wires exchanged")
}

// meterFlags are those that say what meter is at hand, and what may be done with it.
func (g *given) meterFlags(f *pflag.FlagSet) {
	f.BoolVar(&g.lowImpedance, "low-impedance", false, "the meter has a low-impedance mode: use it from a point to the grounded side")
	g.siteFlags(f)
}

// again is the circuit with the flags that a session is gone on with.
func (g given) again(circuit string) string {
	if g.wiringErrors {
		circuit += " --wiring-errors"
	}
	if g.age != "" && g.age != string(faultmodel.AgeUsed) {
		circuit += " --age " + g.age
	}
	if g.lowImpedance {
		circuit += " --low-impedance"
	}
	for _, f := range g.rules.Flags() {
		if strings.ContainsAny(f, " \t'\"") {
			f = strconv.Quote(f)
		}
		circuit += " " + f
	}
	if g.file != "" {
		circuit += " --rules " + g.file
	}
	return circuit
}

// find is the command that looks for a fault of a circuit, with these flags.
func (g given) find(circuit string) string { return "deadrung find " + g.again(circuit) }

func (g given) faults() (faultmodel.Options, error) {
	switch age := faultmodel.Age(g.age); age {
	case "", faultmodel.AgeNew, faultmodel.AgeUsed, faultmodel.AgeOld:
		return faultmodel.Options{WiringErrors: g.wiringErrors, Age: age}, nil
	}
	return faultmodel.Options{}, usagef("--age is new, used or old, not %q", g.age)
}

// stepCalled finds a step by its name or number.
func stepCalled(p *work.Panel, typed string) (int, error) {
	if i := p.Circuit.Step(typed); i >= 0 {
		return i, nil
	}
	if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= len(p.Circuit.Steps) {
		return n - 1, nil
	}
	return 0, usagef("there is no step %q%s", typed, circuits.Suggest(typed, stepWords(p)))
}
