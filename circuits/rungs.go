package circuits

import "strings"

// Rung is one rung of the ladder as the file draws it, from the hot side to the
// grounded side.
type Rung struct {
	Title string
	Note  string
	// Feed marks the way from a source to the hot side, on which the rungs after it
	// hang. Return is then the way from the source to the grounded side, and Ground
	// the bonded metalwork that the return is grounded at; both may be missing.
	Feed   bool
	Return []Item
	Ground *Item
	// Line are the items in series, left to right. OnHot says that the line begins at
	// the hot side of the feed before it, OnGrounded that it ends at the grounded side;
	// else the first or last item says where.
	Line       []Item
	OnHot      bool
	OnGrounded bool
	At         Pos
}

// ItemKind says what an item of a rung is.
type ItemKind int

const (
	// a contact, coil, load, fuse, pin, winding: in at one terminal, out at another
	PartItem     ItemKind = iota + 1
	NumberItem            // wire 5: the wire here has that number
	LandingItem           // TB1:3: the wire here lands on that terminal
	ParallelItem          // branches side by side
)

// Item is one thing on a rung.
type Item struct {
	Kind    ItemKind
	Written string // as the file has it; empty for parallel branches
	At      Pos

	// A part: its terminals, In towards the hot side. Contact is the index into
	// Device.Contacts, -1 where it is no contact. Chosen says that the file gave only
	// the kind of contact and a free one was taken.
	Device  *Device
	In, Out string
	Contact int
	Chosen  bool

	// The terminal of a landing is In of Device.

	// Number is the wire number on the left of the item, which is that of a number or a
	// landing, OutNumber the one on the right.
	Number, OutNumber string

	Branches [][]Item // parallel branches, top to bottom, each a line in series
}

// Drawn gives the rungs as the file draws them, whether its wires are worked out from them or
// were.
func (c *Circuit) Drawn() []Rung {
	if len(c.Rungs) > 0 {
		return c.Rungs
	}
	return c.Ladder
}

// Items calls visit for every item of a line, parallel branches included, in the order
// of the file.
func Items(line []Item, visit func(*Item)) {
	for i := range line {
		visit(&line[i])
		for _, branch := range line[i].Branches {
			Items(branch, visit)
		}
	}
}

// Text writes an item as a file would have it, with the terminals of what was chosen.
func (it *Item) Text() string {
	switch it.Kind {
	case NumberItem:
		return "wire " + it.Number
	case LandingItem:
		return string(it.Device.Terminal(it.In))
	case ParallelItem:
		var branches []string
		for _, b := range it.Branches {
			branches = append(branches, itemsText(b))
		}
		return "{parallel: [" + strings.Join(branches, ", ") + "]}"
	}
	return string(it.Device.Terminal(it.In)) + "-" + it.Out
}

// itemsText writes items in series.
func itemsText(line []Item) string {
	var items []string
	for i := range line {
		items = append(items, line[i].Text())
	}
	return "[" + strings.Join(items, ", ") + "]"
}
