// Package paper lays results out whole, to print, to hang in the panel door or to open on a
// phone: the fault-finding chart in its forms, the sheets of a field folder, the wire list,
// the check-out, the sheets and cards of an exam, the pictures of a practice.
//
// What is laid out was worked out below; the sentences are those of package talk, so that a
// sheet and a session say the same. Package sheet is the frame of every HTML page.
//
// A chart is numbered in the order of reading once (flow.go); Markdown, SVG, DOT, JSON, screens
// and paper are made from that. A printed chart takes the least cut with which its lines fit a
// page (chart_sheet.go). A screen of the page for a phone has no copy of the drawing: the drawing
// is the background of one CSS class, and each screen has its own marks above it. With copies
// by <use> the browser makes a tree of each, and a panel of 100 rungs did not open in a minute.
package paper
