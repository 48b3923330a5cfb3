//go:build linux

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
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

// seated is a candidate who types a script, line by line, at a program in this process, begins
// the program again where it ended too early, and types a line again that the machine was not
// there for.
type seated struct {
	args   []string
	script []string
	pause  time.Duration
	ended  int // programs
	again  int // lines
	shown  string
}

// sit works the script off.
func (p *seated) sit(t *testing.T) {
	next := 0
	for p.ended < 50 {
		in, typed := io.Pipe()
		var out heard
		over := make(chan int, 1)
		go func() {
			over <- run(p.args, streams{in: in, out: &out, err: &out})
			in.Close()
		}()
		for asked := 1; next < len(p.script); asked++ {
			if !awaits(&out, asked, over) {
				break
			}
			before := len(out.String())
			if _, err := io.WriteString(typed, p.script[next]+"\n"); err != nil {
				break
			}
			awaits(&out, asked+1, over)
			said := strings.Join(strings.Fields(out.String()[before:]), " ")
			if strings.Contains(said, "does not answer") && !strings.Contains(said, "could not be sent") {
				p.again++
				time.Sleep(100 * time.Millisecond)
				continue
			}
			next++
			time.Sleep(p.pause)
		}
		typed.Close()
		status := <-over
		over <- status
		p.ended++
		p.shown += out.String()
		if next == len(p.script) && status == exitDone {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	assert.Fail(t, "it never comes to an end", "%d of %v: %s", next, p.script, p.shown)
}

// awaits waits until a program has asked so often; false where it has ended before.
func awaits(out *heard, asked int, over chan int) bool {
	for strings.Count(out.String(), "\n> ") < asked {
		select {
		case status := <-over:
			over <- status
			return strings.Count(out.String(), "\n> ") >= asked
		case <-time.After(2 * time.Millisecond):
		}
	}
	return true
}

// cutOne drops one connection, and tells whether there was any.
func (w *cable) cutOne(which int) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.lines) == 0 {
		return false
	}
	i := which % (len(w.lines) / 2) * 2
	w.lines[i].Close()
	w.lines[i+1].Close()
	w.lines = append(w.lines[:i], w.lines[i+2:]...)
	return true
}

// scriptOf is what a candidate does at two faults; the odd ones find theirs.
func scriptOf(k exam.CandidateKey) []string {
	var script []string
	for i, task := range k.Tasks {
		named := string(task.Fault)
		if k.Number%2 == 0 {
			named = []string{"open-H1", "open-F1"}[i]
		}
		script = append(script, "work 1", "look H1", "work 2", "look H2", "volts F1:1 F1:2", "ohms F1:1 F1:2",
			fmt.Sprintf("volts H%d:1 H%d:2", k.Number%2+1, k.Number%2+1))
		for range k.Number % 3 {
			script = append(script, "look H1")
		}
		script = append(script, "lock", "try", "meter", "dead", "meter", "ohms F1:1 F1:2", "name "+named, "yes")
	}
	return script
}

// A whole class of two faults each, through two restarts of the machine by a kill and ten dropped
// connections: nothing is lost, nobody is accused, and every sheet is the one of a quiet run.
func TestServedClass(t *testing.T) {
	class := 6
	if os.Getenv("DEADRUNG_ALL") != "" {
		class = 30
	}
	t.Setenv(passphraseVariable, testPhrase)
	dir := examIn(t, "two-lamp", "--count", fmt.Sprint(class), "--faults", "2", "--form", "served")
	quietDir := filepath.Join(t.TempDir(), "quiet")
	require.NoError(t, os.CopyFS(quietDir, os.DirFS(dir)))
	_, key, err := openKey(t.Context(), dir, secret{}, streams{in: strings.NewReader(""), err: io.Discard})
	require.NoError(t, err)

	served := func(dir string, disturb func(machine *serving, room *cable) *serving) (*exam.Result, []*seated) {
		room := newCable(t)
		machine := serves(t, dir, 0)
		room.leads(machine.address)
		var all sync.WaitGroup
		var pupils []*seated
		for _, k := range key.Keys {
			p := &seated{pause: 30 * time.Millisecond, script: scriptOf(k), args: []string{"exam", "sit",
				filepath.Join(dir, packetsDir, fmt.Sprintf("%03d-candidate-%d%s", k.Number, k.Number, packetEnd)),
				"--answers", t.TempDir(), "--server", room.Addr().String()}}
			pupils = append(pupils, p)
			all.Go(func() { p.sit(t) })
		}
		machine = disturb(machine, room)
		all.Wait()
		machine.kill()
		var out bytes.Buffer
		require.Equal(t, exitDone, run([]string{"exam", "mark", dir, "--json"}, streams{out: &out, err: os.Stderr}))
		var r exam.Result
		require.NoError(t, json.Unmarshal(out.Bytes(), &r))
		return &r, pupils
	}
	drops, kills := 0, 0
	got, pupils := served(dir, func(machine *serving, room *cable) *serving {
		until := time.Now().Add(time.Minute)
		for i := 0; drops < 10 && time.Now().Before(until); i++ {
			time.Sleep(250 * time.Millisecond)
			if room.cutOne(7 * i) {
				drops++
			}
			if drops == 3 && kills == 0 || drops == 7 && kills == 1 {
				machine.kill()
				kills++
				time.Sleep(300 * time.Millisecond)
				machine = serves(t, dir, 0)
				room.leads(machine.address)
			}
		}
		return machine
	})
	require.Equal(t, []int{10, 2}, []int{drops, kills})
	quiet, _ := served(quietDir, func(machine *serving, _ *cable) *serving { return machine })

	require.Len(t, got.Marked, 2*class)
	found := 0
	for i, d := range got.Marked {
		want := quiet.Marked[i]
		about := fmt.Sprintf("%s, fault %d", d.Candidate.Label(), d.Task)
		assert.Equal(t, exam.Complete, d.State, about)
		assert.Equal(t, "whole", d.Chain, about)
		assert.Equal(t, want.Stated, d.Stated, about)
		assert.Equal(t, want.Points, d.Points, about)
		assert.Equal(t, len(want.Checks), len(d.Checks), about)
		assert.Equal(t, want.Unsafe, d.Unsafe, about)
		assert.Empty(t, d.Remarks, about)
		if d.Right {
			found++
		}
	}
	assert.GreaterOrEqual(t, found, class, "the odd ones find both")
	assert.Equal(t, found, totalFound(quiet))
	for _, c := range got.Class {
		name := numberedName(c.Candidate, ".html")
		assert.Equal(t, timeless(t, filepath.Join(quietDir, "marks", name)), timeless(t, filepath.Join(dir, "marks", name)), name)
	}
	ended, again := 0, 0
	for _, p := range pupils {
		ended, again = ended+p.ended, again+p.again
		logs, err := filepath.Glob(filepath.Join(p.args[4], "*.jsonl"))
		require.NoError(t, err)
		require.Len(t, logs, 2)
		for _, log := range logs {
			own, err := os.ReadFile(log)
			require.NoError(t, err)
			there, err := os.ReadFile(filepath.Join(dir, servedDir, filepath.Base(log)))
			require.NoError(t, err)
			assert.Equal(t, string(own), string(there))
		}
	}
	t.Logf("%d candidates, %d connections cut, %d kills; %d programs, %d lines typed again", class, drops, kills, ended, again)
}

func totalFound(r *exam.Result) int {
	n := 0
	for _, c := range r.Class {
		n += c.Found
	}
	return n
}

var clockOnSheet = regexp.MustCompile(`[0-9.]+ min by the clock(, [0-9.]+ of them breaks)?|receipt [0-9a-f-]+|\b[0-9]{2}:[0-9]{2}(:[0-9]{2})?\b`)

// timeless is a sheet without what the clock has put on it.
func timeless(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	return clockOnSheet.ReplaceAllString(string(text), "")
}
