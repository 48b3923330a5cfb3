package drawing

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
)

// beyond is the room that grounds on the right rail take to the right of it.
func beyond(rungs []Rung) int {
	most := 0
	for _, r := range rungs {
		for _, p := range r.Parts {
			if p.slot >= r.section.columns {
				most = max(most, len(p.Name())+4)
			}
		}
	}
	return most
}

// references writes below the rungs what has no room beside them: on which rungs the
// contacts of their coils are.
func (c *canvas) references(rungs []Rung) string {
	var b strings.Builder
	for _, r := range rungs {
		for _, p := range r.Parts {
			if p.Kind != Load || p.Device.Type.Kind != circuits.RelayKind {
				continue
			}
			lines := fmt.Sprintf("    %s, rung %d: contacts on", p.Device.Name, r.Number)
			width := len(lines)
			n := 0
			for _, x := range c.d.CrossReferences(p.Device) {
				if x.Rung > 0 {
					next := " " + strings.Repeat("/", b2i(x.NC)) + fmt.Sprint(x.Rung)
					if width += len(next); width > c.o.Columns {
						lines += "\n       "
						width = 7 + len(next)
					}
					lines += next
					n++
				}
			}
			if n > 0 {
				b.WriteString(lines + "\n")
			}
		}
	}
	return b.String()
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
			c.put(at.x+at.n+1-b2i(c.under != nil), y, name)
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
				continue
			}
			name := c.o.name(c.d, n)
			at := c.jointAt(gr, s, j)
			x := at + 1
			if side == 1 && !startsAt(r, j) {
				x = at - len([]rune(name))
			}
			written[j] = c.number(name, x, at, y)
		}
	}
	right := c.at[s.columns] + 2
	line := y - 1
	for _, text := range c.besideLines(r, c.o.Columns-right) {
		if line == y && !c.free(right, y, len([]rune(text)), false) {
			line++ // a ground is there
		}
		if line < len(c.cell) && c.free(right, line, len([]rune(text)), false) {
			c.put(right, line, text)
		}
		line++
	}
}

// number writes a wire number beside its joint: on the conductor where there is room, else
// above or below it, apart from names. It reports false where there is no room.
func (c *canvas) number(name string, x, at, y int) bool {
	width := len([]rune(name))
	places := []struct {
		x, y, from, n int
		conductor     bool
	}{
		{x, y, x - 1 + b2i(x > at), width + 1, true},
		{x, y - 1, x - 1, width + 2, false},
		{x, y + 1, x - 1, width + 2, false},
	}
	for d := range width + 3 { // anywhere on the conductor that passes through
		places = append(places, struct {
			x, y, from, n int
			conductor     bool
		}{at + 1 - d, y, at + 1 - d, width, true})
	}
	for _, p := range places {
		if c.free(p.from, p.y, p.n, p.conductor) {
			c.put(p.x, p.y, name)
			return true
		}
	}
	return false
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
		name := l.Colour()
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
		return slices.ContainsFunc(c.o.Leads,
			func(l Lead) bool { return slices.Contains(p.Terminals(), l.Terminal) })
	})
}

// besideLines are what stands beside a rung, as lines.
func (c *canvas) besideLines(r *Rung, letters int) []string {
	var lines []string
	if c.under != nil {
		return nil
	}
	for _, words := range c.d.beside(r, Options{}, letters, 2) {
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
				flush(c.marks.across + c.o.name(c.d, p.LeftNumber) + c.marks.across)
			}
			left, right := c.terminals(p)
			text := strings.TrimSpace(c.textName(p) + " " + left + c.symbol(p) + right)
			for _, l := range c.o.Leads {
				if slices.Contains(p.Terminals(), l.Terminal) && p.Kind != Reference {
					text += fmt.Sprintf("(%s on %s)", l.Colour(), l.Terminal)
				}
			}
			flush(text)
		}
		if n := r.Parts[len(r.Parts)-1].RightNumber; n >= 0 {
			flush(c.marks.across + c.o.name(c.d, n))
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}
