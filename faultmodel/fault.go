// Package faultmodel says what can be wrong with a control circuit: kinds of fault,
// how likely each is, and every single fault of one circuit.
//
// A [work.Panel] goes in; out comes the list of its faults ([List]). Each is data: an
// identity, words, a weight and a [work.Overlay], the change that it makes to the good
// circuit. Nothing in the solver knows of it. How each kind is put right is in the table
// [Repairs], how it is put into a trainer in [Insertions].
//
// A welded half of a changeover contact is always closed; the other half still moves.
package faultmodel

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/work"
)

// ID names a fault of a circuit. It is made of the kind and the terminals or device
// concerned, so that edits elsewhere in the circuit file leave it alone.
type ID string

// Fault is one thing that can be wrong.
type Fault struct {
	ID      ID
	Text    string  // a sentence without its full stop
	Where   string  // where it sits, for the person who goes there
	Prior   float64 // its share among all faults of the list
	Weight  float64 // its weight before that
	Key     Key     // the row of the table of weights
	Effect  Effect
	Overlay work.Overlay
	// Or is what the panel does by turns under a fault that comes and goes: but for how the
	// device itself looks, a reading that is not the same under both is nothing to rely on.
	// Nil for most.
	Or *work.Overlay
	// Degree is set where the fault comes in degrees, of which the overlay has one: a voltage
	// that is partial by it may be anything from DegreeLow to DegreeHigh of the supply.
	Degree bool
	// Wear is set where it is listed by Options.Worn only.
	Wear bool
	// Devices concerned, by name: two for a wire.
	Devices []string
}

// Effect says what a fault changes, in the forms that other programs rely on. One
// field is set, with those that go with it.
type Effect struct {
	OpenWire      *OpenWire           `json:"open-wire,omitempty"`
	OpenContact   []circuits.Terminal `json:"open-contact,omitempty"`
	ClosedContact []circuits.Terminal `json:"closed-contact,omitempty"`
	OpenLoad      string              `json:"open-load,omitempty"`
	ShortedLoad   string              `json:"shorted-load,omitempty"`
	Coil          string              `json:"coil,omitempty"` // with OpenLoad or ShortedLoad
	Stuck         string              `json:"stuck,omitempty"`
	Position      string              `json:"position,omitempty"` // with Stuck or WrongSetting
	OpenLink      string              `json:"open-link,omitempty"`
	DeadSource    string              `json:"dead-source,omitempty"`
	Winding       string              `json:"winding,omitempty"` // with DeadSource or ShortedSource of a transformer
	Short         []string            `json:"short,omitempty"`
	Ground        string              `json:"ground,omitempty"`
	Miswired      *Miswired           `json:"miswired,omitempty"`
	Exchanged     []circuits.Terminal `json:"exchanged,omitempty"`  // all wires of two terminals
	OpenDiode     []circuits.Terminal `json:"open-diode,omitempty"` // of a rectifier, anode first
	ShortedDiode  []circuits.Terminal `json:"shorted-diode,omitempty"`

	ResistiveWire    *OpenWire           `json:"resistive-wire,omitempty"`
	ResistiveContact []circuits.Terminal `json:"resistive-contact,omitempty"`
	ResistiveLink    string              `json:"resistive-link,omitempty"`
	LowSource        string              `json:"low-source,omitempty"`
	ShortedSource    string              `json:"shorted-source,omitempty"`
	LeakToGround     string              `json:"leak-to-ground,omitempty"`
	LeakyContact     []circuits.Terminal `json:"leaky-contact,omitempty"`
	ShortedTurns     string              `json:"shorted-turns,omitempty"`
	WrongCoil        string              `json:"wrong-coil,omitempty"`
	Chatters         string              `json:"chatters,omitempty"`
	WrongSetting     string              `json:"wrong-setting,omitempty"`
}

// Kinds are the names of the forms of an effect, as other programs rely on them.
var Kinds = []string{
	"open-wire", "open-contact", "closed-contact", "open-load", "shorted-load", "stuck", "open-link",
	"dead-source", "short", "ground", "miswired", "exchanged", "open-diode", "shorted-diode",
	"resistive-wire", "resistive-contact", "resistive-link",
	"low-source", "shorted-source", "leak-to-ground", "leaky-contact",
	"shorted-turns", "wrong-coil", "chatters", "wrong-setting",
}

// WearKinds are those of Kinds that only Options.Worn lists.
var WearKinds = Kinds[slices.Index(Kinds, "resistive-wire"):]

// Kind gives the name of the form that an effect has.
func (e Effect) Kind() string {
	for i, set := range []bool{
		e.OpenWire != nil, e.OpenContact != nil, e.ClosedContact != nil, e.OpenLoad != "", e.ShortedLoad != "",
		e.Stuck != "", e.OpenLink != "",
		e.DeadSource != "", e.Short != nil, e.Ground != "", e.Miswired != nil, e.Exchanged != nil, e.OpenDiode != nil, e.ShortedDiode != nil,
		e.ResistiveWire != nil, e.ResistiveContact != nil, e.ResistiveLink != "",
		e.LowSource != "", e.ShortedSource != "", e.LeakToGround != "", e.LeakyContact != nil,
		e.ShortedTurns != "", e.WrongCoil != "", e.Chatters != "", e.WrongSetting != "",
	} {
		if set {
			return Kinds[i]
		}
	}
	return ""
}

// Same tells whether two effects are one, whichever end of a wire or contact comes first.
func (e Effect) Same(other Effect) bool { return e.Key() == other.Key() }

// Key writes an effect as JSON that is the same whichever end of a wire or contact comes
// first.
func (e Effect) Key() string {
	for _, wire := range []**OpenWire{&e.OpenWire, &e.ResistiveWire} {
		if w := *wire; w != nil && w.From > w.To {
			*wire = &OpenWire{Wire: w.Wire, From: w.To, To: w.From}
		}
	}
	sorted := func(ts []circuits.Terminal) []circuits.Terminal { return slices.Sorted(slices.Values(ts)) }
	e.OpenContact, e.ClosedContact = sorted(e.OpenContact), sorted(e.ClosedContact)
	e.ResistiveContact, e.LeakyContact = sorted(e.ResistiveContact), sorted(e.LeakyContact)
	e.Short = slices.Sorted(slices.Values(e.Short))
	text, err := json.Marshal(e)
	if err != nil {
		panic(err) // plain strings only
	}
	return string(text)
}

// OpenWire is one physical wire, or either of its terminations, that is open.
type OpenWire struct {
	Wire string            `json:"wire"`
	From circuits.Terminal `json:"from"`
	To   circuits.Terminal `json:"to"`
}

// Miswired is a wire with one end on another terminal than it should be.
type Miswired struct {
	Wire  string            `json:"wire"`
	End   circuits.Terminal `json:"end"`
	Lands circuits.Terminal `json:"lands"`
}

// Options say which faults are listed.
type Options struct {
	// WiringErrors adds what goes wrong in a new build: wire ends on another
	// terminal of the same device.
	WiringErrors bool
	// Worn adds what comes with wear and in degrees: bad joints, low and shorted sources,
	// leaks, shorted turns and the like.
	Worn bool
	// Age of the panel; empty is AgeUsed.
	Age Age
}

// List gives every single fault of a panel, in the order of the table of kinds and
// of the circuit file. Their priors add up to one.
func List(p *work.Panel, o Options) []Fault {
	l := &lister{p: p, age: o.Age, seen: make(map[ID]int)}
	for _, k := range kinds {
		if k.when == newBuild && !o.WiringErrors || k.when == worn && !o.Worn {
			continue
		}
		before := len(l.faults)
		k.list(l)
		for i := range l.faults[before:] {
			l.faults[before+i].Wear = k.when == worn
		}
	}
	var sum float64
	for _, f := range l.faults {
		sum += f.Weight
	}
	for i := range l.faults {
		l.faults[i].Prior = l.faults[i].Weight / sum
	}
	return l.faults
}

// Find gives the index of a fault by its identity, whatever the case of its letters.
// The error names near ones.
func Find(faults []Fault, id string) (int, error) {
	if i := slices.IndexFunc(faults, func(f Fault) bool { return string(f.ID) == id }); i >= 0 {
		return i, nil // of two that differ by case only, the one that was typed
	}
	if i := slices.IndexFunc(faults, func(f Fault) bool { return strings.EqualFold(string(f.ID), id) }); i >= 0 {
		return i, nil
	}
	return -1, fmt.Errorf("no fault of this circuit is called %q%s", id, near(faults, id))
}

// near ends an error about an unknown identity with those that share the most parts
// with it, or with the one of them that was probably meant. The parts of an identity
// stand between its strokes and points.
func near(faults []Fault, id string) string {
	const few = 4
	parts := func(id string) []string {
		return strings.FieldsFunc(strings.ToLower(id), func(r rune) bool { return strings.ContainsRune("-.: ", r) })
	}
	typed := parts(id)
	var ids []string
	most := 1
	for _, f := range faults {
		own, shared := parts(string(f.ID)), 0
		for _, part := range typed {
			if slices.Contains(own, part) {
				shared++
			}
		}
		if shared > most {
			ids, most = nil, shared
		}
		if shared == most {
			ids = append(ids, string(f.ID))
		}
	}
	if len(ids) > few {
		if meant := circuits.Nearest(id, ids); meant != "" {
			return fmt.Sprintf("; perhaps %s is meant", meant)
		}
		ids = ids[:few]
	}
	if len(ids) == 0 {
		return ""
	}
	return "; near it are " + strings.Join(ids, ", ")
}

type lister struct {
	p      *work.Panel
	age    Age
	faults []Fault
	seen   map[ID]int
}

// odds are how much likelier a part of a device fails than one like it.
func (l *lister) odds(d *circuits.Device) float64 {
	if d.Type.Mains {
		return d.Odds * Of(StarterFactor).Value
	}
	return d.Odds
}

// add lists a fault. Two that would share an identity, as two wires side by side do,
// are told apart by a number.
func (l *lister) add(f Fault, factor float64) {
	l.seen[f.ID]++
	if n := l.seen[f.ID]; n > 1 {
		f.ID = ID(fmt.Sprintf("%s.%d", f.ID, n))
	}
	row := Of(f.Key)
	f.Weight = row.Value * row.times(l.age) * factor
	l.faults = append(l.faults, f)
}
