package plot

import (
	"crypto/sha256"
	"fmt"
	"math"

	"deadrung/circuits"
)

const (
	// besideBlock is the least width beside the block in which the caution has room.
	besideBlock = 80.0
	pad         = 1.5 // left and right of a text
	rowPad      = 1.0 // above and below it
	mostLines   = 3   // of a title
)

// blockWidths are those of the title block: 180 mm (ISO 7200; from memory), less where a long caution
// beside it needs the room.
var blockWidths = []float64{180, 165, 150, 135, 120}

// cell is one entry of the title block.
type cell struct {
	label, text string
	share       float64 // of the width of the block
	large       bool
}

// titleBlock gives the rows of the block of a sheet. File is the text of the circuit file, if it is of
// one.
func titleBlock(c *circuits.Circuit, file []byte, sheet, sheets int, paper Paper) [][]cell {
	b := c.Block
	const third = 1.0 / 3
	rows := [][]cell{
		{{"", c.Title, 1, true}},
		{{"Project", b.Project, 2 * third, false}, {"Drawing", b.Number, third, false}},
		{{"Drawn", b.Drawn, third, false}, {"Checked", b.Checked, third, false}, {"Date", b.Date, third, false}},
	}
	if file != nil { // else it is of several
		rows = append(rows, []cell{{"Circuit file, SHA-256", fmt.Sprintf("%x", sha256.Sum256(file)), 1, false}})
	}
	return append(rows, []cell{{"Revision", b.Revision, third, false},
		{"Sheet", fmt.Sprintf("%d of %d", sheet, sheets), third, false}, {"Paper", paper.String(), third, false}})
}

// lines gives the text of a cell as it is broken, and where it begins beside its label.
func (b *book) lines(c cell, block float64) (lines []string, at, step float64) {
	size := textSize
	if c.large {
		size *= 1.4
	}
	at = pad
	if c.label != "" {
		b.font(textSize, false)
		at += b.wide(c.label) + 2*pad
	}
	b.font(size, true)
	lines = b.wrapped(c.text, c.share*block-at-pad)
	if len(lines) > mostLines && c.large {
		lines = append(lines[:mostLines-1], lines[mostLines-1]+"\u2026")
	}
	return lines, at, lineStep * size / textSize
}

// rowHeight is the height of a row of the block, which has a width.
func (b *book) rowHeight(row []cell, block float64) float64 {
	height := 0.0
	for _, c := range row {
		lines, _, step := b.lines(c, block)
		height = math.Max(height, float64(len(lines))*step+2*rowPad)
	}
	return height
}

// foot is what stands at the foot of every sheet: the title block, and the caution beside it or
// above it.
type foot struct {
	block   rect
	caution rect
	top     float64 // above which the drawing ends
	lines   []string
}

// footOf finds the place of the foot within a frame: the lowest that there is.
func (b *book) footOf(f rect, rows [][]cell, caution string) foot {
	var best foot
	for i, width := range blockWidths {
		if ft := b.footWith(width, f, rows, caution); i == 0 || ft.top > best.top+0.1 {
			best = ft
		}
	}
	return best
}

// footWith finds the place of a foot whose block has a width.
func (b *book) footWith(width float64, f rect, rows [][]cell, caution string) foot {
	height := 0.0
	for _, row := range rows {
		height += b.rowHeight(row, width)
	}
	ft := foot{block: rect{f.right - width, f.bottom - height, f.right, f.bottom}}
	ft.caution = rect{f.left, ft.block.top, ft.block.left, f.bottom}
	beside := ft.caution.width() >= besideBlock
	if !beside {
		ft.caution.right = f.right
	}
	b.font(textSize, false)
	ft.lines = b.wrapped(caution, ft.caution.width()-2*pad)
	need := float64(len(ft.lines))*lineStep + 2*pad
	if beside {
		ft.caution.top = math.Min(ft.block.top, f.bottom-need)
	} else {
		ft.caution.bottom = ft.block.top
		ft.caution.top = ft.caution.bottom - need
	}
	ft.top = math.Min(ft.caution.top, ft.block.top)
	return ft
}

// foot draws the foot of a sheet.
func (b *book) foot(ft foot, rows [][]cell) {
	b.box(ft.block, 0.5)
	y := ft.block.top
	for i, row := range rows {
		if i > 0 {
			b.line(ft.block.left, y, ft.block.right, y, 0.35)
		}
		x, height := ft.block.left, b.rowHeight(row, ft.block.width())
		for k, c := range row {
			if k > 0 {
				b.line(x, y, x, y+height, 0.35)
			}
			lines, at, step := b.lines(c, ft.block.width())
			base := y + rowPad + step - 1.2
			if c.label != "" {
				b.text(x+pad, base, c.label, false)
			}
			b.lines(c, ft.block.width()) // chooses the font again
			for n, line := range lines {
				b.put(x+at, base+float64(n)*step, line)
			}
			x += c.share * ft.block.width()
		}
		y += height
	}
	b.line(ft.caution.left, ft.caution.top, ft.caution.right, ft.caution.top, 0.35)
	for i, line := range ft.lines {
		b.text(ft.caution.left+pad, ft.caution.top+pad+float64(i+1)*lineStep-1.2, line, false)
	}
}
