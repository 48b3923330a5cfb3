package plot

import (
	"fmt"
	"io"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
)

// mostSheets is for how many sheets larger paper is taken, where none was named, so that there are
// fewer of them.
const mostSheets = 4

// NoRoom is the error that a part of a drawing is larger than a sheet.
type NoRoom struct{ Paper Paper }

func (e *NoRoom) Error() string {
	return fmt.Sprintf("a row of devices with its wires is larger than %s: name larger paper", e.Paper)
}

// Connections writes the connection diagram as PDF and gives how many sheets there are, and of
// which paper. An error may be a [NoRoom].
func Connections(out io.Writer, d *connections.Diagram, o connections.Options, s Setting) (int, Paper, error) {
	paper, page, fits := s.wiredOn(d, 0)
	if !fits {
		return 0, paper, &NoRoom{paper}
	}
	figures := d.Figures(o, page)
	return len(figures), paper, s.write(out, d.Circuit, paper, figures)
}

// wiredOn chooses the paper for a connection diagram with a heading of a height, and gives the room for
// it there; false where it goes on none. Where none was named that is A4 or A3, which an office
// prints, and larger paper only where a row of devices goes on neither.
func (s Setting) wiredOn(d *connections.Diagram, head float64) (Paper, drawing.Page, bool) {
	papers, fit := chosen, office
	if s.Paper != "" {
		p, _ := Find(s.Paper, s.Portrait)
		papers, fit = []Paper{p}, 1
	}
	var best Paper
	var page drawing.Page
	least := 0
	// Up to mostSheets the least paper is taken, beyond that the fewest sheets.
	better := func(p Paper, sheets int) bool {
		area, was := float64(sheets)*p.area(), float64(least)*best.area()
		switch {
		case least == 0:
			return true
		case sheets > mostSheets || least > mostSheets:
			return sheets < least
		}
		return area < was-1 || area < was+1 && sheets < least
	}
	for i, p := range papers {
		if s.Paper == "" {
			p = p.turned(s.Portrait)
		}
		if least > 0 && (i >= fit || least == 1) {
			break
		}
		room := s.page(d.Circuit, p)
		room.Height -= head / unit
		_, sheets, fits := d.Sheets(room)
		if least == 0 {
			best = p
		}
		if fits && better(p, sheets) {
			best, page, least = p, room, sheets
		}
	}
	return best, page, least > 0
}
