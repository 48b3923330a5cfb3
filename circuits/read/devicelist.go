package read

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits"
)

// DeviceKeys are the keys that devices have in a circuit file, the type first.
func DeviceKeys() []string {
	keys := []string{"type", "place", "note"}
	for _, k := range keyOrder {
		if !slices.Contains(keys, k.key) {
			keys = append(keys, k.key)
		}
	}
	return keys
}

// usualPlace is where a device is of which the file says no place.
const usualPlace = "panel"

// DeviceList gives the devices of the text of a circuit file as a table: a heading with "device" and
// the keys that any of them has, and a row for each. A cell holds what the file says, lists as the
// file writes them on one line; a word that could be taken for such a list is in quotes. The text
// reads as a circuit; one with rungs is [Wired] before.
func DeviceList(text []byte) ([][]string, error) {
	var doc yaml.Node
	text = plainVersion(bytes.TrimPrefix(text, []byte(circuits.ByteOrderMark)))
	if err := yaml.Unmarshal(text, &doc); err != nil {
		return nil, fmt.Errorf("the circuit file cannot be read: %w", err)
	}
	devices := value(&doc, "devices")
	if devices == nil {
		return nil, fmt.Errorf("the circuit file has no devices")
	}
	heads := []string{"device"}
	for _, key := range DeviceKeys() {
		for i := 1; i < len(devices.Content); i += 2 {
			n := value(devices.Content[i], key)
			if (key == "place" || n != nil && !isNull(n)) && !slices.Contains(heads, key) {
				heads = append(heads, key)
			}
		}
	}
	rows := [][]string{heads}
	for i := 0; i+1 < len(devices.Content); i += 2 {
		row := []string{follow(devices.Content[i]).Value}
		for _, key := range heads[1:] {
			cell, err := cellOf(value(devices.Content[i+1], key))
			if err != nil {
				return nil, err
			}
			if key == "place" && cell == "" {
				cell = usualPlace
			}
			row = append(row, cell)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// value gives the value of a key, or nil.
func value(n *yaml.Node, key string) *yaml.Node {
	n = follow(n)
	if n.Kind == yaml.DocumentNode && len(n.Content) > 0 {
		n = follow(n.Content[0])
	}
	for i := 0; i+1 < len(n.Content) && n.Kind == yaml.MappingNode; i += 2 {
		if follow(n.Content[i]).Value == key {
			return follow(n.Content[i+1])
		}
	}
	return nil
}

// cellOf writes a value of a device as a cell of a table.
func cellOf(n *yaml.Node) (string, error) {
	if n == nil || isNull(n) {
		return "", nil
	}
	if n.Kind == yaml.ScalarNode {
		if v := n.Value; v == "" || v != strings.Join(strings.Fields(v), " ") || strings.ContainsRune("[{\"'", rune(v[0])) {
			return quoted(v), nil
		}
		return n.Value, nil
	}
	out, err := yaml.Marshal(onOneLine(n))
	return strings.TrimSpace(string(out)), err
}

// quoted writes a word in quotes that YAML and a table take.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`, "\r", `\r`).Replace(s) + `"`
}

// onOneLine copies a value without aliases, comments and lines of its own.
func onOneLine(n *yaml.Node) *yaml.Node {
	n = follow(n)
	out := &yaml.Node{Kind: n.Kind, Tag: n.Tag, Value: n.Value, Style: n.Style &^ (yaml.LiteralStyle | yaml.FoldedStyle)}
	if n.Kind != yaml.ScalarNode {
		out.Style, out.Tag = yaml.FlowStyle, ""
	}
	for _, c := range n.Content {
		out.Content = append(out.Content, onOneLine(c))
	}
	return out
}

// DeviceCell turns a cell of a table of devices into what a circuit file has behind the key. The error
// says what is wrong with a list that is written as in the file.
func DeviceCell(cell string) (string, error) {
	if !strings.HasPrefix(cell, "[") && !strings.HasPrefix(cell, "{") && !strings.HasPrefix(cell, `"`) {
		return Scalar(cell), nil
	}
	var n yaml.Node
	if err := yaml.Unmarshal([]byte(cell), &n); err != nil {
		return "", fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "yaml: "))
	}
	return cell, nil
}
