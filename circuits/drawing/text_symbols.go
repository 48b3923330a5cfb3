package drawing

import (
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
