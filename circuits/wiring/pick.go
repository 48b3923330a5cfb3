package wiring

import (
	"cmp"
	"slices"
	"strings"

	"deadrung/circuits"
)

// picker takes a contact for every one that the rungs give by its kind alone.
type picker struct {
	l    *ladder
	used map[circuits.Terminal]point // by terminal, the section it is in
	left int                         // tries, before what is found is good enough
}

// mostTries of contacts on one device; a relay has a handful of contacts, and nearly
// always the first try is right.
const mostTries = 20_000

// pickContacts takes contacts in the order of the file, device by device: half of a changeover
// contact whose common terminal is on the same wire already, or else the next that is
// free, a plain contact before a changeover one. Where that leaves one over, other
// choices are tried.
func (l *ladder) pickContacts() {
	c := &picker{l: l, used: make(map[circuits.Terminal]point)}
	for i := range l.seats {
		if t := l.terminal(&l.seats[i]); t != "" {
			c.used[t] = l.section(l.seats[i].at)
		}
	}
	var wanted []*circuits.Item
	for i := range l.Circuit.Rungs {
		rung := &l.Circuit.Rungs[i]
		for _, line := range [][]circuits.Item{rung.Return, rung.Line} {
			circuits.Items(line, func(it *circuits.Item) {
				if it.Chosen {
					wanted = append(wanted, it)
				}
			})
		}
	}
	slices.SortStableFunc(wanted, func(a, b *circuits.Item) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column))
	})
	if l.Older != nil {
		wanted = c.chooseKept(wanted)
	}
	var devices []*circuits.Device
	of := make(map[*circuits.Device][]*circuits.Item)
	for _, it := range wanted {
		if of[it.Device] == nil {
			devices = append(devices, it.Device)
		}
		of[it.Device] = append(of[it.Device], it)
	}
	for _, d := range devices {
		if c.left = mostTries; c.all(of[d]) {
			continue
		}
		for _, it := range of[d] {
			if ways := c.ways(it); len(ways) > 0 {
				c.take(it, ways[0])
				continue
			}
			n := 0
			for i := range d.Contacts {
				if suits(d, it, i) {
					n++
				}
			}
			l.wrong(placeOfItem(it), "one more contact of "+d.Name+", or another relay beside it",
				"no contact %s of %s is left; it has %d", circuits.Quote(kindWritten(it)), d.Name, n)
		}
	}
}

// all takes a contact for each item, and says whether there is one for each. If not,
// none is taken.
func (c *picker) all(items []*circuits.Item) bool {
	if len(items) == 0 {
		return true
	}
	for _, w := range c.ways(items[0]) {
		if c.left--; c.left < 0 {
			return false
		}
		undo := c.take(items[0], w)
		if c.all(items[1:]) {
			return true
		}
		undo()
	}
	return false
}

// way is a contact that an item can be, the common terminal on the left or turned.
type way struct {
	contact int
	turned  bool
}

// take makes an item a contact, and gives what takes that back.
func (c *picker) take(it *circuits.Item, w way) (undo func()) {
	contact := it.Device.Contacts[w.contact]
	it.Contact, it.In, it.Out = w.contact, contact.A, contact.B
	if w.turned {
		it.In, it.Out = contact.B, contact.A
	}
	in, out := it.Device.Terminal(it.In), it.Device.Terminal(it.Out)
	_, hadIn := c.used[in]
	_, hadOut := c.used[out]
	c.used[in], c.used[out] = c.l.sides(it)
	return func() {
		it.Contact, it.In, it.Out = -1, "", ""
		if !hadIn {
			delete(c.used, in)
		}
		if !hadOut {
			delete(c.used, out)
		}
	}
}

// sides gives the sections left and right of an item.
func (l *ladder) sides(it *circuits.Item) (left, right point) {
	return l.section(l.ends[it][0]), l.section(l.ends[it][1])
}

// ways gives the contacts that an item can be, best first.
func (c *picker) ways(it *circuits.Item) []way {
	type ranked struct {
		way
		rank int
	}
	d := it.Device
	left, right := c.l.sides(it)
	var found []ranked
	for i, contact := range d.Contacts {
		if !suits(d, it, i) {
			continue
		}
		a, b := d.Terminal(contact.A), d.Terminal(contact.B)
		at, common := c.used[a]
		atB, second := c.used[b] // as the output of a sensor that switches the negative lead
		switch {
		case common && second:
		case common && at == left, second && atB == right:
			found = append(found, ranked{way{i, false}, 9})
		case common && at == right, second && atB == left:
			found = append(found, ranked{way{i, true}, 8})
		case common || second:
		default:
			rank := 1
			if c.l.old[a] == "" && c.l.old[b] == "" {
				rank += 2
			}
			if !changesOver(d, i) {
				rank++
			}
			found = append(found, ranked{way{i, false}, rank})
		}
	}
	slices.SortStableFunc(found, func(a, b ranked) int { return cmp.Compare(b.rank, a.rank) })
	ways := make([]way, len(found))
	for i, f := range found {
		ways[i] = f.way
	}
	return ways
}

// kindWritten gives the kind of contact that the file asks for.
func kindWritten(it *circuits.Item) string {
	_, kind, _ := strings.Cut(it.Written, " ")
	return strings.TrimSpace(kind)
}

// suits says whether a contact of the device is of the kind that an item asks for.
func suits(d *circuits.Device, it *circuits.Item, i int) bool {
	closed, timed, ok := d.ByKind(kindWritten(it))
	return ok && d.Contacts[i].Timed == timed && slices.Equal(d.Contacts[i].Closed, closed)
}

// changesOver says whether a contact shares a terminal with another of the device.
func changesOver(d *circuits.Device, i int) bool {
	for k, o := range d.Contacts {
		if k != i && (o.A == d.Contacts[i].A || o.A == d.Contacts[i].B || o.B == d.Contacts[i].A ||
			o.B == d.Contacts[i].B) {
			return true
		}
	}
	return false
}
