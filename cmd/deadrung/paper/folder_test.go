package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/chart"
)

// The readings of a folder are those that "readings" gives.
func TestFolderReadings(t *testing.T) {
	b := builtinBook(t, "cold-store-alarm", chart.Options{Cut: 0.5})
	html, err := b.readingsBody()
	require.NoError(t, err)
	row := strings.Split(string(html[strings.Index(string(html), "CR1:A1 to CR1:A2"):]), "</tr>")[0]
	// The coil is pulled in from the fourth step to the fifth, and the door is shut in the sixth.
	assert.Equal(t, []string{"0", "0", "0", "120", "120", "0", "0"}, cells(row))
}

// cells gives the texts of the cells of a row.
func cells(row string) []string {
	var out []string
	for _, c := range strings.Split(row, "<td")[1:] {
		_, text, _ := strings.Cut(c, ">")
		text, _, _ = strings.Cut(text, "<")
		out = append(out, text)
	}
	return out
}
