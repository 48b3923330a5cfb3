package plot

import (
	"fmt"
	"io"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
)

// mostSheets is for how many sheets larger paper is taken where none was named.
const mostSheets = 4

// NoRoom is the error that a part of a drawing is larger than a sheet.
type NoRoom struct{ Paper Paper }

func (e *NoRoom) Error() string {
	return fmt.Sprintf("a row of devices with its wires is larger than %s: name larger paper", e.Paper)
}

// Connections writes the connection diagram as PDF and gives how many sheets there are, and of
// which paper. An error may be a [NoRoom].
func Connections(out io.Writer, d *connections.Diagram, o connections.Options, s Setting) (int, Paper, error) {
	papers := chosen
	if s.Paper != "" {
		p, _ := Find(s.Paper, s.Portrait)
		papers = []Paper{p}
	}
	var best Paper
	var on *connections.Diagram
	var page drawing.Page
	least := 0
	for _, p := range papers {
		if s.Paper == "" {
			p = p.turned(s.Portrait)
		}
		room := s.page(d.Circuit, p)
		laid, sheets, fits := d.Sheets(room)
		if on == nil || sheets < least {
			best = p
			if fits {
				on, page, least = laid, room, sheets
			}
		}
		if fits && sheets <= mostSheets {
			break
		}
	}
	if on == nil {
		return 0, best, &NoRoom{best}
	}
	o.Page = &page
	return least, best, s.write(out, d.Circuit, best, least, func(sheet int) drawing.Figure {
		o.Sheet = sheet
		return on.Figure(o)
	})
}
