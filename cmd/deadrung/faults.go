package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
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
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runFaults(o, s)
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	c.Flags().BoolVar(&o.weights, "weights", false, "the table of weights behind the list, with the source of each")
	o.faultFlags(c.Flags())
	c.Flags().StringVarP(&o.output, "output", "o", "", "write the result to this file")
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

func runFaults(o faultsOptions, s streams) error {
	m, err := loadModel(o.circuit, o.given, s)
	if err != nil {
		return err
	}
	if !o.weights && len(m.Faults()) > 0 {
		talk.Patiently(s.err, m, func() { m.Group(0) })
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
		printFaults(out, m)
		return nil
	})
}

func printFaults(to io.Writer, m *diagnose.Model) {
	out := talk.NewPage(to)
	groups := make(map[int][]int)
	for i := range m.Faults() {
		groups[m.Group(i)] = append(groups[m.Group(i)], i)
	}
	out.Parf("", "%s: %s in %s that checks can tell apart.", m.Panel().Circuit.Title,
		talk.Count(len(m.Faults()), "fault"), talk.Count(len(groups), "group"))
	out.Blank()
	widest := 0
	for _, f := range m.Faults() {
		widest = max(widest, len([]rune(f.ID)))
	}
	out.Raw("prior    group  " + talk.Padded("id", widest) + "  what it looks like\n")
	for i, f := range m.Faults() {
		out.Hang(talk.Padded(fmt.Sprintf("%.2f %%", 100*f.Prior), 9)+talk.Padded(fmt.Sprint(m.Group(i)), 7)+talk.Padded(string(f.ID), widest)+"  ", symptom(m, i))
	}
	out.Blank()
	out.Para("", "\"deadrung operate CIRCUIT --fault ID\" works the circuit with one of them.")
}

// symptom tells the first thing that a person can see of a fault.
func symptom(m *diagnose.Model, fault int) string {
	if m.Hidden(fault) {
		return "no check shows it"
	}
	meter, good := m.Meter(fault), m.Meter(diagnose.Good)
	more := 0
	first := ""
	for _, st := range m.Panel().Circuit.Steps {
		for _, d := range m.Panel().Visible() {
			c := log.Check{Look: d.Name, Step: st.Name}
			is, _ := meter.Read(c)
			was, _ := good.Read(c)
			if is.On == was.On {
				continue
			}
			if first == "" {
				first = fmt.Sprintf("%s: %s stays %s", st.Name, d.Name, work.OnOff(is.On))
			} else {
				more++
			}
		}
	}
	switch {
	case first == "":
		return "nothing to see; a meter shows it"
	case more > 0:
		return fmt.Sprintf("%s, and %d more", first, more)
	}
	return first
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
	page.Para("", "Weights of faults, per instance; only their ratios matter. A device's faults are multiplied by its `odds:` in the circuit file.")
	page.Blank()
	for _, r := range rows {
		page.Hang(fmt.Sprintf("%6g  ", r.Weight), r.For)
		page.Parf("        ", "here: %s, %.1f %% of all", talk.Count(r.Faults, "fault"), 100*r.Share)
		page.Hang("        source: ", r.Source)
	}
	return nil
}
