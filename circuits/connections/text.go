package connections

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
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

// OnTheScrews tells of each lead on which screw of the real thing it goes, and which wires are there,
// so that the screw is known when it is seen.
func (d *Diagram) OnTheScrews(leads []drawing.Lead) []string {
	var lines []string
	for _, l := range leads {
		name, screw := l.Terminal.Split()
		dev := d.Circuit.Device(name)
		var there []string
		for _, n := range d.Circuit.Numbers {
			for _, w := range n.Wires {
				switch l.Terminal {
				case w.From:
					there = append(there, n.Name+" to "+string(w.To))
				case w.To:
					there = append(there, n.Name+" to "+string(w.From))
				}
			}
		}
		if there == nil {
			there = []string{"none"}
		}
		lines = append(lines, fmt.Sprintf("%s lead: screw %s of %s %s (%s). Wires there: %s.", l.Colour(), screw,
			dev.Type.Called(), name, dev.Place, strings.Join(there, ", ")))
	}
	return lines
}
