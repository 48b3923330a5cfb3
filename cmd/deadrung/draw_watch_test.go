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

	"deadrung/circuits"
	"deadrung/cmd/deadrung/disk"
)

// A file that is watched is drawn anew when it changes; a mistake is told, and does not end it.
func TestDrawWatches(t *testing.T) {
	dir := t.TempDir()
	file, picture := filepath.Join(dir, "panel.yaml"), filepath.Join(dir, "panel.svg")
	text, _ := circuits.BuiltinText("two-lamp")
	write := func(s string) { require.NoError(t, os.WriteFile(file, []byte(s), 0o644)) }
	write(string(text))
	ctx, stop := context.WithCancel(t.Context())
	var told bytes.Buffer
	done := make(chan error, 1)
	go func() {
		done <- watchDrawing(ctx, drawOptions{circuit: file, svg: true, output: picture},
			streams{out: &told, err: &told, files: new(disk.Files)})
	}()
	until := func(what string, is func() bool) {
		require.Eventually(t, is, time.Minute, 20*time.Millisecond, what)
	}
	drawn := func() string { b, _ := os.ReadFile(picture); return string(b) }
	until("drawn", func() bool { return strings.Contains(drawn(), "Car-wash bay lights") })
	write(strings.Replace(string(text), "Car-wash bay lights", "Bay lights, changed", 1))
	until("drawn anew", func() bool { return strings.Contains(drawn(), "Bay lights, changed") })
	write("circuit: cut")
	time.Sleep(2 * lookAgain)
	write(strings.Replace(string(text), "Car-wash bay lights", "Right again", 1))
	until("right again", func() bool { return strings.Contains(drawn(), "Right again") })
	stop()
	require.NoError(t, <-done)
	assert.Contains(t, told.String(), "panel.yaml:1:")
}

func TestDrawWatchesFilesOnly(t *testing.T) {
	err := watchDrawing(t.Context(), drawOptions{circuit: "two-lamp"}, streams{})
	assert.ErrorContains(t, err, "--watch is for a file of your own")
}
