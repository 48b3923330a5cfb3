package paper

import (
	"fmt"
	"strings"

	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/talk"
)

// listed is a wire list in its machine form.
type listedWires struct {
	Circuit string       `json:"circuit"`
	Wires   []listedWire `json:"wires"`
}

type listedWire struct {
	Order  int       `json:"order"`
	Rung   int       `json:"rung"` // 0 before the rungs
	Wire   string    `json:"wire"`
	Bridge bool      `json:"bridge,omitempty"`
	From   listedEnd `json:"from"`
	To     listedEnd `json:"to"`
	InFile int       `json:"in-file"`
}

type listedEnd struct {
	Terminal string `json:"terminal"`
	Type     string `json:"type"`
	Place    string `json:"place"`
	Landing  int    `json:"landing,omitempty"` // the first, the second wire on the terminal
	Of       int    `json:"of,omitempty"`      // of so many
}

// WiresJSON gives a wire list in its machine form.
func WiresJSON(l wirelist.List) listedWires {
	out := listedWires{Circuit: l.Circuit.Title, Wires: []listedWire{}}
	end := func(e wirelist.End) listedEnd {
		return listedEnd{string(e.Terminal), e.Device.Type.Name, e.Device.Place, e.Landing, e.Of}
	}
	for i, w := range l.Lines {
		out.Wires = append(out.Wires, listedWire{i + 1, w.Rung, w.Number, w.Bridge, end(w.From),
			end(w.To), w.InFile})
	}
	return out
}

// rungTitle heads the wires of a rung.
func rungTitle(rung int) string {
	if rung == 0 {
		return "What feeds the rungs"
	}
	return fmt.Sprintf("Rung %d", rung)
}

// wireTitle says how many wires there are, and what the figures mean.
func wireTitle(l wirelist.List) string {
	text := fmt.Sprintf("%s, from screw to screw in the order of wiring.", talk.Count(l.Wires(), "wire"))
	if bridges := len(l.Lines) - l.Wires(); bridges > 0 {
		text = fmt.Sprintf("%s and %s, from screw to screw in the order of wiring.",
			talk.Count(l.Wires(), "wire"), talk.Count(bridges, "bridge"))
	}
	return text +
		" Tick each end once it is landed and has been tugged. 1 of 2: the first of two wires on that screw."
}

// endText is an end with what whoever lands it must know.
func endText(e wirelist.End) string {
	return strings.TrimSpace(string(e.Terminal) + " " + endMore(e))
}

// endMore is the place of an end, and which of several wires on its screw it is.
func endMore(e wirelist.End) string {
	var parts []string
	if e.Device.Place != "panel" {
		parts = append(parts, e.Device.Place)
	}
	if e.Of > 1 && e.Landing > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d", e.Landing, e.Of))
	}
	return strings.Join(parts, " ")
}

// numberText is a wire number, and whether it is a bridge.
func numberText(w wirelist.Line) string {
	if w.Bridge {
		return strings.TrimSpace(w.Number + " bridge")
	}
	return w.Number
}

// TickBox is a box to tick, in text.
const TickBox = "[ ]"

// PrintWires prints the list. Where a line is too long for the page, its second end goes
// below the first.
func PrintWires(out *talk.Page, l wirelist.List) {
	out.Para("", l.Circuit.Title)
	out.Para("", wireTitle(l))
	widest, wire := 0, len("wire")
	for _, w := range l.Lines {
		widest = max(widest, len([]rune(endText(w.From))))
		wire = max(wire, len([]rune(numberText(w))))
	}
	rung := -1
	for i, w := range l.Lines {
		if w.Rung != rung {
			rung = w.Rung
			out.Blank()
			out.Para("", rungTitle(rung))
		}
		head := fmt.Sprintf("%4d  %s  ", i+1, talk.Padded(numberText(w), wire))
		line := head + TickBox + " " + talk.Padded(endText(w.From),
			widest) + "  " + TickBox + " " + endText(w.To)
		if len([]rune(line)) < out.Columns() {
			out.Raw(line + "\n")
			continue
		}
		out.Raw(head + TickBox + " " + endText(w.From) + "\n" + strings.Repeat(" ",
			len([]rune(head))) + TickBox + " " + endText(w.To) + "\n")
	}
}
