package drawing

import "deadrung/circuits"

// Points gives where a lead of the meter is marked on the SVG of the same options, by
// terminal, x to the right and y down in the units of its viewBox. A terminal that is not
// drawn has none.
func (d *Drawing) Points(o Options) map[circuits.Terminal][2]float64 {
	o.Leads = nil // they do not move anything
	sc := d.newScene(o)
	points := make(map[circuits.Terminal][2]float64)
	for _, p := range sc.parts {
		for _, t := range p.Terminals() {
			if _, have := points[t]; have {
				continue
			}
			sc.rings, sc.o.Leads = nil, []Lead{{Terminal: t}}
			if sc.leads(); len(sc.rings) > 0 {
				points[t] = [2]float64{sc.rings[0].x, sc.rings[0].y}
			}
		}
	}
	return points
}

// Middle is where a device is drawn whose two ends are on one line, by the points that
// [Drawing.Points] gives.
func Middle(points map[circuits.Terminal][2]float64, v *circuits.Device) (at [2]float64, ok bool) {
	a, okA := points[v.Terminal(v.Ends[0])]
	b, okB := points[v.Terminal(v.Ends[1])]
	return [2]float64{(a[0] + b[0]) / 2, a[1]}, okA && okB && a[1] == b[1]
}
