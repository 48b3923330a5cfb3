// Package wiring turns the rungs of a circuit into wire numbers and wires.
//
// A [Drawing] goes in: a circuit whose devices and rungs are read, with what else the file
// says of its wires. Out come the wire numbers, or what is wrong with the drawing, each
// mistake at its place:
//
//	rungs ─ lay.go ─ sections ─ pick.go ─ contacts ─ number.go ─ numbers ─ lead.go ─ wires
//	                                   keep.go: an older circuit has the first say in all three
//
// The walk along a rung sets a point between any two items, and a seat for every terminal at a
// point (lay.go). What the drawing joins, by branches, fixed numbers, named terminals or
// bridges, is one section; a connector pin parts two sections of one number. A contact that is
// given by its kind alone is taken from those that are free (pick.go); a terminal that ends
// up in two sections is a mistake. The terminals and pins on the way to other places are handed
// out in through.go. The rules as the user sees them are in docs/circuit-file.md.
package wiring

import "deadrung/circuits"

// Drawing is a circuit drawn as rungs, before it has wires.
type Drawing struct {
	// Circuit has devices, places and rungs, and as Numbers the wires that the file has
	// itself.
	Circuit *circuits.Circuit
	// Landed is where the file names the terminals of those wires.
	Landed map[circuits.Terminal]Place
	// Through gives, by place, the terminal blocks and connectors that wires to it go
	// through, from the panel out, and ThroughAt where the file names each first.
	Through   map[string][]*circuits.Device
	ThroughAt map[*circuits.Device]Place
	// Older is the circuit whose numbers, contacts and wires are kept as far as they still
	// fit; nil for none.
	Older *circuits.Circuit
}

// Place is where something stands in the file, and how many characters wide.
type Place struct {
	Pos   circuits.Pos
	Width int
}
