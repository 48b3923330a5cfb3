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
//
// # Decisions
//
//   - Operators break before they make. All contacts of the operators that a step moves open
//     before any closes, and the circuit settles in between. Without it a jog button seals in
//     on release.
//   - Armatures move together. Where that goes round in a circle those in it race, and those that
//     moved on the way into it, all else at rest: they move one at a time from where they stood, in
//     the order of the file and in reverse, and what the two orders leave different is not firm.
//     Only where that goes round too do they chatter.
//   - Between two points on a collapsed supply a meter reads next to nothing, and firmly; between
//     it and anything else nothing is firm. What hangs on it is plainly seen to be off.
//   - A dead supply, its feed open, counts as 0 V between its terminals and not as floating. Only
//     a broken winding floats.
//   - Ohms that are not given with a va in the file keep their share of the impedance in the table
//     of types.
//
// # Why it does not slow down as the panel grows
//
// A fault is followed along the good circuit, and only what it changes is solved: with the power
// on (follow.go, and network.Local) and off (network.LocalOff). Solving the whole network for
// every fault and step took some seventy times as long for a panel of 100 rungs.
//
// A fault under which relays go round in a circle is followed as well (race.go): they race and
// chatter where they are, which costs what its neighbourhood costs. A longer wait at the end of a
// step is followed from that step on, and shares what it does not change (waiting.go); a fault
// that has nothing to do with what moves meanwhile is not followed again (stir.go).
//
// One fault in six blows the only fuse of a panel and then differs from the good circuit
// everywhere. It turns off onto the course of the dead panel (turnoff.go), which all such faults
// share, and its trace keeps only what it changes against that.
//
// What opens in the feed of a panel leaves nearly all of it dead: such faults turn off likewise,
// onto the course with the first conductor behind the source open. Parts of another temper go
// along the course as far as the good circuit does not depend on them.
//
// What still grows faster is a panel with many fuses: each fuse gets a course of the whole panel
// from every step in which something blows it. The way on is to keep such a course as small
// changes to the good one. So does a panel with two supplies: where they touch and which of two
// devices rated alike opens is a race, the fault is worked in full, and again in each longer wait.
package work
