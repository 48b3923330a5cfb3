package read

import (
	"strings"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// ladder writes the rungs as the ladder of a file with wires, with the terminals of what was
// chosen.
func (w *wired) ladder() string {
	var b strings.Builder
	b.WriteString("ladder:                     # the rungs as they were drawn\n")
	write := func(comments []string) {
		for _, c := range comments {
			b.WriteString("  " + strings.TrimRight("# "+c, " ") + "\n")
		}
	}
	write(w.above)
	for i := range w.c.Rungs {
		if i < len(w.of) {
			write(w.of[i])
		}
		b.WriteString("  - " + rungText(&w.c.Rungs[i]) + "\n")
	}
	return b.String()
}

// rungText writes a rung as an entry of a circuit file.
func rungText(r *circuits.Rung) string {
	key := "rung"
	if r.Feed {
		key = "feed"
	}
	keys := []string{key + ": " + lineText(r.Line)}
	if r.Return != nil {
		keys = append(keys, "return: "+lineText(r.Return))
	}
	if r.Ground != nil {
		keys = append(keys, "ground: "+itemText(r.Ground))
	}
	if r.Title != "" {
		keys = append(keys, "title: "+Scalar(r.Title))
	}
	if r.Note != "" {
		keys = append(keys, "note: "+Scalar(r.Note))
	}
	if len(keys) == 1 && !r.Feed {
		return lineText(r.Line)
	}
	return "{" + strings.Join(keys, ", ") + "}"
}

// lineText writes items in series as a list.
func lineText(line []circuits.Item) string {
	var items []string
	for i := range line {
		items = append(items, itemText(&line[i]))
	}
	return "[" + strings.Join(items, ", ") + "]"
}

// itemText writes an item with its terminals.
func itemText(it *circuits.Item) string {
	if it.Kind != circuits.ParallelItem {
		return Scalar(it.Text())
	}
	var branches []string
	for _, b := range it.Branches {
		branches = append(branches, lineText(b))
	}
	return "{parallel: [" + strings.Join(branches, ", ") + "]}"
}

// comments finds the comments that stand in the rungs and in the other keys that wires take the
// place of.
func (w *wired) comments(text []byte) {
	r := &reader{file: w.c.File, circuit: &circuits.Circuit{}}
	root := r.parse(text)
	for i := 0; root != nil && i+1 < len(root.Content); i += 2 {
		key, value := follow(root.Content[i]), follow(root.Content[i+1])
		switch key.Value {
		case "wires", "through":
			w.above = append(w.above, commentLines(key.LineComment)...)
			w.above = append(w.above, commentsIn(value)...)
		case "rungs":
			w.above = append(w.above, commentLines(key.LineComment)...)
			w.above = append(w.above, commentLines(value.HeadComment)...)
			w.above = append(w.above, commentLines(value.LineComment)...)
			for _, n := range value.Content {
				w.of = append(w.of, commentsIn(n))
			}
		}
	}
}

// commentsIn gives the comments at a node and at what is in it, line by line.
func commentsIn(n *yaml.Node) []string {
	lines := append(commentLines(n.HeadComment), commentLines(n.LineComment)...)
	for _, child := range n.Content {
		lines = append(lines, commentsIn(child)...)
	}
	return append(lines, commentLines(n.FootComment)...)
}

// commentLines gives the lines of a comment without their marks.
func commentLines(text string) []string {
	var lines []string
	for _, line := range strings.Split(text, "\n") {
		if line = strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(line), "#")); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}
