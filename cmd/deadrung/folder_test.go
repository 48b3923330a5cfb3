package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// Every sheet of a folder opens by a tap from the index and from any other, fits a phone,
// carries the caution, and leads to nothing that is not in the folder.
func TestFolderOpened(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "door")
	require.NoError(t, runFolder(t.Context(),
		folderOptions{circuit: "cold-store-alarm", output: dir, by: "minutes"},
		streams{out: io.Discard, err: io.Discard}))
	w := browser.Open(t, phone)
	w.Go(filepath.Join(dir, paper.IndexSheet))
	var sheets []string
	w.Evaluate(`[...document.querySelectorAll(".sheets a")].map(a => a.getAttribute("href"))`, &sheets)
	require.Len(t, sheets, 8)
	for _, file := range sheets {
		w.Click(`nav.folder a[href="` + file + `"]`)
		opened(t, w, "location.pathname", file)
		assert.Empty(t, w.SticksOut(), file)
		assert.Contains(t, w.Text(".caution"), "Only qualified persons", file)
		var links []string
		w.Evaluate(`[...document.querySelectorAll("a")].map(a => a.getAttribute("href")).filter(h => !h.startsWith("#"))`, &links)
		for _, l := range links {
			assert.FileExists(t, filepath.Join(dir, l), file)
		}
		text, err := os.ReadFile(filepath.Join(dir, file))
		require.NoError(t, err)
		assert.NotContains(t, string(text), "src=", file)
		assert.NotContains(t, string(text), `href="http`, file)
	}
	w.Go(filepath.Join(dir, "operation.html"))
	assert.Contains(t, w.Text("tbody tr:nth-child(3)"), "door left open")
	w.Go(filepath.Join(dir, "readings.html"))
	assert.Contains(t, w.Text("main"), "B1:1 to B1:2\nhorn B1")
	assert.Contains(t, w.Text("main"), "about 2400 ohm") // a relay's coil; circuits/electrical.go has the source
	assert.Contains(t, w.Text(".caution"), "Test the circuit dead", "before ohms")
	w.Go(filepath.Join(dir, "chart.html"))
	w.Click("#start .answers a")
	opened(t, w, "location.hash", "#a1")
	assert.Contains(t, w.Text("#a1"), "CHECK 1")
	var nav string
	w.Evaluate(`getComputedStyle(document.querySelector("nav.folder")).display`, &nav)
	assert.Equal(t, "none", nav, "a check has the screen to itself")
}

// opened waits until an expression about where the page is ends as wanted.
func opened(t *testing.T, w *browser.Browser, expression, want string) {
	t.Helper()
	const patience, between = 30 * time.Second, 20 * time.Millisecond
	at := ""
	for waited := time.Duration(0); waited < patience; waited += between {
		w.Evaluate("document.readyState == 'complete' ? "+expression+" : ''", &at)
		if strings.HasSuffix(at, want) {
			return
		}
		time.Sleep(between)
	}
	require.FailNow(t, "the page does not come", "%s is %q, not %q", expression, at, want)
}

// What an earlier folder lists is never taken for more than names in the directory.
func TestFolderMark(t *testing.T) {
	for _, text := range []string{"", "{", "[]", `{"deadrung":2,"files":["a"]}`,
		`{"deadrung":1,"files":["../a","/a","b/c",".."]}`, `{"deadrung":1,"files":"a"}`} {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, folderMark), []byte(text), 0o600))
		earlier, err := mayWrite(dir, false)
		require.NoError(t, err, text)
		require.Empty(t, earlier, text)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "a"), nil, 0o600))
		_, err = mayWrite(dir, false)
		require.ErrorContains(t, err, "other things", text)
	}
}
