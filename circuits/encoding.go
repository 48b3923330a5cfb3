package circuits

import "bytes"

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

// ByteOrderMark is what some editors put before the first line of a file in UTF-8.
const ByteOrderMark = "\uFEFF"
