package read

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// Read reads a circuit file, version 1 of the format. The name of the file is only
// for messages. The problems are all mistakes and warnings of the file in one pass,
// sorted by place; on any mistake the circuit is nil. Warnings are in the circuit too.
func Read(file string, text []byte) (*circuits.Circuit, circuits.Problems) {
	return ReadKeeping(file, text, nil)
}

// ReadKeeping reads a circuit file as [Read] does. Where the file has rungs, the numbers,
// contacts and wires of an older circuit are kept as far as they still fit. Old may be
// nil.
func ReadKeeping(file string, text []byte, old *circuits.Circuit) (*circuits.Circuit, circuits.Problems) {
	r := &reader{
		file:    file,
		circuit: &circuits.Circuit{File: file},
		drawn:   make(map[string]*drawn),
		older:   old,
	}
	if root := r.parse(text); root != nil {
		r.readCircuit(root)
	}
	problems := r.problems.Sorted()
	if problems.Err() != nil {
		return nil, problems
	}
	r.circuit.Warnings = problems
	return r.circuit, problems
}

// reader walks the nodes of one file, fills the circuit and collects what is wrong.
// One mistake never stops it. What could not be read is remembered as vague, so that
// nothing is said of its consequences.
type reader struct {
	file     string
	lines    []string // of the file, without line ends
	problems circuits.Problems
	circuit  *circuits.Circuit

	drawn        map[string]*drawn // devices by designation
	names        []string          // designations in file order
	mistakes     int               // so far
	compared     int               // words, for suggestions
	vagueDevices bool              // the devices could not be read at all
	vaguePlaces  bool              // the places could not be read at all

	inRung  map[string]*yaml.Node // parts in rungs, as TERMINAL-TERMINAL
	certain bool                  // all devices in rungs are known
	through map[string][]*drawn   // by place: what its wires go through
	older   *circuits.Circuit     // whose numbers and wires are kept; may be nil
}

// The keys of the top level.
var (
	topKeys    = []string{"circuit", "about", "devices", "wires", "operation", "places", "rungs", "ladder", "through", "cables", "conductors", "drawing"}
	neededKeys = []string{"circuit", "devices", "wires", "operation"}
)

// readCircuit reads the top level. Places come before the devices that stand at
// them, devices before the wires and steps that name them.
func (r *reader) readCircuit(root *yaml.Node) {
	entries, ok := r.entries(root, "a circuit file",
		"circuit: TITLE, then devices, rungs or wires, and operation")
	if !ok {
		return
	}
	given := r.known(entries, topKeys, "in a circuit file")
	for _, key := range neededKeys {
		if key == "wires" && (given["rungs"] != nil || misspelt("rungs", entries, topKeys)) {
			continue
		}
		if given[key] == nil && !misspelt(key, entries, topKeys) {
			right := ""
			if key == "wires" {
				right = "wires, terminal to terminal, or rungs, as they are drawn"
			}
			r.wrong(root, right, "the file has no %s", key)
		}
	}
	c := r.circuit
	if e := given["circuit"]; e != nil {
		c.Title, _ = r.line(e)
	}
	if e := given["about"]; e != nil {
		c.About, _ = r.text(e)
	}
	r.readTitleBlock(given["drawing"])
	r.readPlaces(given["places"])
	r.readDevices(given["devices"])
	r.readThrough(given["through"], given["rungs"] != nil)
	r.readWiring(given["wires"], given["rungs"])
	r.rectifiers()
	r.secondaries()
	r.tones()
	r.readLadder(given["ladder"], given["rungs"])
	r.readCables(given["cables"])
	r.readConductors(given["conductors"])
	r.readOperation(given["operation"])
}

// entry is one key of a mapping with its value. Aliases are followed.
type entry struct {
	key   string
	at    *yaml.Node // the key
	value *yaml.Node
}

// entries gives the keys of a mapping in file order, and false if it is no mapping.
// What it is and what would be right are for the message.
func (r *reader) entries(n *yaml.Node, what, right string) ([]*entry, bool) {
	n = follow(n)
	if n.Kind != yaml.MappingNode {
		r.wrong(n, right, "%s is %s where keys with values are needed", what, described(n))
		return nil, false
	}
	var out []*entry
	first := make(map[string]*yaml.Node, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		at, value := n.Content[i], follow(n.Content[i+1])
		key := follow(at)
		if key.Kind != yaml.ScalarNode || isNull(key) {
			r.wrong(at, "a word before the colon", "%s has %s for a key", what, described(key))
			continue
		}
		if before := first[key.Value]; before != nil {
			r.wrong(at, "each key once", "%s has %s twice, already on line %d", what,
				circuits.Quote(key.Value), before.Line)
			continue
		}
		first[key.Value] = at
		out = append(out, &entry{key: key.Value, at: at, value: value})
	}
	return out, true
}

// known sorts entries by their keys and complains of keys that do not belong there.
func (r *reader) known(entries []*entry, keys []string, where string) map[string]*entry {
	given := make(map[string]*entry, len(entries))
	for _, e := range entries {
		if slices.Contains(keys, e.key) {
			given[e.key] = e
			continue
		}
		r.wrong(e.at, r.near(e.key, keys), "unknown key %s %s%s", circuits.Quote(e.key), where,
			strayKey(e, entries))
	}
	return given
}

// misspelt says whether a key that is not given was probably meant by one that is
// unknown, and so complained of already.
func misspelt(key string, entries []*entry, keys []string) bool {
	return slices.ContainsFunc(entries, func(e *entry) bool {
		return !slices.Contains(keys, e.key) && circuits.Nearest(e.key, keys) == key
	})
}

// listKeys are the keys whose value is a list.
var listKeys = []string{"no", "nc", "terminals", "closed", "pins", "positions", "bridges", "coil",
	"primary", "rung", "feed", "return", "parallel"}

// strayKey says how a key came about that nobody meant as one.
func strayKey(e *entry, entries []*entry) string {
	if e.key == "<<" {
		return ": merging belongs to YAML 1.1"
	}
	if isNull(e.value) {
		i := slices.Index(entries, e)
		for i > 0 && isNull(entries[i].value) {
			i--
		}
		if first := entries[i]; slices.Contains(listKeys, first.key) &&
			first.value.Kind == yaml.ScalarNode && !isNull(first.value) {
			return fmt.Sprintf(": a list stands in brackets, as in %s: [%s, %s]", first.key,
				first.value.Value, e.key)
		}
	}
	if _, err := strconv.ParseUint(e.key, 10, 64); err == nil && isNull(e.value) {
		return ": a decimal sign is a point, a comma begins the next key"
	}
	return ""
}

// items gives the items of a list. Aliases are followed by whoever reads the items.
func (r *reader) items(n *yaml.Node, what, right string) ([]*yaml.Node, bool) {
	n = follow(n)
	if n.Kind != yaml.SequenceNode {
		r.wrong(n, right, "%s is %s where a list is needed", what, described(n))
		return nil, false
	}
	return n.Content, true
}

// text reads a value that is text; numbers and words such as no, on and off are text.
func (r *reader) text(e *entry) (string, bool) {
	if e.value.Kind != yaml.ScalarNode || isNull(e.value) {
		r.wrong(r.where(e), "", "%s is %s where text is needed", e.key, described(e.value))
		return "", false
	}
	for _, c := range e.value.Value {
		if c != '\n' && c != '\t' && !circuits.Printable(c) {
			r.wrong(e.value, "text without control characters", "%s holds the control character %U", e.key, c)
			return "", false
		}
	}
	return e.value.Value, true
}

// line reads text that is one line and not empty.
func (r *reader) line(e *entry) (string, bool) {
	s, ok := r.text(e)
	if !ok {
		return "", false
	}
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s, "\n\t") {
		r.wrong(e.value, "", "%s must be one line of text", e.key)
		return "", false
	}
	return s, true
}

// oneOf reads a value that is one of a few words.
func (r *reader) oneOf(e *entry, words ...string) (string, bool) {
	s, ok := r.text(e)
	if ok && !slices.Contains(words, s) {
		r.wrong(e.value, circuits.Listed(words), "%s is %s", e.key, circuits.Quote(s))
		ok = false
	}
	return s, ok
}

// naming says what a name may be made of.
type naming struct {
	what  string // "a terminal"
	odd   func(rune) bool
	right string
}

var (
	deviceNames   = naming{"a device", notInDesignation, "letters and digits, as in CR1"}
	terminalNames = naming{"a terminal", notInTerminal,
		"letters, digits and signs, without spaces and " + terminalMarks}
	wireNumbers   = naming{"a wire number", unprintable, "printable text"}
	placeNames    = naming{"a place", unprintable, "printable text"}
	positionNames = naming{"a position", unprintable, "printable text"}
)

// terminalMarks are signs that part terminals from one another where they are written.
const terminalMarks = `:,;"[]{}`

func notInDesignation(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }

func notInTerminal(c rune) bool {
	return !unicode.IsPrint(c) || c == ' ' || strings.ContainsRune(terminalMarks, c)
}

func unprintable(c rune) bool { return !circuits.Printable(c) }

// allows says whether a name is fit to be printed, asked for and typed.
func (is naming) allows(s string) bool {
	return s != "" && strings.TrimSpace(s) == s && utf8.RuneCountInString(s) <= circuits.LongestName &&
		!strings.ContainsFunc(s, is.odd)
}

// DeviceName tells whether a circuit file can have a device of that name.
func DeviceName(s string) bool { return deviceNames.allows(s) }

// TerminalName tells whether a device can have a terminal of that name.
func TerminalName(s string) bool { return terminalNames.allows(s) }

// WireNumber tells whether a circuit file can have that wire number. Places and positions
// of a switch are named by the same rule.
func WireNumber(s string) bool { return wireNumbers.allows(s) }

// fits says whether a name is allowed, or complains.
func (r *reader) fits(s string, is naming, at *yaml.Node) bool {
	switch {
	case is.allows(s):
		return true
	case strings.TrimSpace(s) == s && utf8.RuneCountInString(s) > circuits.LongestName:
		r.wrong(at, fmt.Sprintf("at most %d characters", circuits.LongestName),
			"the name of %s is too long", is.what)
	default:
		r.wrong(at, is.right, "%s cannot be named %s", is.what, circuits.Quote(s))
	}
	return false
}

// name reads an item of a list that names something.
func (r *reader) name(n *yaml.Node, is naming) (string, bool) {
	v := follow(n)
	if v.Kind != yaml.ScalarNode || isNull(v) {
		r.wrong(n, "", "%s is needed here, not %s", is.what, described(v))
		return "", false
	}
	return v.Value, r.fits(v.Value, is, n)
}

// follow gives the node that an alias stands for. The parser has refused aliases that
// hold themselves.
func follow(n *yaml.Node) *yaml.Node {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	return n
}

// where gives the value of an entry, or its key if the value is nothing at all.
func (r *reader) where(e *entry) *yaml.Node {
	if isNull(e.value) && e.value.Value == "" {
		return e.at
	}
	return e.value
}

// isNull says whether a value is nothing, by the core schema of YAML 1.2.
func isNull(n *yaml.Node) bool {
	if n.Kind != yaml.ScalarNode || !isPlain(n) {
		return false
	}
	switch n.Value {
	case "", "~", "null", "Null", "NULL":
		return true
	}
	return false
}

// isPlain says whether a scalar is written without quotes, bars and tags.
func isPlain(n *yaml.Node) bool {
	const written = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle
	return n.Style&written == 0 && (n.Style&yaml.TaggedStyle == 0 || n.Tag != "!!str")
}

// described says what stands in the file, for a message.
func described(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.MappingNode:
		return "keys with values"
	case isNull(n):
		return "nothing"
	}
	return circuits.Quote(n.Value)
}

// meantDevice gives the device that was probably meant, or "". A device whose own name is
// refused is none that could be named instead.
func (r *reader) meantDevice(name string) string {
	if meant := r.meant(name, r.names); deviceNames.allows(meant) {
		return meant
	}
	return ""
}

// near gives the word that was probably meant, else all words that would be right.
func (r *reader) near(word string, known []string) string {
	if best := r.meant(word, known); best != "" {
		return best
	}
	return circuits.Listed(known)
}

// Comparing each of very many wrong words with each of very many devices would take
// minutes, so a file gets suggestions for so many comparisons only.
const mostCompared = 2_000_000

// meant gives the word that was probably meant, or "".
func (r *reader) meant(word string, known []string) string {
	if r.compared += len(known); r.compared > mostCompared {
		return ""
	}
	return circuits.Nearest(word, known)
}

// wrong adds a mistake at a node. What would be right may be empty.
func (r *reader) wrong(at *yaml.Node, right, format string, args ...any) {
	r.add(circuits.Problem{Pos: posOf(at), Width: r.width(at), What: fmt.Sprintf(format, args...),
		Hint: right})
}

// warn adds a warning at a node.
func (r *reader) warn(at *yaml.Node, right, format string, args ...any) {
	r.add(circuits.Problem{Pos: posOf(at), Width: r.width(at), What: fmt.Sprintf(format, args...),
		Hint: right, Warning: true})
}

func (r *reader) add(p circuits.Problem) {
	p.File = r.file
	if !p.Warning {
		r.mistakes++
	}
	if i := p.Pos.Line - 1; i >= 0 && i < len(r.lines) {
		p.Source = r.lines[i]
	}
	r.problems = append(r.problems, p)
}

func posOf(n *yaml.Node) circuits.Pos { return circuits.Pos{Line: n.Line, Column: n.Column} }

// width counts the runes that a node takes on its first line.
func (r *reader) width(n *yaml.Node) int {
	switch {
	case n.Kind == yaml.AliasNode:
		return 1 + utf8.RuneCountInString(n.Value)
	case n.Kind != yaml.ScalarNode || n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return 1
	case n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		return 2 + utf8.RuneCountInString(n.Value)
	}
	return utf8.RuneCountInString(n.Value)
}
