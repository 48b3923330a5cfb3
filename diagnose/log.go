package diagnose

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"deadrung/circuits"
	"deadrung/faultmodel"
)

// LogVersion is the version of the log's form.
const LogVersion = 1

// Entry is one line of a log.
type Entry struct {
	Check Check
	// Answer is what was seen or read; nil on a line that says that the check cannot
	// be made here.
	Answer *Reading
	Note   string
	At     string // RFC 3339, as it was written
	Line   int    // in the file, from one; zero for an entry that is not from a file
	// Repaired is set on the first reading after a repair.
	Repaired bool
	at       located
}

// Log is a sequence of checks with their answers, undone lines taken out.
type Log struct {
	Entries []Entry
	// Acts are what was done besides, in their order among the entries.
	Acts []Act
	// Whole is the length in bytes of the text up to where a line that was cut short
	// begins; whoever appends cuts the file there first.
	Whole int
	// Open is set where the last line lacks its line end.
	Open bool
}

type line struct {
	Check
	Saw    json.RawMessage `json:"saw,omitempty"`
	Read   json.RawMessage `json:"read,omitempty"`
	Cannot *Check          `json:"cannot,omitempty"`
	Undo   bool            `json:"undo,omitempty"`
	// Repaired stands on the first reading after a repair.
	Repaired bool `json:"repaired,omitempty"`

	Act      string        `json:"act,omitempty"`
	Fault    faultmodel.ID `json:"fault,omitempty"`
	Strength int           `json:"strength,omitempty"`
	Attempt  *Check        `json:"attempt,omitempty"`
	Right    *bool         `json:"right,omitempty"`
	Hidden   string        `json:"hidden,omitempty"`
	Seed     *uint64       `json:"seed,omitempty"`

	Circuit  string `json:"circuit,omitempty"`
	Deadrung *int   `json:"deadrung,omitempty"`

	At   string `json:"at,omitempty"`
	Note string `json:"note,omitempty"`

	// Sitting stands on the first line of each session of an exam, Chain on all its lines.
	Sitting string `json:"sitting,omitempty"`
	Chain   string `json:"chain,omitempty"`
}

// ReadLog reads a log in the form of JSON Lines. All mistakes are reported in one
// pass, each with its line and column. A last line that is cut short is left out,
// with a warning.
func (m *Model) ReadLog(file string, text []byte) (Log, circuits.Problems) {
	var log Log
	var problems circuits.Problems
	rest := text
	for n := 1; len(rest) > 0; n++ {
		raw, after, ended := bytes.Cut(rest, []byte("\n"))
		rest = after
		start := len(text) - len(after) - len(raw)
		if ended {
			start--
		}
		raw = bytes.TrimSuffix(raw, []byte("\r"))
		if n == 1 {
			raw = bytes.TrimPrefix(raw, byteOrderMark)
		}
		problem := func(column int, warning bool, what, hint string) {
			problems = append(problems, circuits.Problem{File: file, Pos: circuits.Pos{Line: n, Column: column},
				What: what, Hint: hint, Source: string(raw), Warning: warning})
		}
		if len(bytes.TrimSpace(raw)) == 0 {
			log.Whole, log.Open = len(text)-len(after), !ended
			continue
		}
		var l line
		mistake := decodeOne(raw, &l)
		if mistake != nil && errors.Is(mistake.err, io.ErrUnexpectedEOF) && !ended {
			log.Whole, log.Open = start, false
			problem(1, true, "the last line is cut short and is left out", "")
			break
		}
		log.Whole, log.Open = len(text)-len(after), !ended
		if mistake != nil {
			column, what := mistake.words(raw, "log line")
			problem(column, false, what, "one JSON object a line, as {\"look\":\"H1\",\"step\":\"…\",\"saw\":\"off\"}")
			continue
		}
		if err := l.alone(); err != nil {
			problem(1, false, err.Error(), "")
			continue
		}
		if err := l.when(); err != nil {
			problem(columnOf(raw, err), false, err.Error(), "")
			continue
		}
		switch {
		case l.Undo:
			if len(log.Entries) == 0 {
				problem(1, false, "there is nothing left to take back", "")
				continue
			}
			log.Entries = log.Entries[:len(log.Entries)-1]
			for i := range log.Acts {
				log.Acts[i].Before = min(log.Acts[i].Before, len(log.Entries))
			}
		case l.Act != "":
			a, err := m.act(l)
			if err != nil {
				problem(columnOf(raw, err), false, err.Error(), "")
				continue
			}
			a.Line, a.Before = n, len(log.Entries)
			log.Acts = append(log.Acts, a)
		case l.Deadrung != nil || l.Circuit != "":
			switch {
			case l.Deadrung == nil:
				problem(1, false, "the first line does not say which version the log is of", fmt.Sprintf("\"deadrung\":%d beside \"circuit\"", LogVersion))
			case *l.Deadrung != LogVersion:
				problem(1, false, fmt.Sprintf("the log is of version %d", *l.Deadrung), fmt.Sprintf("this program reads version %d", LogVersion))
			}
			if l.Circuit != "" && l.Circuit != m.panel.Circuit.Title {
				problem(1, true, fmt.Sprintf("the log is of the circuit %q, and this is %q", l.Circuit, m.panel.Circuit.Title), "")
			}
		default:
			e, err := m.entry(l)
			if err != nil {
				problem(columnOf(raw, err), false, err.Error(), "")
				continue
			}
			e.Line = n
			log.Entries = append(log.Entries, e)
		}
	}
	return log, problems
}

// columnOf finds the column of the word that an error quotes first; 1 if it is not on
// the line.
func columnOf(raw []byte, err error) int {
	_, quoted, _ := strings.Cut(err.Error(), "\"")
	word, _, _ := strings.Cut(quoted, "\"")
	return columnAt(raw, bytes.Index(raw, []byte(word)))
}

// columnAt counts the runes up to a byte of a line, from one.
func columnAt(raw []byte, at int) int {
	return len([]rune(string(raw[:max(0, min(at, len(raw)))]))) + 1
}

// byteOrderMark is what some editors put before the first line of a file.
var byteOrderMark = []byte("\uFEFF")

// jsonMistake is why a text is not the one JSON value that it should be.
type jsonMistake struct {
	err error
	end int64 // where the first value of the text ends
}

var errMoreThanOne = errors.New("more than one value")

// decodeOne reads a text that holds one value of a form and nothing else; nil if it does.
func decodeOne(raw []byte, form any) *jsonMistake {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	err := dec.Decode(form)
	end := dec.InputOffset()
	if err == nil {
		if _, extra := dec.Token(); extra == io.EOF {
			return nil
		}
		err = errMoreThanOne
	}
	return &jsonMistake{err, end}
}

// words say what is wrong with a text, which is called by the name of its form, and in
// which column.
func (j *jsonMistake) words(raw []byte, form string) (column int, what string) {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.Is(j.err, errMoreThanOne):
		return columnAt(raw, int(j.end)), "more than one value in the " + form
	case errors.As(j.err, &syntax):
		at := max(0, min(int(syntax.Offset)-1, len(raw)))
		what = "this is not a JSON object"
		if c, _ := utf8.DecodeRune(raw[at:]); c != utf8.RuneError {
			what += fmt.Sprintf(": %q is not expected here", c)
		}
		return columnAt(raw, at), what
	case errors.As(j.err, &kind):
		name, number, odd := strings.Cut(kind.Value, " ")
		if kind.Field == "" {
			return 1, fmt.Sprintf("a %s is a JSON object, not %s", form, jsonKinds[name])
		}
		field := kind.Field[strings.LastIndex(kind.Field, ".")+1:]
		what = fmt.Sprintf("%q must not be %s", field, jsonKinds[name])
		if odd { // a number is right there, but not this one
			what = fmt.Sprintf("%q cannot be %s", field, number)
		}
		return columnAt(raw, bytes.Index(raw, []byte("\""+field+"\""))), what
	case errors.Is(j.err, io.ErrUnexpectedEOF), errors.Is(j.err, io.EOF):
		return columnAt(raw, len(raw)-1), "the " + form + " breaks off"
	}
	if _, field, ok := strings.Cut(j.err.Error(), "unknown field "); ok {
		field = strings.Trim(field, "\"")
		return columnAt(raw, bytes.Index(raw, []byte("\""+field))), fmt.Sprintf("a %s has no %q", form, field)
	}
	return 1, strings.TrimPrefix(j.err.Error(), "json: ")
}

// jsonKinds are the library's words for what a value is, and ours.
var jsonKinds = map[string]string{
	"array": "an array", "object": "an object", "string": "a text in quotes", "number": "a number", "bool": "true or false",
}

// alone tells whether a line is one thing: a check with its answer, a check that
// cannot be made, a header, or one that takes back.
func (l *line) alone() error {
	header := l.Circuit != "" || l.Deadrung != nil
	check := l.Check.String() != (Check{}).String() || l.Saw != nil || l.Read != nil
	withoutStep := l.Check
	withoutStep.Step = ""
	part := l.Fault != "" || l.Strength != 0 || l.Attempt != nil || l.Right != nil || l.Hidden != "" || l.Seed != nil
	switch {
	case l.Act != "" && (header || l.Undo || l.Cannot != nil || l.Repaired || l.Saw != nil || l.Read != nil || withoutStep.String() != (Check{}).String()):
		return errors.New("a line with \"act\" has no check beside it")
	case l.Act == "" && part:
		return errors.New("\"fault\", \"strength\", \"attempt\", \"right\", \"hidden\" and \"seed\" belong to a line with \"act\"")
	case l.Undo && (header || check || l.Cannot != nil):
		return errors.New("a line with \"undo\" has nothing else but \"at\" and \"note\"")
	case l.Cannot != nil && (header || check):
		return errors.New("a line with \"cannot\" has no answer and no other check")
	case l.Repaired && (l.Undo || header || l.Cannot != nil):
		return errors.New("\"repaired\" stands on the first reading after the repair")
	case header && check:
		return errors.New("a line that names the circuit has no check")
	}
	return nil
}

// when tells whether the time of a line is one.
func (l *line) when() error {
	if l.At == "" {
		return nil
	}
	if _, err := time.Parse(time.RFC3339, l.At); err != nil {
		return fmt.Errorf("the time %q is not of the form 2006-01-02T15:04:05Z", l.At)
	}
	return nil
}

func (m *Model) entry(l line) (Entry, error) {
	e := Entry{Check: l.Check, Note: l.Note, At: l.At, Repaired: l.Repaired}
	if l.Cannot != nil {
		e.Check = *l.Cannot
		var err error
		e.at, err = m.locate(e.Check)
		return e, err
	}
	var err error
	if e.at, err = m.locate(e.Check); err != nil {
		return e, err
	}
	answer, err := parseAnswer(e.Check.Kind(), l.Saw, l.Read)
	e.Answer = &answer
	return e, err
}

func parseAnswer(kind Kind, saw, read json.RawMessage) (Reading, error) {
	r := Reading{Kind: kind, Firm: true}
	if kind == Look {
		switch string(saw) {
		case `"on"`:
			r.On = true
		case `"off"`:
		default:
			return r, fmt.Errorf("a look needs \"saw\" with \"on\" or \"off\"")
		}
		if read != nil {
			return r, fmt.Errorf("a look has no \"read\"")
		}
		return r, nil
	}
	if saw != nil {
		return r, fmt.Errorf("%s check has no \"saw\"", kind.article())
	}
	var word string
	switch {
	case read == nil:
		return r, fmt.Errorf("%s check needs \"read\" with what the meter showed", kind.article())
	case json.Unmarshal(read, &word) == nil:
		if kind != Ohms || !strings.EqualFold(word, "OL") {
			return r, fmt.Errorf("%s reading cannot be %q", kind.article(), word)
		}
		r.Value = OL
	case json.Unmarshal(read, &r.Value) == nil && string(read) != "null":
		r.Value = round(math.Abs(r.Value)) // magnitudes: a dc meter with its leads exchanged
	default:
		return r, fmt.Errorf("%s reading is a number, or \"OL\" for ohms", kind.article())
	}
	return r, nil
}

// NewEntry makes an entry of a check and its answer; a nil answer says that the check
// cannot be made here. The error says what is wrong with the check.
func (m *Model) NewEntry(c Check, answer *Reading) (Entry, error) {
	at, err := m.locate(c)
	return Entry{Check: c, Answer: answer, at: at}, err
}

// AppendTo writes the entry as one line of a log.
func (e Entry) AppendTo(w io.Writer) error {
	l := line{Check: e.Check, At: e.At, Note: e.Note, Repaired: e.Repaired}
	if e.Answer == nil {
		c := e.Check
		l = line{Cannot: &c, At: e.At, Note: e.Note}
	} else {
		l.Saw, l.Read = e.Answer.raw()
	}
	return writeLine(w, l)
}

// WriteHeader writes the first line of a log.
func (m *Model) WriteHeader(w io.Writer) error {
	version := LogVersion
	return writeLine(w, line{Circuit: m.panel.Circuit.Title, Deadrung: &version})
}

// WriteSitting writes the line that begins a session of an exam's sitting, at a time
// (RFC 3339).
func (m *Model) WriteSitting(w io.Writer, sitting, at string) error {
	version := LogVersion
	return writeLine(w, line{Circuit: m.panel.Circuit.Title, Deadrung: &version, At: at, Sitting: sitting})
}

// WriteUndo writes the line that takes back the last one that still stands.
func WriteUndo(w io.Writer) error { return writeLine(w, line{Undo: true}) }

func writeLine(w io.Writer, l line) error {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(l); err != nil {
		return err
	}
	_, err := w.Write(buf.Bytes())
	return err
}

// raw gives a reading as the values of "saw" or "read".
func (r Reading) raw() (saw, read json.RawMessage) {
	switch {
	case r.Kind == Look && r.On:
		return json.RawMessage(`"on"`), nil
	case r.Kind == Look:
		return json.RawMessage(`"off"`), nil
	case math.IsInf(r.Value, 1):
		return nil, json.RawMessage(`"OL"`)
	}
	b, _ := json.Marshal(round(r.Value))
	return nil, b
}

// round keeps a ten-thousandth of a volt or ohm: far more than any meter shows. What
// is greater than any reading stays as it is.
func round(x float64) float64 {
	if math.Abs(x) > 1e11 {
		return x
	}
	return math.Round(x*1e4) / 1e4
}

// MarshalCheckWith writes a check with its reading, and "firm": false where it is not
// a firm one.
func MarshalCheckWith(c Check, r Reading) json.RawMessage {
	type firm struct {
		Check
		Saw  json.RawMessage `json:"saw,omitempty"`
		Read json.RawMessage `json:"read,omitempty"`
		Firm *bool           `json:"firm,omitempty"`
	}
	f := firm{Check: c}
	f.Saw, f.Read = r.raw()
	if !r.Firm {
		f.Firm = new(bool)
	}
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(f)
	return bytes.TrimSpace(buf.Bytes())
}
