//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// screen is the program on a terminal. Text is waited for before each key; results,
// exit statuses and the terminal's state are asserted, not frames.
type screen struct {
	t      *testing.T
	cmd    *exec.Cmd
	master *os.File
	tty    *os.File
	before *term.State
	ended  chan struct{}

	mu    sync.Mutex
	shown bytes.Buffer
	read  int // how far it was waited for

	pressed      int // keys
	cautions     int // acknowledged so far
	acknowledged int // how far
}

// Keys of a terminal.
const (
	enter     = "\r"
	down      = "\x1b[B"
	up        = "\x1b[A"
	interrupt = "\x03"
)

func onTerminal(t *testing.T, columns, rows uint16, environment []string, args ...string) *screen {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	master, tty, err := pty.Open()
	require.NoError(t, err)
	require.NoError(t, pty.Setsize(master, &pty.Winsize{Rows: rows, Cols: columns}))
	before, err := term.GetState(int(tty.Fd()))
	require.NoError(t, err)
	s := &screen{t: t, master: master, tty: tty, before: before, ended: make(chan struct{})}
	s.cmd = &exec.Cmd{
		Path: self, Args: append([]string{"deadrung"}, args...), // the name makes the test binary the program
		Env: append(append(os.Environ(), "TERM=xterm", "XDG_STATE_HOME="+t.TempDir()),
			environment...),
		Stdin: tty, Stdout: tty, Stderr: tty,
		SysProcAttr: &syscall.SysProcAttr{Setsid: true, Setctty: true},
	}
	require.NoError(t, s.cmd.Start())
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := master.Read(buf)
			s.mu.Lock()
			s.shown.Write(buf[:n])
			s.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	go func() {
		s.cmd.Wait()
		close(s.ended)
	}()
	t.Cleanup(func() {
		s.cmd.Process.Kill()
		<-s.ended
		master.Close()
		tty.Close()
	})
	return s
}

// text is all that was shown so far.
func (s *screen) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shown.String()
}

const patience = 20 * time.Second

// await waits until a text is shown after what was waited for before.
func (s *screen) await(want string) {
	s.t.Helper()
	for begin := time.Now(); ; time.Sleep(2 * time.Millisecond) {
		text := s.text()
		if i := strings.Index(text[s.acknowledged:], acknowledge); i >= 0 {
			s.acknowledged += i + len(acknowledge)
			s.cautions++
			s.press(acknowledging)
		}
		if i := strings.Index(text[s.read:], want); i >= 0 {
			s.read += i + len(want)
			return
		}
		if time.Since(begin) > patience {
			s.t.Fatalf("never shown: %q\nsince the last text waited for:\n%s", want, text[s.read:])
		}
	}
}

// acknowledge is what stays on the screen below a caution.
const acknowledge = `Type "ok" when that is done: `

// acknowledging is what is typed then.
const acknowledging = "ok\n"

func (s *screen) press(keys ...string) {
	s.t.Helper()
	typed := strings.Join(keys, "")
	s.pressed += len(typed)
	_, err := s.master.WriteString(typed)
	require.NoError(s.t, err)
}

const menuShown = "arrows and Enter"

// take takes the nth choice of the menu, from zero, whose text begins so.
func (s *screen) take(n int, text string) {
	s.t.Helper()
	s.await(menuShown)
	s.press(strings.Repeat(down, n), enter)
	s.await("> " + text)
}

// exit waits for the end and gives the exit status. The terminal must be as it was,
// its cursor shown.
func (s *screen) exit() int {
	s.t.Helper()
	select {
	case <-s.ended:
	case <-time.After(patience):
		s.t.Fatalf("the program does not end:\n%s", s.text()[s.read:])
	}
	after, err := term.GetState(int(s.tty.Fd()))
	require.NoError(s.t, err)
	assert.Equal(s.t, s.before, after, "the terminal is as it was")
	assert.Eventually(s.t, func() bool { // the last of the output may come after the end
		text := s.text()
		return strings.LastIndex(text, "\x1b[?25h") >= strings.LastIndex(text, "\x1b[?25l")
	}, patience, 2*time.Millisecond, "the cursor is shown")
	text := s.text()
	if s.t.Failed() {
		s.t.Logf("%q", text[max(0, len(text)-1000):])
	}
	assert.NotContains(s.t, text, "\a", "no bell")
	assert.NotRegexp(s.t, `\x1b\[[0-9;]*m`, text, "no colours")
	return s.cmd.ProcessState.ExitCode()
}

// key takes a choice whose text begins so with one key.
func (s *screen) key(key, text string) {
	s.t.Helper()
	s.await(menuShown)
	s.press(key)
	s.await("> " + text)
}

// mostKeys are those that a session may take in which a horn stays silent, from the complaint
// to the repair that is proved, what acknowledges the cautions among them.
const mostKeys = 30

// From the choice of the circuit to the proved repair, with few keys.
func TestFindWithMenus(t *testing.T) {
	history, report := filepath.Join(t.TempDir(), "a.log"), filepath.Join(t.TempDir(), "r.md")
	s := onTerminal(t, 80, 24, nil, "find", "--log", history, "--report", report)
	s.await("CAUTION")
	s.take(2, "cold-store-alarm")
	s.pressed = 0
	s.await("In which step does it go wrong?")
	s.key("3", "door left open")
	s.await("What was wrong at the end")
	s.key("4", "horn B1 was silent")
	s.await("In which step does it go wrong?")
	s.key("n", "nothing more to tell")

	// The program proposes what the model does.
	m := builtinModel(t, "cold-store-alarm")
	fault, err := faultmodel.Find(m.Faults(), "open-CR1:22-B1:1")
	require.NoError(t, err)
	r := newRig(m, fault, rand.New(rand.NewPCG(1, 1)))
	out, _ := inMemory(80)
	d := searching(m, nil, out)
	horn := log.Reading{Kind: log.Look, Firm: true}
	known(t, d, log.Check{Look: "B1", Step: "door left open"}, &horn, talk.ComplaintNote)
	for d.Turn().Next != nil && !d.Turn().Proved {
		c := d.Turn().Next.Check
		reading, err := r.read(c)
		require.NoError(t, err)
		require.True(t, reading.Firm, "a check that is proposed gives a firm reading")
		s.await(fmt.Sprintf(": %s", d.Speak.Brief(c)))
		switch {
		case c.Kind() != log.Look:
			s.await("The reading in ")
			typed := strings.Fields(d.Speak.Answer(c, &reading))[0]
			if reading.Kind == log.Volts {
				typed = fmt.Sprintf("%.0f", reading.Value) // as people read it
			}
			s.press(typed, "\n")
		case reading.On:
			s.key("y", c.Look+" is on")
		default:
			s.key("n", c.Look+" is off")
		}
		s.await("Noted: ")
		known(t, d, c, &reading, "")
	}
	s.await("VERDICT    Wire 7 is open between CR1:22 and B1:1.")
	s.await("Put right?")
	before := s.pressed
	s.key("p", "still possible")
	s.await("What the readings ruled out:")
	s.pressed = before // that was out of curiosity
	s.key("r", "it is put right")
	s.await("Must be")
	s.key("e", "every step that is left")
	s.await(fmt.Sprintf("Step %d.", len(m.Panel().Circuit.Steps)))
	s.await("Did all of them work right?")
	s.key("y", "worked right, every one")
	s.await("REPAIR PROVED")
	assert.Equal(t, exitDone, s.exit())
	assert.LessOrEqual(t, s.pressed, mostKeys)
	assert.GreaterOrEqual(t, s.cautions, 3,
		"before the first volts, before the repair, before the power returns")

	text, err := os.ReadFile(history)
	require.NoError(t, err)
	kept, problems := m.Book().ReadLog(history, text)
	require.Empty(t, problems)
	require.Len(t, kept.Entries, len(d.Log().Entries))
	for i, e := range kept.Entries {
		assert.Equal(t, d.Log().Entries[i].Check.String(), e.Check.String())
		assert.Equal(t, d.Log().Entries[i].Answer.On, e.Answer.On)
		assert.InDelta(t, d.Log().Entries[i].Answer.Value, e.Answer.Value, 1)
	}
	page, err := os.ReadFile(report)
	require.NoError(t, err)
	assert.Contains(t, string(page), "**Wire 7 is open between CR1:22 and B1:1.**")
}

// However a session is interrupted, the terminal is given back as it was, the log is
// safe and said to be so.
func TestFindInterrupted(t *testing.T) {
	for _, c := range []struct {
		name      string
		interrupt func(s *screen)
		status    int
	}{
		{"Ctrl-C in a menu", func(s *screen) { s.press(interrupt) }, exitFailed},
		{"keys and Ctrl-C", func(s *screen) { s.press(down, down, interrupt) }, exitFailed},
		{"SIGTERM in a menu", func(s *screen) { s.cmd.Process.Signal(syscall.SIGTERM) }, exitFailed},
		{"SIGHUP in a menu", func(s *screen) { s.cmd.Process.Signal(syscall.SIGHUP) }, exitFailed},
		{"SIGQUIT in a menu", func(s *screen) { s.cmd.Process.Signal(syscall.SIGQUIT) }, exitFailed},
		{"Ctrl-D in a menu", func(s *screen) { s.press("\x04") }, exitDone},
		{"Ctrl-C while a reading is typed", func(s *screen) {
			s.press("o") // another check
			s.await("Which check?")
			s.await(menuShown)
			s.press("v")
			s.await("At the end of which step?")
			s.await(menuShown)
			s.press(down, enter)
			s.await("Red lead and black lead")
			s.await("> ")
			s.press("CR1", interrupt)
		}, exitFailed},
	} {
		t.Run(c.name, func(t *testing.T) {
			log := filepath.Join(t.TempDir(), "a.log")
			s := onTerminal(t, 80, 24, nil, "find", "cold-store-alarm", "--log", log)
			s.take(3, "door left open")
			s.take(4, "horn B1 was silent")
			s.take(0, "nothing more to tell")
			s.await("CHECK 1")
			s.await(menuShown)
			c.interrupt(s)
			assert.Equal(t, c.status, s.exit())
			if c.status == exitFailed {
				s.await("deadrung: interrupted; the log is safe in " + log)
			} else {
				s.await("Go on with: deadrung find")
			}
			text, err := os.ReadFile(log)
			require.NoError(t, err)
			assert.Equal(t, 2, strings.Count(string(text), "\n"))
		})
	}
}

// A long list on a small screen, and keys typed ahead of the menus.
func TestFindOnASmallScreen(t *testing.T) {
	s := onTerminal(t, 40, 9, nil, "find", "transformer-primary")
	s.await("In which step does it go wrong?")
	s.await(menuShown)
	s.press(strings.Repeat(down, 40), up, up, enter) // the last step, above stop and what is said in words
	s.await("> overload reset")
	s.await("What was wrong at the end of \"overload")
	s.await(menuShown)
	s.press(enter, enter) // nothing in this step; and, ahead of its menu: no more to tell
	s.await("CHECK 1")
	s.await(menuShown)
	s.press(enter) // a plain Enter asks why, and is no reading
	s.await("It takes about")
	s.await(menuShown)
	s.press("?")
	s.await("Make the check and give its answer.")
	s.await(menuShown)
	s.press(interrupt)
	assert.Equal(t, exitFailed, s.exit())
}

// A terminal that knows no menus, and one that is told to do without.
func TestFindPlainOnATerminal(t *testing.T) {
	for name, c := range map[string]struct{ environment, args []string }{
		"dumb":  {[]string{"TERM=dumb"}, nil},
		"empty": {[]string{"TERM="}, nil},
		"plain": {nil, []string{"--plain"}},
	} {
		t.Run(name, func(t *testing.T) {
			s := onTerminal(t, 80, 24, c.environment, append([]string{"find", "two-lamp"}, c.args...)...)
			s.await("1  none")
			s.await("> ")
			s.press("none\n")
			s.await("CHECK 1")
			s.await("> ")
			s.press("stop\n")
			assert.Equal(t, exitDone, s.exit())
			assert.NotContains(t, s.text(), "\x1b")
		})
	}
	t.Run("Ctrl-C", func(t *testing.T) {
		s := onTerminal(t, 80, 24, nil, "find", "two-lamp", "--plain")
		s.await("> ")
		s.press(interrupt)
		assert.Equal(t, exitFailed, s.exit())
		s.await("deadrung: interrupted; no log was kept")
	})
}

// A session keeps a log without being told to, and the next one on the circuit offers it.
func TestFindOffersTheLastLog(t *testing.T) {
	state := []string{"XDG_STATE_HOME=" + t.TempDir()}
	s := onTerminal(t, 60, 24, state, "find", "cold-store-alarm")
	s.key("w", "say it in words")
	s.await("In words:")
	s.press("horn silent in step 3\n")
	s.await("In which step does it go wrong?")
	s.key("n", "nothing more to tell")
	s.await("CHECK 1")
	s.await(menuShown)
	s.press(interrupt)
	assert.Equal(t, exitFailed, s.exit())
	s.await("interrupted; the log is safe in")

	s = onTerminal(t, 60, 24, state, "find", "cold-store-alarm")
	s.await("The last session on this circuit is kept, with 1")
	s.key("y", "go on with the last one")
	s.await("Going on with")
	s.await("look at horn B1")
	s.await("CHECK 1")
	s.await(menuShown)
	s.press("m") // more of what can be answered
	s.await("found something: burnt")
	s.press("e")
	s.await("What was seen, and where?")
	s.press("B1 burnt\n")
	s.await("Noted: seen at B1: burnt.")
	s.await(menuShown)
	s.press("s")
	s.await("Go on with: deadrung find")
	assert.Equal(t, exitDone, s.exit())

	s = onTerminal(t, 60, 24, state, "find", "cold-store-alarm")
	s.await("with 2")
	s.key("n", "begin anew")
	s.await("In which step does it go wrong?")
	s.await(menuShown)
	s.press("\x04")
	assert.Equal(t, exitDone, s.exit())
	s.await("so no log is kept")
}
