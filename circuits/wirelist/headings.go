package wirelist

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// role is what a column holds.
type role int

const (
	wireRole role = iota
	fromRole
	toRole
	kindRole
	fromPlaceRole
	toPlaceRole
	fromTypeRole
	toTypeRole
	inFileRole
	roles
)

// headingWords are the headings by which a column is known: our own first, then those that
// wire lists of the trade have (common practice, no source). Case, spaces and signs do not
// matter.
var headingWords = [roles][]string{
	wireRole: {"wire", "wire number", "wire no", "wire nr", "wire id", "wire label", "number",
		"no", "nr", "conductor", "core"},
	fromRole:      {"from", "from terminal", "a", "end a", "end 1", "source", "start", "origin"},
	toRole:        {"to", "to terminal", "b", "end b", "end 2", "target", "destination", "dest", "end"},
	kindRole:      {"kind"},
	fromPlaceRole: {"from place", "from location"},
	toPlaceRole:   {"to place", "to location"},
	fromTypeRole:  {"from type"},
	toTypeRole:    {"to type"},
	inFileRole:    {"in file"},
}

// pairWords are headings of lists that have device and terminal in two columns.
var pairWords = map[role][][2]string{
	fromRole: {{"from device", "from terminal"}, {"from device", "from pin"}, {"from", "from pin"},
		{"from", "from terminal"}},
	toRole: {{"to device", "to terminal"}, {"to device", "to pin"}, {"to", "to pin"},
		{"to", "to terminal"}},
}

// mapped are the names by which Headings knows our columns.
var mapped = map[string]role{
	"wire": wireRole, "from": fromRole, "to": toRole, "kind": kindRole,
	"from-place": fromPlaceRole, "to-place": toPlaceRole, "from-type": fromTypeRole, "to-type": toTypeRole,
}

// Headings says which heading of a file stands for which of our columns: wire, from, to,
// and also kind, from-place, to-place, from-type, to-type. Two headings joined by + are
// device and terminal. Where each is a number the file has no heading, and columns are
// counted from 1.
type Headings map[string]string

// ParseHeadings reads headings as they are typed: wire=Number,from=A,to=B.
func ParseHeadings(typed string) (Headings, error) {
	h := make(Headings)
	if strings.TrimSpace(typed) == "" {
		return h, nil
	}
	for _, part := range strings.Split(typed, ",") {
		name, heading, ok := strings.Cut(part, "=")
		name, heading = strings.TrimSpace(name), strings.TrimSpace(heading)
		if !ok || heading == "" {
			return nil, fmt.Errorf("%q is not of the form wire=HEADING", part)
		}
		if _, known := mapped[name]; !known {
			return nil, fmt.Errorf("no column is called %q; there are wire, from, to, kind, from-place, "+
				"to-place, from-type, to-type", name)
		}
		h[name] = heading
	}
	return h, nil
}

// columnsFound says in which columns of a file, from zero, each of ours stands.
type columnsFound struct {
	of       [roles][]int
	byNumber bool
}

// separators between fields, the likeliest first.
var separators = []rune{',', ';', '\t', '|'}

// headingIn finds the columns in the first line of a list, and the separator with which they are
// found: columns tells them from the fields of a heading. The error tells what the list has no
// column for.
func headingIn[T any](text []byte, hint rune, columns func([]string) (T, error)) (rune, T, error) {
	try := separators
	if hint != 0 {
		try = []rune{hint}
	}
	var first error
	most := 0
	for _, sep := range try {
		fields, err := reader(text, sep).Read()
		if err != nil {
			if first == nil {
				first = fmt.Errorf("the heading cannot be read")
			}
			continue
		}
		found, err := columns(fields)
		if err == nil {
			return sep, found, nil
		}
		if first == nil || len(fields) > most {
			first, most = err, len(fields)
		}
	}
	var none T
	return 0, none, first
}

// mostAbove is how many lines may stand above a heading: titles, dates, names.
const mostAbove = 30

// headingBelow finds the heading of a list below its titles, which are blanked, so that lines keep
// their numbers. The error is that of the first line.
func headingBelow[T any](text []byte, hint rune, columns func([]string) (T, error)) ([]byte, rune, T, error) {
	separator, found, err := headingIn(text, hint, columns)
	first := err
	for at, lines := 0, 0; err != nil && lines < mostAbove; lines++ {
		end := bytes.IndexByte(text[at:], '\n')
		if end < 0 {
			break
		}
		at += end + 1
		if separator, found, err = headingIn(text[at:], hint, columns); err == nil {
			return append(bytes.Repeat([]byte("\n"), lines+1), text[at:]...), separator, found, nil
		}
	}
	if err != nil {
		err = first
	}
	return text, separator, found, err
}

// headed tells of a sheet of a workbook whether it has a heading in which columns are found.
func headed[T any](columns func([]string) (T, error)) func(sheet []byte) bool {
	return func(sheet []byte) bool {
		_, _, _, err := headingBelow(sheet, 0, columns)
		return err == nil
	}
}

// columns finds our columns in a heading.
func (h Headings) columns(heading []string) (columnsFound, error) {
	var found columnsFound
	have := make([]string, len(heading))
	for i, f := range heading {
		have[i] = folded(f)
	}
	find := func(word string) int { return slices.Index(have, folded(word)) }
	numbers, headed := len(h) > 0, true
	for _, heading := range h {
		for _, part := range strings.Split(heading, "+") {
			_, err := strconv.Atoi(part)
			numbers = numbers && err == nil
			headed = headed && find(part) >= 0
		}
	}
	found.byNumber = numbers && !headed
	for name, word := range h {
		r := mapped[name]
		parts := strings.Split(word, "+")
		if find(word) >= 0 {
			parts = []string{word} // a heading that has a + of its own
		}
		for _, part := range parts {
			at := find(part)
			if found.byNumber {
				at, _ = strconv.Atoi(part)
				if at--; at < 0 || at >= len(heading) {
					return found, fmt.Errorf("there is no column %s; the first line has %d", part,
						len(heading))
				}
			}
			if at < 0 {
				return found, fmt.Errorf("no column is headed %q; there are %s", part,
					strings.Join(heading, ", "))
			}
			found.of[r] = append(found.of[r], at)
		}
	}
	for r := range roles {
		if len(found.of[r]) > 0 || found.byNumber {
			continue
		}
		for _, pair := range pairWords[r] {
			if a, b := find(pair[0]), find(pair[1]); a >= 0 && b >= 0 && found.of[r] == nil {
				found.of[r] = []int{a, b}
			}
		}
		for _, word := range headingWords[r] {
			if at := find(word); at >= 0 && found.of[r] == nil {
				found.of[r] = []int{at}
			}
		}
	}
	for _, need := range []struct {
		role role
		name string
	}{{wireRole, "the wire number"}, {fromRole, "where a wire comes from"}, {toRole, "where it goes to"}} {
		if len(found.of[need.role]) == 0 {
			return found, fmt.Errorf("no column for %s; the first line has %s", need.name,
				strings.Join(heading, ", "))
		}
	}
	return found, nil
}

// folded makes headings equal that differ in case, spaces and signs.
func folded(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, bare(strings.TrimSpace(s)))
}
