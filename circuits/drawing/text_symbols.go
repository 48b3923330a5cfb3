package drawing

import (
	"strings"
)

// Measures of a drawing in characters.
const (
	textColumns  = 80 // of a drawing, where none are given
	textMargin   = 4  // for the numbers of the rungs
	textBeside   = 17 // for what stands beside the rungs
	narrowBeside = 12 // on a screen of less than 80 columns
	textTrack    = 2  // between conductors side by side in one column
)

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
	switch p.Kind {
	case Contact:
		return c.contact(p)
	case Load:
		left, right := sides(p)
		return left + p.Device.Name + c.star(p) + right
	case Primary:
		if p.Device.Rectifier() {
			left, right := sides(p)
			return left + p.Device.Name + right
		}
		return "<" + p.Device.Name + " primary>"
	case Source:
		left, right := sides(p)
		return left + p.Device.Name + right
	case Link, Pin, Post, Tap, Ground:
		if p.backward() {
			return strings.ReplaceAll(shapeOf(p).Text, ">", "<")
		}
		return shapeOf(p).Text
	case Bridge:
		return "="
	case Reference:
		text := c.d.referenceText(p, c.o)
		text = strings.Replace(text, ", rung ", "@", 1)
		if p.hang {
			return text + ">"
		}
		return ">" + text
	}
	panic("drawing: a part of no kind")
}

// sides are what stands left and right of what a symbol of characters holds.
func sides(p *Part) (left, right string) {
	left, right, _ = strings.Cut(shapeOf(p).Text, " ")
	return left, right
}

// round is the form of a contact between two round terminals, of what a person, a machine or
// the process moves.
const round = "o o"

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
	nc := p.Device.ClosedAtRest(p.Index)
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
	if p.Device.Type.Symbols.Text == round {
		if inner == c.marks.filled {
			inner = c.marks.across
		}
		return "o" + inner + "o"
	}
	if p.showsDelay() {
		inner = "t" + inner
	}
	if p.ofFaultRelay() {
		inner = "f" + inner
	}
	return c.marks.bar + inner + c.marks.endBar
}

// textName is what is written above a symbol.
func (c *canvas) textName(p *Part) string {
	switch p.Kind {
	case Load, Source, Primary, Bridge, Reference:
		return c.o.marked(p, "")
	case Contact:
		if c.o.State.operated(p) {
			return c.o.marked(p, p.Device.Name+"*")
		}
	}
	return c.o.marked(p, p.Name())
}

// terminals are the names of the terminals below a symbol.
func (c *canvas) terminals(p *Part) (left, right string) {
	if c.o.Unnumbered || p.Kind == Post || p.Kind == Tap || p.Kind == Bridge || p.Kind == Reference || p.Kind == Ground {
		return "", ""
	}
	return c.o.terminal(p.Left), c.o.terminal(p.Right)
}
