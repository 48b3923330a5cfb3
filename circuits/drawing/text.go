package drawing

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Measures of a drawing in characters.
const (
	textColumns  = 80 // of a drawing, where none are given
	textMargin   = 4  // for the numbers of the rungs
	textBeside   = 17 // for what stands beside the rungs
	narrowBeside = 12 // on a screen of less than 80 columns
	textTrack    = 2  // between conductors side by side in one column
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
	first int // number of the first rung, at which the rails have their names
}

// spot is where the symbol of a part begins on its line, and how long it is.
type spot struct{ x, n int }

// marks are the characters of conductors and symbols.
type marks struct {
	across, down, hotAcross, hotDown string
	corner                           map[int]string // by the ways that meet: left 1, right 2, up 4, down 8
	hotCorner                        map[int]string
	bar, endBar                      string // of a contact
	filled                           string // between the bars of a contact that an operated coil has closed
	more                             string
}

const (
	leftWay = 1 << iota
	rightWay
	upWay
	downWay
)

var boxMarks = marks{
	across: "─", down: "│", hotAcross: "═", hotDown: "║", bar: "┤", endBar: "├", filled: "█", more: "…",
	corner: map[int]string{1: "─", 2: "─", 3: "─", 4: "│", 8: "│", 12: "│", 10: "┌", 9: "┐", 6: "└", 5: "┘",
		14: "├", 13: "┤", 11: "┬", 7: "┴", 15: "┼"},
	hotCorner: map[int]string{1: "═", 2: "═", 3: "═", 4: "║", 8: "║", 12: "║", 10: "╔", 9: "╗", 6: "╚", 5: "╝",
		14: "╠", 13: "╣", 11: "╦", 7: "╩", 15: "╬"},
}

var asciiMarks = marks{
	across: "-", down: "|", hotAcross: "=", hotDown: "#", bar: "]", endBar: "[", filled: "X", more: "~",
	corner: map[int]string{1: "-", 2: "-", 3: "-", 4: "|", 8: "|", 12: "|", 10: "+", 9: "+", 6: "+", 5: "+",
		14: "+", 13: "+", 11: "+", 7: "+", 15: "+"},
	hotCorner: map[int]string{1: "=", 2: "=", 3: "=", 4: "#", 8: "#", 12: "#", 10: "#", 9: "#", 6: "#", 5: "#",
		14: "#", 13: "#", 11: "#", 7: "#", 15: "#"},
}

// symbol is a part in characters.
func (c *canvas) symbol(p *Part) string {
	m := c.marks
	switch p.Kind {
	case Contact:
		return c.contact(p)
	case Load:
		name := p.Device.Name
		if p.Device.Type.Kind == circuits.RelayKind {
			return "(" + name + c.star(p) + ")"
		}
		return "<" + name + c.star(p) + ">"
	case Primary:
		return "<" + p.Device.Name + " primary>"
	case Source:
		return "{" + p.Device.Name + "}"
	case Link:
		if p.Device.Type.Name == "breaker" {
			return "[x]"
		}
		return "[=]"
	case Pin:
		return ">>"
	case Bridge:
		return "="
	case Post:
		return "o"
	case Tap:
		return "o"
	case Ground:
		return "|i."
	case Reference:
		text := c.d.referenceText(p)
		text = strings.Replace(text, ", rung ", "@", 1)
		if p.hang {
			return text + ">"
		}
		return ">" + text
	}
	return m.across
}

func (c *canvas) star(p *Part) string {
	if c.o.State != nil && c.o.State.On[p.Device] {
		return "*"
	}
	return ""
}

// contact is a contact as it stands: the bars of a relay's, the round ones of a button or
// switch.
func (c *canvas) contact(p *Part) string {
	ct := p.Device.Contacts[p.Index]
	nc := ct.Closed[p.Device.Rest]
	closed := ct.Closed[c.o.State.position(p)]
	inner := " "
	switch {
	case nc && closed:
		inner = "/"
	case nc:
		inner = "'"
	case closed:
		inner = c.marks.filled
	}
	if p.Device.Type.Kind == circuits.OperatorKind && p.Device.Type.Name != "overload-relay" {
		if inner == c.marks.filled {
			inner = c.marks.across
		}
		return "o" + inner + "o"
	}
	if ct.Timed {
		inner = "t" + inner
	}
	return c.marks.bar + inner + c.marks.endBar
}

// textName is what is written above a symbol.
func (c *canvas) textName(p *Part) string {
	switch p.Kind {
	case Load, Source, Primary, Bridge, Reference:
		return ""
	case Contact:
		if c.o.State.operated(p) {
			return p.Device.Name + "*"
		}
	}
	return p.Name()
}

// terminals are the names of the terminals below a symbol.
func (c *canvas) terminals(p *Part) (left, right string) {
	if p.Kind == Post || p.Kind == Tap || p.Kind == Bridge || p.Kind == Reference || p.Kind == Ground {
		return "", ""
	}
	_, left = p.Left.Split()
	_, right = p.Right.Split()
	return left, right
}

// wants is how many characters a part takes between two columns: at least, and so that
// everything is readable.
func (c *canvas) wants(p *Part) (least, good int) {
	symbol := len([]rune(c.symbol(p)))
	name := len([]rune(c.textName(p)))
	l, r := c.terminals(p)
	number := 0
	if p.LeftNumber >= 0 {
		number = len([]rune(c.d.Circuit.Numbers[p.LeftNumber].Name))
	}
	least = max(symbol+2, name+1)
	return least, max(least+1, len(l)+len(r)+2, symbol+number+4)
}

// section draws rungs of one section.
func (c *canvas) section(rungs []Rung) string {
	s := rungs[0].section
	c.first = rungs[0].Number
	beside := textBeside
	if c.o.Columns < textColumns {
		beside = narrowBeside
	}
	if !c.columns(rungs, c.o.Columns-textMargin-beside-1) {
		return c.list(rungs)
	}
	right := c.at[s.columns]
	// Three lines a rung, a fourth for the leads of the meter.
	first := make([]int, len(rungs)) // line of the conductor
	n := 0
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
	ways := make(map[[2]int]way0)
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
	var b strings.Builder
	for _, line := range c.cell {
		b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
	return b.String()
}

// way0 is what meets at a place: the ways that conductors leave it, and whether they are
// energised.
type way0 struct {
	ways int
	hot  bool
	j    joint
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

func (c *canvas) jointAt(gr *group, s *section, j joint) int {
	switch j {
	case s.left:
		return c.at[0]
	case s.right:
		return c.at[s.columns]
	}
	return c.at[gr.column[j]] + textTrack*gr.track[j]
}

// verticals puts the conductors between rungs.
func (c *canvas) verticals(rungs []Rung, first []int, ways map[[2]int]way0) {
	type key struct {
		gr *group
		j  joint
	}
	spans := make(map[key]span)
	s := rungs[0].section
	shown := make(map[int]bool)
	for i, r := range rungs {
		shown[r.Number] = true
		for _, p := range r.Parts {
			for _, j := range p.at {
				if j == none {
					continue
				}
				k := key{r.group, j}
				if j == s.left || j == s.right {
					k.gr = nil
				}
				v, ok := spans[k]
				if !ok {
					v = span{first[i], first[i]}
				}
				spans[k] = span{min(v.from, first[i]), max(v.to, first[i])}
			}
		}
	}
	for k, v := range spans {
		x := 0
		if k.gr == nil {
			x = c.jointAt(nil, s, k.j)
		} else {
			x = c.jointAt(k.gr, s, k.j)
			for _, p := range k.gr.linked[k.j] { // on rungs that are not shown
				if shown[p.Rung] {
					continue
				}
				y := len(c.cell) - 1
				for i := len(rungs) - 1; i >= 0 && rungs[i].Number > p.Rung; i-- {
					y = max(first[i]-2, 0)
				}
				v.from, v.to = min(v.from, y), max(v.to, y)
			}
		}
		hot := c.o.State.hot(c.d.graph.numberOf(k.j))
		for y := v.from; y <= v.to; y++ {
			w := 0
			if y > v.from {
				w |= upWay
			}
			if y < v.to {
				w |= downWay
			}
			if k.gr == nil && v.from == v.to {
				w = upWay | downWay
			}
			if old, ok := ways[[2]int{x, y}]; ok && old.j != k.j {
				continue
			}
			ways[[2]int{x, y}] = way0{w, hot, k.j}
		}
	}
}

// rung puts the conductors and symbols of a rung.
func (c *canvas) rung(r *Rung, y int, ways map[[2]int]way0) {
	s, gr := r.section, r.group
	c.put(0, y, fmt.Sprintf("%3d", r.Number))
	across := func(from, to int, j joint) { // both ends included
		hot := c.o.State.hot(c.d.graph.numberOf(j))
		for x := from; x <= to; x++ {
			v, ok := ways[[2]int{x, y}]
			if ok && v.j != j {
				continue // it is crossed
			}
			if x > from {
				v.ways |= leftWay
			}
			if x < to {
				v.ways |= rightWay
			}
			ways[[2]int{x, y}] = way0{v.ways, hot, j}
		}
	}
	previous := -1
	for i, p := range r.Parts {
		symbol := c.symbol(p)
		n := len([]rune(symbol))
		from, to := 0, 0
		if p.slot < s.columns {
			from, to = c.at[p.slot], c.at[p.slot+1]
			for j, k := range gr.track {
				if gr.column[j] == p.slot {
					from = max(from, c.at[p.slot]+textTrack*k)
				}
			}
		} else {
			from = c.at[s.columns]
			to = from + n + 3
		}
		x := from + 1 + (to-from-n)/2
		if p.Kind == Reference && p.hang {
			x = to - n
		} else if p.Kind == Reference || p.slot >= s.columns {
			x = from + 2
		}
		if p.at[0] != none {
			start := c.jointAt(gr, s, p.at[0])
			if i > 0 && r.Parts[i-1].at[1] == p.at[0] {
				start = previous
			}
			across(start, x, p.at[0])
		}
		next := r.after(i)
		previous = x + n - 1
		if p.at[1] != none && (next == nil || next.at[0] != p.at[1]) {
			across(previous, c.jointAt(gr, s, p.at[1]), p.at[1])
		}
		c.spot[p] = spot{x, n}
	}
}

// corners writes the conductors.
func (c *canvas) corners(ways map[[2]int]way0) {
	for at, w := range ways {
		x, y := at[0], at[1]
		mark := c.marks.corner[w.ways]
		if w.hot {
			mark = c.marks.hotCorner[w.ways]
		}
		if mark != "" && y < len(c.cell) {
			c.cell[y][x] = []rune(mark)[0]
		}
	}
}

// put writes a text.
func (c *canvas) put(x, y int, text string) {
	for i, r := range []rune(text) {
		if x+i >= 0 && x+i < len(c.cell[y]) {
			c.cell[y][x+i] = r
			c.taken[y][x+i] = true
		}
	}
}

// free tells whether nothing stands at a place but, on the line of a rung, a conductor.
func (c *canvas) free(x, y, n int, conductor bool) bool {
	if y < 0 || y >= len(c.cell) || x < 0 {
		return false
	}
	for i := x; i < x+n; i++ {
		if i >= len(c.cell[y]) || c.taken[y][i] {
			return false
		}
		r := string(c.cell[y][i])
		plain := r == " " || conductor && (r == c.marks.across || r == c.marks.hotAcross)
		if !plain {
			return false
		}
	}
	return true
}

// words writes symbols, names, terminals and wire numbers of a rung.
func (c *canvas) words(r *Rung, y int) {
	s, gr := r.section, r.group
	for _, p := range r.Parts {
		c.put(c.spot[p].x, y, c.symbol(p))
	}
	for _, p := range r.Parts {
		name, at := c.textName(p), c.spot[p]
		middle := at.x + at.n/2
		n := len([]rune(name))
		if p.Kind == Ground {
			c.put(at.x+at.n+1, y, name)
			continue
		}
		for _, x := range []int{middle - n/2, middle - n/2 - 1, middle - n/2 + 1, middle - n/2 + 2} {
			if c.free(x, y-1, n, false) {
				c.put(x, y-1, name)
				break
			}
		}
		left, right := c.terminals(p)
		if x := at.x - len(left); left != "" && at.n > 2 && len(left)+len(right)+1 <= at.n+2 {
			x++
			c.tryPut(x, y+1, left)
			c.tryPut(at.x+at.n-1, y+1, right)
		} else {
			c.tryPut(at.x-len(left)+1, y+1, left)
			c.tryPut(at.x+at.n-1, y+1, right)
		}
		c.lead(p, y+2)
	}
	written := make(map[joint]bool)
	for _, p := range r.Parts {
		for side, j := range p.at {
			n := c.d.graph.numberOf(j)
			if j == none || n < 0 || written[j] || p.Kind == Reference {
				continue
			}
			if j == s.left || j == s.right {
				if r.Number == c.first {
					x := c.jointAt(gr, s, j)
					c.put(x-(len(c.d.Circuit.Numbers[n].Name)-1)/2, y-1, c.d.Circuit.Numbers[n].Name)
				}
				continue
			}
			name := c.d.Circuit.Numbers[n].Name
			at := c.jointAt(gr, s, j)
			x := at + 1
			if side == 1 && !startsAt(r, j) {
				x = at - len([]rune(name))
			}
			width := len([]rune(name))
			switch {
			case c.free(x-1+b2i(x > at), y, width+1, true):
				c.put(x, y, name)
			case c.free(x, y-1, width, false):
				c.put(x, y-1, name)
			case c.free(x, y+1, width, false):
				c.put(x, y+1, name)
			default:
				continue
			}
			written[j] = true
		}
	}
	right := c.at[s.columns] + 2
	if last := r.Parts[len(r.Parts)-1]; last.slot >= s.columns {
		right = c.spot[last].x + c.spot[last].n + len(last.Name()) + 2
	}
	for i, line := range c.besideLines(r, c.o.Columns-c.at[s.columns]-2) {
		if y-1+i < len(c.cell) && c.free(right, y-1+i, len([]rune(line)), false) {
			c.put(right, y-1+i, line)
		}
	}
}

func startsAt(r *Rung, j joint) bool {
	return slices.ContainsFunc(r.Parts, func(p *Part) bool { return p.at[0] == j })
}

func (c *canvas) tryPut(x, y int, text string) {
	if c.free(x, y, len([]rune(text)), false) {
		c.put(x, y, text)
	}
}

// lead marks the terminals of a part that the leads of the meter are on.
func (c *canvas) lead(p *Part, y int) {
	at := c.spot[p]
	for _, l := range c.o.Leads {
		if !slices.Contains(p.Terminals(), l.Terminal) || p.Kind == Reference {
			continue
		}
		name := "RED"
		if l.Black {
			name = "BLACK"
		}
		if p.Right == l.Terminal && p.Left != l.Terminal {
			c.tryPut(at.x+at.n-1, y, "^"+name)
		} else {
			c.tryPut(at.x-len(name), y, name+"^")
		}
	}
}

// leadsOn tells whether a lead of the meter is on a rung.
func (c *canvas) leadsOn(r *Rung) bool {
	return slices.ContainsFunc(r.Parts, func(p *Part) bool {
		return slices.ContainsFunc(c.o.Leads, func(l Lead) bool { return slices.Contains(p.Terminals(), l.Terminal) })
	})
}

// besideLines are what stands beside a rung, as lines.
func (c *canvas) besideLines(r *Rung, letters int) []string {
	var lines []string
	for _, words := range c.d.beside(r, letters, 2) {
		var parts []string
		for _, w := range words {
			if w.nc {
				w.text = "/" + w.text
			}
			parts = append(parts, w.text)
		}
		lines = append(lines, strings.Join(parts, " "))
	}
	return lines
}

// list writes rungs that do not fit as lists of their parts.
func (c *canvas) list(rungs []Rung) string {
	var b strings.Builder
	for _, r := range rungs {
		line := fmt.Sprintf("%3d ", r.Number)
		flush := func(next string) {
			if len([]rune(line))+len([]rune(next)) > c.o.Columns {
				b.WriteString(line + "\n")
				line = "      "
			}
			line += next
		}
		for _, p := range r.Parts {
			if p.LeftNumber >= 0 && p.Kind != Reference {
				flush(c.marks.across + c.d.Circuit.Numbers[p.LeftNumber].Name + c.marks.across)
			}
			left, right := c.terminals(p)
			text := strings.TrimSpace(c.textName(p) + " " + left + c.symbol(p) + right)
			flush(text)
		}
		if n := r.Parts[len(r.Parts)-1].RightNumber; n >= 0 {
			flush(c.marks.across + c.d.Circuit.Numbers[n].Name)
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}
