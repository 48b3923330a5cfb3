package wirelist

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"deadrung/circuits"
)

// encodings in which lists come that are not UTF-8.
const (
	utf16Text  = "UTF-16"
	latinText  = "Latin-1 (as Windows-1252)"
	workbook   = "a workbook"
	zipSign    = "PK\x03\x04" // of a workbook, which is a zip archive
	mostCells  = 2_000_000    // of a workbook, so that a small file cannot become a huge one
	mostColumn = 200
)

// decoded gives the text of a list in UTF-8, whatever it was saved as, and what that was where it
// was something else: UTF-16 as spreadsheets write it, Latin-1, or a workbook (Office Open XML,
// ISO/IEC 29500), of which the first sheet is taken that is such a list.
func decoded(file string, text []byte, isList func(sheet []byte) bool) (out []byte, was string, problem *circuits.Problem) {
	wrong := func(format string, args ...any) *circuits.Problem {
		return &circuits.Problem{File: file, Pos: circuits.Pos{Line: 1, Column: 1}, What: fmt.Sprintf(format, args...),
			Hint: "saved as CSV in UTF-8"}
	}
	switch {
	case bytes.HasPrefix(text, []byte(zipSign)):
		out, err := sheetText(text, isList)
		if err != nil {
			return nil, "", wrong("the workbook cannot be read: %s", err)
		}
		return out, workbook, nil
	case circuits.UTF16(file, text) != nil:
		order := unicode.LittleEndian
		if bigEndian(text) {
			order = unicode.BigEndian
		}
		out, err := unicode.UTF16(order, unicode.UseBOM).NewDecoder().Bytes(text)
		if err != nil {
			return nil, "", wrong("the file is not text in UTF-16: %s", err)
		}
		return out, utf16Text, nil
	case !utf8.Valid(text) && !bytes.ContainsRune(text, 0):
		out, err := charmap.Windows1252.NewDecoder().Bytes(text)
		if err != nil {
			return nil, "", wrong("the file is not text: %s", err)
		}
		return out, latinText, nil
	}
	return text, "", nil
}

// bigEndian tells whether a text in UTF-16 without a mark of its byte order has the high bytes
// first: those of plain letters are zero.
func bigEndian(text []byte) bool {
	if len(text) >= 2 && binary.BigEndian.Uint16(text) == 0xFEFF {
		return true
	}
	var zeros [2]int
	for i, b := range text {
		if b == 0 {
			zeros[i%2]++
		}
	}
	return zeros[0] > zeros[1]
}

// sheetText gives the sheet of a workbook that is such a list as CSV, a line for each row, so that the
// line of a mistake is the row it is in; the first sheet where none is.
func sheetText(text []byte, isList func(sheet []byte) bool) ([]byte, error) {
	book, err := excelize.OpenReader(bytes.NewReader(text), excelize.Options{UnzipSizeLimit: 1 << 28, UnzipXMLSizeLimit: 1 << 26})
	if err != nil {
		return nil, err
	}
	defer book.Close()
	var first []byte
	for _, name := range book.GetSheetList() {
		rows, err := book.GetRows(name)
		if err != nil {
			return nil, fmt.Errorf("sheet %q: %w", name, err)
		}
		out, err := rowsAsText(rows)
		if err != nil {
			return nil, fmt.Errorf("sheet %q: %w", name, err)
		}
		if first == nil {
			first = out
		}
		if isList(out) {
			return out, nil
		}
	}
	return first, nil
}

func rowsAsText(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	cells := 0
	for _, row := range rows {
		if cells += len(row); cells > mostCells || len(row) > mostColumn {
			return nil, fmt.Errorf("it is larger than a wire list can be")
		}
		for i, cell := range row {
			row[i] = strings.Join(strings.Fields(cell), " ") // a line break in a cell is a space
		}
		if len(row) == 0 {
			row = []string{""}
		}
		if err := w.Write(row); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
