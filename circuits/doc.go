// Package circuits holds a control circuit as it is drawn and wired, and works it.
//
// A circuit file goes in ([Read]): YAML text that names the devices of a panel, the
// wires from terminal to terminal and the steps of its operation. Out comes a
// [Circuit] in which every name resolves, every default is filled in and every wire
// number is one node, or else [Problems]: all mistakes of the file in one pass, each
// with line, column, the offending text and what would be right.
//
//	text ─ syntax.go ─ nodes ─ read*.go ─ Circuit
//	           └────────┴────────┴─────── Problems
//
// A circuit that is drawn as rungs is laid out as wires on the way, so that nothing after
// the reader knows the difference:
//
//	rungs ─ lay.go ─ sections ─ choose.go, number.go, lead.go ─ wire numbers
//
// A [Panel] is a circuit as a network, and is worked step by step, with or without an
// [Overlay] of what is wrong. [Panel.Course] keeps the good circuit's way through the
// operation, and a [Follower] works along it what an overlay changes, and no more:
//
//	Circuit ─ panel.go ─ Panel ─ work.go, protection.go ─ End of each step
//	                       └─ course.go, turnoff.go ─ follow.go ─ Departure of each step
//
// What a device of a type has and needs is said once, in the table [Types].
//
// Nothing here knows of faults or meters, and nothing here opens a file: text comes
// in, values go out. The electricity of the circuit is package network's.
package circuits
