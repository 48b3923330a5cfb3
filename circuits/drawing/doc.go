// Package drawing draws a circuit as a ladder: rungs out of the netlist, as text and as
// SVG.
//
// A circuit goes in, a [Drawing] comes out. It is laid out once; drawing it, with a step
// marked or the leads of a meter on it, is quick.
//
//	d := drawing.New(c)
//	d.Rungs[3].Parts                 // what is on rung 4, from the hot side to the grounded side
//	d.Of("CR1:11")                   // the rung of a terminal; OfContact, OfLoad, OfWire
//	d.CrossReferences(dev)           // the rungs of a coil's contacts, NC ones marked
//	d.Text(drawing.Options{Columns: 80})
//	d.SVG(drawing.Options{Symbols: drawing.IEC, Leads: []Lead{...}, State: d.At(2)})
//
// With Options.Upright the same layout is drawn turned: current paths that run down, side by side,
// as control circuits are drawn to IEC 61082 (scene.point; upright.go has what is written where).
//
// A rung is one line of the drawing. A line that branches off another has a number of its
// own, so that a cross-reference leads straight to one contact.
//
// How the rungs are found:
//
//		netlist ─► joints ─► rails ─► groups ─► columns ─► rows
//
//	  - A joint is what wires join with no part between: a wire number, or less where a
//	    terminal of a block lies on its way (joints.go).
//	  - The rails of a source are the joints where the circuit first branches, past its
//	    fuses (rails.go). What still hangs together without the rails is a group.
//	  - In a group each part is a resistor; the hotter end of a part goes to the left. That gives
//	    an order even where the circuit is a bridge (rails.go, heat). A load counts as a hundred
//	    contacts: with equal resistors a return that many loads share came out to the left of them.
//	  - A joint lies as far to the left as what comes before it allows; after a load, as far
//	    to the right as what comes after it allows (rows.go).
//	  - Rows are ways from left to right, each as far as it has something new. Joints are
//	    the vertical lines between them, so that parallel, bridged and back-fed branches are
//	    drawn as they are wired.
//	  - To cross less, ways are moved one at a time and in runs, from a few orders. On forty
//	    random panels of 30 rungs six crossings are left, in four groups that are not planar.
//	  - A group that is too long is cut where few conductors go on (cut.go), for narrow paper more than
//	    for a screen; there the numbers of the rungs stay (fold.go).
//	  - A terminal of a block lies on the way of a conductor where it parts the conductor in two.
//	    On a rail with many ends behind it, it is an outlet where they are at another place: each
//	    group behind it has it in its own way (rails.go, lead). Else it is drawn beside the rail.
package drawing
