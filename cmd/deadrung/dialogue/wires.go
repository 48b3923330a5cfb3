package dialogue

import (
	"fmt"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
)

// readings shows what was checked so far.
func (d *Dialogue) readings() {
	n := 0
	for _, e := range d.Log().Entries {
		mark := "  -  "
		if e.Note != training.ComplaintNote {
			n++
			mark = fmt.Sprintf("%3d. ", n)
		}
		d.Out.Hang(mark, d.Speak.Entry(e))
	}
	if n == 0 {
		d.Out.Para("  ", "No check has been made yet.")
	}
}

// wires shows how the panel is wired, wire number by wire number, and what there is at
// which place.
func (d *Dialogue) wires() {
	c := d.Speak.Circuit
	for _, n := range c.Numbers {
		var runs []string
		var last circuits.Terminal
		for _, w := range n.Wires {
			if w.From == last {
				runs[len(runs)-1] += " - " + string(w.To)
			} else {
				runs = append(runs, string(w.From+" - "+w.To))
			}
			last = w.To
		}
		d.Out.Hang(fmt.Sprintf("  wire %-4s ", n.Name), strings.Join(runs, "; "))
	}
	for _, place := range guide.Places(c) {
		var names []string
		for _, dev := range c.Devices {
			if dev.Place == place && dev.Type.Kind != circuits.GroundKind {
				names = append(names, talk.Called(dev))
			}
		}
		d.Out.Hang("  "+strings.TrimPrefix(strings.TrimPrefix(d.whereabouts(place), "in the "), "on the ")+
			": ", strings.Join(names, ", ")+".")
	}
}

// whereabouts is how a place is told of.
func (d *Dialogue) whereabouts(place string) string {
	for _, dev := range d.Speak.Circuit.Devices {
		if dev.Place == place {
			return dev.Whereabouts()
		}
	}
	return place
}
