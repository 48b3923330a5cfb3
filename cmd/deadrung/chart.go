package main

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

type chartOptions struct {
	circuit    string
	complaints []string
	by         string
	svg        bool
	dot        bool
	html       bool
	program    bool
	json       bool
	given
	size   chartSize
	output string
	sheets
}

func newChart(s streams) *cobra.Command {
	var o chartOptions
	c := &cobra.Command{
		Use:   "chart CIRCUIT",
		Short: "The whole fault-finding chart, to print and hang in the panel door",
		Long: `Chart lays out all that "find" would ask, check by check, down to every verdict: from a
complaint, or from nothing. Without a flag it is Markdown; --html is one file that works
on a phone without a network, one check a screen, and prints on as many pages as it takes;
-o FILE.pdf writes sheets to sign, as for a drawing.
With --program it holds the program as well, as "deadrung page" writes it, and where a
branch is not laid out the search goes on with the answers so far.

A complaint names a step and what was wrong at its end, as the first question of "find"
does: --complaint "door left open: B1". --complaint each makes one chart for each of the
likeliest complaints, and one from nothing.

` + talk.Caution.Plain(),
		Args: oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runChart(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.StringArrayVar(&o.complaints, "complaint", nil,
		"what is known to be wrong: \"STEP: DEVICE\", a step by its name or number; "+
			"may be given more than once; or each")
	f.StringVar(&o.by, "by", "minutes", "what to keep small: minutes or checks")
	o.size.flags(f)
	f.BoolVar(&o.svg, "svg", false, "the chart as a drawing")
	f.BoolVar(&o.dot, "dot", false, "the chart as a graph in the DOT language")
	f.BoolVar(&o.html, "html", false, "the chart as one HTML file, for the phone and for paper")
	o.sheets.flags(f, "the chart as a PDF of sheets to sign", "a4")
	f.BoolVar(&o.program, "program", false,
		"with --html: the whole program in the same file, so that the search goes on where the chart ends")
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	o.faultFlags(f)
	o.meterFlags(f)
	outputFlag(f, &o.output, resultUsage)
	return c
}

func runChart(ctx context.Context, o chartOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	forms := 0
	for _, asked := range []bool{o.svg, o.dot, o.html, o.json} {
		if asked {
			forms++
		}
	}
	o.sheets.ask(o.output, forms > 0)
	if err := o.sheets.check(forms > 0, o.output, s); err != nil {
		return err
	}
	if forms > 1 {
		return usagef("one form at a time: --svg, --dot, --html or --json; none of them is Markdown")
	}
	if o.program && !o.html {
		return usagef("--program goes into the file of --html")
	}
	if err := o.size.check(); err != nil {
		return err
	}
	p, text, err := loadToWork(o.circuit, o.large, s)
	if err != nil {
		return err
	}
	m, err := modelOf(ctx, p, text, o.given, s)
	if err != nil {
		return err
	}
	if rules := m.Book().Rules().Flags(); o.program && len(rules) > 0 {
		return usagef("the program on a page knows no %s, so --program does not go with it", strings.Join(rules, " "))
	}
	var logs []log.Log
	talk.Patiently(s.err, func() { logs, err = complaints(m, o.complaints) })
	if err != nil {
		return err
	}
	if o.svg && len(logs) > 1 {
		return usagef("--svg draws one chart: give one complaint, not each")
	}
	var book *paper.Book
	talk.Patiently(s.err,
		func() { book = paper.NewBook(m, o.circuit, o.find(o.circuit), logs, o.size.options(m, by)) })
	if o.program {
		if book.Program, err = programOf(ctx, o.circuit, s); err != nil {
			return err
		}
	}
	if o.pdf {
		return o.sheets.tables(o.output, p, text, "Fault-finding chart", book.Sections(), s)
	}
	return output(o.output, s, func(out io.Writer) error {
		switch {
		case o.json:
			return printJSON(out, book.Machine())
		case o.svg:
			return book.Flows[0].SVG(out)
		case o.dot:
			return book.DOT(out)
		case o.html:
			return book.HTML(out)
		}
		return book.Markdown(out)
	})
}
