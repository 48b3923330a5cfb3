package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

type testabilityOptions struct {
	circuit string
	by      string
	effort  int
	json    bool
	given
	output string
}

func newTestability(s streams) *cobra.Command {
	var o testabilityOptions
	c := &cobra.Command{
		Use:   "testability CIRCUIT",
		Short: "How well the faults can be told apart, and in how many checks",
		Args:  oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runTestability(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.StringVar(&o.by, "by", "minutes", "what the guided loop keeps small: minutes or checks")
	f.IntVar(&o.effort, "effort", 20000,
		"how many positions to work out in search of the least possible mean; 0 for none")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	o.faultFlags(f)
	o.meterFlags(f)
	outputFlag(f, &o.output, resultUsage)
	return c
}

func runTestability(ctx context.Context, o testabilityOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	if o.effort < 0 {
		return usagef("--effort is a number of positions from 0 up, not %d", o.effort)
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	var t diagnose.Testability
	talk.Patiently(s.err, func() { t, err = m.Testability(by, diagnose.Effort(o.effort)) })
	if err != nil {
		return err
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, t)
		}
		paper.PrintTestability(out, m, t, by)
		return nil
	})
}
