package plot

import (
	"io"
	"math"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
)

// Section is rows of a table with a heading, and what is said below that.
type Section struct {
	Title string
	Says  []string
	Heads []string
	Rows  [][]string
	Boxes []int // columns with a box to tick
	Free  []int // columns to write in
	New   bool  // begins a new sheet
	// Together keeps rows that begin with an empty cell on the sheet of the row above them.
	Together bool
	Wired    *Wired
}

// Wired is a connection diagram above the rows of a section: whole, over as many sheets as it takes,
// or those devices that its options name.
type Wired struct {
	Diagram *connections.Diagram
	Options connections.Options
}

// Tables writes sections one below the other as PDF and gives how many sheets there are.
func Tables(out io.Writer, c *circuits.Circuit, title string, sections []Section, s Setting) (int, Paper, error) {
	paper := chosen[0].turned(s.Portrait)
	if s.Paper != "" {
		paper, _ = Find(s.Paper, s.Portrait)
	}
	sheets := 1
	var laid []wiredSheets
	for {
		t := &tables{book: newBook(c.Title), c: c, s: s, paper: paper, title: title, of: sheets, columns: 1}
		t.columns = t.sideBySide(sections)
		t.newSheet()
		for i, sec := range sections {
			t.first = i == 0 || sec.New
			if len(laid) == i {
				laid = append(laid, t.wired(sec))
			}
			t.section(sec, laid[i])
		}
		if t.of == t.sheets {
			return sheets, paper, t.write(out)
		}
		sheets = t.sheets // now it is known how many there are
	}
}

// wiredSheets is what a section has of a connection diagram, and on which paper.
type wiredSheets struct {
	paper   Paper
	figures []drawing.Figure
}

// wired lays out what a section has of a connection diagram.
func (t *tables) wired(s Section) wiredSheets {
	if s.Wired == nil {
		return wiredSheets{paper: t.paper}
	}
	const head = 3*lineStep + 3*pad
	if len(s.Wired.Options.Only) > 0 {
		page := t.s.page(t.c, t.paper)
		page.Height -= head / unit
		return wiredSheets{t.paper, s.Wired.Diagram.Figures(s.Wired.Options, page)}
	}
	paper, page, fits := t.s.wiredOn(s.Wired.Diagram, head)
	if !fits {
		return wiredSheets{paper: t.paper}
	}
	s.Wired.Options.Before = t.sheets
	return wiredSheets{paper, s.Wired.Diagram.Figures(s.Wired.Options, page)}
}

// tables is a PDF of tables while it is written.
type tables struct {
	*book
	c      *circuits.Circuit
	s      Setting
	paper  Paper
	title  string
	of     int // sheets in all, as far as known
	sheets int
	frame  rect
	bottom float64
	y      float64

	// Narrow tables go on in further columns of a sheet, which begin below what stands across it.
	columns, column int
	top             float64
	first           bool // what is said in the section stands across the sheet
}

// mostColumns are side by side at most, columnGap apart. A table may be squeezed for them to this share of
// the width that its words take. What is said within a column is of farLetters at most, else there is one
// column.
const (
	squeezed    = 0.88
	mostColumns = 4
	columnGap   = 6.0
	farLetters  = 100
)

// sideBySide is how many columns of tables a sheet has room for.
func (t *tables) sideBySide(sections []Section) int {
	widest := 0.0
	for i, s := range sections {
		if s.Wired != nil {
			return 1
		}
		for _, line := range s.Says {
			if i > 0 && !s.New && len(line) > farLetters {
				return 1
			}
		}
		sum := 0.0
		words := t.words(s)
		least := 0.0
		for k, w := range t.natural(s) {
			sum += w
			least += words[k]
		}
		widest = math.Max(widest, math.Max(squeezed*sum, least))
	}
	room := t.paper.frame().width() - 2*pad
	return max(min(int((room+columnGap)/(widest+columnGap)), mostColumns), 1)
}

// across is the room across a sheet.
func (t *tables) across() float64 { return t.frame.width() - 2*pad }

// room is that across a column.
func (t *tables) room() float64 {
	return (t.across() - columnGap*float64(t.columns-1)) / float64(t.columns)
}

// left is where a column begins.
func (t *tables) left() float64 {
	return t.frame.left + pad + float64(t.column)*(t.room()+columnGap)
}

// next goes on in the next column, or upon the next sheet.
func (t *tables) next() {
	if t.column+1 < t.columns && !t.first {
		t.column++
		t.y = t.top
		return
	}
	t.newSheet()
}

// cellPad is left and right of the text of a cell.
const cellPad = 1.2

func (t *tables) newSheet() {
	t.sheets++
	t.sheet(t.paper)
	t.frame = t.paper.frame()
	t.book.frame(t.frame)
	block := titleBlock(t.c, t.s.File, t.sheets, t.of, t.paper)
	ft := t.footOf(t.frame, block, t.s.Caution)
	t.foot(ft, block)
	t.bottom = ft.top - pad
	t.y = t.frame.top + lineStep + pad
	t.text(t.frame.left+pad, t.y, t.title, true)
	t.y += pad
	t.column, t.top = 0, t.y
}

// section writes one section.
func (t *tables) section(s Section, on wiredSheets) {
	if on.paper != t.paper {
		usual := t.paper
		t.paper = on.paper
		defer func() { t.paper = usual }()
		t.newSheet()
	}
	if s.New && (t.column > 0 || t.y > t.frame.top+2*lineStep+2*pad) {
		t.newSheet()
	}
	width, said := t.room(), t.room()
	if t.first {
		said = t.across()
	}
	var widths []float64
	if len(s.Rows) > 0 { // what is said of them does not stand alone at the foot of a sheet
		widths = t.widths(s, width)
		need := cellPad + t.height(widths, s.Heads) + t.height(widths, s.Rows[0])
		for _, line := range append([]string{s.Title}, s.Says...) {
			if line != "" {
				need += lineStep * float64(len(t.wrapped(line, said)))
			}
		}
		if t.y+need > t.bottom && t.frame.top+2*lineStep+need < t.bottom {
			t.next()
		}
	}
	if len(on.figures) > 0 && t.y+lineStep*float64(1+len(s.Says))+on.figures[0].Height*unit > t.bottom {
		t.newSheet()
	}
	t.says(s.Title, true, said)
	for _, line := range s.Says {
		t.says(line, false, said)
	}
	if t.first {
		t.first = false
		t.top = t.y + pad
	}
	if s.Wired != nil && len(on.figures) == 0 {
		t.says("The connection diagram takes larger paper: --paper.", false, width)
	}
	for _, f := range on.figures {
		high := f.Height * unit
		if t.y+high > t.bottom {
			t.newSheet()
		}
		t.figure(f, t.frame.left, t.y)
		t.y += high
	}
	if len(s.Rows) == 0 {
		return
	}
	t.y += cellPad
	t.row(s, widths, s.Heads, true)
	for i, r := range s.Rows {
		need := t.height(widths, r)
		for k := i + 1; s.Together && r[0] != "" && k < len(s.Rows) && s.Rows[k][0] == ""; k++ {
			need += t.height(widths, s.Rows[k])
		}
		if t.y+t.height(widths, r) > t.bottom || t.y+need > t.bottom && need < t.bottom-t.frame.top-4*lineStep {
			t.next()
			t.row(s, widths, s.Heads, true)
		}
		t.row(s, widths, r, false)
	}
	t.y += lineStep / 2
}

// says writes a paragraph.
func (t *tables) says(text string, bold bool, width float64) {
	if text == "" {
		return
	}
	t.font(textSize, bold)
	for _, line := range t.wrapped(text, width) {
		need := lineStep
		if bold {
			need = 4 * lineStep // a heading does not stand alone
		}
		if t.y+need > t.bottom {
			t.next()
		}
		t.y += lineStep
		t.text(t.left(), t.y, line, bold)
	}
}

// boxWidth is how wide a column of boxes is, and freeWidth one to write in.
const (
	boxWidth  = 6.0
	freeWidth = 28.0
)

// words are the widths of the longest words of a table.
func (t *tables) words(s Section) []float64 {
	widths := make([]float64, len(s.Heads))
	for n, r := range append([][]string{s.Heads}, s.Rows...) {
		t.font(textSize, n == 0)
		for i, cell := range r {
			for _, w := range strings.Fields(cell) {
				widths[i] = math.Max(widths[i], t.wide(w)+2*cellPad+0.5)
			}
		}
	}
	for _, i := range s.Boxes {
		widths[i] = boxWidth
	}
	for _, i := range s.Free {
		widths[i] = math.Max(widths[i], freeWidth)
	}
	return widths
}

// natural are the widths that the words of a table take.
func (t *tables) natural(s Section) []float64 {
	widths := make([]float64, len(s.Heads))
	measure := func(row []string, bold bool) {
		t.font(textSize, bold)
		for i, cell := range row {
			widths[i] = math.Max(widths[i], t.wide(cell)+2*cellPad+0.5)
		}
	}
	measure(s.Heads, true)
	for _, r := range s.Rows {
		measure(r, false)
	}
	for _, i := range s.Boxes {
		widths[i] = boxWidth
	}
	for _, i := range s.Free {
		widths[i] = math.Max(widths[i], freeWidth)
	}
	return widths
}

// widths gives the columns of a table their widths: what their words take, and where that is too much, the
// widest less.
func (t *tables) widths(s Section, width float64) []float64 {
	widths, words := t.natural(s), t.words(s)
	for { // between words first
		sum, widest := 0.0, -1
		for i, w := range widths {
			sum += w
			if w > words[i] && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if sum <= width {
			return widths
		}
		if widest < 0 {
			break
		}
		widths[widest] = math.Max(words[widest], widths[widest]-math.Min(sum-width, 1))
	}
	for {
		sum, widest := 0.0, 0
		for i, w := range widths {
			sum += w
			if w > widths[widest] {
				widest = i
			}
		}
		if sum <= width || widths[widest] < 12 {
			return widths
		}
		second := 10.0
		for i, w := range widths {
			if i != widest {
				second = math.Max(second, w)
			}
		}
		widths[widest] = math.Max(widths[widest]-(sum-width), math.Min(second-1, widths[widest]-1))
	}
}

func (t *tables) cells(widths []float64, r []string, bold bool) [][]string {
	var lines [][]string
	t.font(textSize, bold)
	for i, cell := range r {
		lines = append(lines, t.wrapped(cell, widths[i]-2*cellPad))
	}
	return lines
}

func (t *tables) height(widths []float64, r []string) float64 {
	most := 1
	for _, lines := range t.cells(widths, r, false) {
		most = max(most, len(lines))
	}
	return float64(most)*lineStep + 1
}

// row writes one row.
func (t *tables) row(s Section, widths []float64, r []string, head bool) {
	cells := t.cells(widths, r, head)
	most := 1
	for _, lines := range cells {
		most = max(most, len(lines))
	}
	height := float64(most)*lineStep + 1
	x := t.left()
	for i, lines := range cells {
		t.box(rect{x, t.y, x + widths[i], t.y + height}, 0.2)
		for n, line := range lines {
			t.text(x+cellPad, t.y+lineStep*float64(n+1)-0.8, line, head)
		}
		if !head {
			for _, k := range s.Boxes {
				if k == i {
					t.box(rect{x + 1.5, t.y + 1.3, x + 4.5, t.y + 4.3}, 0.3)
				}
			}
		}
		x += widths[i]
	}
	t.y += height
}
