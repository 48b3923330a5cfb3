//go:build linux

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

// serving is the instructor's machine as a process of its own.
type serving struct {
	cmd     *exec.Cmd
	address string
	said    *heard
}

var servingAt = regexp.MustCompile(`on (127\.0\.0\.1:\d+) until`)

// serves starts it; on a disk that is full after so many bytes of a file, or not at all.
func serves(t *testing.T, dir string, most int64) *serving {
	t.Helper()
	args := []string{"exam", "serve", dir, "--listen", "127.0.0.1:0"}
	v := &serving{cmd: program(t, "deadrung", args...), said: &heard{}}
	if most > 0 {
		v.cmd = program(t, "limited", append([]string{strconv.FormatInt(most, 10)}, args...)...)
	}
	v.cmd.Stdout, v.cmd.Stderr = v.said, v.said
	require.NoError(t, v.cmd.Start())
	require.Eventually(t, func() bool { return servingAt.MatchString(v.said.String()) }, time.Minute, 5*time.Millisecond)
	v.address = servingAt.FindStringSubmatch(v.said.String())[1]
	return v
}

func (v *serving) kill() {
	_ = v.cmd.Process.Kill()
	_ = v.cmd.Wait()
}

// cable is the network of the room: it leads to wherever the machine is now, and can be cut.
type cable struct {
	net.Listener
	mu    sync.Mutex
	to    string
	lines []net.Conn
}

func newCable(t *testing.T) *cable {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	w := &cable{Listener: l}
	t.Cleanup(func() { l.Close(); w.cut() })
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			w.mu.Lock()
			far, err := net.Dial("tcp", w.to)
			if err != nil {
				near.Close()
			} else {
				w.lines = append(w.lines, near, far)
				for _, ends := range [][2]net.Conn{{near, far}, {far, near}} {
					go func() {
						_, _ = io.Copy(ends[0], ends[1])
						ends[0].Close()
						ends[1].Close()
					}()
				}
			}
			w.mu.Unlock()
		}
	}()
	return w
}

// leads has it lead to another machine from now on.
func (w *cable) leads(to string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.to = to
}

// cut drops every connection, and tells how many.
func (w *cable) cut() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	n := len(w.lines) / 2
	for _, c := range w.lines {
		c.Close()
	}
	w.lines = nil
	return n
}

// pupil is a candidate who makes one check after the other until told to stop, and begins the
// program again whenever that has ended.
type pupil struct {
	t             *testing.T
	args          []string
	answers       string
	random        *rand.Rand
	seen          int // readings that were shown to it
	killed, ended int // programs
	what          [4]string
}

// shownReading is a reading as it is shown to a candidate after the check.
const shownReading = `in "bay shut": `

// sit works until stop is closed, and gives no program time to end on its own.
func (p *pupil) sit(stop <-chan struct{}) {
	for {
		s := begin(p.t, "deadrung", p.args...)
		asked := 1
		for s.await(asked) {
			select {
			case <-stop:
				s.typed("stop")
				s.end()
				return
			default:
			}
			line := p.what[p.random.IntN(len(p.what))]
			if asked == 1 {
				line = "work 1"
			}
			before := s.readings()
			s.typed(line)
			asked++
			if p.random.IntN(12) == 0 { // killed somewhere in this one
				time.Sleep(time.Duration(p.random.IntN(600)) * time.Millisecond)
				_ = s.cmd.Process.Kill()
				p.killed++
				s.end()
				p.seen += s.readings() - before
				break
			}
			if !s.await(asked) {
				break
			}
			p.seen += s.readings() - before
		}
		s.end()
		p.ended++
		select {
		case <-stop:
			return
		default:
			time.Sleep(20 * time.Millisecond)
		}
	}
}

// readings counts what was shown.
func (s *session) readings() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Count(s.shown.Bytes(), []byte(shownReading))
}

// The instructor's machine is killed and started again, its disk is full, its copies are
// replaced, the network is cut and the candidates' programs are killed, in any order: no reading
// that was shown is lost, both sides have the same log in the end, and nobody is accused.
func TestServedExamHoldsOut(t *testing.T) {
	const most = 4 // of a kind in one exam: every check of every candidate is weighed in the marking
	for round := 0; round*most < faultsAFamily(); round++ {
		t.Run(strconv.Itoa(round), func(t *testing.T) { heldExam(t, uint64(round), min(most, faultsAFamily()-round*most)) })
	}
}

// heldExam is one exam, with so many faults of a kind.
func heldExam(t *testing.T, seed uint64, faults int) {
	const class = 3
	dir := examIn(t, "two-lamp", "--count", strconv.Itoa(class), "--form", "served")
	t.Setenv(passphraseVariable, testPhrase)
	served := filepath.Join(dir, servedDir)
	room := newCable(t)
	machine := serves(t, dir, 0)
	room.leads(machine.address)

	stop := make(chan struct{})
	var all sync.WaitGroup
	var pupils [class]*pupil
	for i := range pupils {
		answers := t.TempDir()
		packet := filepath.Join(dir, packetsDir, fmt.Sprintf("%03d-candidate-%d%s", i+1, i+1, packetEnd))
		pupils[i] = &pupil{t: t, answers: answers, random: rand.New(rand.NewPCG(seed, uint64(i))),
			args: []string{"exam", "sit", packet, "--answers", answers, "--server", room.Addr().String()},
			what: [4]string{"look H1", "look H1", "look H2", "volts F1:1 F1:2"}}
		all.Go(func() { pupils[i].sit(stop) })
	}
	random := rand.New(rand.NewPCG(seed, 8))
	kills, cuts, full, replaced := 0, 0, 0, 0
	for i := range 4 * faults {
		time.Sleep(time.Duration(random.IntN(700)) * time.Millisecond)
		switch i % 4 {
		case 0:
			machine.kill()
			kills++
			machine = serves(t, dir, 0)
		case 1:
			cuts += room.cut()
		case 2: // no room for more than a line or two
			machine.kill()
			kills++
			machine = serves(t, dir, largest(served)+int64(random.IntN(400)))
			room.leads(machine.address)
			for range 60 {
				if strings.Contains(machine.said.String(), "is not kept here") {
					full++
					break
				}
				time.Sleep(100 * time.Millisecond)
			}
			machine.kill()
			kills++
			machine = serves(t, dir, 0)
		default:
			names, err := filepath.Glob(filepath.Join(served, "*"))
			require.NoError(t, err)
			if len(names) == 0 {
				break
			}
			name := names[random.IntN(len(names))]
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			beside := filepath.Join(dir, "edited")
			require.NoError(t, os.WriteFile(beside, text[:len(text)/2], 0o600))
			require.NoError(t, os.Rename(beside, name))
			for range 60 { // it is put back before the next line
				if now, err := os.ReadFile(name); err == nil && len(now) >= len(text) {
					replaced++
					break
				}
				time.Sleep(100 * time.Millisecond)
			}
		}
		room.leads(machine.address)
	}
	close(stop)
	all.Wait()
	for _, p := range pupils { // whatever was not sent yet
		out, status := sits(t, p.args[2], p.answers, room.Addr().String(), "stop\n")
		require.Equal(t, exitDone, status, out)
	}
	machine.kill()

	seen, killed := 0, 0
	for i, p := range pupils {
		seen, killed = seen+p.seen, killed+p.killed
		names, err := filepath.Glob(filepath.Join(p.answers, "*.jsonl"))
		require.NoError(t, err)
		require.Len(t, names, 1)
		own, err := os.ReadFile(names[0])
		require.NoError(t, err)
		there, err := os.ReadFile(filepath.Join(served, filepath.Base(names[0])))
		require.NoError(t, err)
		assert.Equal(t, string(own), string(there), "candidate %d", i+1)
		has := bytes.Count(own, []byte(`"step":"bay shut","saw"`)) + bytes.Count(own, []byte(`"step":"bay shut","read"`))
		assert.GreaterOrEqual(t, has, p.seen, "candidate %d has lost an answer", i+1)
	}
	var marks bytes.Buffer
	require.Equal(t, exitDone, run([]string{"exam", "mark", dir, "--marks", "none", "--json"}, streams{out: &marks, err: os.Stderr}))
	var r exam.Result
	require.NoError(t, json.Unmarshal(marks.Bytes(), &r))
	for _, d := range r.Marked {
		assert.Equal(t, "whole", d.Chain)
		for _, remark := range d.Remarks {
			assert.True(t, strings.HasPrefix(remark, "the candidate stopped before naming a fault") ||
				strings.Contains(remark, "one that was asked when a program or the network stopped"), "%s: %s", d.Candidate.Label(), remark)
		}
	}
	t.Logf("%d kills of the machine, %d of programs, %d connections cut, %d full disks, %d replaced files; %d readings shown",
		kills, killed, cuts, full, replaced, seen)
	assert.Positive(t, seen)
}

// largest is the size of the largest file of a folder.
func largest(dir string) int64 {
	var most int64 = 1
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	for _, name := range names {
		if info, err := os.Stat(name); err == nil {
			most = max(most, info.Size())
		}
	}
	return most
}
