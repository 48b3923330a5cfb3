// Package wiring turns the rungs of a circuit into wire numbers and wires.
//
// A [Drawing] goes in: a circuit whose devices and rungs are read, with what else the file
// says of its wires. Out come the wire numbers, or what is wrong with the drawing, each
// mistake at its place. See lay.go for the way from one to the other.
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
