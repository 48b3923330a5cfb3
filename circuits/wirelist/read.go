package wirelist

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// Row is one line of a wire list that was read.
type Row struct {
	Number             string
	From, To           circuits.Terminal
	Bridge             bool
	FromPlace, ToPlace string // empty where the list does not tell
	FromType, ToType   string
	inFile             int
	at                 circuits.Pos
	source             string
}

// rows is a list while it is read.
type rows struct {
	file     string
	lines    []string // of the file, for messages
	list     []Row
	problems circuits.Problems
	full     map[string]string            // by device: its whole designation, where it was first met
	on       map[circuits.Terminal]string // the wire number of a terminal
	onLine   map[circuits.Terminal]int
	plan     bool // numbers, and wires from a terminal to itself, are not held against it
}

// ReadCSV reads a wire list: comma, semicolon or tab between the fields, a byte-order mark
// or none, quoted fields or not; or a workbook. Rows above the heading, and rows with nothing but a
// remark, are passed over. What is not UTF-8 is said in a warning. A heading names the columns; headings says which heading
// stands for which of our columns where it is not one of the usual ones, see [Headings].
// All mistakes are reported in one pass, each with its line and column.
func ReadCSV(file string, text []byte, headings Headings) ([]Row, circuits.Problems) {
	return readRows(file, text, headings, false)
}

// ReadPlan reads a list that somebody planned, as [ReadCSV] does. What is wrong with it as a plan
// is no mistake here: a wire may have no number, a terminal several, and a wire both ends on one.
func ReadPlan(file string, text []byte, headings Headings) ([]Row, circuits.Problems) {
	return readRows(file, text, headings, true)
}

func readRows(file string, text []byte, headings Headings, plan bool) ([]Row, circuits.Problems) {
	r := &rows{plan: plan, file: file, full: make(map[string]string), on: make(map[circuits.Terminal]string),
		onLine: make(map[circuits.Terminal]int)}
	text, hint, ok := r.begin(text, headed(Headings(nil).columns))
	if !ok {
		return nil, r.problems
	}
	text, separator, found, err := headingBelow(text, hint, headings.columns)
	if err != nil {
		r.wrong(circuits.Pos{Line: 1, Column: 1},
			"a heading with wire, from and to; or name those that stand for them, as in --map "+
				"wire=Number,from=A,to=B", "%s", err)
		return nil, r.problems
	}
	in := reader(text, separator)
	for n := 0; ; n++ {
		fields, ok := r.next(in)
		if !ok {
			break
		}
		if n == 0 && !found.byNumber {
			continue
		}
		r.row(in, found, fields)
	}
	if r.problems.Err() == nil && !slices.ContainsFunc(r.list, func(row Row) bool { return !row.Bridge }) {
		r.wrong(circuits.Pos{Line: 1, Column: 1}, "one wire a line below the heading",
			"the file has no wires")
	}
	r.order()
	return r.list, r.problems
}

// begin takes the text of a list as it comes, and gives it in UTF-8 with the separator that its first
// line names, if it does; false where it is no list, which is told. Of a workbook it takes the first
// sheet that is such a list.
func (r *rows) begin(text []byte, isList func(sheet []byte) bool) ([]byte, rune, bool) {
	text, was, wrong := decoded(r.file, text, isList)
	if wrong != nil {
		r.problems = append(r.problems, *wrong)
		return nil, 0, false
	}
	if was != "" {
		r.problems = append(r.problems, circuits.Problem{File: r.file, Pos: circuits.Pos{Line: 1, Column: 1}, Warning: true,
			What: "the list is read as " + was})
	}
	text = bytes.TrimPrefix(text, []byte(circuits.ByteOrderMark))
	if !bytes.Contains(text, []byte("\n")) {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n")) // line ends of old spreadsheets
	}
	r.lines = strings.Split(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n")
	if at := notText(text); at >= 0 {
		line := bytes.Count(text[:at], []byte("\n")) + 1
		r.wrong(circuits.Pos{Line: line, Column: 1}, "saved as CSV in UTF-8", "the file is not text in UTF-8")
		return nil, 0, false
	}
	text, hint := separatorHint(text)
	return text, hint, true
}

// next reads the fields of the next line; false at the end, and where quotes do not fit, which is told.
func (r *rows) next(in *csv.Reader) ([]string, bool) {
	fields, err := in.Read()
	if err == io.EOF {
		return nil, false
	}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		r.wrong(r.pos(parse.Line, parse.Column), `a quote within a quoted field is written ""`,
			"the quotes of this line do not fit: %s", parse.Err)
		return nil, false
	}
	return fields, true
}

// remark tells whether what stands alone in the column of the wire number is a remark, as the
// name of a part of the list, and no number. Common practice, no source.
func remark(word string) bool {
	return strings.ContainsAny(word, " \t") || strings.HasSuffix(word, ":") || strings.HasPrefix(word, "#") || strings.HasPrefix(word, "//")
}

// notText gives where a text is not UTF-8 or holds a zero; -1 if it is fine.
func notText(text []byte) int {
	if at := bytes.IndexByte(text, 0); at >= 0 {
		return at
	}
	for at := 0; at < len(text); {
		c, size := utf8.DecodeRune(text[at:])
		if c == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return -1
}

// separatorHint reads a first line like sep=; that some spreadsheets write, and blanks it.
func separatorHint(text []byte) ([]byte, rune) {
	line, rest, _ := bytes.Cut(text, []byte("\n"))
	word := strings.TrimSpace(strings.Trim(strings.TrimSpace(string(line)), `"`))
	if sep, ok := strings.CutPrefix(strings.ToLower(word), "sep="); ok && utf8.RuneCountInString(sep) == 1 {
		c, _ := utf8.DecodeRuneInString(sep)
		if slices.Contains(separators, c) {
			return append([]byte("\n"), rest...), c
		}
	}
	return text, 0
}

func reader(text []byte, separator rune) *csv.Reader {
	in := csv.NewReader(bytes.NewReader(text))
	in.Comma = separator
	in.FieldsPerRecord = -1
	in.TrimLeadingSpace = separator != '\t'
	return in
}

// row reads one line of the list.
func (r *rows) row(in *csv.Reader, found columnsFound, fields []string) {
	get := func(role role) string {
		var parts []string
		for _, i := range found.of[role] {
			if i < len(fields) {
				if f := bare(strings.TrimSpace(fields[i])); f != "" {
					parts = append(parts, f)
				}
			}
		}
		return strings.Join(parts, ":")
	}
	place := func(role role) circuits.Pos {
		if at := found.of[role]; len(at) > 0 && at[0] < len(fields) {
			line, column := in.FieldPos(at[0])
			return r.pos(line, column)
		}
		line, _ := in.FieldPos(0)
		return circuits.Pos{Line: line, Column: 1}
	}
	number, from, to := get(wireRole), get(fromRole), get(toRole)
	if from == "" && to == "" && (number == "" || remark(number)) {
		return
	}
	row := Row{Number: number, FromPlace: get(fromPlaceRole), ToPlace: get(toPlaceRole),
		FromType: get(fromTypeRole), ToType: get(toTypeRole), at: place(fromRole)}
	if row.at.Line <= len(r.lines) {
		row.source = r.lines[row.at.Line-1]
	}
	before := len(r.problems)
	row.From = r.terminal(from, place(fromRole), "from")
	row.To = r.terminal(to, place(toRole), "to")
	switch kind := strings.ToLower(get(kindRole)); kind {
	case "", wireKind:
	case bridgeKind, "jumper", "link":
		a, _ := row.From.Split()
		b, _ := row.To.Split()
		row.Bridge = a == b
	default:
		r.wrong(place(kindRole), "wire or bridge", "a line of the list is no %q", kind)
	}
	if number == "" && !row.Bridge && !r.plan {
		r.wrong(place(wireRole), "the wire number that is on both ends of the wire",
			"the wire from %s to %s has no number", from, to)
	} else if number != "" && !read.WireNumber(number) {
		r.wrong(place(wireRole), "at most 40 printable characters", "a wire cannot have the number %q",
			number)
	}
	for _, p := range []struct {
		role role
		word string
	}{{fromPlaceRole, row.FromPlace}, {toPlaceRole, row.ToPlace}} {
		if p.word != "" && !read.WireNumber(p.word) {
			r.wrong(place(p.role), "at most 40 printable characters", "a place cannot be called %q", p.word)
		}
	}
	if word := get(inFileRole); word != "" {
		row.inFile, _ = strconv.Atoi(word)
	}
	if row.From != "" && row.From == row.To && !r.plan {
		r.wrong(place(toRole), "another terminal", "the wire runs from %s to itself", row.From)
	}
	if len(r.problems) > before {
		return
	}
	if number != "" && !r.plan {
		for _, end := range []struct {
			t    circuits.Terminal
			role role
		}{{row.From, fromRole}, {row.To, toRole}} {
			if other, ok := r.on[end.t]; ok && other != number {
				r.wrong(place(end.role), "each terminal under one wire number",
					"%s is on wire %s and already on wire %s, line %d", end.t, number, other, r.onLine[end.t])
				return
			}
			if _, ok := r.on[end.t]; !ok {
				r.on[end.t], r.onLine[end.t] = number, place(end.role).Line
			}
		}
	}
	r.list = append(r.list, row)
}

// terminal reads a terminal as wire lists write it: CR1:A1, -K1:13, =F1+P2-K1:13, CR1-A1,
// CR1.A1, CR1/A1 or "CR1 A1". Of a designation in parts (IEC 81346: = function, + location,
// - product) the last product part names the device.
func (r *rows) terminal(word string, at circuits.Pos, column string) circuits.Terminal {
	const right = "device and terminal, as in CR1:A1"
	if word == "" {
		r.wrong(at, right, "the column %s is empty", column)
		return ""
	}
	device, name, ok := strings.Cut(word, ":")
	if !ok {
		if i := strings.LastIndexAny(word, "./- "); i > 0 {
			device, name = strings.TrimSpace(word[:i]), word[i+1:]
		}
	}
	short := device
	if strings.HasPrefix(device, "-") || strings.HasPrefix(device, "=") || strings.HasPrefix(device, "+") {
		short = device[strings.LastIndex(device, "-")+1:]
	}
	switch {
	case name == "" && read.DeviceName(short):
		r.wrong(at, "device and terminal, as in "+short+":1", "%q is not a terminal", word)
	case name == "":
		r.wrong(at, right, "%q is not a terminal", word)
	case !read.DeviceName(short):
		r.wrong(at, right+"; a device is named by letters and digits", "%q does not name a device", device)
	case !read.TerminalName(name):
		r.wrong(at, right+"; without spaces and marks", "%q does not name a terminal", name)
	case r.full[short] != "" && r.full[short] != device:
		r.wrong(at, "a name of its own for each", "%s and %s would both be device %s", r.full[short],
			device, short)
	default:
		r.full[short] = device
		return circuits.Terminal(short + ":" + name)
	}
	return ""
}

// order puts the wires in the order of the circuit file that they came from, where the
// list tells it of every one.
func (r *rows) order() {
	wires := make(map[int]bool)
	n := 0
	for _, row := range r.list {
		if row.Bridge {
			continue
		}
		n++
		if row.inFile > 0 {
			wires[row.inFile] = true
		}
	}
	if len(wires) != n {
		return
	}
	slices.SortStableFunc(r.list, func(a, b Row) int {
		if a.Bridge != b.Bridge {
			if a.Bridge {
				return 1
			}
			return -1
		}
		return cmp.Compare(a.inFile, b.inFile)
	})
}

// pos turns the library's column, in bytes, into one in runes.
func (r *rows) pos(line, column int) circuits.Pos {
	if line >= 1 && line <= len(r.lines) {
		text := r.lines[line-1]
		column = utf8.RuneCountInString(text[:max(0, min(column-1, len(text)))]) + 1
	}
	return circuits.Pos{Line: line, Column: column}
}

func (r *rows) wrong(at circuits.Pos, right, format string, args ...any) {
	p := circuits.Problem{File: r.file, Pos: at, What: fmt.Sprintf(format, args...), Hint: right}
	if at.Line >= 1 && at.Line <= len(r.lines) {
		p.Source = r.lines[at.Line-1]
	}
	r.problems = append(r.problems, p)
}
