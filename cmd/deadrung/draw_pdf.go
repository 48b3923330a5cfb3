package main

import (
	"io"

	"deadrung/circuits/drawing"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
)

// checkSheets checks the flags of a PDF.
func (o *drawOptions) checkSheets(s streams) error {
	switch {
	case o.pdf && (o.svg || o.json):
		return usagef("a drawing is written in one form: --pdf, --svg or --json")
	case o.pdf && (o.ascii || len(o.rungs) > 0 || o.columns != 0 || o.sheet != 0):
		return usagef("--ascii, --rungs, --columns and --sheet are not for a PDF, which holds every sheet")
	}
	return o.sheets.check(false, o.output, s)
}

// plotDrawing writes the sheets of a drawing as PDF.
func plotDrawing(o drawOptions, d *drawing.Drawing, how drawing.Options, text []byte, p *work.Panel, s streams) error {
	how.Foot = nil // the caution has its place on every sheet
	return o.sheets.write(o.output, p, text, s, func(out io.Writer, setting plot.Setting) (int, plot.Paper, error) {
		return plot.Ladder(out, d, how, setting)
	})
}
