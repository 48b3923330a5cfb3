package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/disk"
)

// A class in practice is on the board by the logs that its people keep in one folder: what each is
// at, what was unsafe, who is done. It goes on as they do, reads and changes nothing else, says what
// it does not show, and is its owner's alone.
func TestPracticeWatched(t *testing.T) {
	dir := t.TempDir()
	logs, page := filepath.Join(dir, "logs"), filepath.Join(dir, "board.html")
	require.NoError(t, os.Mkdir(logs, 0o755))
	practises := func(name, circuit, typed string) {
		t.Helper()
		var out bytes.Buffer
		status := run([]string{"practice", circuit, "--seed", "3", "--scores", "none", "--log", filepath.Join(logs, name)},
			streams{in: strings.NewReader(typed), out: &out, err: &out})
		require.Zero(t, status, out.String())
	}
	practises("ada.jsonl", "cold-store-alarm", "look B1\nohms H1:1 H1:2\nstop\n")
	practises("bo.jsonl", "cold-store-alarm", "look B1\ngive-up\nyes\n")
	practises("cy.jsonl", "start-stop", "stop\n")
	require.NoError(t, os.WriteFile(filepath.Join(logs, "notes.txt"), []byte("nothing"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(logs, "di.jsonl"), nil, 0o644))
	before, err := os.ReadFile(filepath.Join(logs, "ada.jsonl"))
	require.NoError(t, err)

	var out, errs heard
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	o := practiceOptions{circuit: "cold-store-alarm", by: "minutes", watch: logs, coach: coachAsked, now: time.Now}
	o.output = page
	go func() { done <- watchPractice(ctx, o, streams{out: &out, err: &errs, files: new(disk.Files)}) }()
	shows := func(want ...string) string {
		t.Helper()
		var text []byte
		require.Eventually(t, func() bool {
			text, _ = os.ReadFile(page)
			for _, w := range want {
				if !strings.Contains(string(text), w) {
					return false
				}
			}
			return true
		}, time.Minute, 20*time.Millisecond, "%q: %s %s", want, &out, &errs)
		return string(text)
	}
	first := shows("Practice: Cold-store alarm: the board", "1 at work", "1 done", "1 named, 0 right", "! 1 unsafe",
		"ohms on a live circuit", `href="board-replays/ada.html"`, "look at horn B1", "is practice --watch running?",
		"cy.jsonl: line 2: the hidden fault is not one of this circuit&#39;s", "di.jsonl: nothing is in it yet")
	assert.NotContains(t, first, "notes")
	practises("ada.jsonl", "cold-store-alarm", "volts CR1:22 T1:X2\nstop\n")
	shows("volts CR1:22 to T1:X2")
	require.Eventually(t, func() bool {
		replay, _ := os.ReadFile(filepath.Join(dir, "board-replays", "ada.html"))
		return strings.Contains(string(replay), "volts CR1:22 to T1:X2")
	}, time.Minute, 20*time.Millisecond)
	stop()
	require.NoError(t, <-done)
	shows("Stopped at", "volts CR1:22 to T1:X2")

	after, err := os.ReadFile(filepath.Join(logs, "ada.jsonl"))
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(after, before))
	for _, file := range []string{page, filepath.Join(dir, "board-replays", "ada.html")} {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), file)
	}
	replay, err := os.ReadFile(filepath.Join(dir, "board-replays", "ada.html"))
	require.NoError(t, err)
	assert.NotContains(t, string(replay), "THE HIDDEN FAULT")
	_, err = os.Stat(filepath.Join(dir, "board-replays", "cy.html"))
	assert.ErrorIs(t, err, os.ErrNotExist)

	// The board tells more than the class should see, so it is nowhere in their folder.
	require.NoError(t, os.Mkdir(filepath.Join(logs, "below"), 0o755))
	require.NoError(t, os.Symlink(logs, filepath.Join(dir, "link")))
	for _, file := range []string{filepath.Join(logs, "b.html"), filepath.Join(logs, "below", "b.html"),
		filepath.Join(dir, "link", "b.html"), filepath.Join(dir, "other", "..", "logs", "b.html"), filepath.Join(dir, "logs.html")} {
		o.output = file
		if filepath.Base(file) == "logs.html" { // whose replays would lie there
			o.watch = filepath.Join(dir, "logs-replays")
			require.NoError(t, os.Mkdir(o.watch, 0o755))
		}
		assert.ErrorContains(t, watchPractice(t.Context(), o, streams{out: &out, err: &errs, files: new(disk.Files)}), "keep it out of", file)
	}
}
