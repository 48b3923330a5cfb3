package read

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// Limits of a file. A panel of a thousand rungs takes about half a million bytes and
// six levels.
const (
	mostBytes  = 8 << 20
	mostLevels = 64
	mostNodes  = 2_000_000 // with aliases written out
)

// parse turns the text of a file into the node at its top, or complains and gives nil.
func (r *reader) parse(text []byte) *yaml.Node {
	top := circuits.Pos{Line: 1, Column: 1}
	if len(text) > mostBytes {
		r.add(circuits.Problem{Pos: top,
			What: fmt.Sprintf("the file has %d bytes, too many for a circuit", len(text)),
			Hint: fmt.Sprintf("at most %d", mostBytes)})
		return nil
	}
	if p := circuits.UTF16(r.file, text); p != nil {
		r.add(*p)
		return nil
	}
	text = bytes.TrimPrefix(text, []byte(circuits.ByteOrderMark))
	r.lines = splitLines(string(text))
	if !r.isText() {
		return nil
	}
	text = plainVersion(text)
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	var document, second yaml.Node
	switch err := decoder.Decode(&document); {
	case err == io.EOF || err == nil && isNull(document.Content[0]):
		r.add(circuits.Problem{Pos: top, What: "the file is empty",
			Hint: "circuit: TITLE, then devices, rungs or wires, and operation"})
		return nil
	case err != nil:
		r.add(r.syntaxProblem(text, err))
		return nil
	}
	switch err := decoder.Decode(&second); {
	case err == nil:
		r.wrong(&second, "one circuit a file", "a second document begins here")
	case err != io.EOF:
		r.add(r.syntaxProblem(text, err))
	}
	root := document.Content[0]
	if !r.isBounded(root) {
		return nil
	}
	return root
}

// isText refuses what is no UTF-8 text or holds control characters.
func (r *reader) isText() bool {
	for i, line := range r.lines {
		column := 0
		for at, c := range line {
			column++
			p := circuits.Problem{Pos: circuits.Pos{Line: i + 1, Column: column}}
			switch {
			case c == utf8.RuneError && !strings.HasPrefix(line[at:], "\uFFFD"):
				p.What, p.Hint = "the file is not UTF-8 text", "save the file as UTF-8"
			case c < ' ' && c != '\t', c >= 0x7F && c < 0xA0, c == 0xFFFE, c == 0xFFFF:
				p.What, p.Hint = fmt.Sprintf("the file holds the control character %U", c), "plain text"
			default:
				continue
			}
			r.add(p)
			return false
		}
	}
	return true
}

var lineEnd = regexp.MustCompile("\r\n|[\r\n\u0085\u2028\u2029]")

// splitLines cuts a text where the YAML library counts a new line.
func splitLines(text string) []string { return lineEnd.Split(text, -1) }

var version12 = regexp.MustCompile(`^(?:[ \t]*(?:#[^\r\n]*)?\r?\n)*%YAML[ \t]+1\.2\b`)

// plainVersion lets a file say that it is YAML 1.2, which the library does not know of
// though it reads all that a circuit file may hold.
func plainVersion(text []byte) []byte {
	found := version12.FindIndex(text)
	if found == nil {
		return text
	}
	text = bytes.Clone(text)
	text[found[1]-1] = '1'
	return text
}

// isBounded refuses aliases that hold themselves, nesting without end, and aliases of
// aliases that would be a huge file if they were written out. After it the walk over
// the nodes ends, and soon.
func (r *reader) isBounded(root *yaml.Node) bool {
	const open = -1 // being counted
	sizes := make(map[*yaml.Node]int)
	ok := true
	refuse := func(n *yaml.Node, what string) int {
		if ok {
			r.wrong(n, "", "%s", what)
		}
		ok = false
		return 1
	}
	var count func(n *yaml.Node, level int) int
	count = func(n *yaml.Node, level int) int {
		if level > mostLevels {
			return refuse(n, fmt.Sprintf("more than %d levels of lists and keys in one another", mostLevels))
		}
		target := follow(n)
		if n.Kind == yaml.AliasNode {
			if size := sizes[target]; size == open {
				return refuse(n, fmt.Sprintf("the alias *%s holds itself", n.Value))
			} else if size > 0 {
				return size
			}
		}
		if n.Style&yaml.TaggedStyle != 0 && !strings.HasPrefix(n.Tag, "!!") {
			r.wrong(n, "no tags", "the tag %s means nothing in a circuit file", circuits.Quote(n.Tag))
		}
		sizes[target] = open
		size := 1
		for _, child := range target.Content {
			if !ok {
				break
			}
			if size += count(child, level+1); size > mostNodes {
				return refuse(n, "the file is too large with its aliases written out")
			}
		}
		sizes[target] = size
		return size
	}
	count(root, 1)
	return ok
}

// What the YAML library says, and what that means to whoever wrote the file.
var syntaxMeanings = []struct {
	says  string // part of the library's message
	what  string
	right string
	at    syntaxPlace
}{
	{"mapping values are not allowed", "a colon and a space where no key can be",
		"one key a line, or quotes around text that holds a colon and a space", whereItShows},
	{"did not find expected key", "this does not fit the keys before it",
		"keys that belong together start in the same column; quotes around the whole of a text",
		whereItShows},
	{"did not find expected '-' indicator", "this does not fit the list before it",
		"items that belong together start with - in the same column", whereItShows},
	{"did not find expected ',' or ']'", "the list that opens here is not closed",
		"a comma between its items and ] at its end", bracketLine},
	{"did not find expected ',' or '}'", "the keys that open here are not closed",
		"a comma between them and } at their end", bracketLine},
	{"found unexpected end of stream", "the quotes that open here are not closed",
		"the same quotes at the end of the text", quoteLine},
	{"found unexpected document indicator", "the quotes that open here are not closed",
		"the same quotes at the end of the text", quoteLine},
	{"could not find expected ':'", "this line has no colon", "key: value", whereItShows},
	{"found a tab character", "a tab in the indentation", "spaces", whereItShows},
	{"found character that cannot start any token", "text cannot begin with this character",
		"quotes around the text", whereItShows},
	{"block sequence entries are not allowed", "a list cannot begin here",
		"- at the start of a line of its own", whereItShows},
	{"mapping keys are not allowed", "a key cannot begin here", "key: value on a line of its own",
		whereItShows},
	{"found unknown escape character", "an unknown escape after the backslash",
		`\\ for a backslash, or single quotes`, whereItShows},
	{"did not find expected node content", "a value is missing here",
		"a value before each comma and bracket", whereItShows},
	{"did not find expected <document start>", "text after the end of the circuit",
		"one circuit a file", whereItShows},
	{"exceeded max depth", "far too many levels of lists and keys in one another", "", whereItShows},
}

// syntaxPlace says how the place of a syntax error is found.
type syntaxPlace int

const (
	whereItShows syntaxPlace = iota // where the text must be cut to be rid of the error
	bracketLine                     // the bracket on the line of the library's parser
	quoteLine                       // the quote on the line of the library's scanner
)

var (
	librarySays   = regexp.MustCompile(`^yaml: (?:line ([0-9]+): )?(.*)$`)
	unknownAnchor = regexp.MustCompile(`^unknown anchor '(.*)' referenced$`)
)

// syntaxProblem says in our words what the library says in its own.
func (r *reader) syntaxProblem(text []byte, err error) circuits.Problem {
	says := failureOf(err).says
	if m := unknownAnchor.FindStringSubmatch(says); m != nil {
		alias := "*" + m[1]
		return circuits.Problem{Pos: r.find(alias), Width: utf8.RuneCountInString(alias),
			What: fmt.Sprintf("nothing before %s is marked &%s", alias, m[1]), Hint: "the value itself"}
	}
	p := circuits.Problem{What: "the file is not YAML: " + says, Width: 1}
	place := whereItShows
	for _, m := range syntaxMeanings {
		if strings.Contains(says, m.says) {
			p.What, p.Hint, place = m.what, m.right, m.at
			break
		}
	}
	// With an empty line before it, the library counts from the first line as well.
	shifted := "\n" + string(text)
	whole := failsWith(shifted)
	switch place {
	case bracketLine:
		p.Pos = r.opening(whole.line, "[{")
	case quoteLine:
		p.Pos = r.opening(whole.line-1, `"'`)
	default:
		p.Pos = r.shows(shifted, whole)
		if runes := []rune(r.lines[p.Pos.Line-1]); p.Pos.Column <= len(runes) &&
			runes[p.Pos.Column-1] == '\t' {
			p.What, p.Hint = "a tab in the indentation", "spaces"
		}
	}
	return p
}

// failure is what the library says of a text: nothing, or a line and what is wrong.
type failure struct {
	line int
	says string
}

func failureOf(err error) failure {
	m := librarySays.FindStringSubmatch(err.Error())
	if m == nil {
		return failure{says: err.Error()}
	}
	line, _ := strconv.Atoi(m[1])
	return failure{line: line, says: m[2]}
}

// failsWith reads a text only for its error.
func failsWith(text string) failure {
	decoder := yaml.NewDecoder(strings.NewReader(text))
	for {
		var n yaml.Node
		switch err := decoder.Decode(&n); {
		case err == io.EOF:
			return failure{}
		case err != nil:
			return failureOf(err)
		}
	}
}

// shows finds where an error first shows. The library names no column, and often the
// line where the keys or the list began, which may be far above. So the text is cut
// shorter, by lines and then by characters, for as long as it fails in the same way.
func (r *reader) shows(shifted string, whole failure) circuits.Pos {
	ends := lineEnd.FindAllStringIndex(shifted, -1)
	line := sort.Search(len(ends), func(i int) bool { return failsWith(shifted[:ends[i][1]]) == whole })
	if line == 0 || line > len(r.lines) {
		return circuits.Pos{Line: 1, Column: 1}
	}
	before, last := shifted[:ends[line-1][1]], []rune(r.lines[line-1])
	column := sort.Search(len(last), func(i int) bool { return failsWith(before+string(last[:i])) == whole })
	// The error shows at the end of a word; its place is the beginning.
	for column > 1 && !strings.ContainsRune(" \t[]{},", last[column-2]) {
		column--
	}
	return circuits.Pos{Line: line, Column: max(1, column)}
}

// opening finds the last bracket or quote that a line opens and does not close.
func (r *reader) opening(line int, openers string) circuits.Pos {
	if line < 1 || line > len(r.lines) {
		return circuits.Pos{Line: 1, Column: 1}
	}
	var open []int // columns of brackets
	quoted, quoteAt := rune(0), 0
	before := ' '
	for i, c := range []rune(r.lines[line-1]) {
		begins := strings.ContainsRune(" \t[{,:", before)
		switch {
		case quoted != 0:
			if c == quoted && (c != '"' || before != '\\') {
				quoted = 0
			}
		case c == '#' && strings.ContainsRune(" \t", before):
			return lastOpen(line, open)
		case begins && strings.ContainsRune(`"'`, c):
			quoted, quoteAt = c, i+1
		case begins && strings.ContainsRune("[{", c):
			open = append(open, i+1)
		case strings.ContainsRune("]}", c) && len(open) > 0:
			open = open[:len(open)-1]
		}
		before = c
	}
	if quoted != 0 && strings.ContainsRune(openers, quoted) {
		return circuits.Pos{Line: line, Column: quoteAt}
	}
	return lastOpen(line, open)
}

func lastOpen(line int, open []int) circuits.Pos {
	if len(open) == 0 {
		return circuits.Pos{Line: line, Column: 1}
	}
	return circuits.Pos{Line: line, Column: open[len(open)-1]}
}

// find gives the place of the first such word in the file.
func (r *reader) find(word string) circuits.Pos {
	for i, line := range r.lines {
		at := 0
		for {
			k := strings.Index(line[at:], word)
			if k < 0 {
				break
			}
			start, end := at+k, at+k+len(word)
			if (start == 0 || strings.ContainsRune(" \t[{,:-", rune(line[start-1]))) &&
				(end == len(line) || strings.ContainsRune(" \t]},:", rune(line[end]))) {
				return circuits.Pos{Line: i + 1, Column: 1 + utf8.RuneCountInString(line[:start])}
			}
			at = end
		}
	}
	return circuits.Pos{Line: 1, Column: 1}
}
