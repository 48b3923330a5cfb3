package wirelist

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
)

// columns are the headings of the file that is written.
var columns = []string{"order", "rung", "wire", "from", "to", "kind",
	"from place", "to place", "from type", "to type", "from landing", "to landing", "in file"}

// Words of the column "kind".
const (
	wireKind   = "wire"
	bridgeKind = "bridge"
)

// WriteCSV writes the list as comma-separated values with a heading (RFC 4180). A field
// that a spreadsheet would take for a formula gets a ' before it, which [ReadCSV] takes
// away again.
func (l List) WriteCSV(w io.Writer) error {
	rows := [][]string{columns}
	for i, line := range l.Lines {
		kind, rung := wireKind, ""
		if line.Bridge {
			kind = bridgeKind
		}
		if line.Rung > 0 {
			rung = strconv.Itoa(line.Rung)
		}
		row := []string{strconv.Itoa(i + 1), rung, line.Number, string(line.From.Terminal),
			string(line.To.Terminal), kind,
			line.From.Device.Place, line.To.Device.Place, line.From.Device.Type.Name,
			line.To.Device.Type.Name,
			landing(line.From), landing(line.To), strconv.Itoa(line.InFile)}
		rows = append(rows, row)
	}
	return WriteRows(w, rows)
}

// WriteRows writes rows as comma-separated values (RFC 4180), guarded as [List.WriteCSV] does.
func WriteRows(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	for _, row := range rows {
		guard := make([]string, len(row))
		for i, field := range row {
			guard[i] = guarded(field)
		}
		if err := out.Write(guard); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func landing(e End) string {
	if e.Landing == 0 {
		return ""
	}
	return strconv.Itoa(e.Landing)
}

// formulaSigns are those with which a spreadsheet begins a formula, and the sign that
// guards them. Source: OWASP, "CSV injection" (from memory); the format's names hold no
// tabs and line ends, which are on that list too.
const formulaSigns = "=+-@'"

func guarded(field string) string {
	if field != "" && strings.ContainsRune(formulaSigns, rune(field[0])) {
		return "'" + field
	}
	return field
}

// bare takes the guard off a field.
func bare(field string) string {
	if len(field) > 1 && field[0] == '\'' && strings.ContainsRune(formulaSigns, rune(field[1])) {
		return field[1:]
	}
	return field
}
