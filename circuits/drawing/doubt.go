package drawing

import (
	"fmt"
	"slices"

	"deadrung/circuits"
)

// Doubt is one thing that may be wrong, for the drawing to mark with a "?": a part between its
// terminals, or a wire at its ends.
type Doubt struct {
	At   []circuits.Terminal
	Wire bool
}

// doubtsPart tells whether something may be wrong in a part.
func (o Options) doubtsPart(p *Part) bool {
	if p.Kind == Reference {
		return false
	}
	return slices.ContainsFunc(o.Doubts, func(d Doubt) bool {
		return !d.Wire && slices.Contains(d.At, p.Left) && (p.Right == "" || slices.Contains(d.At, p.Right))
	})
}

// doubtsWire tells whether something may be wrong with a wire at a terminal.
func (o Options) doubtsWire(t circuits.Terminal) bool {
	return slices.ContainsFunc(o.Doubts, func(d Doubt) bool { return d.Wire && slices.Contains(d.At, t) })
}

// doubtsAny tells whether something may be wrong with a part, or a wire at it, where a part is
// written by its terminals.
func (o Options) doubtsAny(p *Part) bool {
	return o.doubtsPart(p) || p.Kind != Reference && slices.ContainsFunc(p.Terminals(), o.doubtsWire)
}

// terminal is how a terminal is written: with a mark where its wire is in doubt.
func (o Options) terminal(t circuits.Terminal) string {
	_, name := t.Split()
	if name != "" && o.doubtsWire(t) {
		name += "?"
	}
	return name
}

// marked puts a mark behind a part's name where it is in doubt.
func (o Options) marked(p *Part, name string) string {
	doubted := o.doubtsPart(p)
	if p.Kind == Post || p.Kind == Tap || p.Kind == Ground {
		doubted = o.doubtsAny(p)
	}
	if doubted {
		name += "?"
	}
	return name
}

// doubtFrame is how far the frame of a part in doubt stands off its symbol.
const doubtFrame = 4.0

// doubts frames the parts that are in doubt, so that they are seen at a distance.
func (sc *scene) doubts() string {
	var svg string
	for _, p := range sc.parts {
		if p.Kind == Reference || !sc.o.doubtsPart(p.Part) {
			continue
		}
		left, top, right, bottom := p.extent()
		left, right = min(left, p.x-5)-doubtFrame, max(right, p.x+5)+doubtFrame
		top, bottom = min(top, p.y-8)-doubtFrame, max(bottom, p.y+8)+doubtFrame
		svg += fmt.Sprintf(`<rect class="doubt" x="%s" y="%s" width="%s" height="%s" rx="4" stroke-width="1.2" stroke-dasharray="1.5 2.5"/>`+"\n",
			number(left), number(top), number(right-left), number(bottom-top))
	}
	return svg
}

// doubtLegend explains the mark.
const doubtLegend = "? still in doubt: at a name the part, at a terminal its wire."
