package sketch

import (
	"strings"

	"gopkg.in/yaml.v3"

	"deadrung/circuits/read"
)

// indentOf is the space before what stands in a line.
func indentOf(line string) string { return line[:len(line)-len(strings.TrimLeft(line, " "))] }

// written is a rung as lines of the file; like is the line in which it began.
func (r *Rung) written(like string) []string {
	indent := indentOf(like)
	line := "[" + lineText(r.Line) + "]"
	comment := ""
	if r.at.LineComment != "" {
		comment = " " + r.at.LineComment
	}
	if r.at.Kind != yaml.MappingNode {
		return []string{indent + "- " + line + comment}
	}
	var keys []string
	for k := 0; k+1 < len(r.at.Content); k += 2 {
		key, value := r.at.Content[k].Value, line
		if key != "rung" && key != "feed" {
			value = flowText(r.at.Content[k+1])
		}
		keys = append(keys, key+": "+value)
	}
	if r.at.Style&yaml.FlowStyle != 0 {
		return []string{indent + "- {" + strings.Join(keys, ", ") + "}" + comment}
	}
	lines := []string{indent + "- " + keys[0]}
	for _, key := range keys[1:] {
		lines = append(lines, indent+"  "+key)
	}
	return lines
}

func lineText(line []Item) string {
	var items []string
	for _, it := range line {
		items = append(items, it.written())
	}
	return strings.Join(items, ", ")
}

func (it *Item) written() string {
	if it.Branches == nil {
		return read.Scalar(it.Text)
	}
	var branches []string
	for _, b := range it.Branches {
		if text := lineText(b); len(b) == 1 {
			branches = append(branches, text)
		} else {
			branches = append(branches, "["+text+"]")
		}
	}
	return "{parallel: [" + strings.Join(branches, ", ") + "]}"
}

// flowText is a value on one line.
func flowText(n *yaml.Node) string {
	var parts []string
	switch n.Kind {
	case yaml.SequenceNode:
		for _, c := range n.Content {
			parts = append(parts, flowText(c))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case yaml.MappingNode:
		for k := 0; k+1 < len(n.Content); k += 2 {
			parts = append(parts, n.Content[k].Value+": "+flowText(n.Content[k+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return read.Scalar(n.Value)
}
