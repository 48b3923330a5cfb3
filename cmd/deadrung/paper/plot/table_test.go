package plot

import (
	"bytes"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/circuits/read"
)

// A long table goes over as many sheets as it takes, its heading on each, and no word is lost.
func TestTablesOverSheets(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	c, problems := read.Read("start-stop", text)
	require.NoError(t, problems.Err())
	s := Section{Title: "Long", Says: []string{strings.Repeat("what is said ", 30)},
		Heads: []string{"", "number", "words"}, Boxes: []int{0}}
	for i := range 120 {
		s.Rows = append(s.Rows, []string{"", fmt.Sprintf("row-%d", i), strings.Repeat("very long words ", i%40)})
	}
	for _, setting := range []Setting{{}, {Portrait: true}, {Paper: "a3"}, {Paper: "letter"}} {
		setting.Caution = testCaution
		var out bytes.Buffer
		n, _, err := Tables(&out, c, "A list", []Section{s, {Title: "Second", Rows: nil, New: true}}, setting)
		require.NoError(t, err)
		assert.Greater(t, n, 2)
		pdftotext, err := exec.LookPath("pdftotext")
		if err != nil {
			t.Skip("pdftotext, of poppler-utils, is not installed")
		}
		cmd := exec.Command(pdftotext, "-raw", "-", "-")
		cmd.Stdin = &out
		found, err := cmd.Output()
		require.NoError(t, err)
		pages := strings.Split(strings.TrimSuffix(string(found), "\f"), "\f")
		require.Len(t, pages, n)
		for i, page := range pages {
			assert.Contains(t, page, fmt.Sprintf("%d of %d", i+1, n))
			assert.Contains(t, page, "CAUTION")
		}
		words := strings.Fields(string(found))
		for i := range 120 {
			assert.Contains(t, words, fmt.Sprintf("row-%d", i))
		}
		assert.Equal(t, 2340, strings.Count(string(found), "very"), "each word of the cells") // 3 * (0 + 1 + ... + 39)
	}
}

// Letters that the font lacks are written without their marks, or by their number; those that it
// has stay.
func TestLettersOutsideTheFont(t *testing.T) {
	for text, want := range map[string]string{
		"Förderband 2": "Förderband 2", "Ωμ°²≥": "Ωμ°²≥", "Łódź": "Łódź", "Ж": "Ж",
		"ạ": "a", "漢字": "[U+6F22][U+5B57]", "A\u030a": "Å", "pump ⚙": "pump [U+2699]",
	} {
		assert.Equal(t, want, known(text))
	}
}

// A connection diagram behind tables is whole: every terminal is found, and what leaves a sheet names
// the sheet of the set on which it goes on.
func TestWiredBehindTables(t *testing.T) {
	pdftotext, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext, of poppler-utils, is not installed")
	}
	text, _ := circuits.BuiltinText("field-wiring")
	c, problems := read.Read("field-wiring", text)
	require.NoError(t, problems.Err())
	d := connections.New(c)
	rows := Section{Title: "Before", Heads: []string{"row"}, Rows: [][]string{{"one"}}}
	wired := Section{Title: "Behind", New: true, Wired: &Wired{Diagram: d}}
	var out bytes.Buffer
	n, _, err := Tables(&out, c, "A list", []Section{rows, wired}, Setting{Caution: testCaution, File: text})
	require.NoError(t, err)
	cmd := exec.Command(pdftotext, "-raw", "-", "-")
	cmd.Stdin = &out
	found, err := cmd.Output()
	require.NoError(t, err)
	pages := strings.Split(strings.TrimSuffix(string(found), "\f"), "\f")
	require.Len(t, pages, n)
	assert.Contains(t, pages[1], "Behind")
	leave := regexp.MustCompile(`to ([A-Z0-9]+:\S+),\s+sheet (\d+)`)
	left := 0
	for _, page := range pages[1:] {
		for _, m := range leave.FindAllStringSubmatch(page, -1) {
			left++
			sheet, err := strconv.Atoi(m[2])
			require.NoError(t, err)
			device, _ := circuits.Terminal(m[1]).Split()
			assert.Contains(t, strings.Fields(pages[sheet-1]), device, "%s on sheet %d", m[1], sheet)
		}
	}
	assert.Positive(t, left)
	for _, dev := range c.Devices {
		assert.Contains(t, strings.Join(pages[1:], " "), dev.Name)
	}
}
