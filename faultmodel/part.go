package faultmodel

import (
	"fmt"
	"slices"

	"deadrung/circuits"
)

// OfWires tells whether a fault is of wires and their screws, not of a device.
func (e Effect) OfWires() bool {
	return e.OpenWire != nil || e.ResistiveWire != nil || e.Short != nil || e.Ground != "" ||
		e.Miswired != nil || e.Exchanged != nil
}

// Part names the part that a fault sits in, whatever is wrong with it: a contact, a coil, one
// physical wire, a winding, the mechanism of a device. Two faults with the same part are put
// right at the same screws. What sits in no part alone, as two wires that touch, is its own.
func (e Effect) Part() string {
	ends := func(a, b circuits.Terminal) string {
		if a > b {
			a, b = b, a
		}
		return fmt.Sprintf("%s %s", a, b)
	}
	for _, w := range []*OpenWire{e.OpenWire, e.ResistiveWire} {
		if w != nil {
			return "wire " + w.Wire + " " + ends(w.From, w.To)
		}
	}
	for _, c := range [][]circuits.Terminal{e.OpenContact, e.ClosedContact, e.ResistiveContact, e.LeakyContact} {
		if len(c) == 2 {
			return "contact " + ends(c[0], c[1])
		}
	}
	for _, c := range [][]circuits.Terminal{e.OpenDiode, e.ShortedDiode} {
		if len(c) == 2 {
			return "diode " + ends(c[0], c[1])
		}
	}
	of := func(kind string, devices ...string) string {
		i := slices.IndexFunc(devices, func(d string) bool { return d != "" })
		if i < 0 {
			return ""
		}
		return kind + " " + devices[i]
	}
	for _, part := range []string{
		of("load", e.OpenLoad, e.ShortedLoad, e.ShortedTurns, e.WrongCoil), of("mechanism", e.Stuck, e.Chatters),
		of("dial", e.WrongSetting), of("link", e.OpenLink, e.ResistiveLink),
		of("source", e.DeadSource, e.LowSource, e.ShortedSource),
	} {
		if part != "" {
			return part + " " + e.Coil + e.Winding
		}
	}
	return e.Key()
}

// Numbers are the wire numbers that a fault of wires concerns; none of a fault of a device.
func (e Effect) Numbers() []string {
	switch {
	case e.OpenWire != nil:
		return []string{e.OpenWire.Wire}
	case e.ResistiveWire != nil:
		return []string{e.ResistiveWire.Wire}
	case e.Miswired != nil:
		return []string{e.Miswired.Wire}
	case e.Ground != "":
		return []string{e.Ground}
	case e.LeakToGround != "":
		return []string{e.LeakToGround}
	}
	return e.Short
}
