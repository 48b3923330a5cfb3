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
	other := farEnds(d.Circuit)
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
				var to []string
				for _, e := range other[s.terminal] {
					to = append(to, string(e.to))
				}
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

// farEnd is where a wire on a terminal goes.
type farEnd struct {
	number string
	to     circuits.Terminal
}

// farEnds gives, by terminal, where its wires go.
func farEnds(c *circuits.Circuit) map[circuits.Terminal][]farEnd {
	ends := make(map[circuits.Terminal][]farEnd)
	for _, n := range c.Numbers {
		for _, w := range n.Wires {
			ends[w.From] = append(ends[w.From], farEnd{n.Name, w.To})
			ends[w.To] = append(ends[w.To], farEnd{n.Name, w.From})
		}
	}
	return ends
}

// OnTheScrews tells of each lead on which screw of the real thing it goes, and which wires are there,
// so that the screw is known when it is seen.
func OnTheScrews(c *circuits.Circuit, leads []drawing.Lead) []string {
	if len(leads) == 0 {
		return nil
	}
	ends := farEnds(c)
	var lines []string
	for _, l := range leads {
		name, screw := l.Terminal.Split()
		dev := c.Device(name)
		there := []string{"none"}
		if on := ends[l.Terminal]; len(on) > 0 {
			there = nil
			for _, e := range on {
				there = append(there, e.number+" to "+string(e.to))
			}
		}
		lines = append(lines, fmt.Sprintf("%s lead: screw %s of %s %s (%s). Wires there: %s.", l.Colour(), screw,
			dev.Type.Called(), name, dev.Place, strings.Join(there, ", ")))
	}
	return lines
}
