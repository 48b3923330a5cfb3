package main

import (
	"fmt"
	"maps"
	"slices"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/diagnose/log"
)

// site is what may be done at the panel, and with how many people.
type site struct {
	rules log.Rules
	file  string // of more rules
}

// siteFlags are the flags that say so.
func (o *site) siteFlags(f *pflag.FlagSet) {
	f.BoolVar(&o.rules.NoLive, "no-live", false, "no meter on live parts: looks, and ohms with the power locked off")
	f.BoolVar(&o.rules.NoLift, "no-lift", false, "no wire is lifted off its terminal")
	f.BoolVar(&o.rules.LooksOnly, "looks-only", false, "no meter at all")
	f.StringArrayVar(&o.rules.OutOfReach, "out-of-reach", nil, "a place where nobody goes, as field; may be given more than once")
	f.IntVar(&o.rules.Helpers, "helpers", 0, "how many people can hold an operator somewhere else during a check")
	f.BoolVar(&o.rules.LongLead, "long-lead", false, "there is a lead that reaches from place to place")
	f.StringVar(&o.file, "rules", "", "the rules of the site: a file with these flags as keys, as in no-live: true")
}

// read gives the rules of the flags and of the file.
func (o *site) read(s streams) (log.Rules, error) {
	if o.rules.Helpers < 0 {
		return log.Rules{}, usagef("--helpers is a number of people from 0 up, not %d", o.rules.Helpers)
	}
	if o.file == "" {
		return o.rules, nil
	}
	text, err := s.files.Read(o.file)
	if err != nil {
		return log.Rules{}, fmt.Errorf("cannot read the rules: %w", err)
	}
	r, problems := log.ReadRules(o.file, text)
	if len(problems) > 0 {
		return log.Rules{}, inputError{problems}
	}
	return r.With(o.rules), nil
}

// rulesFor gives the rules for a circuit. A place of the flags that it does not have is a
// mistake; one file of rules serves every panel of the site, so that is only told.
func (o *site) rulesFor(c *circuits.Circuit, s streams) (log.Rules, error) {
	places := slices.Sorted(maps.Keys(c.Places))
	for _, place := range o.rules.Unknown(c) {
		return log.Rules{}, usagef("--out-of-reach: the circuit has no place %q%s; it has %s", place,
			circuits.Suggest(place, places), circuits.Listed(places))
	}
	r, err := o.read(s)
	if err != nil {
		return r, err
	}
	for _, place := range r.Unknown(c) {
		fmt.Fprintf(s.err, "%s: warning: this circuit has no place %q\n", o.file, place)
	}
	return r, nil
}
