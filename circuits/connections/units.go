package connections

import (
	"slices"

	"deadrung/circuits"
)

// glyph is what is drawn between the two sides of a unit.
type glyph int

const (
	plain   glyph = iota // joined: a terminal of a block, a pin, a fuse
	coil                 // a coil, a load, a winding
	open                 // a contact that is open at rest
	closed               // a contact that is closed at rest
	nothing              // terminals that stand by themselves
)

// unit is what stands over one another on a device.
type unit struct {
	tops, bottoms []string // names of terminals
	glyph         glyph
}

// unitsOf gives the units of a device from left to right.
func unitsOf(d *circuits.Device) []unit {
	var units []unit
	switch d.Type.Kind {
	case circuits.SourceKind:
		if d.HasPrimary() {
			secondary := slices.DeleteFunc(slices.Clone(d.Terminals), func(t string) bool { return slices.Contains(d.Primary[:], t) })
			return []unit{{tops: d.Primary[:], bottoms: secondary, glyph: nothing}}
		}
		return []unit{{bottoms: d.Terminals, glyph: nothing}}
	case circuits.GroundKind:
		return []unit{{bottoms: d.Terminals, glyph: nothing}}
	case circuits.BlockKind:
		for _, name := range d.Terminals {
			units = append(units, unit{[]string{name}, []string{name}, plain})
		}
		return units
	case circuits.ConnectorKind:
		for _, pin := range d.Pins {
			units = append(units, unit{[]string{pin + "a"}, []string{pin + "b"}, plain})
		}
		return units
	case circuits.LinkKind, circuits.OperatorKind, circuits.RelayKind, circuits.LoadKind, circuits.PassiveKind:
	}
	if d.Type.Phases {
		return []unit{{tops: d.Terminals, glyph: nothing}}
	}
	for _, ends := range d.Coils() {
		units = append(units, unit{ends[:1], ends[1:], coil})
	}
	if d.Measures() {
		units = append(units, unit{d.Primary[:1], d.Primary[1:], plain})
	}
	for _, ends := range d.Links() {
		units = append(units, unit{ends[:1], ends[1:], plain})
	}
	for i, c := range d.Contacts {
		if k := slices.IndexFunc(units, func(u unit) bool { return slices.Contains(u.tops, c.A) }); k >= 0 {
			if !slices.Contains(units[k].bottoms, c.B) {
				units[k].bottoms = append(slices.Clone(units[k].bottoms), c.B)
				units[k].glyph = nothing
			}
			continue
		}
		g := open
		if d.ClosedAtRest(i) {
			g = closed
		}
		units = append(units, unit{[]string{c.A}, []string{c.B}, g})
	}
	return units
}
