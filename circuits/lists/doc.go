// Package lists makes the lists of a panel beside its drawings: terminal plan, cable schedule, wires
// with what they are made of, labels, parts.
//
// A list is a [Table] of words, for a sheet, a screen or a spreadsheet; what the circuit file does
// not say stays empty. [Kinds] has a row for each.
package lists
