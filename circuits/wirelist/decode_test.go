package wirelist

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// A list is the same whatever it was saved as: UTF-8, UTF-16 either way round, Latin-1, or a
// workbook whose list stands below titles on a later sheet.
func TestListsAsTheyWereSaved(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c := readText(t, name, text)
		c.Numbers[0].Name = "Lü1" // in no ASCII
		var b bytes.Buffer
		require.NoError(t, Of(drawing.New(c)).WriteCSV(&b))
		want, problems := ReadCSV("w.csv", b.Bytes(), nil)
		require.Empty(t, problems)
		little, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes(b.Bytes())
		require.NoError(t, err)
		big, err := unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewEncoder().Bytes(b.Bytes())
		require.NoError(t, err)
		latin, err := charmap.Windows1252.NewEncoder().Bytes(b.Bytes())
		require.NoError(t, err)
		for how, saved := range map[string][]byte{utf16Text: little, "UTF-16 ": big, latinText: latin, workbook: asBook(t, b.Bytes())} {
			rows, problems := ReadCSV("w.csv", saved, nil)
			require.NoError(t, problems.Err(), "%s as %s", name, how)
			require.Len(t, problems, 1)
			require.True(t, problems[0].Warning)
			require.Equal(t, rowsText(want), rowsText(rows), "%s as %s", name, how)
		}
	}
}

// asBook puts a list on the second sheet of a workbook, below a title.
func asBook(t *testing.T, text []byte) []byte {
	f := excelize.NewFile()
	defer f.Close()
	require.NoError(t, f.SetCellValue("Sheet1", "A1", "Notes"))
	_, err := f.NewSheet("Wires")
	require.NoError(t, err)
	require.NoError(t, f.SetCellValue("Wires", "A1", "Cold store, panel 2"))
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	for i, row := range rows {
		for k, cell := range row {
			at, _ := excelize.CoordinatesToCellName(k+1, i+3)
			require.NoError(t, f.SetCellStr("Wires", at, cell))
		}
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

// Titles above the heading and remarks between the wires are passed over; lines keep their numbers.
func TestTitlesAndRemarks(t *testing.T) {
	const text = "Cold store;;\r\nrevision B;2026-03-01;\r\n\r\nWire;From;To\r\n# the feed;;\r\n3;F1:2;LS1:11\r\nrung 2:;;\r\n4;LS1:12;TR1:A1\r\n5;TR1;\r\n"
	rows, problems := ReadCSV("w.csv", []byte(text), nil)
	require.Len(t, rows, 2)
	require.Equal(t, 6, rows[0].at.Line)
	require.Equal(t, 8, rows[1].at.Line)
	require.Len(t, problems, 2)
	require.Equal(t, 9, problems[0].Pos.Line)
}
