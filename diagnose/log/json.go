package log

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

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
	"array": "an array", "object": "an object", "string": "a text in quotes", "number": "a number",
	"bool": "true or false",
}
