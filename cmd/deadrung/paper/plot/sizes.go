package plot

import (
	"fmt"
	"strings"
)

// Paper is a sheet of paper as it lies, in millimetres.
type Paper struct {
	Name          string
	Width, Height float64
}

// papers are the sheets by name, landscape: ISO 216, and ANSI/ASME Y14.1 A and B.
var papers = []Paper{
	{"a4", 297, 210},
	{"a3", 420, 297},
	{"a2", 594, 420},
	{"a1", 841, 594},
	{"a0", 1189, 841},
	{"letter", 279.4, 215.9},
	{"tabloid", 431.8, 279.4},
}

// chosen are the sheets that are tried where none was named, the smallest first.
var chosen = papers[:5]

// office is how many of the chosen sheets an office prints: larger ones are taken only for what goes on
// none of these.
const office = 2

// Names are the papers that there are.
func Names() []string {
	var names []string
	for _, p := range papers {
		names = append(names, p.Name)
	}
	return names
}

// Find gives the paper of a name, landscape or portrait.
func Find(name string, portrait bool) (Paper, bool) {
	for _, p := range papers {
		if strings.EqualFold(p.Name, name) {
			return p.turned(portrait), true
		}
	}
	return Paper{}, false
}

func (p Paper) turned(portrait bool) Paper {
	if portrait {
		p.Width, p.Height = p.Height, p.Width
	}
	return p
}

// area is in square millimetres.
func (p Paper) area() float64 { return p.Width * p.Height }

// String is the paper as the title block has it: "A4 portrait".
func (p Paper) String() string {
	name := strings.ToUpper(p.Name[:1]) + p.Name[1:]
	if p.Width < p.Height {
		return name + " portrait"
	}
	return name + " landscape"
}

// TooSmall is the error that a drawing does not go on a sheet with text that can be read.
type TooSmall struct {
	Paper       Paper
	Side        string // "wide" or "high"
	Needed, Has float64
	Larger      []string // on which it goes
}

func (e *TooSmall) Error() string {
	text := fmt.Sprintf("the drawing is %.0f mm %s with letters of %.1f mm, and %s has %.0f mm inside its frame",
		e.Needed, e.Side, leastLetter, e.Paper, e.Has)
	if len(e.Larger) > 0 {
		text += ": it goes on " + strings.Join(e.Larger, ", ")
	}
	return text
}

// larger names the papers that lack nothing.
func larger(lacks func(Paper) *TooSmall) []string {
	var names []string
	for _, p := range papers {
		for _, portrait := range []bool{true, false} {
			if q := p.turned(portrait); lacks(q) == nil {
				names = append(names, q.String())
				break
			}
		}
	}
	return names
}
