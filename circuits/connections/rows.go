package connections

import (
	"cmp"
	"math"
	"slices"

	"deadrung/circuits"
)

// Measures of the diagram, in units of a drawing, of which a line of text is about twelve.
const (
	pitch     = 24.0 // from one screw to the next, or a multiple of it
	boxHeight = 86.0
	boxGap    = 24.0
	textSize  = 10.0
	// letter is the width of a character in its size, as for the ladder.
	letter = 0.62
)

func width(text string) float64 { return letter * textSize * float64(len([]rune(text))) }

// screw is one screw of a device, with at most two wires.
type screw struct {
	box      *box
	terminal circuits.Terminal
	name     string
	top      bool
	x        float64
	wires    []*wire
}

// box is a device, or as much of a block as goes into a row.
type box struct {
	device *circuits.Device
	row    *row
	x, w   float64 // its left edge; its width
	label  float64 // room for the designation
	units  []placed
	screws []*screw
}

// placed is a unit with its screws.
type placed struct {
	unit
	top, bottom []*screw
	columns     int
	step        float64 // from one of its columns to the next
}

// row is boxes side by side at one place.
type row struct {
	place string
	boxes []*box
	index int     // among the rows of its diagram
	odd   bool    // its screws stand between those of the rows beside it
	y     float64 // its upper edge
}

// wire is one wire between two screws.
type wire struct {
	number string
	index  int // among the wires of its diagram
	ends   [2]*screw
}

// rank is in which row a device stands where the file does not say it.
func rank(d *circuits.Device) int {
	switch d.Type.Kind {
	case circuits.SourceKind, circuits.GroundKind, circuits.LinkKind:
		return 1
	case circuits.OperatorKind, circuits.RelayKind, circuits.PassiveKind:
		return 2
	case circuits.LoadKind:
		return 3
	}
	return 4 // what wires leave through
}

// places gives the places in the order in which they are drawn: the panel, the door, then the
// others as the devices name them.
func places(c *circuits.Circuit) []string {
	var list []string
	for _, first := range []string{"panel", "door"} {
		if slices.ContainsFunc(c.Devices, func(d *circuits.Device) bool { return d.Place == first }) {
			list = append(list, first)
		}
	}
	for _, d := range c.Devices {
		if !slices.Contains(list, d.Place) {
			list = append(list, d.Place)
		}
	}
	return list
}

// arrange puts the devices into rows that are at most so wide at their places; filled, devices that differ in rank share
// a row.
func (d *Diagram) arrange(wide widths, filled bool) {
	d.rows = nil
	for _, place := range places(d.Circuit) {
		most := wide.of(place)
		var devices []*circuits.Device
		for _, dev := range d.Circuit.Devices {
			if dev.Place == place {
				devices = append(devices, dev)
			}
		}
		slices.SortStableFunc(devices, func(a, b *circuits.Device) int {
			switch {
			case a.Row > 0 && b.Row > 0:
				return cmp.Or(a.Row-b.Row, a.Column-b.Column)
			case a.Row > 0 || b.Row > 0:
				return b.Row - a.Row // what the file places comes first
			}
			return rank(a) - rank(b)
		})
		var last *circuits.Device
		var into *row
		x := 0.0
		for _, dev := range devices {
			if last == nil || dev.Row != last.Row || !filled && dev.Row == 0 && rank(dev) != rank(last) {
				into = nil
			}
			last = dev
			for _, b := range d.boxes(dev, most) {
				if into == nil || x+b.w > most {
					into = &row{place: place, index: len(d.rows), odd: len(d.rows)%2 == 1}
					d.rows = append(d.rows, into)
					x = 0
				}
				b.row, b.x = into, x
				x += b.w + boxGap
				into.boxes = append(into.boxes, b)
			}
		}
	}
	for _, r := range d.rows {
		for _, b := range r.boxes {
			b.placeScrews()
		}
	}
}

// placeScrews gives the screws of a box their places.
func (b *box) placeScrews() {
	x := b.x + b.label + pitch/2
	if b.row.odd {
		x += pitch / 2
	}
	for _, u := range b.units {
		for _, side := range [][]*screw{u.top, u.bottom} {
			for i, s := range side {
				s.x = x + float64(i)*u.step
			}
		}
		x += float64(u.columns) * u.step
	}
}

// boxes makes the box of a device, or several for one that is wider than a row.
func (d *Diagram) boxes(dev *circuits.Device, most float64) []*box {
	label := pitch * math.Ceil((width(dev.Name)*1.15+8)/pitch)
	var all []*box
	var b *box
	for _, u := range unitsOf(dev) {
		p := placed{unit: u, step: pitch}
		for side, names := range [][]string{u.tops, u.bottoms} {
			for _, name := range names {
				p.put(dev, name, side == 0)
				for _, text := range []string{name + " ", d.number[dev.Terminal(name)] + "  "} {
					p.step = max(p.step, pitch*math.Ceil(width(text)/pitch))
				}
			}
		}
		d.land(dev, &p)
		p.columns = max(len(p.top), len(p.bottom))
		w := float64(p.columns) * p.step
		if b == nil || b.w+w > most && len(b.units) > 0 {
			b = &box{device: dev, label: label, w: label + pitch}
			all = append(all, b)
		}
		b.units = append(b.units, p)
		b.w += w
	}
	for _, b := range all {
		for _, u := range b.units {
			for _, s := range slices.Concat(u.top, u.bottom) {
				s.box = b
				b.screws = append(b.screws, s)
			}
		}
	}
	return all
}

// put adds a screw to a unit.
func (p *placed) put(dev *circuits.Device, name string, top bool) *screw {
	s := &screw{terminal: dev.Terminal(name), name: name, top: top}
	if top {
		p.top = append(p.top, s)
	} else {
		p.bottom = append(p.bottom, s)
	}
	return s
}

// land puts the wires of a device onto the screws of a unit, two on each: of a block those within
// its own place above, the others below, and where a side is full on more screws.
func (d *Diagram) land(dev *circuits.Device, p *placed) {
	for _, name := range slices.Compact(slices.Sorted(slices.Values(slices.Concat(p.tops, p.bottoms)))) {
		for _, l := range d.landing[dev.Terminal(name)] {
			w := d.wires[l.wire]
			above := slices.Contains(p.tops, name)
			if above && slices.Contains(p.bottoms, name) {
				other := d.Circuit.Device(l.other)
				above = other != nil && other.Place == dev.Place
			}
			s := p.free(name, above)
			if s == nil && slices.Contains(p.tops, name) && slices.Contains(p.bottoms, name) {
				s = p.free(name, !above)
			}
			if s == nil {
				s = p.put(dev, name, above)
			}
			s.wires = append(s.wires, w)
			w.ends[l.end] = s
		}
	}
}

// free gives a screw of a terminal on one side that has room; nil for none.
func (p *placed) free(name string, top bool) *screw {
	side := p.bottom
	if top {
		side = p.top
	}
	for _, s := range side {
		if s.name == name && len(s.wires) < 2 {
			return s
		}
	}
	return nil
}
