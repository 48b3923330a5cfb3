package wirelist

import (
	"encoding/csv"
	"errors"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Told is a device that a list of devices tells.
type Told struct {
	Name, Type, Place string
	keys              []string // what the file says of it beside type and place
	bridges           [][2]string
}

// deviceWords are the headings of the column with the designation, and those that lists of the trade
// have for ours. Common practice, no source.
var (
	deviceWords = []string{"device", "designation", "tag", "name", "item"}
	keyWords    = map[string]string{"location": "place", "description": "note", "remark": "note", "voltage": "volts",
		"resistance": "ohms", "article": "part", "partnumber": "part"}
)

// deviceColumns says which column of a list of devices holds what.
type deviceColumns struct {
	name int
	keys map[int]string
	// other are headings that are no key.
	other []string
}

// ReadDevices reads a list of devices: a heading with "device" and "type" and any keys of the circuit
// file, and a row for each device. It comes in all that [ReadCSV] reads. Columns with other headings are
// passed over, which a warning says. All mistakes are reported in one pass.
func ReadDevices(file string, text []byte) ([]Told, circuits.Problems) {
	r := &rows{file: file}
	text, hint, ok := r.begin(text, headed(columnsOfDevices))
	if !ok {
		return nil, r.problems
	}
	text, separator, columns, err := headingBelow(text, hint, columnsOfDevices)
	if err != nil {
		r.wrong(circuits.Pos{Line: 1, Column: 1}, "a heading with device and type, and the keys of the circuit file", "%s", err)
		return nil, r.problems
	}
	in := reader(text, separator)
	var list []Told
	for n := 0; ; n++ {
		fields, ok := r.next(in)
		if !ok {
			break
		}
		if n == 0 {
			line, _ := in.FieldPos(0)
			for _, word := range columns.other {
				r.problems = append(r.problems, circuits.Problem{File: file, Pos: circuits.Pos{Line: line, Column: 1}, Warning: true,
					What: "the column " + circuits.Quote(word) + " is passed over: it is no key of a device"})
			}
			continue
		}
		if t, ok := r.device(in, columns, fields, list); ok {
			list = append(list, t)
		}
	}
	return list, r.problems
}

// columnsOfDevices finds the columns of a list of devices in a heading.
func columnsOfDevices(heading []string) (deviceColumns, error) {
	found := deviceColumns{name: -1, keys: make(map[int]string)}
	known := read.DeviceKeys()
	for i, h := range heading {
		word := folded(h)
		switch {
		case word == "":
		case found.name < 0 && slices.Contains(deviceWords, word):
			found.name = i
		default:
			k := slices.IndexFunc(known, func(key string) bool { return folded(key) == word })
			key := keyWords[word]
			if k >= 0 {
				key = known[k]
			}
			if key == "" {
				found.other = append(found.other, h)
				continue
			}
			found.keys[i] = key
		}
	}
	for _, key := range found.keys {
		if key == "type" && found.name >= 0 {
			return found, nil
		}
	}
	return found, errors.New("the file has no heading of a list of devices")
}

// device reads a row of a list of devices.
func (r *rows) device(in *csv.Reader, columns deviceColumns, fields []string, before []Told) (Told, bool) {
	cell := func(i int) string {
		if i >= len(fields) {
			return ""
		}
		return bare(strings.TrimSpace(fields[i]))
	}
	at := func(i int) circuits.Pos {
		line, column := in.FieldPos(min(i, len(fields)-1))
		return r.pos(line, column)
	}
	t := Told{Name: cell(columns.name), Place: "panel"}
	if strings.ContainsAny(t.Name[:min(len(t.Name), 1)], "-=+") { // as IEC 81346 writes it
		t.Name = t.Name[strings.LastIndex(t.Name, "-")+1:]
	}
	wrongs := len(r.problems)
	empty := true
	for _, key := range slices.Sorted(maps.Keys(columns.keys)) {
		word := cell(key)
		if word == "" {
			continue
		}
		empty = false
		switch name := columns.keys[key]; name {
		case "type":
			t.Type = typeCalled(word)
			if t.Type == "" {
				var known []string
				for _, row := range circuits.Types {
					known = append(known, row.Name)
				}
				r.wrong(at(key), "a type of the circuit file", "there is no type %s%s", circuits.Quote(word),
					circuits.Suggest(word, known))
			}
		case "place":
			if !read.WireNumber(word) {
				r.wrong(at(key), "at most 40 printable characters", "a place cannot be called %s", circuits.Quote(word))
			}
			t.Place = word
		default:
			value, err := read.DeviceCell(word)
			if err != nil {
				r.wrong(at(key), "a list as the circuit file writes it, as [{no: [13, 14]}]", "%s cannot be read: %s", name, err)
				continue
			}
			if name == "bridges" {
				_ = yaml.Unmarshal([]byte(value), &t.bridges) // what is no list of pairs the reader of the file complains of
			}
			t.keys = append(t.keys, name+": "+value)
		}
	}
	switch {
	case t.Name == "" && empty:
		return t, false
	case t.Name == "" && len(fields) == 1, t.Type == "" && len(fields) == 1:
		return t, false // a remark
	case !read.DeviceName(t.Name):
		r.wrong(at(columns.name), "letters and digits", "%s does not name a device", circuits.Quote(t.Name))
	case t.Type == "" && len(r.problems) == wrongs:
		r.wrong(at(columns.name), "its type", "%s has no type", t.Name)
	case slices.ContainsFunc(before, func(b Told) bool { return b.Name == t.Name }):
		r.wrong(at(columns.name), "each device once", "%s is listed twice", t.Name)
	}
	return t, len(r.problems) == wrongs
}

// typeCalled gives the type of a name of the format or of the trade; empty for none.
func typeCalled(word string) string {
	same := func(name string) bool { return folded(name) == folded(word) }
	for _, row := range circuits.Types {
		if same(row.Name) {
			return row.Name
		}
	}
	for _, row := range circuits.Types {
		if slices.ContainsFunc(row.Also, same) {
			return row.Name
		}
	}
	return ""
}
