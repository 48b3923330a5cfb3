//go:build linux

package main

import (
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// The board is up to date while an exam is served, has what was done before a restart, opens what
// a candidate has done so far, is its owner's alone, and is not on the network.
func TestExamBoard(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "2", "--form", "served", "--minutes", "20")
	t.Setenv(passphraseVariable, testPhrase)
	packet := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd)
	page := filepath.Join(dir, boardFile)
	machine := serves(t, dir, 0)
	require.Eventually(t, func() bool { return strings.Contains(machine.said.String(), "The board of the class: open "+page) },
		patience, 5*time.Millisecond)
	shows := func(want ...string) {
		t.Helper()
		require.Eventually(t, func() bool {
			text, err := os.ReadFile(page)
			for _, w := range want {
				if err != nil || !strings.Contains(string(text), w) {
					return false
				}
			}
			return true
		}, 30*time.Second, 50*time.Millisecond, "%s", want)
	}
	shows("2 not here", "candidate 1", "candidate 2")

	in, typed := io.Pipe()
	var out heard
	ended := make(chan int, 1)
	go func() {
		ended <- run([]string{"exam", "sit", packet, "--answers", t.TempDir(), "--server", machine.address},
			streams{in: in, out: &out, err: &out})
	}()
	for i, line := range []string{"work 1", "look H1", "volts F1:1 F1:2", "ohms F1:1 F1:2"} {
		require.True(t, awaits(&out, i+1, ended), out.String())
		_, err := io.WriteString(typed, line+"\n")
		require.NoError(t, err)
	}
	shows("1 at work", "1 not here", "volts F1:1 to F1:2", "! 1 unsafe", "ohms on a live circuit", "20 min",
		`href="board/001-candidate-1.html"`)
	machine.kill()
	machine = serves(t, dir, 0)
	shows("1 away", "volts F1:1 to F1:2", "20 min")

	c, err := net.Dial("tcp", machine.address)
	require.NoError(t, err)
	_, err = io.WriteString(c, "GET /board.html HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
	require.NoError(t, err)
	said, _ := io.ReadAll(c)
	assert.NotContains(t, string(said), "candidate")
	for _, file := range []string{page, filepath.Join(dir, boardDir, "001-candidate-1.html")} {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), file)
	}
	typed.Close()
	<-ended
	require.NoError(t, machine.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, machine.cmd.Wait(), machine.said.String())
	shows("Stopped at")

	w := browser.Open(t, browser.Options{Width: 1280, Height: 800, NoScript: true})
	w.Go(page)
	require.True(t, w.Has(`a[href="board/001-candidate-1.html"]`))
	w.Go(filepath.Join(dir, boardDir, "001-candidate-1.html"))
	assert.Contains(t, w.Text("h1"), "so far")
	assert.Contains(t, w.Text("main"), "volts, red lead on F1:1, black lead on F1:2")
	assert.True(t, w.Has("svg.leads"))
}
