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
	worn         bool
	age          string
	lowImpedance bool
	large        bool // a panel of any size is worked through
	site
}

// faultFlags are the flags that say which faults there are and how likely.
func (g *given) faultFlags(f *pflag.FlagSet) {
	g.listFlags(f)
	largeFlag(f, &g.large)
	f.StringVar(&g.age, "age", string(faultmodel.AgeUsed), "of the panel: new, used or old; it shifts how likely faults are")
}

func largeFlag(f *pflag.FlagSet, large *bool) {
	f.BoolVar(large, "large", false, "work through a panel of any size, whatever memory and time that takes")
}

// listFlags are those that say which faults there are.
func (g *given) listFlags(f *pflag.FlagSet) {
	f.BoolVar(&g.wiringErrors, "wiring-errors", false, "think of a new build: wire ends on another terminal, wires exchanged")
	f.BoolVar(&g.worn, "worn", false, "think of wear as well: bad joints, low supplies, leaks, shorted turns, wrong coils and settings")
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
	if g.worn {
		circuit += " --worn"
	}
	if g.age != "" && g.age != string(faultmodel.AgeUsed) {
		circuit += " --age " + g.age
	}
	if g.large {
		circuit += " --large"
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

// list says which faults there are, of a panel of any age.
func (g given) list() faultmodel.Options {
	return faultmodel.Options{WiringErrors: g.wiringErrors, Worn: g.worn}
}

// faults says which faults there are and how likely.
func (g given) faults() (faultmodel.Options, error) {
	switch age := faultmodel.Age(g.age); age {
	case "", faultmodel.AgeNew, faultmodel.AgeUsed, faultmodel.AgeOld:
		o := g.list()
		o.Age = age
		return o, nil
	}
	return faultmodel.Options{}, usagef("--age is new, used or old, not %q", g.age)
}

// fault finds a fault of the list by its identity, and tells by which flag one that is not in
// it would be.
func (g given) fault(p *work.Panel, faults []faultmodel.Fault, id string) (int, error) {
	i, err := faultmodel.Find(faults, id)
	if err == nil {
		return i, nil
	}
	for _, more := range []struct {
		flag string
		o    faultmodel.Options
	}{{"--worn", faultmodel.Options{Worn: true}}, {"--wiring-errors", faultmodel.Options{WiringErrors: true}}} {
		if _, missing := faultmodel.Find(faultmodel.List(p, more.o), id); missing == nil {
			return -1, usagef("no fault of this circuit is called %q; with %s there is one", id, more.flag)
		}
	}
	return -1, usageError{err}
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
