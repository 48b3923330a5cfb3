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

// TestPracticeSheet: the page reads on a phone, nothing sticks out, and says what the
// replay says.
func TestPracticeSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "replay.html")
	in := "look B1\nohms H1:1 H1:2\nvolts CR1:22 T1:X2\nvolts H1:1 T1:X2\nname open-H1\ngive-up\nyes\n"
	var out, errs bytes.Buffer
	status := run([]string{"practice", "cold-store-alarm", "--seed", "3", "--scores", "none", "--sheet",
		file}, streams{in: strings.NewReader(in), out: &out, err: &errs})
	require.Zero(t, status, errs.String())
	phone := browser.Open(t, browser.Options{Width: 360, Height: 640, NoScript: true})
	phone.Go(file)
	assert.Empty(t, phone.SticksOut())
	assert.Contains(t, phone.Text(".caution"), "Only qualified persons may test live circuits.")
	text := phone.Text("main")
	assert.Contains(t, text, "THE HIDDEN FAULT: lamp H1 is open (open-H1).")
	assert.Contains(t, text, "UNSAFE: ohms on a live circuit.")
	assert.Contains(t, text, "Wasted checks: 1 redundant.")
	assert.True(t, phone.Has(".doubts figure:nth-child(3) svg .doubt"))
	if dir := os.Getenv("DEADRUNG_PICTURES"); dir != "" {
		phone.Picture(filepath.Join(dir, "practice.png"))
	}
}
