package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// broken calls try with what a power failure may leave of a file that was written line by line:
// the text up to every byte, with nothing behind it and with the zeros that a file system fills
// a block with. Lines are those that are whole there.
func broken(text []byte, try func(name string, left []byte, lines int)) {
	for cut := range len(text) + 1 {
		lines := bytes.Count(text[:cut], []byte("\n"))
		if cut > 0 && text[cut-1] == '}' && (cut == len(text) || text[cut] == '\n') {
			lines++ // whole but for its end
		}
		try(fmt.Sprintf("cut at %d", cut), text[:cut], lines)
		if cut%7 == 0 {
			try(fmt.Sprintf("zeros at %d", cut), append(bytes.Clone(text[:cut]), make([]byte, 512)...), lines)
		}
	}
}

// powerLog is a log with a line of every kind, and how many answers stand after each line.
func powerLog(t *testing.T) (text []byte, standing []int) {
	t.Helper()
	m := builtinModel(t, "two-lamp")
	var b bytes.Buffer
	require.NoError(t, m.Book().WriteHeader(&b))
	lines := []string{
		`{"look":"H1","step":"bay shut","saw":"off","at":"2031-05-06T12:00:00Z"}`,
		`{"volts":["H1:1","H1:2"],"step":"bay shut","read":120.3,"note":"größer \"heiß\" \\ }"}`,
		`{"undo":true}`,
		`{"cannot":{"ohms":["F1:1","F1:2"],"step":"bay shut"}}`,
		`{"seen":"H1","text":"burnt"}`,
		`{"ohms":["H1:1","H1:2"],"lifted":["H1:1"],"read":"OL","sure":false}`,
	}
	standing = []int{0, 0, 1, 2, 1, 2, 2, 3}
	return []byte(b.String() + strings.Join(lines, "\n") + "\n"), standing
}

// A power failure at any byte of a log costs no line before the last one, and the session goes
// on with what is left.
func TestPowerLossInALog(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	text, standing := powerLog(t)
	path := filepath.Join(t.TempDir(), "a.log")
	tried := 0
	broken(text, func(name string, left []byte, lines int) {
		tried++
		require.NoError(t, os.WriteFile(path, left, 0o644))
		file, history, _, err := openLog(path, m, nil)
		require.NoError(t, err, name)
		require.Len(t, history.Entries, standing[lines], name)
		e, err := m.Book().NewEntry(log.Check{Look: "H2", Step: "bay open"}, &log.Reading{Kind: log.Look, On: true, Firm: true})
		require.NoError(t, err)
		require.NoError(t, file.append(e.AppendTo))
		require.NoError(t, file.Close())
		now, err := os.ReadFile(path)
		require.NoError(t, err)
		again, problems := m.Book().ReadLog(path, now)
		require.Empty(t, problems, name)
		require.Len(t, again.Entries, standing[lines]+1, name)
	})
	t.Logf("%d power failures", tried)
}

// The same in an answer log: what is left is linked from its beginning, and so is what comes
// after it.
func TestPowerLossInAnAnswerLog(t *testing.T) {
	m := builtinModel(t, "two-lamp")
	const sitting = "e/1/1"
	key := []byte("key")
	noon := func() time.Time { return time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC) }
	path := filepath.Join(t.TempDir(), "a.jsonl")
	quiet := streams{err: io.Discard}
	a, _, err := openAnswers(path, m, key, sitting, noon, quiet)
	require.NoError(t, err)
	require.NoError(t, a.append(a.beginning))
	answer := func(a *answersFile) {
		e, err := m.Book().NewEntry(log.Check{Volts: []circuits.Terminal{"H1:1", "H1:2"}, Step: "bay shut"}, &log.Reading{Kind: log.Volts, Value: 120, Firm: true})
		require.NoError(t, err)
		require.NoError(t, a.append(e.AppendTo))
	}
	for range 3 {
		answer(a)
	}
	require.NoError(t, a.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	broken(text, func(name string, left []byte, lines int) {
		require.NoError(t, os.WriteFile(path, left, 0o600))
		a, history, err := openAnswers(path, m, key, sitting, noon, quiet)
		require.NoError(t, err, name)
		require.Len(t, history.Entries, max(0, lines-1), name)
		require.NoError(t, a.append(a.beginning))
		answer(a)
		require.NoError(t, a.Close())
		now, err := os.ReadFile(path)
		require.NoError(t, err)
		f := exam.NewChain(key, sitting).Follow(now)
		require.Zero(t, f.Broken+f.Torn, "%s: %s", name, now)
		require.Equal(t, len(now), f.Linked)
		require.Equal(t, lines+2, bytes.Count(now, []byte("\n")), name)
	})
}

// The same in the file of scores: every whole score stays, and the next one stands beside them.
func TestPowerLossInTheScores(t *testing.T) {
	score := training.Score{Circuit: "Car-wash bay lights", Fault: "open-H1", At: "2031-05-06T12:00:00Z", Checks: 3}
	var b bytes.Buffer
	for range 3 {
		require.NoError(t, score.AppendTo(&b))
	}
	path := filepath.Join(t.TempDir(), "scores.jsonl")
	broken(b.Bytes(), func(name string, left []byte, lines int) {
		require.NoError(t, os.WriteFile(path, left, 0o644))
		var said bytes.Buffer
		book, err := openScores(practiceOptions{scores: path}, streams{err: &said})
		require.NoError(t, err, name)
		require.Len(t, book.scores, lines, name)
		book.keep(score, streams{err: &said})
		said.Reset()
		book, err = openScores(practiceOptions{scores: path}, streams{err: &said})
		require.NoError(t, err, "%s: %s", name, &said)
		assert.Len(t, book.scores, lines+1, name)
		assert.Empty(t, said.String(), name)
	})
}
