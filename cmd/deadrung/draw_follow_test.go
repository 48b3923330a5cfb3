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

// A log that is followed is drawn anew after every check, with its leads and what is left in
// doubt; one of a sitting in an exam has the leads alone.
func TestDrawFollows(t *testing.T) {
	dir := t.TempDir()
	history, picture := filepath.Join(dir, "log.jsonl"), filepath.Join(dir, "ladder.txt")
	text := `{"look":"B1","step":"door left open","saw":"off"}` + "\n"
	write := func(more string) {
		text += more
		require.NoError(t, os.WriteFile(history, []byte(text), 0o644))
	}
	write("")
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	var told heard
	go func() {
		done <- followLog(ctx, drawOptions{circuit: "cold-store-alarm", follow: history, output: picture, columns: 100},
			streams{out: &told, err: &told, files: new(disk.Files)})
	}()
	shows := func(want ...string) string {
		t.Helper()
		var drawn string
		require.Eventually(t, func() bool {
			b, _ := os.ReadFile(picture)
			drawn = string(b)
			for _, w := range want {
				if !strings.Contains(drawn, w) {
					return false
				}
			}
			return true
		}, time.Minute, 20*time.Millisecond, "%q: %s", want, &told)
		return drawn
	}
	before := shows(`Last: look at horn B1 in "door left open": off (silent). Still possible: `, "LS1?")
	write(`{"look":"H1","step":"door left open","saw":"on"}` + "\n" + `{"volts":["CR1:22","T1:X2"],"step":"door left open","read":118.9}` + "\n")
	after := shows("^BLACK", "^RED", "22?", "Still possible: 3 faults in 3 groups.")
	assert.Greater(t, strings.Count(before, "?"), strings.Count(after, "?"))
	assert.NotContains(t, after, "LS1?")
	text = `{"circuit":"Cold-store alarm","deadrung":1,"sitting":"e/1/1"}` + "\n" + text
	write("")
	examined := shows("^RED")
	require.Eventually(t, func() bool { examined = shows("^RED"); return !strings.Contains(examined, "Still possible") }, time.Minute, 20*time.Millisecond)
	assert.NotContains(t, examined, "22?")
	stop()
	require.NoError(t, <-done)
}

// What is drawn is never written over the log that is followed.
func TestFollowKeepsItsLog(t *testing.T) {
	history := filepath.Join(t.TempDir(), "work.jsonl")
	line := []byte(`{"look":"H1","step":"door left open","saw":"off"}` + "\n")
	require.NoError(t, os.WriteFile(history, line, 0o600))
	var out, errs bytes.Buffer
	status := run([]string{"draw", "cold-store-alarm", "--follow", history, "-o", history},
		streams{in: strings.NewReader(""), out: &out, err: &errs})
	require.Equal(t, exitUsage, status, errs.String())
	text, err := os.ReadFile(history)
	require.NoError(t, err)
	require.Equal(t, line, text)
}
