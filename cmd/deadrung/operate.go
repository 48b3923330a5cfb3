package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/circuits/netlist"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper"
	"deadrung/faultmodel"
)

type operateOptions struct {
	circuit string
	fault   string
	netlist string // a step
	json    bool
	output  string
	sheets
	given
}

func newOperate(s streams) *cobra.Command {
	var o operateOptions
	c := &cobra.Command{
		Use:   "operate CIRCUIT",
		Short: "Work the circuit step by step and see what every output does",
		Args:  oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runOperate(o, s)
		},
	}
	c.Flags().StringVar(&o.fault, "fault", "", "work it with this fault; \"deadrung faults\" lists them")
	c.Flags().StringVar(&o.netlist, "netlist", "",
		"the network at the end of this step, by its name or number, as a netlist that circuit simulators read")
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	o.listFlags(c.Flags())
	o.sheets.flags(c.Flags(), "a PDF of sheets to sign", "a4")
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}

func runOperate(o operateOptions, s streams) error {
	o.sheets.ask(o.output, o.json || o.netlist != "")
	if err := o.sheets.check(o.json || o.netlist != "", o.output, s); err != nil {
		return err
	}
	p, text, err := load(o.circuit, s)
	if err != nil {
		return err
	}
	overlay, title, err := oneFault(p, o.fault, o.given)
	if err != nil {
		return err
	}
	if o.netlist != "" {
		return o.writeNetlist(p, overlay, title, s)
	}
	good := paper.WorkAll(p, &work.Overlay{}, nil)
	steps := good
	if o.fault != "" {
		steps = paper.WorkAll(p, overlay, good)
	}
	if o.pdf {
		return o.sheets.tables(o.output, p, text, "Operation", paper.OperationSections(p, steps, title), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, steps)
		}
		fmt.Fprintln(out, p.Circuit.Title)
		if title != "" {
			fmt.Fprintf(out, "with a fault: %s\n", title)
		}
		fmt.Fprintln(out)
		paper.PrintOperation(out, p, steps)
		return nil
	})
}

// writeNetlist writes the panel as it stands at the end of a step.
func (o *operateOptions) writeNetlist(p *work.Panel, overlay *work.Overlay, fault string, s streams) error {
	if o.json {
		return usagef("--netlist has no machine form beside its own")
	}
	step, err := stepCalled(p, o.netlist)
	if err != nil {
		return err
	}
	title := fmt.Sprintf("%s, at the end of %q", p.Circuit.Title, p.Circuit.Steps[step].Name)
	if fault != "" {
		title += ", " + fault
	}
	return output(o.output, s, func(out io.Writer) (err error) {
		p.Work(overlay, func(i int, e *work.End) bool {
			if i == step {
				err = netlist.Write(out, p, overlay, e, title)
			}
			return i < step
		})
		return err
	})
}

// oneFault gives the overlay of a fault and its words; the good circuit's for no id.
func oneFault(p *work.Panel, id string, g given) (*work.Overlay, string, error) {
	if id == "" {
		return &work.Overlay{}, "", nil
	}
	faults := faultmodel.List(p, g.list())
	i, err := g.fault(p, faults, id)
	if err != nil {
		return nil, "", err
	}
	return &faults[i].Overlay, faults[i].Text, nil
}
