package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper"
)

type wireOptions struct {
	circuit string
	keep    string // an older wired file
	output  string
	afresh  bool
	json    bool
}

func newWire(s streams) *cobra.Command {
	var o wireOptions
	c := &cobra.Command{
		Use:   "wire CIRCUIT",
		Short: "Work out the wires of a circuit that is drawn as rungs",
		Long: `Work out wire numbers, contacts and terminal-to-terminal wires of a circuit file that
has rungs, and write it as a circuit file with wires.

Labels on a built panel stay: with --keep OLD the numbers, contacts and wires of an
older result are kept as far as they still fit, and what changed is told. Writing over
an older result with -o keeps it by itself, unless --afresh says otherwise.`,
		Args: oneCircuit,
		RunE: func(_ *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runWire(o, s)
		},
	}
	f := c.Flags()
	outputFlag(f, &o.output, "write the result to this file; numbers of the one that is there are kept")
	f.StringVar(&o.keep, "keep", "", "keep the numbers, contacts and wires of this older circuit file")
	f.BoolVar(&o.afresh, "afresh", false, "keep nothing of the file that -o writes over")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	return c
}

func runWire(o wireOptions, s streams) error {
	if o.afresh && o.keep != "" {
		return usagef("--afresh keeps nothing, --keep %s does; give one of them", o.keep)
	}
	file, text, err := loadText(o.circuit, s)
	if err != nil {
		return err
	}
	old, err := olderCircuit(o, s)
	if err != nil {
		return err
	}
	c, problems := read.ReadKeeping(file, text, old)
	if problems.Err() != nil {
		return inputError{problems}
	}
	printProblems(s, problems.Warnings())
	if problems := work.Assemble(c).Verify(text); len(problems) > 0 {
		return inputError{problems}
	}
	if c.Rungs == nil {
		fmt.Fprintf(s.err, "%s has no rungs; its wires are as they are written\n", file)
	}
	d := drawing.New(c)
	w := paper.WiredForm(d)
	if old != nil {
		w.Compare(old)
		w.Changes.Tell(s.err)
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, w)
		}
		_, err := out.Write(read.Wired(text, c, d.OfItem))
		return err
	})
}

// olderCircuit reads the circuit whose numbers are kept: that of --keep, or what -o is
// about to write over. It is nil where there is none.
func olderCircuit(o wireOptions, s streams) (*circuits.Circuit, error) {
	name, reading := o.keep, s.files.Read
	if name == "" {
		if o.afresh || o.json || o.output == "" || o.output == "-" {
			return nil, nil
		}
		info, err := os.Stat(o.output)
		if errors.Is(err, os.ErrNotExist) || err == nil && !info.Mode().IsRegular() {
			return nil, nil
		}
		name, reading = o.output, s.files.ReadKept
	}
	text, err := reading(name)
	if err != nil {
		return nil, fmt.Errorf("cannot read the circuit whose numbers are kept: %w", err)
	}
	old, problems := read.Read(name, text)
	if problems.Err() != nil {
		if o.keep == "" {
			fmt.Fprintf(s.err, "%s is there already, and its wires cannot be kept; --afresh writes over it\n", name)
		}
		return nil, inputError{problems}
	}
	return old, nil
}
