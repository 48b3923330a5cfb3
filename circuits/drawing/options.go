package drawing

import (
	"math"

	"deadrung/circuits"
)

// Symbols says by which standard symbols are drawn.
type Symbols int

const (
	NEMA Symbols = iota // IEEE 315 and NEMA ICS 19, as on North American ladder drawings
	IEC                 // IEC 60617
)

// Lead is a lead of the meter on a terminal.
type Lead struct {
	Terminal circuits.Terminal
	Black    bool // else red
}

// Colour is how a lead is written on a drawing.
func (l Lead) Colour() string {
	if l.Black {
		return "BLACK"
	}
	return "RED"
}

// Options say how a drawing is drawn. The zero value is NEMA symbols, everything at rest.
type Options struct {
	Symbols Symbols
	// Upright draws current paths that run down, side by side in numbered columns, and a table of its
	// contacts under every coil; else rungs run across, one below the other. Of SVG and sheets; text
	// always runs across.
	Upright bool
	Leads   []Lead
	Doubts  []Doubt  // what may still be wrong
	State   *State   // what is energised and operated; nil: as on the shelf
	Columns int      // of text; 0 is 80
	ASCII   bool     // text without line-drawing characters
	Rungs   []int    // text of these rungs only; none: all
	Sheet   int      // SVG of one sheet of paper only, from 1; 0: all on one
	Page    *Page    // the sheets are pages of this size; nil: what A4 and letter paper hold
	Foot    []string // lines below an SVG: cautions
	// Unnumbered leaves wire numbers and terminals out: what is handed to whoever plans the wires.
	Unnumbered bool
}

// size is how large a text is that has a size on a screen.
func (o Options) size(s float64) float64 {
	if o.Page != nil {
		return math.Max(s, o.Page.Least)
	}
	return s
}

// line is what a line of the drawing is called.
func (o Options) line() string {
	if o.Upright {
		return "path"
	}
	return "rung"
}

// name is how a wire number (index into Circuit.Numbers) is written.
func (o Options) name(d *Drawing, n int) string {
	if o.Unnumbered {
		return ""
	}
	return d.Circuit.Numbers[n].Name
}
