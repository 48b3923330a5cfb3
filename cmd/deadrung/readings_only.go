package main

import (
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
)

// only are the flags that say which readings are wanted.
type only struct {
	step, device, wire string
	volts, ohms, diode []string
	lifted             []string
}

func (o *only) flags(f *pflag.FlagSet) {
	f.StringVar(&o.step, "step", "", "only those at the end of this step, by its name or number")
	f.StringVar(&o.device, "device", "", "only those of this device or at its terminals")
	f.StringVar(&o.wire, "wire", "", "only those with a lead on this wire number")
	f.StringSliceVar(&o.volts, "volts", nil, "the volts between two terminals, as CR1:A1,T1:X2")
	f.StringSliceVar(&o.ohms, "ohms", nil, "the ohms between two terminals, power locked off")
	f.StringSliceVar(&o.diode, "diode", nil, "the diode test between two terminals, red lead first, power locked off")
	f.StringSliceVar(&o.lifted, "lifted", nil, "with --ohms or --diode: terminals whose wires are lifted off")
}

// single tells whether single checks are asked for.
func (o readingsOptions) single() bool {
	return len(o.checks) > 0 || len(o.only.volts) > 0 || len(o.only.ohms) > 0 || len(o.only.diode) > 0
}

// flagOf names the flag that a check came by, where it was --check.
func (o readingsOptions) flagOf(check int) string {
	if check < len(o.checks) {
		return "--check "
	}
	return ""
}

// wanted gives the checks to read: those asked for one by one, or all that are left.
func (o readingsOptions) wanted(p *work.Panel, all []log.Check) ([]log.Check, error) {
	x := o.only
	step := ""
	if x.step != "" {
		i, err := stepCalled(p, x.step)
		if err != nil {
			return nil, err
		}
		step = p.Circuit.Steps[i].Name
	}
	if len(x.lifted) > 0 && len(x.ohms)+len(x.diode) == 0 {
		return nil, usagef("--lifted goes with --ohms or --diode")
	}
	if o.single() {
		return o.oneByOne(step)
	}
	d := p.Circuit.Device(x.device)
	if x.device != "" && d == nil {
		return nil, usagef("--device: there is no device %q%s", x.device,
			circuits.Suggest(x.device, deviceNames(p)))
	}
	number := slices.IndexFunc(p.Circuit.Numbers, func(n circuits.Number) bool { return n.Name == x.wire })
	if x.wire != "" && number < 0 {
		return nil, usagef("--wire: there is no wire number %q%s", x.wire, circuits.Suggest(x.wire, wireWords(p)))
	}
	return slices.DeleteFunc(all, func(c log.Check) bool {
		at := func(t circuits.Terminal) bool { name, _ := t.Split(); return d != nil && name == d.Name }
		on := func(t circuits.Terminal) bool { return p.Number(p.Node(t)) == number }
		switch {
		case step != "" && c.Step != step && !(c.Step == "" && step == p.Circuit.Steps[0].Name):
			return true
		case x.device != "" && c.Look != d.Name && !slices.ContainsFunc(c.Leads(), at):
			return true
		}
		return x.wire != "" && !slices.ContainsFunc(c.Leads(), on)
	}), nil
}

// oneByOne gives the checks of --check, --volts, --ohms and --diode.
func (o readingsOptions) oneByOne(step string) ([]log.Check, error) {
	var checks []log.Check
	for _, raw := range o.checks {
		c, err := log.ParseCheck([]byte(raw))
		if err != nil {
			return nil, usagef("--check %s: %v; a check is like "+
				"{\"volts\":[\"CR1:11\",\"T1:X2\"],\"step\":\"…\"}", raw, err)
		}
		checks = append(checks, c)
	}
	for _, f := range []struct {
		flag  string
		leads []string
		check func([]circuits.Terminal) log.Check
	}{
		{"--volts", o.only.volts, func(t []circuits.Terminal) log.Check { return log.Check{Volts: t, Step: step} }},
		{"--ohms", o.only.ohms, func(t []circuits.Terminal) log.Check {
			return log.Check{Ohms: t, Step: step, Lifted: terminalList(o.only.lifted)}
		}},
		{"--diode", o.only.diode, func(t []circuits.Terminal) log.Check {
			return log.Check{Diode: t, Step: step, Lifted: terminalList(o.only.lifted)}
		}},
	} {
		if len(f.leads) == 0 {
			continue
		}
		if len(f.leads) != 2 {
			return nil, usagef("%s takes two terminals with a comma between them, as CR1:A1,T1:X2, not %q",
				f.flag, strings.Join(f.leads, ","))
		}
		checks = append(checks, f.check(terminalList(f.leads)))
	}
	return checks, nil
}

func terminalList(typed []string) []circuits.Terminal {
	var all []circuits.Terminal
	for _, t := range typed {
		all = append(all, circuits.Terminal(strings.TrimSpace(t)))
	}
	return all
}

func deviceNames(p *work.Panel) []string {
	var names []string
	for _, d := range p.Circuit.Devices {
		names = append(names, d.Name)
	}
	return names
}
