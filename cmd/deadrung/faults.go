package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/faultmodel"
)

type faultsOptions struct {
	circuit string
	json    bool
	weights bool
	given
	output string
}

func newFaults(s streams) *cobra.Command {
	var o faultsOptions
	c := &cobra.Command{
		Use:   "faults CIRCUIT",
		Short: "List every single fault, how likely it is and what it looks like",
		Args:  oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runFaults(cmd.Context(), o, s)
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	c.Flags().BoolVar(&o.weights, "weights", false,
		"the table of weights behind the list, with the source of each")
	o.faultFlags(c.Flags())
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}

// listed is a fault in the machine form of the result.
type listed struct {
	ID     faultmodel.ID     `json:"id"`
	Text   string            `json:"text"`
	Prior  float64           `json:"prior"`
	Group  int               `json:"group"`
	Effect faultmodel.Effect `json:"effect"`
}

func runFaults(ctx context.Context, o faultsOptions, s streams) error {
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.weights {
			return printWeights(out, m, o.json)
		}
		if o.json {
			list := []listed{}
			for i, f := range m.Faults() {
				list = append(list, listed{f.ID, f.Text, f.Prior, m.Group(i), f.Effect})
			}
			return printJSON(out, list)
		}
		paper.PrintFaults(out, m)
		return nil
	})
}

func printWeights(out io.Writer, m *diagnose.Model, asJSON bool) error {
	total := make(map[faultmodel.Key]float64)
	number := make(map[faultmodel.Key]int)
	for _, f := range m.Faults() {
		total[f.Key] += f.Prior
		number[f.Key]++
	}
	type row struct {
		Key    faultmodel.Key `json:"key"`
		For    string         `json:"for"`
		Weight float64        `json:"weight"`
		Source string         `json:"source"`
		Faults int            `json:"faults"`
		Share  float64        `json:"share"`
	}
	rows := []row{}
	for _, w := range faultmodel.Weights {
		rows = append(rows, row{w.Key, w.For, w.Value, w.Source, number[w.Key], total[w.Key]})
	}
	if asJSON {
		return printJSON(out, rows)
	}
	page := talk.NewPage(out)
	page.Para("", "Weights of faults, per instance; only their ratios matter. "+
		"A device's faults are multiplied by its `odds:` in the circuit file.")
	page.Blank()
	for _, r := range rows {
		page.Hang(fmt.Sprintf("%6g  ", r.Weight), r.For)
		page.Parf("        ", "here: %s, %.1f %% of all", talk.Count(r.Faults, "fault"), 100*r.Share)
		page.Hang("        source: ", r.Source)
	}
	return nil
}
