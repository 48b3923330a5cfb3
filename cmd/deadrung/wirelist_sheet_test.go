package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// pictures is where the sheets' pictures go, for whoever wants to look at them.
const pictures = "DEADRUNG_PICTURES"

// The sheets of the wire list and of the check-out read on a phone, without a script, dark
// and on paper, with nothing that sticks out.
func TestWireSheetsInABrowser(t *testing.T) {
	phone := browser.Open(t, browser.Options{Width: 360, Height: 2400, NoScript: true, Dark: true})
	desk := browser.Open(t, browser.Options{Width: 1000, Height: 1400})
	for _, c := range []struct {
		name string
		args []string
		has  []string
	}{
		{"wires", []string{"wirelist", "field-wiring"}, []string{"Apple line", "42 wires and 2 bridges", "Rung 4", "LS1:11 belt", "120 V and more"}},
		{"check-out", []string{"wirelist", "field-wiring", "--check-out"},
			[]string{"Check-out before first power", "LOCK OUT", "With a wire lifted", "OL, or above 1 Mohm",
				"First energising", "start pressed", "M1 pulled in"}},
	} {
		file := filepath.Join(t.TempDir(), c.name+".html")
		var out, errs bytes.Buffer
		status := run(append(c.args, "--html", "-o", file),
			streams{in: strings.NewReader(""), out: &out, err: &errs})
		require.Zero(t, status, errs.String())
		for _, b := range []*browser.Browser{phone, desk} {
			b.Go(file)
			text := b.Text("body")
			for _, want := range c.has {
				assert.Contains(t, text, want)
			}
			assert.Empty(t, b.SticksOut(), c.name)
			var ticks int
			b.Evaluate("document.querySelectorAll('.tick').length", &ticks)
			assert.Greater(t, ticks, 20, c.name)
		}
		if dir := os.Getenv(pictures); dir != "" {
			phone.Picture(filepath.Join(dir, c.name+"-phone.png"))
			desk.Picture(filepath.Join(dir, c.name+"-desk.png"))
			desk.Print(filepath.Join(dir, c.name+".pdf"))
		}
	}
}
