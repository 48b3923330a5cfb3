package read

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// Wired gives the text of a circuit's file with its wires in place of its rungs, which go on as
// its ladder. What else the text holds stays as it is. A file without rungs stays as it is
// altogether. Rung tells on which rung of the drawing a contact is; it may be nil.
func Wired(text []byte, c *circuits.Circuit, rung func(*circuits.Item) int) []byte {
	if c.Rungs == nil {
		return text
	}
	if out, ok := WiredInPlace(text, c, rung); ok {
		return out
	}
	w := wired{c: c, rung: rung}
	w.comments(text)
	return w.writtenOut(text)
}

// WiredInPlace is Wired without touching a line of the rest. It fails where a key of the top level
// does not have its lines to itself.
func WiredInPlace(text []byte, c *circuits.Circuit, rung func(*circuits.Item) int) ([]byte, bool) {
	w := wired{c: c, rung: rung}
	w.comments(text)
	out, ok := w.cutIn(text)
	return out, ok && sameCircuit(out, c)
}

// wired writes a circuit with wires in place of its rungs.
type wired struct {
	c     *circuits.Circuit
	rung  func(*circuits.Item) int // on which rung of the drawing an item is; nil: not to be said
	above []string                 // comments of the file that belong to no rung
	of    [][]string               // by rung: its comments
}

// sameCircuit says whether a text reads as the circuit.
func sameCircuit(text []byte, c *circuits.Circuit) bool {
	again, problems := Read(c.File, text)
	if problems.Err() != nil || len(again.Numbers) != len(c.Numbers) ||
		len(again.Devices) != len(c.Devices) || len(again.Steps) != len(c.Steps) ||
		len(again.Ladder) != len(c.Rungs) {
		return false
	}
	for i, n := range again.Numbers {
		if n.Name != c.Numbers[i].Name || !slices.EqualFunc(n.Wires, c.Numbers[i].Wires,
			func(a, b circuits.Wire) bool { return a.From == b.From && a.To == b.To }) {
			return false
		}
	}
	return true
}

// The keys that wires take the place of.
var wiredKeys = []string{"rungs", "wires", "through"}

// cutIn puts the wires where the rungs begin, and takes the other keys out, without
// touching a line of the rest. It fails where a key of the top level does not have its
// lines to itself.
func (w *wired) cutIn(text []byte) ([]byte, bool) {
	r := &reader{file: w.c.File, circuit: &circuits.Circuit{}}
	root := r.parse(text)
	if root == nil || root.Style&yaml.FlowStyle != 0 {
		return nil, false
	}
	lines := strings.SplitAfter(string(text), "\n")
	cut := make([]bool, len(lines)+1)
	into := -1
	for i := 0; i+1 < len(root.Content); i += 2 {
		key := root.Content[i]
		if key.Column != 1 {
			return nil, false
		}
		if !slices.Contains(wiredKeys, key.Value) {
			continue
		}
		from, to := key.Line-1, len(lines)
		if i+2 < len(root.Content) {
			to = root.Content[i+2].Line - 1
		}
		if from < 0 || to > len(lines) || from >= to {
			return nil, false
		}
		// Comments and empty lines before the next key are that key's.
		for to > from+1 && outside(lines[to-1]) {
			to--
		}
		for k := from; k < to; k++ {
			cut[k] = true
		}
		if key.Value == "rungs" {
			into = from
		}
	}
	if into < 0 {
		return nil, false
	}
	var b strings.Builder
	for i, line := range lines {
		if i == into {
			wires := w.wires() + w.ladder()
			if strings.HasSuffix(lines[into], "\r\n") {
				wires = strings.ReplaceAll(wires, "\n", "\r\n")
			}
			b.WriteString(wires)
		}
		if !cut[i] {
			b.WriteString(line)
		}
	}
	return []byte(b.String()), true
}

// outside says whether a line is empty or a comment that is not set in.
func outside(line string) bool {
	line = strings.TrimRight(line, "\r\n")
	return strings.TrimSpace(line) == "" || line[0] == '#'
}

// writtenOut writes the file anew, aliases written out, with the wires at the place of
// the rungs.
func (w *wired) writtenOut(text []byte) []byte {
	r := &reader{file: w.c.File, circuit: &circuits.Circuit{}}
	root := r.parse(text)
	var b strings.Builder
	for i := 0; i+1 < len(root.Content); i += 2 {
		key := follow(root.Content[i])
		if key.Value == "rungs" {
			b.WriteString(w.wires() + w.ladder())
		}
		if slices.Contains(wiredKeys, key.Value) {
			continue
		}
		pair := &yaml.Node{Kind: yaml.MappingNode,
			Content: []*yaml.Node{alone(key), alone(root.Content[i+1])}}
		out, err := yaml.Marshal(pair)
		if err != nil {
			continue // what was read can be written
		}
		b.Write(out)
	}
	return []byte(b.String())
}

// alone copies a node without anchors and aliases.
func alone(n *yaml.Node) *yaml.Node {
	n = follow(n)
	out := &yaml.Node{Kind: n.Kind, Style: n.Style, Tag: n.Tag, Value: n.Value}
	for _, child := range n.Content {
		out.Content = append(out.Content, alone(child))
	}
	return out
}

// WireLines writes wire numbers as they stand below wires: in a circuit file.
func WireLines(numbers []circuits.Number) string {
	var b strings.Builder
	for i := range numbers {
		n := &numbers[i]
		runs := n.Runs()
		if len(runs) == 1 {
			fmt.Fprintf(&b, "  %s: %s\n", Scalar(n.Name), List(runs[0]))
			continue
		}
		fmt.Fprintf(&b, "  %s:\n", Scalar(n.Name))
		for _, run := range runs {
			fmt.Fprintf(&b, "    - %s\n", List(run))
		}
	}
	return b.String()
}

// wires writes the wires of a circuit as the file has them, with what was chosen and
// what is spare as comments.
func (w *wired) wires() string {
	var b strings.Builder
	c := w.c
	b.WriteString("wires:                      # worked out from the rungs\n")
	b.WriteString(WireLines(c.Numbers))
	if choices := c.Choices(); len(choices) > 0 {
		b.WriteString("  # contacts taken:")
		before := 0
		for i, it := range choices {
			words, rung := fmt.Sprintf(" %s is %s", it.Written, it.Text()), 0
			if w.rung != nil {
				rung = w.rung(it)
			}
			if rung != before {
				words = fmt.Sprintf(" rung %d:%s", rung, words)
			}
			if i > 0 && rung != before {
				b.WriteString(";")
			} else if i > 0 {
				b.WriteString(",")
			}
			before = rung
			comment(&b, words)
		}
		b.WriteString("\n")
	}
	if spare := c.Spare(); len(spare) > 0 {
		b.WriteString("  # spare:")
		for i, s := range spare {
			if i > 0 {
				b.WriteString(",")
			}
			comment(&b, " "+s)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// Longest line of a comment, in characters.
const commentWidth = 90

// comment goes on with a comment, on a new line where it would get too long.
func comment(b *strings.Builder, words string) {
	s := b.String()
	if at := len(s) - strings.LastIndexByte(s, '\n') - 1; at+len(words) > commentWidth {
		b.WriteString("\n  #  ")
	}
	b.WriteString(words)
}

// List writes names as a list of a circuit file: [T1:X1, F1:1].
func List[T ~string](names []T) string {
	out := make([]string, len(names))
	for i, name := range names {
		out[i] = Scalar(string(name))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// plainText is text that needs no quotes wherever it stands.
var plainText = regexp.MustCompile(`^[\pL\pN+.][\pL\pN+./_()=-]*( [\pL\pN+./_()=-]+)*$`)

// plainTerminal is a terminal that needs no quotes in a list.
var plainTerminal = regexp.MustCompile(`^[\pL\pN]+:[\pL\pN+/._*()=-]+$`)

// Scalar writes text for a place of a circuit file where text is wanted, in quotes where
// YAML needs them.
func Scalar(s string) string {
	if strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return strconv.Quote(s)
	}
	n := &yaml.Node{Kind: yaml.ScalarNode, Value: s}
	if (plainText.MatchString(s) || plainTerminal.MatchString(s)) && !isNull(n) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", "''") + "'"
}
