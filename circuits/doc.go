// Package circuits holds a control circuit as it is drawn and wired.
//
// A [Circuit] has the devices of a panel, the wire numbers with their wires from terminal
// to terminal, the rungs where the file draws them, and the steps of the operation. Every
// name in it resolves, every default is filled in and every wire number is one node: package
// read sees to that, and tells what is wrong as [Problems]. What a device of a type has and
// needs is said once, in the table [Types].
//
//	text ─ read ─ Circuit ─ work ─ Panel, End of each step
//	         └─ Problems
//
// The built-in circuits are embedded here as text ([BuiltinText]). Nothing here knows of
// faults or meters, and nothing opens a file: text comes in, values go out.
package circuits
