package main

import (
	"encoding/json"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

type readingsOptions struct {
	circuit     string
	fault       string
	checks      []string
	only        only
	json        bool
	assumptions bool
	sheets
	given
	output string
}

func newReadings(s streams) *cobra.Command {
	var o readingsOptions
	c := &cobra.Command{
		Use:   "readings CIRCUIT",
		Short: "The readings of the good circuit, or of one with a fault",
		Long: `Readings prints what a meter and the eye find, step by step, each check worth making.

--step, --device and --wire print those of a step, at a device, on a wire number. For one
reading say where the leads are: --volts CR1:A1,T1:X2, or --ohms with --lifted for
terminals whose wires are lifted off, or --diode D1:A,D1:K for the meter's diode test. --check
takes the same as JSON.`,
		Args: oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runReadings(o, s)
		},
	}
	c.Flags().StringVar(&o.fault, "fault", "", "with this fault; \"deadrung faults\" lists them")
	c.Flags().StringArrayVar(&o.checks, "check", nil, "only this check, as JSON; may be given several times")
	o.only.flags(c.Flags())
	c.Flags().BoolVar(&o.assumptions, "assumptions", false, "what the readings are computed with, value by value, with its source")
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	o.listFlags(c.Flags())
	o.sheets.flags(c.Flags(), "a PDF of sheets to sign", "a4")
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}

func runReadings(o readingsOptions, s streams) error {
	o.sheets.ask(o.output, o.json)
	if err := o.sheets.check(o.json || o.assumptions, o.output, s); err != nil {
		return err
	}
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return inputError{problems}
	}
	if o.assumptions {
		return output(o.output, s, func(out io.Writer) error { return printAssumptions(out, p, o.json) })
	}
	var faults []faultmodel.Fault
	fault := diagnose.Good
	if o.fault != "" {
		faults = faultmodel.List(p, o.list())
		i, err := o.given.fault(p, faults, o.fault)
		if err != nil {
			return err
		}
		faults, fault = faults[i:i+1], 0
	}
	m := diagnose.Bare(p, faults, log.Unhampered)
	checks, err := o.wanted(p, m.Checks())
	if err != nil {
		return err
	}
	meter := m.Meter(fault)
	readings := make([]log.Reading, len(checks))
	worked := 0 // how far checks asked for in turn have brought the circuit: what blew there stays open
	for i, c := range checks {
		if worked = max(worked, p.Circuit.Step(c.Step)); !o.single() {
			worked = max(0, p.Circuit.Step(c.Step))
		}
		if readings[i], err = meter.Found(c, worked); err != nil {
			return usagef("%s%s: %v", o.flagOf(i), c, err)
		}
	}
	if o.sheets.pdf {
		broken := ""
		if fault != diagnose.Good {
			broken = faults[fault].Text
		}
		return o.sheets.tables(o.output, p, text, "Expected readings", paper.ReadingsSections(p, checks, readings, broken), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			list := []json.RawMessage{}
			for i, c := range checks {
				list = append(list, log.MarshalWith(c, readings[i]))
			}
			return printJSON(out, list)
		}
		paper.PrintReadings(out, p, checks, readings)
		return nil
	})
}

func printAssumptions(out io.Writer, p *work.Panel, asJSON bool) error {
	list := p.Assumptions()
	if asJSON {
		return printJSON(out, list)
	}
	fmt.Fprintf(out, "%s is computed with these values; the circuit file can give others.\n\n", p.Circuit.Title)
	for i, a := range list {
		if i == 0 || a.Device != list[i-1].Device {
			head := "everything"
			if a.Device != "" {
				head = p.Circuit.Device(a.Device).Called()
			}
			fmt.Fprintln(out, head)
		}
		fmt.Fprintf(out, "  %-26s %-26s %s\n", a.What, a.Value, a.Source)
	}
	return nil
}
