package sketch

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits"
)

// Part is something that can be put into a rung.
type Part struct {
	Word string `json:"word"` // as an Edit names it
	Text string `json:"text"` // for people
}

// fresh are the parts that are new: what a device of each needs in the file, and how the part of it
// that is put in is written behind its name, where that is not the name alone. Contacts have the
// numbers of IEC 60947-5-1, as far as there is a number for each.
var fresh = []struct{ word, text, kind, fields, item string }{
	{"new push-button", "new push button, closes", "push-button", "contacts: [{no: [13, 14]}]", ""},
	{"new push-button nc", "new push button, opens", "push-button", "contacts: [{nc: [11, 12]}]", ""},
	{"new selector-switch", "new selector switch, off and on", "selector-switch", "positions: [off, on], contacts: [{no: [13, 14]}]", ""},
	{"new limit-switch", "new limit switch, closes", "limit-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new limit-switch nc", "new limit switch, opens", "limit-switch", "contacts: [{nc: [11, 12]}]", ""},
	{"new snap-switch", "new snap switch, closes", "snap-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new float-switch", "new float switch, closes", "float-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new pressure-switch", "new pressure switch, closes", "pressure-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new temperature-switch", "new temperature switch, closes", "temperature-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new temperature-switch nc", "new temperature switch, opens", "temperature-switch", "contacts: [{nc: [11, 12]}]", ""},
	{"new flow-switch", "new flow switch, closes", "flow-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new speed-switch", "new speed switch, closes", "speed-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new vibration-switch", "new vibration switch, opens", "vibration-switch", "contacts: [{nc: [11, 12]}]", ""},
	{"new proximity-switch", "new proximity switch of two wires", "proximity-switch", "contacts: [{no: [13, 14]}]", ""},
	{"new proximity-sensor", "new proximity sensor of three wires, its output", "proximity-sensor", "", ""},
	{"new photo-sensor", "new photoelectric sensor of three wires, its output", "photo-sensor", "", ""},
	{"new smoke-detector", "new smoke detector, its output", "smoke-detector", "", ""},
	{"new controller-output", "new output of a controller", "controller-output", "contacts: [{no: [1, 2]}]", ""},
	{"new controller-input", "new input of a controller", "controller-input", "", ""},
	{"new overload-relay", "new overload relay, opens", "overload-relay", "", " nc"},
	{"new relay", "new relay coil", "relay", "contacts: [{no: [13, 14]}, {nc: [21, 22]}, {no: [33, 34]}, {nc: [41, 42]}]", ""},
	{"new contactor", "new contactor coil", "contactor", "contacts: [{no: [13, 14]}, {nc: [21, 22]}]", ""},
	{"new timer", "new timer coil, on delay", "timer", "seconds: 5, contacts: [{no: [17, 18], timed: true}, {nc: [25, 26], timed: true}]", ""},
	{"new timer off", "new timer coil, off delay", "timer", "delay: off, seconds: 5, contacts: [{no: [17, 18], timed: true}, {nc: [25, 26], timed: true}]", ""},
	{"new off-delay-timer", "new off-delay timer without supply of its own, its input", "off-delay-timer", "seconds: 5, contacts: [{no: [17, 18]}]", ""},
	{"new interval-timer", "new interval timer, its input", "interval-timer", "seconds: 5, contacts: [{no: [17, 18]}]", ""},
	{"new flasher", "new flasher, its input", "flasher", "seconds: 0.5, contacts: [{no: [17, 18]}]", ""},
	{"new repeat-cycle-timer", "new repeat-cycle timer, its input", "repeat-cycle-timer", "seconds: 20, off-seconds: 40, contacts: [{no: [17, 18]}]", ""},
	{"new one-shot", "new one-shot timer, its supply", "one-shot", "seconds: 2, contacts: [{no: [15, 18]}]", ":A1-A2"},
	{"new triggered-timer", "new triggered timer, its supply", "triggered-timer", "seconds: 5, contacts: [{no: [15, 18], timed: true}]", ":A1-A2"},
	{"new latching-relay", "new latching relay, the coil that sets it", "latching-relay", "contacts: [{no: [13, 14]}, {nc: [21, 22]}]", ":A1-A2"},
	{"new alternating-relay", "new alternating relay coil", "alternating-relay", "contacts: [{common: 11, nc: 12, no: 14}]", ""},
	{"new current-relay", "new current relay coil, in series with what it watches", "current-relay", "amps: 1, contacts: [{no: [13, 14]}]", ""},
	{"new undervoltage-relay", "new undervoltage relay coil", "undervoltage-relay", "contacts: [{no: [11, 14]}]", ""},
	{"new solid-state-relay", "new solid-state relay, its input", "solid-state-relay", "contacts: [{no: [1, 2]}]", ""},
	{"new safety-relay", "new safety relay, its supply", "safety-relay", "contacts: [{no: [13, 14]}, {no: [23, 24]}]", ":A1-A2"},
	{"new zone-module", "new zone module, its supply", "zone-module", "contacts: [{no: [13, 14]}, {nc: [21, 22], fault: true}]", ":A1-A2"},
	{"new drive", "new drive, its start input", "drive", "contacts: [{no: [13, 14]}, {nc: [21, 22], fault: true}]", ":DI1-COM"},
	{"new lamp", "new lamp", "lamp", "", ""},
	{"new lamp led", "new LED lamp", "lamp", "kind: led", ""},
	{"new beacon", "new beacon", "beacon", "", ""},
	{"new horn", "new horn", "horn", "", ""},
	{"new solenoid", "new solenoid", "solenoid", "", ""},
	{"new motor", "new motor", "motor", "", ""},
	{"new heater", "new heater", "heater", "", ""},
	{"new ammeter", "new ammeter, in series with what it measures", "ammeter", "amps: 5", ""},
	{"new diode", "new diode", "diode", "", ""},
	{"new diode across", "new diode across a coil", "diode", "", ":K-A"},
	{"new resistor", "new resistor", "resistor", "ohms: 1000", ""},
	{"new capacitor", "new capacitor", "capacitor", "microfarads: 10", ""},
	{"new rc-suppressor", "new suppressor of resistor and capacitor", "rc-suppressor", "", ""},
	{"new varistor", "new varistor", "varistor", "", ""},
	{"new fuse", "new fuse", "fuse", "", ""},
	{"new breaker", "new breaker", "breaker", "", ""},
	{"new connector", "new connector, its first pin", "connector", "pins: [1, 2, 3, 4]", ":1"},
	{"new terminal-block", "new terminal block, its first terminal", "terminal-block", "terminals: [1, 2, 3, 4]", ":1"},
}

// unsketched are the types that no row of fresh puts into a rung, and why.
var unsketched = map[string]string{
	"supply":              "it feeds rungs and stands in none",
	"three-phase-supply":  "it feeds rungs and stands in none",
	"control-transformer": "its primary is on another feed than its secondary",
	"bridge-rectifier":    "its input is on another feed than its output",
	"ground":              "it stands beside a feed",
	"phase-relay":         "it hangs on three conductors",
	"three-phase-motor":   "it hangs on three conductors",
	"two-speed-motor":     "it hangs on three conductors",
	"single-phase-motor":  "its two windings are switched on together, each in a branch",
	"current-transformer": "its secondary is never opened, and to put parts in opens it",
}

// parts are what can be put in: what is new, and contacts of the relays that are there.
func (f *file) parts() []Part {
	var parts []Part
	for _, p := range fresh {
		parts = append(parts, Part{p.word, p.text})
	}
	for i := 0; i+1 < len(f.devices.Content); i += 2 {
		name, device := f.devices.Content[i].Value, f.devices.Content[i+1]
		t := typeOf(device)
		if t == nil {
			continue
		}
		var forms []string
		switch t.Kind {
		case circuits.RelayKind:
			forms = []string{" no", " nc"}
			switch {
			case t.Armature.FaultRelay():
				forms = append(forms, " no fault", " nc fault")
			case t.Delays && !t.SeenTimed():
				forms = append(forms, " no timed", " nc timed")
			}
		case circuits.OperatorKind:
			forms = []string{"", " no", " nc"}
		case circuits.LoadKind, circuits.PassiveKind:
			forms = []string{""}
		}
		if t.Coils != nil {
			forms = slices.DeleteFunc(forms, func(form string) bool { return form == "" })
		}
		for _, form := range forms {
			parts = append(parts, Part{name + form, said(name, form, t)})
		}
		parts = append(parts, inputs(name, device, t)...)
		for _, key := range []string{"pins", "terminals"} {
			if t.Kind == circuits.ConnectorKind || t.Kind == circuits.BlockKind {
				for _, at := range words(device, key) {
					parts = append(parts, Part{name + ":" + at, fmt.Sprintf("%s:%s (%s)", name, at, t.Called())})
				}
			}
		}
	}
	return parts
}

// inputs are what feeds a device besides its contacts: each of several coils, or the supply of a sensor.
func inputs(name string, device *yaml.Node, t *circuits.Type) []Part {
	var parts []Part
	add := func(key, called string, ends []string) {
		if given := words(device, key); len(given) == 2 {
			ends = given
		}
		parts = append(parts, Part{name + ":" + ends[0] + "-" + ends[1], fmt.Sprintf("%s, its %s (%s)", name, called, t.Called())})
	}
	for _, c := range t.Coils {
		if c.Terminals != nil {
			ends := c.Terminals
			if hot := t.Coils[0].Terminals[0]; ends[1] == hot { // it feeds what is behind it
				ends = []string{hot, ends[0]}
			}
			add(c.Key, c.Name, ends)
		}
	}
	if t.Kind == circuits.OperatorKind && t.Loads != nil {
		add("terminals", "supply", t.Terminals)
	}
	return parts
}

// words are what a list of a device has in it.
func words(device *yaml.Node, key string) []string {
	var out []string
	for k := 0; k+1 < len(device.Content); k += 2 {
		if device.Content[k].Value == key {
			for _, v := range device.Content[k+1].Content {
				out = append(out, v.Value)
			}
		}
	}
	return out
}

// said is a part of a device that is there, for people.
func said(name, form string, t *circuits.Type) string {
	kind := t.Called()
	if contact, fault := strings.CutSuffix(form, " fault"); fault {
		return fmt.Sprintf("%s%s, a contact of its fault relay (%s)", name, contact, kind)
	}
	switch contact, timed := strings.CutSuffix(form, " timed"); {
	case form == "":
		return fmt.Sprintf("%s (%s)", name, kind)
	case timed:
		return fmt.Sprintf("%s%s, a contact that follows the delay (%s)", name, contact, kind)
	}
	return fmt.Sprintf("%s%s, a contact (%s)", name, form, kind)
}

// typeOf is the type of a device as it is written; nil for none.
func typeOf(device *yaml.Node) *circuits.Type {
	for k := 0; k+1 < len(device.Content); k += 2 {
		if device.Content[k].Value == "type" {
			return circuits.TypeNamed(device.Content[k+1].Value)
		}
	}
	return nil
}

// part gives what a word puts into a rung, and the line of a device that is new with it.
func (f *file) part(word string) (item, device string, err error) {
	for _, p := range fresh {
		if p.word != word {
			continue
		}
		t := circuits.TypeNamed(p.kind)
		name := f.free(t.Letters[0].Letters)
		fields := "type: " + p.kind
		if p.fields != "" {
			fields += ", " + p.fields
		}
		return name + p.item, name + ": {" + fields + "}", nil
	}
	if !slices.ContainsFunc(f.parts(), func(p Part) bool { return p.Word == word }) {
		return "", "", fmt.Errorf("there is no part %q to put in", word)
	}
	return word, "", nil
}

// free is the first designation with some letters that no device has.
func (f *file) free(letters string) string {
	for n := 1; ; n++ {
		name := fmt.Sprint(letters, n)
		taken := false
		for i := 0; i < len(f.devices.Content); i += 2 {
			taken = taken || f.devices.Content[i].Value == name
		}
		if !taken {
			return name
		}
	}
}
