package faultmodel

import (
	"slices"
	"strings"

	"deadrung/circuits"
)

// At lists the faults that a word means: an ID, a device, a terminal or a wire number,
// whatever the case of its letters.
func At(faults []Fault, word string) []int {
	if i, err := Find(faults, word); err == nil {
		return []int{i}
	}
	word = strings.TrimPrefix(strings.ToLower(strings.Join(strings.Fields(word), " ")), "wire ")
	var found []int
	for i, f := range faults {
		e := f.Effect
		var names []string
		for _, ts := range [][]circuits.Terminal{e.OpenContact, e.ClosedContact, e.Exchanged, e.OpenDiode, e.ShortedDiode} {
			for _, at := range ts {
				names = append(names, string(at))
			}
		}
		if w := e.OpenWire; w != nil {
			names = append(names, w.Wire, string(w.From), string(w.To))
		} else if len(f.Devices) == 1 {
			names = append(names, f.Devices[0])
		}
		if w := e.Miswired; w != nil {
			names = append(names, w.Wire, string(w.End), string(w.Lands))
		}
		names = append(append(names, e.Short...), e.Ground)
		if slices.ContainsFunc(names, func(s string) bool { return s != "" && strings.EqualFold(s, word) }) {
			found = append(found, i)
		}
	}
	return found
}

// Terminals are those at which a fault sits: the ends of a wire or a contact, all that is on
// its wire numbers, or all of its devices.
func (f *Fault) Terminals(c *circuits.Circuit) []circuits.Terminal {
	e := f.Effect
	for _, contact := range [][]circuits.Terminal{e.OpenContact, e.ClosedContact, e.Exchanged, e.ResistiveContact,
		e.LeakyContact, e.OpenDiode, e.ShortedDiode} {
		if len(contact) > 0 {
			return contact
		}
	}
	for _, w := range []*OpenWire{e.OpenWire, e.ResistiveWire} {
		if w != nil {
			return []circuits.Terminal{w.From, w.To}
		}
	}
	if w := e.Miswired; w != nil {
		return []circuits.Terminal{w.End, w.Lands}
	}
	var all []circuits.Terminal
	for _, n := range c.Numbers {
		if slices.Contains(e.Numbers(), n.Name) {
			for _, w := range n.Wires {
				all = append(all, w.From, w.To)
			}
		}
	}
	if len(all) > 0 {
		return all
	}
	for _, name := range f.Devices {
		if v := c.Device(name); v != nil {
			for _, t := range v.Terminals {
				all = append(all, v.Terminal(t))
			}
		}
	}
	return all
}
