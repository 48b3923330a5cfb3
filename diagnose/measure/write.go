package measure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits/read"
	"deadrung/diagnose/log"
)

// Found is what was measured of a device: its ohms, or the kind of part that it is since a
// good one reads open.
type Found struct {
	Ohms float64
	Kind string
}

// Least is the resistance, in ohms, below which a reading is no part. Common practice, no
// source.
const Least = 0.1

// Found is what a reading makes known of a part.
func (r Reading) Found(ohms float64) Found {
	if ohms >= log.OL {
		return Found{Kind: r.Dark}
	}
	return Found{Ohms: ohms}
}

func (f Found) key() string {
	if f.Kind != "" {
		return "kind: " + f.Kind
	}
	return "ohms: " + strconv.FormatFloat(f.Ohms, 'f', -1, 64)
}

// Write gives the text of a circuit file with what was measured beside the type of each
// device, by name; all else stays as it was written. The error says what is to be written
// by hand.
func Write(file string, text []byte, found map[string]Found) ([]byte, error) {
	var root yaml.Node
	if err := yaml.Unmarshal(text, &root); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	lines := strings.SplitAfter(string(text), "\n")
	var places []place
	for name, f := range found {
		at, ok := placeOf(&root, lines, name)
		if !ok {
			return nil, fmt.Errorf("%s: the row of %s is not one that can be added to: write %s there by hand",
				file, name, f.key())
		}
		at.key = f.key()
		places = append(places, at)
	}
	slices.SortFunc(places, func(a, b place) int { // from the end, so that what is before stays
		if a.line != b.line {
			return b.line - a.line
		}
		return b.column - a.column
	})
	for _, at := range places {
		line := []rune(lines[at.line])
		if at.flow {
			lines[at.line] = string(line[:at.column]) + ", " + at.key + string(line[at.column:])
			continue
		}
		if !strings.HasSuffix(lines[at.line], "\n") {
			lines[at.line] += "\n"
		}
		lines[at.line] += strings.Repeat(" ", at.column) + at.key + "\n"
	}
	out := []byte(strings.Join(lines, ""))
	c, problems := read.Read(file, out)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	for name, f := range found {
		if d := c.Device(name); d == nil || d.Ohms != f.Ohms || f.Kind != "" && d.LoadKind != f.Kind {
			return nil, fmt.Errorf("%s: the row of %s is not one that can be added to: write %s there by hand",
				file, name, f.key())
		}
	}
	return out, nil
}

// place is where a key goes: behind the column of a line, or on a line of its own after it,
// indented to the column. Both count from zero, columns in characters.
type place struct {
	line, column int
	flow         bool
	key          string
}

// placeOf finds where a key of a device goes: after its type.
func placeOf(root *yaml.Node, lines []string, name string) (place, bool) {
	row := valueOf(valueOf(root, "devices"), name)
	if row == nil || row.Kind != yaml.MappingNode {
		return place{}, false
	}
	kind := valueOf(row, "type")
	if kind == nil || kind.Kind != yaml.ScalarNode || kind.Line > len(lines) ||
		strings.Contains(kind.Value, "\n") {
		return place{}, false
	}
	if row.Style&yaml.FlowStyle == 0 {
		for i := 0; i < len(row.Content); i += 2 {
			if row.Content[i].Value == "type" {
				return place{line: kind.Line - 1, column: row.Content[i].Column - 1}, true
			}
		}
	}
	end := kind.Column - 1 + len([]rune(kind.Value))
	if kind.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		end += 2
	}
	return place{line: kind.Line - 1, column: end, flow: true}, end <= len([]rune(lines[kind.Line-1]))
}

// valueOf gives the value of a key of a mapping.
func valueOf(n *yaml.Node, key string) *yaml.Node {
	if n != nil && n.Kind == yaml.DocumentNode {
		n = n.Content[0]
	}
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}
