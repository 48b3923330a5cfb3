// Package connections draws the connection diagram of a circuit: devices where they sit, terminals
// as on the device, and every wire from terminal to terminal with its number.
//
//		circuit ─► units ─► boxes ─► rows ─► channels and ducts ─► figure
//
//	  - A unit is what stands over one another on a device: the two ends of a coil, a contact, a pin,
//	    a terminal of a block with its two sides (units.go).
//	  - A box is a device with its units side by side. On one screw are two wires at most: a terminal
//	    of a block, or the metalwork, has as many screws as its wires take.
//	  - Boxes stand in rows, place by place: where the file says so with `at`, else what feeds, then
//	    what is worked or pulls in, then loads, then blocks and connectors (rows.go).
//	  - Wires run in the channels above and below the rows, each on a track of its own, and from channel
//	    to channel in a duct: to the right within a place, to the left from place to place (routes.go).
//	  - What leads to a box that is not on the sheet ends at its screw, with the terminal and the sheet
//	    beside it (tags.go), or where there is no room for words at the left or right edge.
//
// Nothing is joined where wires cross: wires meet on screws alone.
package connections
