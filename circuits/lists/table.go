package lists

import (
	"io"

	"deadrung/circuits/drawing"
	"deadrung/circuits/wirelist"
)

// Table is a list of a panel.
type Table struct {
	Title  string
	About  string // a line below the title
	Heads  []string
	Groups []Group
}

// Group is rows that stand together.
type Group struct {
	Name string // empty: none
	Rows [][]string
}

// Kind is a list that can be made.
type Kind struct {
	Name, About string
	// Make makes it of a circuit as it is drawn, and of the text of its file.
	Make func(*drawing.Drawing, []byte) (Table, error)
}

// ofDrawing is a list for which the text of the file is not asked.
func ofDrawing(list func(*drawing.Drawing) Table) func(*drawing.Drawing, []byte) (Table, error) {
	return func(d *drawing.Drawing, _ []byte) (Table, error) { return list(d), nil }
}

// Kinds are the lists that there are.
var Kinds = []Kind{
	{"terminals", "the terminal plan: every block and connector, what is inside and what outside", ofDrawing(terminals)},
	{"cables", "the cable schedule: every cable with its cores", ofDrawing(cables)},
	{"conductors", "every wire with its colour, gauge, length, ferrule and cable", ofDrawing(conductors)},
	{"labels", "the labels to print: devices, terminals, wire ends, cables", ofDrawing(labels)},
	{"parts", "the parts list", ofDrawing(parts)},
	{"devices", "every device with all that the file says of it; import --devices reads it", devices},
}

// Find gives the kind of a name.
func Find(name string) (Kind, bool) {
	for _, k := range Kinds {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// WriteCSV writes the table as comma-separated values, the name of the group in the first column
// where there are groups.
func (t Table) WriteCSV(w io.Writer) error {
	grouped := len(t.Groups) > 0 && t.Groups[0].Name != ""
	head := t.Heads
	if grouped {
		head = append([]string{"of"}, head...)
	}
	rows := [][]string{head}
	for _, g := range t.Groups {
		for _, r := range g.Rows {
			if grouped {
				r = append([]string{g.Name}, r...)
			}
			rows = append(rows, r)
		}
	}
	return wirelist.WriteRows(w, rows)
}
