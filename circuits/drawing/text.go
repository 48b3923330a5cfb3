package drawing

import (
	"slices"
	"strings"
)

// Text draws the circuit with characters, in as many columns as there are. A rung that
// does not fit is written as a list of its parts.
func (d *Drawing) Text(o Options) string {
	if o.Columns == 0 {
		o.Columns = textColumns
	}
	c := &canvas{d: d, o: o, marks: boxMarks, spot: make(map[*Part]spot)}
	if o.ASCII {
		c.marks = asciiMarks
	}
	var rungs []Rung
	for _, r := range d.Rungs {
		if len(o.Rungs) == 0 || slices.Contains(o.Rungs, r.Number) {
			rungs = append(rungs, r)
		}
	}
	var b strings.Builder
	for len(rungs) > 0 {
		n := 1
		for n < len(rungs) && rungs[n].section == rungs[0].section {
			n++
		}
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(c.section(rungs[:n]))
		rungs = rungs[n:]
	}
	if o.ASCII {
		return strings.ReplaceAll(b.String(), "…", c.marks.more)
	}
	return b.String()
}

// canvas is where characters are put.
type canvas struct {
	d     *Drawing
	o     Options
	marks marks
	cell  [][]rune
	taken [][]bool // by a symbol or a text, not by a conductor
	at    []int    // where the columns are
	spot  map[*Part]spot
	under []Rung // those with no room beside them
}

// spot is where the symbol of a part begins on its line, and how long it is.
type spot struct{ x, n int }

// wants is how many characters a part takes between two columns: at least, and so that
// everything is readable.
func (c *canvas) wants(p *Part) (least, good int) {
	symbol := len([]rune(c.symbol(p)))
	name := len([]rune(c.textName(p)))
	l, r := c.terminals(p)
	number := 0
	if p.LeftNumber >= 0 {
		number = len([]rune(c.o.name(c.d, p.LeftNumber)))
	}
	least = max(symbol+number+1+b2i(number == 0), name+1)
	return least, max(least+1, len(l)+len(r)+2, symbol+number+4)
}

// section draws rungs of one section.
func (c *canvas) section(rungs []Rung) string {
	s := rungs[0].section
	beside := textBeside
	if c.o.Columns < textColumns {
		beside = narrowBeside
	}
	c.under = nil
	if !c.columns(rungs, c.o.Columns-textMargin-beside-1) {
		if !c.columns(rungs, c.o.Columns-textMargin-1-beyond(rungs)) {
			return c.list(rungs) + c.references(rungs)
		}
		c.under = rungs
	}
	right := c.at[s.columns]
	// Three lines a rung, a fourth for the leads of the meter.
	first := make([]int, len(rungs)) // line of the conductor
	n := 1                           // after the names of the rails
	for i, r := range rungs {
		if i > 0 && r.Number > rungs[i-1].Number+1 {
			n++ // a line for the rungs that are not shown
		}
		first[i] = n + 1
		n += 3
		if c.leadsOn(&r) {
			n++
		}
		n = max(n, first[i]-1+len(c.besideLines(&r, c.o.Columns-right-2)))
	}
	c.cell = make([][]rune, n)
	c.taken = make([][]bool, n)
	for i := range c.cell {
		c.cell[i] = []rune(strings.Repeat(" ", c.o.Columns+40))
		c.taken[i] = make([]bool, c.o.Columns+40)
	}
	ways := make(map[[2]int]meeting)
	c.verticals(rungs, first, ways)
	for i := range rungs {
		c.rung(&rungs[i], first[i], ways)
	}
	c.corners(ways)
	for i := 1; i < len(rungs); i++ {
		if rungs[i].Number > rungs[i-1].Number+1 {
			c.put(1, first[i]-2, ":")
		}
	}
	for i := range rungs {
		c.words(&rungs[i], first[i])
	}
	for _, j := range []joint{s.left, s.right} {
		if n := c.d.graph.numberOf(j); n >= 0 {
			name := c.o.name(c.d, n)
			x := c.jointAt(nil, s, j) - (len(name)-1)/2
			c.put(max(0, min(x, c.o.Columns-len(name))), 0, name)
		}
	}
	var b strings.Builder
	for _, line := range c.cell {
		b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
	return b.String() + c.references(c.under)
}

// columns places the columns; it reports false where the rungs do not fit.
func (c *canvas) columns(rungs []Rung, room int) bool {
	s := rungs[0].section
	least, good := make([]int, s.columns), make([]int, s.columns)
	for i := range least {
		least[i], good[i] = 1, 1
	}
	for _, gr := range s.groups {
		for _, p := range gr.parts {
			if p.slot >= s.columns {
				continue
			}
			extra := 0
			for j, k := range gr.track {
				if gr.column[j] == p.slot {
					extra = max(extra, textTrack*k)
				}
			}
			l, g := c.wants(p)
			least[p.slot], good[p.slot] = max(least[p.slot], l+extra), max(good[p.slot], g+extra)
		}
	}
	width := slices.Clone(good)
	sum := 0
	for _, w := range width {
		sum += w
	}
	for sum > room { // take from where there is most to spare
		at := -1
		for i := range width {
			if width[i] > least[i] && (at < 0 || width[i]-least[i] > width[at]-least[at]) {
				at = i
			}
		}
		if at < 0 {
			return false
		}
		width[at]--
		sum--
	}
	for spare := min(room-sum, 5*len(width)); spare > 0; spare-- { // give to the narrowest
		at := 0
		for i := range width {
			if width[i] < width[at] {
				at = i
			}
		}
		width[at]++
	}
	c.at = []int{textMargin}
	for i, w := range width {
		c.at = append(c.at, c.at[i]+w)
	}
	return true
}
