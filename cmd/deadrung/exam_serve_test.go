package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// heard is an output that one goroutine writes and another reads.
type heard struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.Write(p)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.String()
}

// served runs the instructor's machine until the test or stop ends it, and gives its
// address.
func served(t *testing.T, dir, listen string) (address string, stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var out heard
	ended := make(chan error, 1)
	go func() {
		ended <- runExamServe(ctx, serveOptions{dir: dir, listen: listen, board: true, now: timeNow},
			streams{in: strings.NewReader(""), out: &out, err: &out})
	}()
	at := regexp.MustCompile(`on (127\.0\.0\.1:\d+) until`)
	require.Eventually(t, func() bool { return at.MatchString(out.String()) }, patience, 5*time.Millisecond)
	var once sync.Once
	stop = func() {
		once.Do(func() {
			cancel()
			require.NoError(t, <-ended)
		})
	}
	t.Cleanup(stop)
	return at.FindStringSubmatch(out.String())[1], stop
}

// sits runs "exam sit" with what is typed, and gives what it shows.
func sits(t *testing.T, packet, answers, server, typed string) (string, int) {
	t.Helper()
	var out bytes.Buffer
	args := []string{"exam", "sit", packet, "--answers", answers}
	if server != "" {
		args = append(args, "--server", server)
	}
	status := run(args, streams{in: strings.NewReader(typed), out: &out, err: &out})
	return out.String(), status
}

// A served exam: the packet holds no readings, the machine answers, keeps a copy of every
// line and every question, and what it missed while it was away is sent later.
func TestExamServe(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "2", "--form", "served")
	t.Setenv(passphraseVariable, testPhrase)
	packet := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd)
	answers := t.TempDir()
	p, err := readPacket(packet, streams{})
	require.NoError(t, err)
	assert.Empty(t, p.Tasks[0].Table)
	assert.Empty(t, p.Tasks[0].Key)
	assert.Len(t, p.Server, 32)

	address, stop := served(t, dir, "127.0.0.1:0")
	out, status := sits(t, packet, answers, address, "work 1\nlook H1\nvolts F1:1 F1:2\nstop\n")
	require.Equal(t, exitDone, status, out)
	assert.Contains(t, out, "look at lamp H1")
	assert.Contains(t, strings.Join(strings.Fields(out), " "),
		"Go on with: deadrung exam sit "+packet+" --answers "+answers+" --server "+address)

	// Who comes and does nothing was there.
	idle := filepath.Join(dir, packetsDir, "002-candidate-2"+packetEnd)
	out, status = sits(t, idle, t.TempDir(), address, "stop\n")
	require.Equal(t, exitDone, status, out)
	came, err := os.ReadFile(filepath.Join(dir, servedDir, answersName(p.Exam, 2, 1)))
	require.NoError(t, err)
	assert.Contains(t, string(came), `"sitting":`)
	stop()

	// Away: a check is not answered; what is done meanwhile is kept.
	out, status = sits(t, packet, answers, address, "work 2\nstop\n")
	assert.Equal(t, exitFailed, status, out)
	assert.Contains(t, out, "the instructor's machine does not answer")

	address, stop = served(t, dir, address)
	out, status = sits(t, packet, answers, address,
		"lock\ntry\nmeter\ndead\nmeter\nohms F1:1 F1:2\nname F1\n2\nyes\n")
	require.Equal(t, exitDone, status, out)
	assert.Contains(t, out, "Noted: you say that ")
	stop()

	own, err := filepath.Glob(filepath.Join(answers, "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, own, 1)
	text, err := os.ReadFile(own[0])
	require.NoError(t, err)
	copied, err := os.ReadFile(filepath.Join(dir, servedDir, filepath.Base(own[0])))
	require.NoError(t, err)
	assert.Equal(t, string(text), string(copied))
	asked, err := os.ReadFile(strings.TrimSuffix(filepath.Join(dir, servedDir, filepath.Base(own[0])),
		".jsonl") + askedEnd)
	require.NoError(t, err)
	assert.Equal(t, 3, bytes.Count(asked, []byte(`"asked":`)))

	var marks bytes.Buffer
	require.Equal(t, exitDone,
		run([]string{"exam", "mark", dir, "--marks", "none", "--json"}, streams{out: &marks, err: os.Stderr}))
	var r exam.Result
	require.NoError(t, json.Unmarshal(marks.Bytes(), &r))
	assert.Equal(t, exam.Complete, r.Marked[0].State)
	assert.Empty(t, r.Marked[0].Remarks)
	assert.Equal(t, exam.Begun, r.Marked[1].State)
	assert.Empty(t, r.Strange)

	// A line that something else has put into the record shows.
	name := strings.TrimSuffix(filepath.Join(dir, servedDir, filepath.Base(own[0])), ".jsonl") + askedEnd
	require.NoError(t, os.WriteFile(name, append(asked, "{}\n"...), 0o644))
	marks.Reset()
	require.Equal(t, exitDone,
		run([]string{"exam", "mark", dir, "--marks", "none"}, streams{out: &marks, err: os.Stderr}))
	assert.Contains(t, strings.Join(strings.Fields(marks.String()), " "),
		"of the record of the instructor's machine was changed or added by something else")
}

// A candidate whose log is lost, in part or whole, goes on with the copy of the instructor's
// machine. One who begins a second log is refused: there is one sitting.
func TestExamServeGivesTheLogBack(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "1", "--form", "served")
	t.Setenv(passphraseVariable, testPhrase)
	packet := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd)
	address, stop := served(t, dir, "127.0.0.1:0")
	first := t.TempDir()
	out, status := sits(t, packet, first, address, "work 1\nlook H1\nlook H2\nstop\n")
	require.Equal(t, exitDone, status, out)
	logs, err := filepath.Glob(filepath.Join(first, "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 1)
	text, err := os.ReadFile(logs[0])
	require.NoError(t, err)

	// A copy that the machine was stopped in the middle of is mended.
	stop()
	copied := filepath.Join(dir, servedDir, filepath.Base(logs[0]))
	require.NoError(t, os.WriteFile(copied, text[:len(text)-5], 0o644))
	address, _ = served(t, dir, address)

	for _, left := range []int{len(text), 0, 40, len(text) / 2} {
		require.NoError(t, os.WriteFile(logs[0], text[:left], 0o644))
		out, status = sits(t, packet, first, address, "stop\n")
		require.Equal(t, exitDone, status, out)
		assert.Equal(t, left < len(text), strings.Contains(out, "missing here and came back"), "%d: %s", left, out)
		now, err := os.ReadFile(logs[0])
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(now, text), "%d", left)
		there, err := os.ReadFile(copied)
		require.NoError(t, err)
		require.Equal(t, string(now), string(there))
		text = now
	}

	other := filepath.Join(t.TempDir(), filepath.Base(logs[0]))
	changed := bytes.Replace(text, []byte(`"saw":"o`), []byte(`"saw": "o`), 1)
	require.NoError(t, os.WriteFile(other, changed, 0o644))
	out, status = sits(t, packet, filepath.Dir(other), address, "work 2\nstop\n")
	assert.Equal(t, exitFailed, status)
	assert.Contains(t, strings.Join(strings.Fields(out), " "),
		"is not the one that the instructor's machine has")
	there, err := os.ReadFile(copied)
	require.NoError(t, err)
	assert.Equal(t, string(text), string(there))
}

// A served exam needs a server, another one has none.
func TestExamServeUsage(t *testing.T) {
	dir, plain := examIn(t, "two-lamp", "--count", "1", "--form", "served"),
		examIn(t, "two-lamp", "--count", "1")
	t.Setenv(passphraseVariable, testPhrase)
	out, status := sits(t, filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd), t.TempDir(), "", "")
	assert.Equal(t, exitUsage, status)
	assert.Contains(t, out, "--server HOST:PORT")
	out, status = sits(t, filepath.Join(plain, packetsDir, "001-candidate-1"+packetEnd), t.TempDir(),
		"127.0.0.1:1", "")
	assert.Equal(t, exitUsage, status)
	assert.Contains(t, out, "no machine answers it")
	var text bytes.Buffer
	assert.Equal(t, exitUsage,
		run([]string{"exam", "serve", plain}, streams{in: strings.NewReader(""), out: &text, err: &text}))
	assert.Equal(t, exitFailed, run([]string{"exam", "serve", dir, "--listen", "256.1.1.1:x"},
		streams{in: strings.NewReader(""), out: &text, err: &text}))
	assert.Contains(t, text.String(), "cannot listen")
}
