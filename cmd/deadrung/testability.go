package main

import (
	"context"
	"io"
	"time"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

type testabilityOptions struct {
	circuit string
	by      string
	effort  int
	seconds float64
	json    bool
	sheets
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
	f.Float64Var(&o.seconds, "seconds", 3, "how long to look for it at the most; 0 for as long as it takes")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	o.faultFlags(f)
	o.meterFlags(f)
	o.sheets.flags(f, "a PDF of sheets to sign", "a4")
	outputFlag(f, &o.output, resultUsage)
	return c
}

func runTestability(ctx context.Context, o testabilityOptions, s streams) error {
	o.sheets.ask(o.output, o.json)
	if err := o.sheets.check(o.json, o.output, s); err != nil {
		return err
	}
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	if o.effort < 0 {
		return usagef("--effort is a number of positions from 0 up, not %d", o.effort)
	}
	if !(o.seconds >= 0) {
		return usagef("--seconds is a number from 0 up, not %g", o.seconds)
	}
	m, text, err := loadModelText(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	var t diagnose.Testability
	effort := diagnose.Effort{Positions: o.effort}
	if o.seconds > 0 {
		until := time.Now().Add(time.Duration(o.seconds * float64(time.Second)))
		effort.Ended = func() bool { return time.Now().After(until) }
	}
	talk.Patiently(s.err, func() { t, err = m.Testability(by, effort) })
	if err != nil {
		return err
	}
	if o.pdf {
		return o.sheets.tables(o.output, m.Panel(), text, "Testability", paper.TestabilitySections(m, t, by, o.seconds), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, t)
		}
		paper.PrintTestability(out, m, t, by, o.seconds)
		return nil
	})
}
