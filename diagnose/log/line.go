package log

import (
	"bytes"
	"deadrung/faultmodel"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// line is a line of a log in the form in which it is written.
type line struct {
	Check
	Saw    json.RawMessage `json:"saw,omitempty"`
	Read   json.RawMessage `json:"read,omitempty"`
	Sure   *bool           `json:"sure,omitempty"` // false beside an answer that counts less
	Cannot *Check          `json:"cannot,omitempty"`
	// Seen is where something was found by eye, and Text what it was.
	Seen string `json:"seen,omitempty"`
	Text string `json:"text,omitempty"`
	Undo bool   `json:"undo,omitempty"`
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
	Print    *Print `json:"print,omitempty"`

	At   string `json:"at,omitempty"`
	Note string `json:"note,omitempty"`

	// Sitting stands on the first line of each session of an exam, Chain on all its lines.
	Sitting string `json:"sitting,omitempty"`
	Chain   string `json:"chain,omitempty"`
}

// alone tells whether a line is one thing: a check with its answer, a check that
// cannot be made, a header, or one that takes back.
func (l *line) alone() error {
	header := l.Circuit != "" || l.Deadrung != nil
	check := l.Check.String() != (Check{}).String() || l.Saw != nil || l.Read != nil
	withoutStep := l.Check
	withoutStep.Step = ""
	ofAct := l.Fault != "" || l.Strength != 0 || l.Attempt != nil || l.Right != nil || l.Hidden != "" ||
		l.Seed != nil
	switch {
	case l.Act != "" && (header || l.Undo || l.Cannot != nil || l.Repaired || l.Saw != nil ||
		l.Read != nil || withoutStep.String() != (Check{}).String()):
		return errors.New("a line with \"act\" has no check beside it")
	case l.Act == "" && ofAct:
		return errors.New("\"fault\", \"strength\", \"attempt\", \"right\", \"hidden\" and \"seed\" belong to a line with \"act\"")
	case l.Seen != "" && (header || check || l.Undo || l.Cannot != nil || l.Repaired || l.Act != "" || ofAct ||
		l.Sure != nil):
		return errors.New("a line with \"seen\" has nothing else but \"text\", \"at\" and \"note\"")
	case l.Text != "" && l.Seen == "":
		return errors.New("\"text\" belongs to a line with \"seen\"")
	case l.Sure != nil && (l.Saw == nil && l.Read == nil):
		return errors.New("\"sure\" stands beside an answer")
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

// entry makes the entry that a line is.
func (b *Book) entry(l line) (Entry, error) {
	e := Entry{Check: l.Check, Note: l.Note, At: l.At, Repaired: l.Repaired}
	if l.Cannot != nil {
		e.Check = *l.Cannot
		var err error
		e.at, err = b.Locate(e.Check)
		return e, err
	}
	var err error
	if e.at, err = b.Locate(e.Check); err != nil {
		return e, err
	}
	answer, err := parseAnswer(e.Check.Kind(), l.Saw, l.Read)
	answer.Unsure = l.Sure != nil && !*l.Sure
	e.Answer = &answer
	return e, err
}

// AppendTo writes the entry as one line of a log.
func (e Entry) AppendTo(w io.Writer) error {
	l := line{Check: e.Check, At: e.At, Note: e.Note, Repaired: e.Repaired}
	if e.Answer == nil {
		c := e.Check
		l = line{Cannot: &c, At: e.At, Note: e.Note}
	} else {
		l.Saw, l.Read = e.Answer.raw()
		if e.Answer.Unsure {
			l.Sure = new(bool)
		}
	}
	return writeLine(w, l)
}

// WriteHeader writes the first line of a log.
func (b *Book) WriteHeader(w io.Writer) error {
	version := Version
	return writeLine(w, line{Circuit: b.panel.Circuit.Title, Deadrung: &version, Print: printOf(b.panel.Circuit)})
}

// WriteSitting writes the line that begins a session of an exam's sitting, at a time
// (RFC 3339).
func (b *Book) WriteSitting(w io.Writer, sitting, at string) error {
	version := Version
	return writeLine(w, line{Circuit: b.panel.Circuit.Title, Deadrung: &version, At: at, Sitting: sitting})
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
