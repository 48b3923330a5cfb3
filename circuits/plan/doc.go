// Package plan holds wires that somebody planned against the drawing of a circuit.
//
// What counts is what is joined, not how it is written: any names may be given to the wire
// numbers, a contact may lie either way round, one contact may stand for another of its kind, a
// terminal of a block for another of the block, and a conductor may be wired in any chain.
//
//	circuit  ──► hardware ──► elements: contacts, coils, loads, sources, fuses, pins
//	its wires ──► drawn  ┐
//	                     ├──► pairing of elements ──► mistakes
//	the plan  ──► planned┘
//
// A plan is right, or can still become so, where the elements can be paired so that all ends that
// come together in it come together on the drawing: [Judge] looks for that by backtracking, the
// terminal with the fewest choices first. Where there is no such pairing it pairs the elements as
// well as it can, by what meets at their ends, and tells what then differs, each at its terminals.
//
// [Energise] tells what a panel wired by the plan would do when it is worked.
package plan
