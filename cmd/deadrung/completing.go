package main

import (
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/faultmodel"
)

// flagWords are the values that a shell completes for flags of one name, whichever command
// they are of. Those that depend on the circuit get nil where none is named yet.
var flagWords = map[string]func(p *work.Panel) []string{
	"by":         words("minutes", "checks"),
	"age":        words(string(faultmodel.AgeNew), string(faultmodel.AgeUsed), string(faultmodel.AgeOld)),
	"form":       words("simulated", "bench", "served"),
	"difficulty": words("easy", "middle", "hard"),
	"coach":      words("always", "asked", "end"),
	"step":       stepWords,
	"complaint":  complaintWords,
	"leads":      terminalWords,
	"volts":      terminalWords,
	"ohms":       terminalWords,
	"diode":      terminalWords,
	"lifted":     terminalWords,
	"device":     deviceWords,
	"wire":       wireWords,
}

func words(all ...string) func(*work.Panel) []string {
	return func(*work.Panel) []string { return all }
}

// addCompletion lets a shell complete the circuits of every command that takes one, and the
// values of its flags.
func addCompletion(c *cobra.Command) {
	if strings.Contains(c.Use, "CIRCUIT") || strings.HasPrefix(c.Use, "show ") ||
		strings.HasPrefix(c.Use, "copy ") {
		c.ValidArgsFunction = func(cmd *cobra.Command, args []string, _ string) ([]string,
			cobra.ShellCompDirective) {
			if len(args) > 0 && !strings.Contains(cmd.Use, "CIRCUIT...") {
				return nil, cobra.ShellCompDirectiveDefault
			}
			return circuits.Builtin(), cobra.ShellCompDirectiveDefault // and files
		}
	}
	for name, of := range flagWords {
		if c.Flags().Lookup(name) == nil {
			continue
		}
		c.RegisterFlagCompletionFunc(name,
			func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
				return behindComma(of(completed(args)), typed), cobra.ShellCompDirectiveNoFileComp
			})
	}
	for _, name := range []string{"fault", "simulate", "explain-fault"} {
		if c.Flags().Lookup(name) == nil {
			continue
		}
		c.RegisterFlagCompletionFunc(name,
			func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
				all := faultWords(completed(args), listedBy(cmd))
				if name == "simulate" {
					all = append(all, "any")
				}
				return all, cobra.ShellCompDirectiveNoFileComp
			})
	}
	for _, sub := range c.Commands() {
		addCompletion(sub)
	}
}

// listedBy tells which faults the flags on the line list.
func listedBy(cmd *cobra.Command) faultmodel.Options {
	is := func(name string) bool {
		f := cmd.Flags().Lookup(name)
		return f != nil && f.Value.String() == "true"
	}
	return faultmodel.Options{WiringErrors: is("wiring-errors"), Worn: is("worn")}
}

// completed reads the circuit that the line names; nil where it names none, or none in order.
func completed(args []string) *work.Panel {
	if len(args) == 0 {
		return nil
	}
	file, text, err := loadText(args[0], streams{})
	if err != nil {
		return nil
	}
	c, problems := read.Read(file, text)
	if problems.Err() != nil {
		return nil
	}
	return work.Assemble(c)
}

// behindComma completes what follows the last comma of a value such as CR1:11,T1:X2.
func behindComma(all []string, typed string) []string {
	i := strings.LastIndexByte(typed, ',') + 1
	if i == 0 {
		return all
	}
	out := make([]string, len(all))
	for k, word := range all {
		out[k] = typed[:i] + word
	}
	return out
}

func faultWords(p *work.Panel, o faultmodel.Options) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, f := range faultmodel.List(p, o) {
		all = append(all, string(f.ID)+"\t"+f.Text)
	}
	return all
}

func stepWords(p *work.Panel) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, s := range p.Circuit.Steps {
		all = append(all, s.Name)
	}
	return all
}

func complaintWords(p *work.Panel) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, s := range p.Circuit.Steps {
		for _, x := range s.Expect {
			all = append(all, s.Name+": "+x.Device.Name)
		}
	}
	return all
}

func terminalWords(p *work.Panel) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, d := range p.Circuit.Devices {
		for _, t := range d.Terminals {
			all = append(all, string(d.Terminal(t)))
		}
	}
	return all
}

func deviceWords(p *work.Panel) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, d := range p.Circuit.Devices {
		all = append(all, d.Name+"\t"+d.Type.Name)
	}
	return all
}

func wireWords(p *work.Panel) []string {
	if p == nil {
		return nil
	}
	var all []string
	for _, n := range p.Circuit.Numbers {
		all = append(all, n.Name)
	}
	return all
}
