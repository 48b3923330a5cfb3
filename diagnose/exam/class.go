package exam

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"deadrung/circuits"
)

// Candidate is one person of a class.
type Candidate struct {
	Number int    `json:"number"` // the seat, from one, in the order of the list
	Name   string `json:"name"`
	ID     string `json:"id,omitempty"` // the school's own number, where the list has one
	// Extra is how many minutes more than the others this one has for each fault.
	Extra float64 `json:"extra,omitempty"`
}

// Label names a candidate on paper: "7 Ada Example".
func (c Candidate) Label() string { return fmt.Sprintf("%d %s", c.Number, c.Name) }

// Numbered gives a class of which nothing is known but how many there are.
func Numbered(n int) []Candidate {
	class := make([]Candidate, n)
	for i := range class {
		class[i] = Candidate{Number: i + 1, Name: fmt.Sprintf("candidate %d", i+1)}
	}
	return class
}

// MostCandidates bounds a class.
const MostCandidates = 2000

// longestName bounds a name, in letters.
const longestName = 120

// Words that head the columns of a class list, in small letters.
var (
	nameWords  = []string{"name", "full name", "candidate", "apprentice", "student", "participant"}
	firstWords = []string{"first name", "firstname", "given name", "forename"}
	lastWords  = []string{"last name", "lastname", "surname", "family name"}
	idWords    = []string{"id", "number", "no", "no.", "nr", "nr.", "candidate number", "student id",
		"student number"}
	extraWords = []string{"extra", "extra minutes", "extra time"}
)

// ReadClass reads a class list in CSV: one candidate a line, in the order in which they
// sit. Commas, semicolons, tabs or strokes part the fields, which may be quoted; a byte
// order mark and UTF-16 with one are understood. A first line with the word "name" names
// the columns; without one the name is the first column that is no number. All mistakes
// are reported in one pass.
func ReadClass(file string, text []byte) ([]Candidate, circuits.Problems) {
	var problems circuits.Problems
	var lines [][]byte
	wrong := func(line, column int, what, hint string) {
		p := circuits.Problem{File: file, Pos: circuits.Pos{Line: line, Column: column}, What: what, Hint: hint}
		if line <= len(lines) {
			p.Source = strings.ToValidUTF8(strings.TrimRight(string(lines[line-1]), "\r"), "\uFFFD")
		}
		problems = append(problems, p)
	}
	plain, err := decoded(text)
	if err == nil {
		text = plain
	}
	lines = bytes.Split(text, []byte("\n"))
	if err != nil {
		wrong(1, 1, err.Error(), "save the list as CSV in UTF-8")
		return nil, problems
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma = delimiter(text)
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = r.Comma != '\t'
	type row struct {
		fields       []string
		line, column int
	}
	var rows []row
	for {
		fields, err := r.Read()
		if err == io.EOF {
			break
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			what, hint := "a quote stands inside a field that is not quoted",
				"put the whole field in quotes, a quote in it twice"
			if errors.Is(broken.Err, csv.ErrQuote) {
				what, hint = "a quoted field is not closed rightly",
					"a quote at its end, and each quote inside it twice"
			}
			wrong(broken.Line, broken.Column, what, hint)
			if errors.Is(broken.Err, csv.ErrQuote) {
				break // nobody knows where the next field begins
			}
			continue
		}
		for i, f := range fields {
			fields[i] = clean(f)
		}
		if slices.ContainsFunc(fields, func(f string) bool { return f != "" }) {
			line, column := r.FieldPos(0)
			rows = append(rows, row{fields, line, column})
		}
	}
	if len(rows) == 0 && len(problems) == 0 {
		wrong(1, 1, "the class list names nobody", "one candidate a line, in the order in which they sit")
		return nil, problems
	}
	var columns columns
	if len(rows) > 0 {
		var headed bool
		if columns, headed = heading(rows[0].fields); headed {
			rows = rows[1:]
		} else {
			columns = unheaded(rows[0].fields)
		}
		if len(rows) == 0 {
			wrong(1, 1, "the class list has a heading and names nobody",
				"one candidate a line below the heading")
		}
	}
	var class []Candidate
	names, ids := make(map[string]int), make(map[string]int)
	for _, row := range rows {
		c := Candidate{Number: len(class) + 1, Name: columns.name(row.fields),
			ID: field(row.fields, columns.id)}
		if x := field(row.fields, columns.extra); x != "" {
			if c.Extra, err = ParseExtra(x); err != nil {
				wrong(row.line, row.column, err.Error(), ExtraForm)
				continue
			}
		}
		key := strings.ToLower(c.Name + "\x00" + c.ID)
		switch {
		case c.Name == "":
			wrong(row.line, row.column, "this line has no name", "a name, or leave the line out")
			continue
		case utf8.RuneCountInString(c.Name) > longestName:
			wrong(row.line, row.column, fmt.Sprintf("a name of %d letters", utf8.RuneCountInString(c.Name)),
				fmt.Sprintf("at most %d; perhaps the fields are parted by another sign", longestName))
			continue
		case c.ID != "" && ids[c.ID] > 0:
			wrong(row.line, row.column, fmt.Sprintf("the number %q stands on line %d already", c.ID,
				ids[c.ID]), "a number of their own for each")
			continue
		case names[key] > 0:
			wrong(row.line, row.column, fmt.Sprintf("%q stands on line %d already", c.Name, names[key]),
				"take the line out, or tell the two apart by a column headed id")
			continue
		}
		names[key] = row.line
		if c.ID != "" {
			ids[c.ID] = row.line
		}
		class = append(class, c)
	}
	if len(class) > MostCandidates {
		wrong(1, 1, fmt.Sprintf("a class of %d", len(class)), fmt.Sprintf("at most %d", MostCandidates))
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return class, nil
}

// decoded gives the text in UTF-8 without a byte order mark.
func decoded(text []byte) ([]byte, error) {
	for _, order := range []struct {
		mark      string
		high, low int
	}{{"\xFF\xFE", 1, 0}, {"\xFE\xFF", 0, 1}} {
		rest, ok := bytes.CutPrefix(text, []byte(order.mark))
		if !ok {
			continue
		}
		var units []uint16
		for ; len(rest) >= 2; rest = rest[2:] {
			units = append(units, uint16(rest[order.high])<<8|uint16(rest[order.low]))
		}
		return []byte(string(utf16.Decode(units))), nil
	}
	text = bytes.TrimPrefix(text, []byte("\uFEFF"))
	if !utf8.Valid(text) {
		return nil, errors.New("the class list is not in UTF-8")
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, errors.New("the class list is no text")
	}
	return text, nil
}

// delimiter finds the sign that parts the fields: the one that stands oftenest outside of
// quotes on the first line that has any.
func delimiter(text []byte) rune {
	for line := range bytes.Lines(text) {
		counts := make(map[rune]int)
		quoted := false
		for _, c := range string(line) {
			switch {
			case c == '"':
				quoted = !quoted
			case !quoted && strings.ContainsRune(",;\t|", c):
				counts[c]++
			}
		}
		best := rune(0)
		for _, c := range ",;\t|" {
			if counts[c] > counts[best] {
				best = c
			}
		}
		if best != 0 {
			return best
		}
	}
	return ','
}

// columns are the places of what is wanted of a line; -1 where the list has no such.
type columns struct{ full, first, last, id, extra int }

func (c columns) name(fields []string) string {
	if c.full >= 0 {
		return field(fields, c.full)
	}
	return strings.TrimSpace(field(fields, c.first) + " " + field(fields, c.last))
}

func field(fields []string, at int) string {
	if at < 0 || at >= len(fields) {
		return ""
	}
	return fields[at]
}

// heading finds the columns by the words of a first line; false if it is none.
func heading(fields []string) (columns, bool) {
	find := func(words []string) int {
		return slices.IndexFunc(fields, func(f string) bool { return slices.Contains(words, strings.ToLower(f)) })
	}
	c := columns{find(nameWords), find(firstWords), find(lastWords), find(idWords), find(extraWords)}
	return c, c.full >= 0 || c.last >= 0 || c.first >= 0
}

// unheaded takes the first field that is no number as the name, and one that is before it
// as the school's number.
func unheaded(fields []string) columns {
	c := columns{full: 0, first: -1, last: -1, id: -1, extra: -1}
	for i, f := range fields {
		if strings.ContainsFunc(f, unicode.IsLetter) {
			c.full = i
			break
		}
	}
	if c.full > 0 {
		c.id = 0
	}
	return c
}

// clean takes control characters out of a field, and spaces around and between.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}
