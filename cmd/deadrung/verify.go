package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/talk"
)

type verifyOptions struct {
	circuit string
	json    bool
	output  string
}

func newVerify(s streams) *cobra.Command {
	var o verifyOptions
	c := &cobra.Command{
		Use:   "verify CIRCUIT",
		Short: "Check a circuit file and work every step against what it expects",
		Args:  oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runVerify(o, s)
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}

// verified is the machine form of the result.
type verified struct {
	Circuit  string   `json:"circuit"`
	OK       bool     `json:"ok"`
	Devices  int      `json:"devices"`
	Wires    int      `json:"wires"`
	Steps    int      `json:"steps"`
	Expected int      `json:"expected"`
	Warnings []string `json:"warnings"`
}

func runVerify(o verifyOptions, s streams) error {
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return inputError{problems}
	}
	v := verified{Circuit: p.Circuit.Title, OK: true, Devices: len(p.Circuit.Devices),
		Steps: len(p.Circuit.Steps), Warnings: []string{}}
	for _, n := range p.Circuit.Numbers {
		v.Wires += len(n.Wires)
	}
	for _, st := range p.Circuit.Steps {
		v.Expected += len(st.Expect)
	}
	for _, w := range p.Circuit.Warnings {
		v.Warnings = append(v.Warnings, w.String())
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, v)
		}
		v.print(out)
		return nil
	})
}

// print says the result in one line.
func (v verified) print(out io.Writer) {
	hold := fmt.Sprintf("all %d expectations hold", v.Expected)
	switch v.Expected {
	case 0:
		hold = "nothing is expected of it"
	case 1:
		hold = "the one expectation holds"
	}
	fmt.Fprintf(out, "%s: %s, %s, %s worked; %s.\n", v.Circuit,
		talk.Count(v.Devices, "device"), talk.Count(v.Wires, "wire"), talk.Count(v.Steps, "step"), hold)
}
