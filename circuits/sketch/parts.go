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

// fresh are the parts that are new: what a device of each needs in the file. Contacts have the
// numbers of IEC 60947-5-1, as far as there is a number for each.
var fresh = []struct{ word, text, kind, fields string }{
	{"new push-button", "new push button, closes", "push-button", "contacts: [{no: [13, 14]}]"},
	{"new push-button nc", "new push button, opens", "push-button", "contacts: [{nc: [11, 12]}]"},
	{"new selector-switch", "new selector switch", "selector-switch", "contacts: [{no: [13, 14]}]"},
	{"new limit-switch", "new limit switch, closes", "limit-switch", "contacts: [{no: [13, 14]}]"},
	{"new limit-switch nc", "new limit switch, opens", "limit-switch", "contacts: [{nc: [11, 12]}]"},
	{"new relay", "new relay coil", "relay", "contacts: [{no: [13, 14]}, {nc: [21, 22]}, {no: [33, 34]}, {nc: [41, 42]}]"},
	{"new timer", "new timer coil, on delay", "timer", "seconds: 5, contacts: [{no: [17, 18], timed: true}, {nc: [25, 26], timed: true}]"},
	{"new contactor", "new contactor coil", "contactor", "contacts: [{no: [13, 14]}, {nc: [21, 22]}]"},
	{"new lamp", "new lamp", "lamp", ""},
	{"new horn", "new horn", "horn", ""},
	{"new solenoid", "new solenoid", "solenoid", ""},
	{"new fuse", "new fuse", "fuse", ""},
}

// parts are what can be put in: what is new, and contacts of the relays that are there.
func (f *file) parts() []Part {
	var parts []Part
	for _, p := range fresh {
		parts = append(parts, Part{p.word, p.text})
	}
	for i := 0; i+1 < len(f.devices.Content); i += 2 {
		name, t := f.devices.Content[i].Value, typeOf(f.devices.Content[i+1])
		if t == nil {
			continue
		}
		var forms []string
		switch t.Kind {
		case circuits.RelayKind:
			forms = []string{" no", " nc"}
			if t.Delays && !t.SeenTimed() {
				forms = []string{" no", " nc", " no timed", " nc timed"}
			}
		case circuits.OperatorKind:
			forms = []string{"", " no", " nc"}
		case circuits.LoadKind, circuits.PassiveKind:
			forms = []string{""}
		}
		for _, form := range forms {
			parts = append(parts, Part{name + form, said(name, form, t)})
		}
	}
	return parts
}

// said is a part of a device that is there, for people.
func said(name, form string, t *circuits.Type) string {
	kind := strings.ReplaceAll(t.Name, "-", " ")
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
		return name, name + ": {" + fields + "}", nil
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
