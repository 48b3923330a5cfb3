// Package read makes a circuit of a circuit file.
//
// YAML text goes in ([Read]). Out comes a [circuits.Circuit], or else [circuits.Problems]:
// all mistakes of the file in one pass, each with line, column, the offending text and what
// would be right.
//
//	text ─ syntax.go ─ nodes ─ devices.go, wires.go, rungs.go, … ─ Circuit
//	           └──────────┴──────────────────┴──────────────────── Problems
//
// A circuit that is drawn as rungs gets its wires from package wiring on the way, so that
// nothing after the reader knows the difference; [Wired] writes the file with those wires.
package read
