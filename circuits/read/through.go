package read

import (
	"slices"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// readThrough reads which terminal blocks and connectors the wires to a place go
// through, from the panel out. e may be nil.
func (r *reader) readThrough(e *entry, rungs bool) {
	r.through = make(map[string][]*drawn)
	if e == nil {
		return
	}
	const right = "place: terminal block or connector, as in field: TB1, or several from the panel " +
		"out, as in belt: [TB1, X1]"
	if !rungs {
		r.wrong(e.at, "rungs", "through says how the wires of rungs go, and the file has no rungs")
	}
	entries, _ := r.entries(e.value, "through", right)
	for _, e := range entries {
		if _, known := r.circuit.Places[e.key]; !known && !r.vaguePlaces {
			r.wrong(e.at, r.near(e.key, r.placesKnown()), "unknown place %s", circuits.Quote(e.key))
		} else if e.key == "panel" {
			r.wrong(e.at, "a place outside of the panel", "wires within the panel go through nothing")
		}
		nodes := []*yaml.Node{e.value}
		if e.value.Kind == yaml.SequenceNode {
			nodes = e.value.Content
		}
		if len(nodes) == 0 {
			r.wrong(e.value, right, "%s has nothing to go through", e.key)
		}
		for _, n := range nodes {
			v := follow(n)
			if v.Kind != yaml.ScalarNode || isNull(v) {
				r.wrong(n, right, "a designation is needed here, not %s", described(v))
				continue
			}
			d := r.drawn[v.Value]
			switch {
			case d == nil && !r.vagueDevices:
				r.wrong(n, r.meantDevice(v.Value), "there is no device %s", circuits.Quote(v.Value))
			case d == nil || d.Type == nil:
			case d.Type.Kind != circuits.BlockKind && d.Type.Kind != circuits.ConnectorKind:
				r.wrong(n, "a terminal block or a connector", "%s is %s", d.Name, d.Type.Article())
			case slices.Contains(r.through[e.key], d):
				r.wrong(n, "each once", "%s is there twice", d.Name)
			default:
				r.through[e.key] = append(r.through[e.key], d)
				if d.throughAt == nil {
					d.throughAt = n
				}
			}
		}
	}
}
