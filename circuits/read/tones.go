package read

import (
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// tones refuses a source that is one frequency, or one unknown phase, more than network.MostTones.
// A transformer that is fed within the circuit goes with what feeds it.
func (r *reader) tones() {
	if r.mistakes > 0 {
		return // else more is said of a circuit that may be meant otherwise
	}
	wired := r.circuit.NumberOf()
	alone := make(map[float64][]*circuits.Device) // by hertz
	for _, d := range r.circuit.Devices {
		fed := d.Transformer() && (wired[d.Terminal(d.Primary[0])] != "" || wired[d.Terminal(d.Primary[1])] != "")
		if d.Type.Kind == circuits.SourceKind && !fed {
			alone[d.Hertz] = append(alone[d.Hertz], d)
		}
	}
	type tone struct {
		hertz float64
		of    *circuits.Device // where nobody knows its phase to others
	}
	var found []tone
	var names []string // of the first source of each
	for _, d := range r.circuit.Devices {
		if !slices.Contains(alone[d.Hertz], d) {
			continue
		}
		t := tone{hertz: d.Hertz}
		if !d.DC && d.Phase == nil && len(alone[d.Hertz]) > 1 {
			t.of = d
		}
		if slices.Contains(found, t) {
			continue
		}
		if found = append(found, t); len(found) > network.MostTones {
			r.wrong(r.drawn[d.Name].at, "phase: 0, or as it is, in each ac supply whose phase to the others is known; all dc supplies count as one",
				"%s is one source of another frequency or of unknown phase too many: %s are %d already, and a circuit can have %d",
				d.Name, strings.Join(names, ", "), len(names), network.MostTones)
			return
		}
		names = append(names, d.Name)
	}
}
