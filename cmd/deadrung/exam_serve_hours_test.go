//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// oneLine is what was shown, its lines and spaces put together.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// A second program at a sitting is refused with a sentence, leaves the first alone and accuses
// nobody; when the first is gone it goes on where that was.
func TestExamServeTwoPrograms(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "1", "--form", "served")
	t.Setenv(passphraseVariable, testPhrase)
	packet := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd)
	address, stop := served(t, dir, "127.0.0.1:0")
	first, second := t.TempDir(), t.TempDir()
	in, typed := io.Pipe()
	var out heard
	ended := make(chan int, 1)
	go func() {
		ended <- run([]string{"exam", "sit", packet, "--answers", first, "--server", address}, streams{in: in, out: &out, err: &out})
	}()
	typing := func(line string, asked int) {
		_, err := io.WriteString(typed, line+"\n")
		require.NoError(t, err)
		require.True(t, awaits(&out, asked, ended), out.String())
	}
	require.True(t, awaits(&out, 1, ended), out.String())
	typing("work 1", 2)
	typing("look H1", 3)
	for _, answers := range []string{second, first} {
		said, status := sits(t, packet, answers, address, "look H2\nstop\n")
		assert.Equal(t, exitFailed, status)
		assert.Contains(t, oneLine(said), "this sitting is open in another program, since ")
		assert.Contains(t, oneLine(said), "go on there, or stop it there first")
		assert.NotContains(t, said, "FAULT 1")
	}
	typing("look H2", 4)
	_, err := io.WriteString(typed, "stop\n")
	require.NoError(t, err)
	require.Equal(t, exitDone, <-ended, out.String())
	said, status := sits(t, packet, second, address, "volts F1:1 F1:2\nname open-F1\nyes\n")
	require.Equal(t, exitDone, status, said)
	assert.Contains(t, oneLine(said), "of your answer log were missing here and came back")
	stop()
	marked := markedIn(t, dir)
	assert.Equal(t, exam.Complete, marked[0].State)
	assert.Equal(t, "whole", marked[0].Chain)
	assert.Len(t, marked[0].Checks, 3)
	assert.Empty(t, marked[0].Remarks)
}

// markedIn marks an exam.
func markedIn(t *testing.T, dir string) []exam.Marked {
	t.Helper()
	var out bytes.Buffer
	require.Equal(t, exitDone, run([]string{"exam", "mark", dir, "--marks", "none", "--json"}, streams{out: &out, err: os.Stderr}))
	var r exam.Result
	require.NoError(t, json.Unmarshal(out.Bytes(), &r))
	return r.Marked
}

// A machine that is away when a fault is named, or when the next begins, is waited for; where it
// does not come back, nobody is told that all is answered, and the same command goes on.
func TestExamServeAwayBetweenFaults(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "1", "--faults", "2", "--form", "served")
	t.Setenv(passphraseVariable, testPhrase)
	packet, answers := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd), t.TempDir()
	address, stop := served(t, dir, "127.0.0.1:0")
	sitting := func(patience time.Duration, before ...func()) (string, error) {
		var out heard
		s := streams{in: strings.NewReader(""), out: &out, err: &out}
		o := sitOptions{packet: packet, answers: answers, server: address, now: timeNow, patience: patience}
		lines := []string{"work 1", "look H1", "name open-F1", "yes", "work 1", "look H2", "name open-F1", "yes"}
		in, typed := io.Pipe()
		over := make(chan int, 1)
		go func() {
			for i, line := range lines {
				awaits(&out, i+1, over)
				for _, do := range before {
					if line == "yes" {
						do()
					}
				}
				if _, err := io.WriteString(typed, line+"\n"); err != nil {
					return
				}
			}
			typed.Close()
		}()
		s.in = in
		page := talk.NewPage(&out)
		err := sit(context.Background(), o, s, newAsker(context.Background(), true, s, page), page)
		over <- exitDone
		in.Close()
		return oneLine(out.String()), err
	}
	said, err := sitting(0, stop)
	require.ErrorContains(t, err, "not everything has reached the instructor's machine")
	assert.NotContains(t, said, "That was the last fault")
	assert.Contains(t, said, "Go on with: deadrung exam sit")

	address, stop = served(t, dir, address)
	away := func() {
		stop()
		go func() {
			time.Sleep(1500 * time.Millisecond)
			_, stop = served(t, dir, address)
		}()
	}
	named := 0
	said, err = sitting(time.Minute, func() {
		if named++; named == 1 {
			away()
		}
	})
	require.NoError(t, err, said)
	assert.Contains(t, said, "Fault 1, ", "the first is named")
	assert.Contains(t, said, "That was the last fault.")
	stop()
	for _, d := range markedIn(t, dir) {
		assert.Equal(t, exam.Complete, d.State)
		assert.Empty(t, d.Remarks)
	}
}

// The end of time is the machine's: no check is answered after it, what is left is shown, and
// extra time counts at once.
func TestExamServeEndOfTime(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "1", "--form", "served", "--minutes", "20")
	t.Setenv(passphraseVariable, testPhrase)
	packet := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd)
	var late atomic.Int64 // minutes
	now := func() time.Time { return time.Now().Add(time.Duration(late.Load()) * time.Minute) }
	ctx, cancel := context.WithCancel(t.Context())
	var said heard
	ended := make(chan error, 1)
	go func() {
		ended <- runExamServe(ctx, serveOptions{dir: dir, listen: "127.0.0.1:0", now: now},
			streams{in: strings.NewReader(""), out: &said, err: &said})
	}()
	at := regexp.MustCompile(`on (127\.0\.0\.1:\d+) until`)
	require.Eventually(t, func() bool { return at.MatchString(said.String()) }, patience, 5*time.Millisecond)
	address := at.FindStringSubmatch(said.String())[1]
	assert.Contains(t, said.String(), "20 min for each fault, from when a candidate comes.")

	answers := t.TempDir()
	shown, status := sits(t, packet, answers, address, "work 1\nlook H1\nstop\n")
	require.Equal(t, exitDone, status, shown)
	assert.Contains(t, oneLine(shown), "20 min are allowed for each fault, or what the instructor's machine says is left.")
	assert.Contains(t, shown, "(20 min left)")
	late.Store(21)
	shown, _ = sits(t, packet, answers, address, "look H2\nstop\n")
	assert.Contains(t, shown, "(TIME IS OVER)")
	assert.Contains(t, oneLine(shown), "time is over, and no check is answered any more; name the fault within 2 min")
	var out bytes.Buffer
	require.Equal(t, exitDone, run([]string{"exam", "extra", dir, "1", "10"}, streams{out: &out, err: &out}), out.String())
	assert.Equal(t, "1 candidate 1: 10 min more for each fault.\n", out.String())
	shown, _ = sits(t, packet, answers, address, "look H2\nstop\n")
	assert.Contains(t, shown, "(9 min left)")
	assert.Contains(t, shown, "look at lamp H2")
	late.Store(40)
	shown, status = sits(t, packet, answers, address, "look H1\nname open-F1\nyes\n")
	require.Equal(t, exitDone, status, shown)
	cancel()
	require.NoError(t, <-ended)
	marked := markedIn(t, dir)[0]
	assert.Equal(t, 10.0, marked.Late)
	assert.Len(t, marked.Checks, 2, "what was refused is in neither the log nor the count")
	require.Len(t, marked.Remarks, 1)
	assert.Contains(t, marked.Remarks[0], "the fault was named 10.0 min after the allowed 30 min")
}

// What is no end, no candidate and no extra time is refused.
func TestExamHoursUsage(t *testing.T) {
	noon := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	for typed, want := range map[string]time.Time{"": {}, "15:30": noon.Add(3*time.Hour + 30*time.Minute),
		"2026-03-03T09:00:00Z": noon.Add(21 * time.Hour)} {
		got, err := parseUntil(typed, noon)
		assert.NoError(t, err)
		assert.True(t, want.Equal(got), typed)
	}
	for _, typed := range []string{"11:59", "12:00", "soon", "25:00", "2026-03-01T09:00:00Z"} {
		_, err := parseUntil(typed, noon)
		assert.ErrorAs(t, err, new(usageError), typed)
	}
	dir := examIn(t, "two-lamp", "--count", "2")
	for _, args := range [][]string{{dir, "3", "10"}, {dir, "x", "10"}, {dir, "1", "-5"}, {dir, "1", "much"}, {dir, "1"}, {}} {
		var out bytes.Buffer
		assert.Equal(t, exitUsage, run(append([]string{"exam", "extra"}, args...), streams{out: &out, err: &out}), args)
	}
	var out bytes.Buffer
	require.Equal(t, exitDone, run([]string{"exam", "extra", dir}, streams{out: &out, err: &out}))
	assert.Equal(t, "Nobody has extra time.\nThe time of this exam is not limited.\n", out.String())
	require.NoError(t, os.WriteFile(filepath.Join(dir, extraFile), []byte("1,ten\n"), 0o600))
	assert.Equal(t, exitInput, run([]string{"exam", "extra", dir}, streams{out: &out, err: &out}))
	assert.Contains(t, out.String(), "extra.csv:1:1: ")
}
