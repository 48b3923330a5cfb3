package paper

import (
	"bytes"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/circuits/generate"
	"deadrung/circuits/lists"
	"deadrung/circuits/read"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/diagnose"
	"deadrung/diagnose/chart"
	"deadrung/diagnose/checkout"
	"deadrung/diagnose/log"
)

// wordsOf counts the words that pdftotext finds in a PDF.
func wordsOf(t *testing.T, pdftotext string, pdf *bytes.Buffer) map[string]int {
	t.Helper()
	cmd := exec.Command(pdftotext, "-raw", "-", "-")
	cmd.Stdin = pdf
	text, err := cmd.Output()
	require.NoError(t, err)
	count := make(map[string]int)
	for _, w := range strings.Fields(string(text)) {
		count[w]++
		if trimmed := strings.TrimRight(w, ",.;"); trimmed != w {
			count[trimmed]++
		}
	}
	return count
}

// A program that reads the PDFs finds every device, terminal and wire number: on connection diagrams as
// often as there are screws with it, in the lists wherever the list has it.
func TestPDFsAreRead(t *testing.T) {
	pdftotext, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext, of poppler-utils, is not installed: PDFs are not read by another's program")
	}
	texts := make(map[string]string)
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		texts[name] = string(text)
	}
	for i, s := range generate.Shapes {
		texts[s.Name+", 30 rungs"] = s.Panel(uint64(i), 30)
	}
	for name, text := range texts {
		c, problems := read.Read(name, []byte(text))
		require.NoError(t, problems.Err(), name)
		setting := plot.Setting{File: []byte(text), Caution: "CAUTION: live parts."}
		var pdf bytes.Buffer
		_, _, err := plot.Connections(&pdf, connections.New(c), connections.Options{}, setting)
		require.NoError(t, err, name)
		screwsAreFound(t, c, wordsOf(t, pdftotext, &pdf))
		d := drawing.New(c)
		tables := map[string][]plot.Section{"wires": WireSections(wirelist.Of(d))}
		for _, k := range lists.Kinds {
			table, err := k.Make(d, []byte(text))
			require.NoError(t, err, name)
			tables[k.Name] = ListSections(table)
		}
		for list, sections := range tables {
			_, _, err := plot.Tables(&pdf, c, list, sections, setting)
			require.NoError(t, err, name)
			cellsAreFound(t, name+", "+list, sections, wordsOf(t, pdftotext, &pdf))
		}
	}
}

// The other sheets of a folder are read as well, whatever stands in their tables.
func TestSignedSheetsAreRead(t *testing.T) {
	pdftotext, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext, of poppler-utils, is not installed: PDFs are not read by another's program")
	}
	for _, name := range []string{"two-lamp", "cold-store-alarm", "two-station"} {
		b := builtinBook(t, name, chart.Options{Cut: 0.01}, "each")
		checkOut := NewCheckOut(name, b.Model.Panel(), log.Unhampered)
		checkOut.Choose(checkout.Options{})
		var files []string
		for _, s := range b.Signed(func() *CheckOut { return checkOut }, diagnose.ByMinutes) {
			sections, err := s.Sections()
			require.NoError(t, err)
			require.NotEmpty(t, sections)
			var pdf bytes.Buffer
			_, _, err = plot.Tables(&pdf, b.Model.Panel().Circuit, s.Title, sections, plot.Setting{Caution: "CAUTION: live parts."})
			require.NoError(t, err, s.File)
			cellsAreFound(t, name+", "+s.File, sections, wordsOf(t, pdftotext, &pdf))
			files = append(files, s.File)
		}
		require.Equal(t, []string{"wirelist.pdf", "checkout.pdf", "operation.pdf", "readings.pdf", "chart.pdf", "testability.pdf"}, files)
	}
}

// screwsAreFound holds the words of a connection diagram against the circuit.
func screwsAreFound(t *testing.T, c *circuits.Circuit, words map[string]int) {
	t.Helper()
	want := make(map[string]int)
	for _, dev := range c.Devices {
		want[dev.Name]++
		for _, name := range dev.Terminals {
			want[name]++
		}
	}
	for _, n := range c.Numbers {
		ends := make(map[circuits.Terminal]bool)
		for _, w := range n.Wires {
			ends[w.From], ends[w.To] = true, true
		}
		want[n.Name] += len(ends)
	}
	for word, n := range want {
		assert.GreaterOrEqual(t, words[word], n, "%s: %s on the connection diagram", c.File, word)
	}
}

// what is neither a letter nor a sign of a name stands between the words of a cell.
var between = regexp.MustCompile(`[\s,;]+`)

// cellsAreFound holds the words of a list against its cells: every device, terminal and number in them.
func cellsAreFound(t *testing.T, where string, sections []plot.Section, words map[string]int) {
	t.Helper()
	want := make(map[string]int)
	for _, s := range sections {
		for _, row := range s.Rows {
			for _, cell := range row {
				for _, w := range between.Split(cell, -1) {
					if w != "" && len(w) < 12 { // what is longer may be broken
						want[w]++
					}
				}
			}
		}
	}
	for word, n := range want {
		assert.GreaterOrEqual(t, words[word], n, "%s: %q", where, word)
	}
}
