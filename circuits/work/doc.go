// Package work works a circuit.
//
// A [Panel] is a circuit as a network ([Assemble]), and is worked step by step, with or
// without an [Overlay] of what is wrong. [Panel.Course] keeps the good circuit's way through
// the operation, and a [Follower] works along it what an overlay changes, and no more:
//
//	Circuit ─ panel.go ─ Panel ─ work.go, protection.go ─ End of each step
//	                       └─ course.go, turnoff.go ─ follow.go ─ Departure of each step
//
// [Panel.Verify] holds the good circuit against what its file expects. Nothing here knows of
// faults or meters; the electricity is package network's.
package work
