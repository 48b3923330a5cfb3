package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// asPDF tells whether a PDF is asked for: by the flag, or by the name of the file.
func (o drawOptions) asPDF() bool {
	return o.pdf || !o.svg && !o.json && strings.EqualFold(filepath.Ext(o.output), ".pdf")
}

// asDXF tells whether a DXF is asked for: by the flag, or by the name of the file.
func (o drawOptions) asDXF() bool {
	return o.dxf || !o.svg && !o.json && !o.pdf && strings.EqualFold(filepath.Ext(o.output), ".dxf")
}

// checkPaper checks the flags of a PDF.
func (o drawOptions) checkPaper(s streams) error {
	_, known := plot.Find(o.paper, o.tall)
	switch {
	case !o.pdf && (o.paper != "" || o.tall):
		return usagef("--paper and --portrait are for a PDF: -o FILE.pdf")
	case !o.pdf:
		return nil
	case o.svg || o.json:
		return usagef("a drawing is written in one form: --pdf, --svg or --json")
	case o.ascii || len(o.rungs) > 0 || o.columns != 0 || o.sheet != 0:
		return usagef("--ascii, --rungs, --columns and --sheet are not for a PDF, which holds every sheet")
	case o.paper != "" && !known:
		return usagef("--paper is %s, not %q", strings.Join(plot.Names(), ", "), o.paper)
	case (o.output == "" || o.output == "-") && terminal(s.out):
		return usagef("a PDF goes into a file: -o FILE.pdf")
	}
	return nil
}

// plotDrawing writes the sheets of a drawing as PDF.
func plotDrawing(o drawOptions, d *drawing.Drawing, how drawing.Options, text []byte, p *work.Panel, s streams) error {
	how.Foot = nil // the caution has its place on every sheet
	setting := plot.Setting{Paper: o.paper, Portrait: o.tall, File: text, Caution: talk.CautionOf(p).Line()}
	var sheets int
	var paper plot.Paper
	err := output(o.output, s, func(out io.Writer) error {
		var err error
		sheets, paper, err = plot.Ladder(out, d, how, setting)
		return err
	})
	var narrow *plot.TooNarrow
	if errors.As(err, &narrow) {
		return usageError{err}
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(s.err, "%s, %s.\n", talk.Count(sheets, "sheet"), paper)
	return nil
}
