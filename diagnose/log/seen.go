package log

import (
	"fmt"
	"io"
	"strings"

	"deadrung/faultmodel"
)

// Seen is something that was found by eye, hand or nose: a burnt coil, a loose wire.
type Seen struct {
	Where string `json:"seen"` // a device, a terminal or a wire number
	Text  string `json:"text"` // what was seen there
	Note  string `json:"note,omitempty"`
	At    string `json:"at,omitempty"`   // RFC 3339, as it was written
	Line  int    `json:"line,omitempty"` // in the file, from one; zero where it is not from a file
	// Before is the index of the entry that comes after it.
	Before int `json:"-"`
}

// NewSeen takes down what was seen. The error says why nothing can be wrong there.
func (b *Book) NewSeen(where, text string) (Seen, error) {
	s := Seen{Where: strings.TrimSpace(where), Text: strings.TrimSpace(text)}
	for _, d := range b.panel.Circuit.Devices {
		if strings.EqualFold(d.Name, s.Where) {
			s.Where = d.Name
		}
	}
	if len(faultmodel.At(b.faults, s.Where)) == 0 {
		return s, fmt.Errorf("nothing is known that can be wrong at %q: name a device, a terminal or a wire number",
			s.Where)
	}
	return s, nil
}

// AppendTo writes what was seen as one line of a log.
func (s Seen) AppendTo(w io.Writer) error {
	return writeLine(w, line{Seen: s.Where, Text: s.Text, Note: s.Note, At: s.At})
}

// SeenBefore gives what was seen before an entry and after the one before it; with the number
// of entries, after the last.
func (l Log) SeenBefore(entry int) []Seen {
	var out []Seen
	for _, s := range l.Seen {
		if s.Before == entry {
			out = append(out, s)
		}
	}
	return out
}

// LastIsSeen tells whether the last line that still stands is something that was seen.
func (l Log) LastIsSeen() bool {
	return len(l.Seen) > 0 && l.Seen[len(l.Seen)-1].Before == len(l.Entries)
}

// Counting gives what was seen since the last repair.
func (l Log) Counting() []Seen {
	var out []Seen
	for _, s := range l.Seen {
		if since := l.Since(); since == 0 || s.Before > since {
			out = append(out, s)
		}
	}
	return out
}
