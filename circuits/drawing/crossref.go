package drawing

import (
	"slices"

	"deadrung/circuits"
)

// CrossReference tells where a contact of a coil or switch is drawn.
type CrossReference struct {
	Rung   int // 0: spare
	NC     bool
	Timed  bool
	Number int // index of the contact in its device
}

// CrossReferences gives the contacts of a device by rung; spare ones come last.
func (d *Drawing) CrossReferences(dev *circuits.Device) []CrossReference {
	list := d.references(dev)
	slices.SortStableFunc(list, func(a, b CrossReference) int {
		if (a.Rung == 0) != (b.Rung == 0) {
			return b2i(a.Rung == 0) - b2i(b.Rung == 0)
		}
		return a.Rung - b.Rung
	})
	return list
}

// references gives the contacts of a device in the order of its file.
func (d *Drawing) references(dev *circuits.Device) []CrossReference {
	var list []CrossReference
	for i := range dev.Contacts {
		list = append(list, CrossReference{Rung: d.OfContact(dev, i), NC: dev.ClosedAtRest(i),
			Timed: dev.Delayed(i), Number: i})
	}
	return list
}
