package connections

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
)

// Lines tells the diagram in words: place by place, device by device, each terminal with its wire
// number and where its wires go, and the leads of a meter. What is within a device or a place is
// set in.
func (d *Diagram) Lines(o Options) []string {
	other := make(map[circuits.Terminal][]string)
	for _, n := range d.Circuit.Numbers {
		for _, w := range n.Wires {
			other[w.From] = append(other[w.From], string(w.To))
			other[w.To] = append(other[w.To], string(w.From))
		}
	}
	var lines []string
	place := ""
	seen := make(map[*circuits.Device]bool)
	for _, r := range d.rows {
		if r.place != place {
			place = r.place
			lines = append(lines, place)
		}
		for _, b := range r.boxes {
			if !seen[b.device] {
				seen[b.device] = true
				called := "  " + b.device.Name + ", " + b.device.Type.Called()
				if b.device.Note != "" {
					called += ", " + b.device.Note
				}
				lines = append(lines, called)
			}
			told := make(map[circuits.Terminal]bool)
			for _, s := range b.screws {
				if told[s.terminal] {
					continue
				}
				told[s.terminal] = true
				line := fmt.Sprintf("    %s: no wire", s.name)
				to := other[s.terminal]
				if _, name := s.terminal.Split(); len(to) == 0 && slices.Contains(b.device.Primary[:], name) {
					line = fmt.Sprintf("    %s: fed from outside this file; it may be live", s.name)
				} else if len(to) > 0 {
					line = fmt.Sprintf("    %s: wire %s to %s", s.name, d.number[s.terminal], strings.Join(to, ", "))
				}
				for _, l := range o.Leads {
					if l.Terminal == s.terminal {
						line += "; " + l.Colour() + " lead here"
					}
				}
				lines = append(lines, line)
			}
		}
	}
	return lines
}
