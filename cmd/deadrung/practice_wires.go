package main

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// readings shows what was checked so far.
func (t *trainee) readings() error {
	n := 0
	for _, e := range t.s.Log().Entries {
		mark := "  -  "
		if e.Note != training.ComplaintNote {
			n++
			mark = fmt.Sprintf("%3d. ", n)
		}
		t.out.Hang(mark, t.speak.Entry(e))
	}
	if n == 0 {
		t.out.Para("  ", "No check has been made yet.")
	}
	return nil
}

// wires shows how the panel is wired, wire number by wire number, and what there is at
// which place.
func (t *trainee) wires() error {
	c := t.speak.Circuit
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
		t.out.Hang(fmt.Sprintf("  wire %-4s ", n.Name), strings.Join(runs, "; "))
	}
	for _, place := range t.places() {
		var names []string
		for _, d := range c.Devices {
			if d.Place == place && d.Type.Kind != circuits.GroundKind {
				names = append(names, talk.Called(d))
			}
		}
		t.out.Hang("  "+strings.TrimPrefix(strings.TrimPrefix(t.whereabouts(place), "in the "), "on the ")+": ", strings.Join(names, ", ")+".")
	}
	return nil
}

// places are those that the devices sit at, in the order of the file.
func (t *trainee) places() []string {
	var places []string
	for _, d := range t.speak.Circuit.Devices {
		if d.Type.Kind != circuits.GroundKind && !slices.Contains(places, d.Place) {
			places = append(places, d.Place)
		}
	}
	return places
}

func (t *trainee) whereabouts(place string) string {
	for _, d := range t.speak.Circuit.Devices {
		if d.Place == place {
			return d.Whereabouts()
		}
	}
	return place
}
