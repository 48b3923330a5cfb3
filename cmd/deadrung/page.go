package main

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/page"
	"deadrung/cmd/deadrung/talk"
)

type pageOptions struct {
	circuits []string
	output   string
	large    bool
}

func newPage(s streams) *cobra.Command {
	var o pageOptions
	c := &cobra.Command{
		Use:   "page [CIRCUIT…] -o FILE.html",
		Short: "The program as one page for a phone, without a network",
		Long: `Page writes one file that holds the whole program for a browser, with the circuits that
are named, or all built-in ones. Put it on a phone, by mail or by cable, and open it: it
finds faults and practises as the terminal does, with the drawing to tap on, and never asks
a network for anything. Its log is the same: begun on the phone, it is gone on with here,
and the other way.

` + talk.Caution.Plain(),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuits = args
			return runPage(cmd.Context(), o, s)
		},
	}
	outputFlag(c.Flags(), &o.output, "write the page to this file")
	largeFlag(c.Flags(), &o.large)
	return c
}

func runPage(ctx context.Context, o pageOptions, s streams) error {
	if o.output == "" {
		return usagef("name the file of the page: -o panel.html")
	}
	if len(o.circuits) == 0 {
		o.circuits = circuits.Builtin()
	}
	var carried []page.Circuit
	for _, name := range o.circuits {
		c, err := carriedCircuit(name, o.large, s)
		if err != nil {
			return err
		}
		carried = append(carried, c)
	}
	var engine page.Engine
	var err error
	talk.Patiently(s.err, func() { engine, err = page.Build(ctx) })
	if err != nil {
		return err
	}
	return output(o.output, s, func(w io.Writer) error { return page.Write(w, engine, carried) })
}

// carriedCircuit is a circuit as a page carries it: it has to do what its file expects.
func carriedCircuit(name string, large bool, s streams) (page.Circuit, error) {
	p, text, err := loadToWork(name, large, s)
	if err != nil {
		return page.Circuit{}, err
	}
	if problems := p.Verify(text); len(problems) > 0 {
		return page.Circuit{}, inputError{problems}
	}
	return page.Circuit{Name: filepath.Base(p.Circuit.File), Title: p.Circuit.Title, About: p.Circuit.About, Text: string(text)}, nil
}

// programOf is the page of one circuit.
func programOf(ctx context.Context, name string, s streams) (string, error) {
	c, err := carriedCircuit(name, true, s) // the chart is of it
	if err != nil {
		return "", err
	}
	var b strings.Builder
	talk.Patiently(s.err, func() {
		var engine page.Engine
		if engine, err = page.Build(ctx); err == nil {
			err = page.Write(&b, engine, []page.Circuit{c})
		}
	})
	return b.String(), err
}
