// Package read makes a circuit of a circuit file.
//
// YAML text goes in ([Read]). Out comes a [circuits.Circuit], or else [circuits.Problems]:
// all mistakes of the file in one pass, each with line, column, the offending text and what
// would be right.
//
//	text ─ syntax.go ─ nodes ─ devices.go, wires.go, … ─ Circuit
//	           └──────────┴────────────────┴──────────── Problems
//
// A circuit that is drawn as rungs is laid out as wires on the way, so that nothing after
// the reader knows the difference; [Wired] writes the file with those wires:
//
//	rungs ─ lay.go ─ sections ─ choose.go, number.go, lead.go ─ wire numbers
package read
