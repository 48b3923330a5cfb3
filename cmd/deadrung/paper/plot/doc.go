// Package plot lays drawings and lists out on sheets of paper that are signed, as PDF: a frame with
// zones, a title block, and the drawing at a scale that leaves no text too small.
//
// A [drawing.Drawing], a [connections.Diagram] or tables and the text of its circuit file go in. The same input gives the same
// bytes: nothing of the day it is made goes into the file. Lengths are millimetres; a drawing's
// own units become millimetres in ladder.go alone.
package plot
