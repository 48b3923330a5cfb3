package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// Every built-in circuit prints on one sheet of A4, with either set of symbols.
func TestDrawingsPrintOnOneSheet(t *testing.T) {
	b := browser.Open(t, browser.Options{})
	dir := t.TempDir()
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name, text)
		require.NoError(t, problems.Err())
		d := drawing.New(c)
		for _, by := range []drawing.Symbols{drawing.NEMA, drawing.IEC} {
			require.Equal(t, 1, d.Sheets(drawing.Options{Symbols: by}), name)
			svg := filepath.Join(dir, "drawing.svg")
			require.NoError(t, os.WriteFile(svg, d.SVG(drawing.Options{Symbols: by, Foot: footCaution}), 0o644))
			b.Go(svg)
			pdf := filepath.Join(dir, "drawing.pdf")
			b.Print(pdf)
			assert.Equal(t, 1, pages(t, pdf), "sheets of %s", name)
		}
	}
}

var pageObject = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

func pages(t *testing.T, pdf string) int {
	t.Helper()
	content, err := os.ReadFile(pdf)
	require.NoError(t, err)
	return len(pageObject.FindAll(content, -1))
}
