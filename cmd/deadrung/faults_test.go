//go:build linux

package main

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// faultsAFamily is how many faults of a kind are tried on each command; DEADRUNG_FAULTS sets it.
func faultsAFamily() int {
	if n, err := strconv.Atoi(os.Getenv("DEADRUNG_FAULTS")); err == nil {
		return n
	}
	return 4
}

// session is the program with somebody who types into it, and sees when it asks again.
type session struct {
	cmd    *exec.Cmd
	in     io.WriteCloser
	mu     sync.Mutex
	shown  bytes.Buffer
	asked  chan struct{} // a tick whenever more was shown
	closed chan struct{}
}

func begin(t *testing.T, name string, args ...string) *session {
	t.Helper()
	s := &session{cmd: program(t, name, args...), asked: make(chan struct{}, 1), closed: make(chan struct{})}
	var err error
	s.in, err = s.cmd.StdinPipe()
	require.NoError(t, err)
	out, err := s.cmd.StdoutPipe()
	require.NoError(t, err)
	s.cmd.Stderr = s
	require.NoError(t, s.cmd.Start())
	go func() {
		defer close(s.closed)
		b := make([]byte, 4096)
		for {
			n, err := out.Read(b)
			s.mu.Lock()
			s.shown.Write(b[:n])
			s.mu.Unlock()
			select {
			case s.asked <- struct{}{}:
			default:
			}
			if err != nil {
				return
			}
		}
	}()
	return s
}

// Write takes what is written to standard error.
func (s *session) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shown.Write(p)
}

// prompts counts how often it has asked.
func (s *session) prompts() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Count(s.shown.Bytes(), []byte("\n> "))
}

// await waits until it has asked so often; false where it has ended before.
func (s *session) await(prompts int) bool {
	until := time.After(time.Minute)
	for s.prompts() < prompts {
		select {
		case <-s.asked:
		case <-s.closed:
			return s.prompts() >= prompts
		case <-until:
			return false
		}
	}
	return true
}

func (s *session) typed(line string) { _, _ = io.WriteString(s.in, line+"\n") }

func (s *session) end() {
	s.in.Close()
	<-s.closed
	_ = s.cmd.Wait()
}

// sessionKind is a command that keeps a log, and an answer that adds one line to it.
type sessionKind struct {
	name   string
	args   func(dir string) []string
	log    func(dir string) string
	before []string // what is typed first
	answer string
	line   string // what a line of an answer has in it
}

var sessionKinds = []sessionKind{
	{"find", func(dir string) []string {
		return []string{"find", "cold-store-alarm", "--log", filepath.Join(dir, "a.log")}
	},
		func(dir string) string { return filepath.Join(dir, "a.log") }, []string{"none"}, "cannot", `"cannot"`},
	{"practice", func(dir string) []string {
		return []string{"practice", "two-lamp", "--seed", "1", "--scores", "none", "--log", filepath.Join(dir, "a.log")}
	}, func(dir string) string { return filepath.Join(dir, "a.log") }, nil, "look H1", `"look":"H1"`},
	{"exam sit", func(dir string) []string {
		return []string{"exam", "sit", filepath.Join("ex", "packets", "001-ada.packet"), "--answers", dir}
	}, func(dir string) string {
		names, _ := filepath.Glob(filepath.Join(dir, "*.jsonl"))
		return strings.Join(names, "")
	}, nil, "look H1", `"look":"H1"`},
}

// held counts the answers in a log, and sees that it is whole but for a last line.
func (k sessionKind) held(t *testing.T, dir string, whole bool) int {
	t.Helper()
	text, err := os.ReadFile(k.log(dir))
	if err != nil {
		return 0
	}
	if whole {
		assert.True(t, bytes.HasSuffix(text, []byte("\n")), "half a line: %q", text)
	}
	return bytes.Count(text[:bytes.LastIndexByte(text, '\n')+1], []byte(k.line))
}

// A session that is killed at any time has lost no answer after which it asked the next
// question, and can be gone on with.
func TestKilledSessions(t *testing.T) {
	t.Chdir(t.TempDir())
	makeInputs(t)
	random := rand.New(rand.NewPCG(1, 1))
	killed := 0
	for _, k := range sessionKinds {
		for i := range faultsAFamily() {
			dir := filepath.Join(k.name[:4], strconv.Itoa(i))
			require.NoError(t, os.MkdirAll(dir, 0o755))
			acknowledged, typed := 0, 0
			for range 2 { // and once more, going on with it
				s := begin(t, "deadrung", k.args(dir)...)
				asked := 1
				if !s.await(asked) {
					t.Fatalf("%s: %s", k.name, s.shown.String())
				}
				if k.held(t, dir, false) == 0 { // the complaint is asked for until a check is in the log
					for _, b := range k.before {
						s.typed(b)
						asked++
						s.await(asked)
					}
				}
				for range random.IntN(4) {
					s.typed(k.answer)
					typed++
					asked++
					if s.await(asked) {
						acknowledged++
					}
				}
				s.typed(k.answer) // killed somewhere in this one
				typed++
				time.Sleep(time.Duration(random.IntN(3000)) * time.Microsecond)
				require.NoError(t, s.cmd.Process.Kill())
				s.end()
				killed++
				if s.prompts() > asked {
					acknowledged++
				}
			}
			got := k.held(t, dir, false)
			assert.GreaterOrEqual(t, got, acknowledged, "%s %d: an answer is lost", k.name, i)
			assert.LessOrEqual(t, got, typed, "%s %d", k.name, i)
		}
	}
	t.Logf("%d kills", killed)
}

// A session whose disk is full at any byte tells it, keeps every answer before, leaves no half
// line, and goes on with what it was once there is room.
func TestFullDiskSessions(t *testing.T) {
	t.Chdir(t.TempDir())
	makeInputs(t)
	random := rand.New(rand.NewPCG(2, 2))
	full := 0
	for _, k := range sessionKinds {
		for i := range faultsAFamily() {
			dir := filepath.Join(k.name[:4], strconv.Itoa(i))
			require.NoError(t, os.MkdirAll(dir, 0o755))
			s := begin(t, "deadrung", k.args(dir)...) // begun while there is room
			require.True(t, s.await(1), "%s", &s.shown)
			if k.name == "find" {
				s.typed("stop")
			}
			s.end()
			info, err := os.Stat(k.log(dir))
			require.NoError(t, err)
			room := info.Size() + 150 + int64(random.IntN(400))
			s = begin(t, "limited", append([]string{strconv.FormatInt(room, 10)}, k.args(dir)...)...)
			asked, acknowledged := 1, 0
			if s.await(asked) {
				for _, b := range k.before {
					s.typed(b)
					asked++
					s.await(asked)
				}
				for range 12 {
					s.typed(k.answer)
					asked++
					if !s.await(asked) {
						break
					}
					s.mu.Lock()
					told := strings.Contains(s.shown.String(), "How does the log go on?")
					s.mu.Unlock()
					if told {
						s.typed("stop")
						full++
						break
					}
					acknowledged++
				}
			}
			s.end()
			assert.NotContains(t, s.shown.String(), "goroutine")
			got := k.held(t, dir, true)
			assert.Equal(t, acknowledged, got, "%s %d:\n%s", k.name, i, &s.shown)
		}
	}
	t.Logf("%d full disks", full)
	assert.Positive(t, full)
}

// A log that is replaced while a session goes on is told, and put back with every answer; a
// second session on it is refused, and a candidate's chain stays whole.
func TestReplacedAndSharedLogs(t *testing.T) {
	t.Chdir(t.TempDir())
	makeInputs(t)
	packet, err := readPacket("ex/packets/001-ada.packet", streams{})
	require.NoError(t, err)
	replaced := 0
	for _, k := range sessionKinds {
		for i := range faultsAFamily() {
			dir := filepath.Join(k.name[:4], strconv.Itoa(i))
			require.NoError(t, os.MkdirAll(dir, 0o755))
			s := begin(t, "deadrung", k.args(dir)...)
			require.True(t, s.await(1), "%s", &s.shown)
			asked := 1
			for _, line := range append(append([]string{}, k.before...), k.answer) {
				s.typed(line)
				asked++
				require.True(t, s.await(asked), "%s", &s.shown)
			}
			second := program(t, "deadrung", k.args(dir)...)
			said, err := second.CombinedOutput()
			require.Error(t, err)
			assert.Contains(t, string(said), "is in use by another session")

			text, err := os.ReadFile(k.log(dir))
			require.NoError(t, err)
			name := k.log(dir)
			switch i % 3 {
			case 0: // an editor that saves what it had read before
				require.NoError(t, os.WriteFile("edited", text[:bytes.IndexByte(text, '\n')+1], 0o644))
				require.NoError(t, os.Rename("edited", name))
			case 1:
				require.NoError(t, os.Remove(name))
			case 2:
				require.NoError(t, os.WriteFile(name, append(text, "{\"undo\":true}\n"...), 0o644))
			}
			for _, line := range []string{k.answer, "back", k.answer} {
				s.typed(line)
				asked++
				require.True(t, s.await(asked), "%s", &s.shown)
			}
			s.mu.Lock()
			assert.Contains(t, strings.Join(strings.Fields(s.shown.String()), " "), "while this session was going on")
			s.mu.Unlock()
			s.end()
			assert.Equal(t, 3, k.held(t, dir, true), "%s %d", k.name, i)
			if k.name == "exam sit" {
				text, err := os.ReadFile(name)
				require.NoError(t, err)
				id := exam.SittingID(packet.Exam, packet.Candidate.Number, 1)
				assert.Zero(t, exam.NewChain(packet.Chain, id).Follow(text).Broken)
			}
			replaced++
		}
	}
	t.Logf("%d replaced and doubly opened logs", replaced)
}
