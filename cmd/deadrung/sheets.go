package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// sheets are the flags of a command that also writes its result as sheets to sign.
type sheets struct {
	pdf   bool
	paper string
	tall  bool
}

// flags adds them; usage is what --pdf does, usual the paper where none is named.
func (o *sheets) flags(f *pflag.FlagSet, usage, usual string) {
	f.BoolVar(&o.pdf, "pdf", false, usage+", as -o FILE.pdf does")
	f.StringVar(&o.paper, "paper", "", "of a PDF: "+strings.Join(plot.Names(), ", ")+"; where it is not given, "+usual)
	f.BoolVar(&o.tall, "portrait", false, "of a PDF: the paper upright; landscape without it")
}

// ask takes the name of a file for the wish for a PDF, where no other form is asked for.
func (o *sheets) ask(output string, other bool) {
	o.pdf = o.pdf || !other && named(output, ".pdf")
}

// check checks the flags; other tells whether another form is asked for.
func (o *sheets) check(other bool, output string, s streams) error {
	_, known := plot.Find(o.paper, o.tall)
	switch {
	case !o.pdf && (o.paper != "" || o.tall):
		return usagef("--paper and --portrait are for a PDF: -o FILE.pdf")
	case !o.pdf:
		return nil
	case other:
		return usagef("one form at a time: a PDF, or another")
	case o.paper != "" && !known:
		return usagef("--paper is %s, not %q", strings.Join(plot.Names(), ", "), o.paper)
	case (output == "" || output == "-") && terminal(s.out):
		return usagef("a PDF goes into a file: -o FILE.pdf")
	}
	return nil
}

// plotter writes sheets as PDF, and gives how many there are and of which paper.
type plotter func(io.Writer, plot.Setting) (int, plot.Paper, error)

// write writes what is plotted as PDF, and tells how many sheets of which paper it takes. Text is
// the circuit file.
func (o *sheets) write(file string, p *work.Panel, text []byte, s streams, plotted plotter) error {
	save := func(write func(io.Writer) error) error { return output(file, s, write) }
	return o.save(save, plot.Setting{File: text, Caution: talk.CautionOf(p).Line()}, s, plotted)
}

// save has what is plotted written by another.
func (o *sheets) save(save func(func(io.Writer) error) error, how plot.Setting, s streams, plotted plotter) error {
	var n int
	var on plot.Paper
	how.Paper, how.Portrait = o.paper, o.tall
	err := save(func(out io.Writer) error {
		var err error
		n, on, err = plotted(out, how)
		return err
	})
	var small *plot.TooSmall
	var room *plot.NoRoom
	switch {
	case errors.As(err, &small), errors.As(err, &room):
		return usageError{err}
	case err != nil:
		return err
	}
	fmt.Fprintf(s.err, "%s, %s.\n", talk.Count(n, "sheet"), on)
	return nil
}

// tables writes sections of tables as PDF.
func (o *sheets) tables(file string, p *work.Panel, text []byte, title string, sections []plot.Section, s streams) error {
	return o.write(file, p, text, s, tablesOf(p.Circuit, title, sections))
}

// tablesOf plots sections of tables.
func tablesOf(c *circuits.Circuit, title string, sections []plot.Section) plotter {
	return func(out io.Writer, how plot.Setting) (int, plot.Paper, error) {
		return plot.Tables(out, c, title, sections, how)
	}
}
