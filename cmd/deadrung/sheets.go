package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

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

func (o *sheets) flags(f *pflag.FlagSet) {
	f.BoolVar(&o.pdf, "pdf", false, "the result as sheets to sign, as -o FILE.pdf does")
	f.StringVar(&o.paper, "paper", "", "of a PDF: "+strings.Join(plot.Names(), ", ")+"; a4 where it is not given")
	f.BoolVar(&o.tall, "portrait", false, "of a PDF: the paper upright; landscape without it")
}

// ask takes the name of a file for the wish for a PDF, where no other form is asked for.
func (o *sheets) ask(output string, other bool) {
	o.pdf = o.pdf || !other && strings.EqualFold(filepath.Ext(output), ".pdf")
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

// write writes sections of tables as PDF.
func (o *sheets) write(file string, p *work.Panel, text []byte, title string, sections []plot.Section, s streams) error {
	var n int
	var on plot.Paper
	err := output(file, s, func(out io.Writer) error {
		var err error
		n, on, err = plot.Tables(out, p.Circuit, title, sections, plot.Setting{Paper: o.paper, Portrait: o.tall,
			File: text, Caution: talk.CautionOf(p).Line()})
		return err
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.err, "%s, %s.\n", talk.Count(n, "sheet"), on)
	return nil
}
