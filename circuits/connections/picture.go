package connections

import (
	"deadrung/circuits"
)

// Picture is the whole diagram for whoever marks things on it.
type Picture struct {
	SVG           []byte
	Width, Height float64
	// Points are where a lead is marked, by terminal; Devices are the middles of devices, by name. x is
	// to the right and y down, in the units of the SVG's viewBox.
	Points  map[circuits.Terminal][2]float64
	Devices map[string][2]float64
}

// Picture draws the whole diagram, and tells where everything is on it.
func (d *Diagram) Picture() Picture {
	s := d.sceneOf(Options{})
	p := Picture{SVG: d.SVG(Options{}), Width: s.width, Height: s.height,
		Points: make(map[circuits.Terminal][2]float64), Devices: make(map[string][2]float64)}
	for _, r := range s.rows {
		for _, b := range r.boxes {
			if _, there := p.Devices[b.device.Name]; !there {
				p.Devices[b.device.Name] = [2]float64{s.left + b.x + b.label/2, r.y + boxHeight/2}
			}
			for _, sc := range b.screws {
				x, y, _ := s.out(s.screwOf(sc.terminal))
				p.Points[sc.terminal] = [2]float64{x, y}
			}
		}
	}
	return p
}
