package circuits

import (
	"bytes"
	"fmt"
)

// UTF16 tells of a file that is not in UTF-8 but in UTF-16, as some editors and spreadsheets save
// text; nil if it is not that.
func UTF16(file string, text []byte) *Problem {
	marked := bytes.HasPrefix(text, []byte("\xFF\xFE")) || bytes.HasPrefix(text, []byte("\xFE\xFF"))
	begun := len(text) >= 2 && (text[0] == 0) != (text[1] == 0)
	if !marked && !begun {
		return nil
	}
	return &Problem{File: file, Pos: Pos{Line: 1, Column: 1},
		What: "the file is in UTF-16, as some editors save it", Hint: "save it as UTF-8"}
}

// WithoutZeros takes the zero bytes off the end of a file of lines that a power failure may leave
// there, with a warning; nil where there are none.
func WithoutZeros(file string, text []byte) (whole []byte, warning *Problem) {
	whole = bytes.TrimRight(text, "\x00")
	if len(whole) == len(text) {
		return text, nil
	}
	return whole, &Problem{File: file, Warning: true,
		Pos:  Pos{Line: bytes.Count(whole, []byte("\n")) + 1, Column: 1},
		What: fmt.Sprintf("the file ends in %d zero bytes, as after a power failure; they are left out", len(text)-len(whole))}
}

// ByteOrderMark is what some editors put before the first line of a file in UTF-8.
const ByteOrderMark = "\uFEFF"
