//go:build unix

package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/exam"
)

const testPhrase = "a passphrase for the test"

// examIn sets a small exam in a folder and gives its path.
func examIn(t *testing.T, args ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "ex")
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := &exec.Cmd{Path: self, Args: append([]string{"deadrung", "exam", "set", "--dir", dir,
		"--work-factor", "1", "--seed", "3"}, args...),
		Env: append(os.Environ(), passphraseVariable+"="+testPhrase)}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	return dir
}

// A sitting by menus, from the packet to the receipt, with Ctrl-C in between: nothing that
// was answered is lost, and the marking finds all of it.
func TestExamSitWithMenus(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "1")
	packet, answers := filepath.Join(dir, packetsDir, "001-candidate-1"+packetEnd),
		filepath.Join(dir, answersDir)
	s := onTerminal(t, 80, 24, nil, "exam", "sit", packet, "--answers", answers)
	s.await("CAUTION")
	s.await("What do you do?")
	s.take(4, "work the circuit to a step")
	s.await("To the end of which step?")
	s.take(1, "the next")
	s.await("What do you do?")
	s.take(1, "look at something")
	s.await("Look at what?")
	s.take(1, "lamp H1")
	s.await("What do you do?")
	s.await(menuShown)
	s.press(interrupt)
	assert.Equal(t, exitFailed, s.exit())
	s.await("deadrung: interrupted; everything answered is safe in ")

	s = onTerminal(t, 60, 20, nil, "exam", "sit", packet, "--answers", answers)
	s.await("You go on where you stopped.")
	s.await("look at lamp H1")
	s.await("What do you do?")
	s.take(10, "name the fault")
	s.await("What is the fault?")
	s.press("F1\n")
	s.await("Which?")
	s.take(1, "")
	s.await("Name it: ")
	s.take(1, "yes, that is the fault")
	s.await("Noted: you say that ")
	s.await("receipt ")
	assert.Equal(t, exitDone, s.exit())

	logs, err := filepath.Glob(filepath.Join(answers, "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 1)
	text, err := os.ReadFile(logs[0])
	require.NoError(t, err)
	p, err := readPacket(packet, streams{})
	require.NoError(t, err)
	chain := exam.NewChain(p.Chain, exam.SittingID(p.Exam, 1, 1))
	assert.Zero(t, chain.Follow(text).Broken)
	assert.Equal(t, 2, strings.Count(string(text), `"sitting"`), "two sessions")
	assert.Contains(t, s.text(), chain.Receipt())
}

// The passphrase is typed twice and never shown; a short one and two that differ are
// asked for again.
func TestPassphraseIsNotShown(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "ex")
	s := onTerminal(t, 80, 24, nil, "exam", "set", "two-lamp", "--count", "2", "--dir", dir,
		"--work-factor", "1")
	const asked = "Passphrase of the exam (Enter alone: one is made for you): "
	s.await(asked)
	s.press("\n")
	s.await("Write this down where no candidate comes, and type it: ")
	s.await(asked)
	s.press("tooshort\n")
	s.await("A passphrase of at least 12 letters is needed")
	s.await(asked)
	s.press(testPhrase + "\n")
	s.await("The same again: ")
	s.press("something else\n")
	s.await("The two are not the same.")
	s.await(asked)
	s.press(testPhrase + "\n")
	s.await("The same again: ")
	s.press(testPhrase + "\n")
	s.await("Fault-finding exam: 2 candidates")
	assert.Equal(t, exitDone, s.exit())
	assert.NotContains(t, s.text(), "passphrase for the test")
	assert.NotContains(t, s.text(), "tooshort")

	s = onTerminal(t, 80, 24, nil, "exam", "key", dir)
	s.await("Passphrase of the exam: ")
	s.press("not the passphrase\n")
	s.await("the passphrase does not open this key; a forgotten one cannot be recovered by anybody")
	assert.Equal(t, exitFailed, s.exit())

	s = onTerminal(t, 80, 24, nil, "exam", "key", dir)
	s.await("Passphrase of the exam: ")
	s.press("half a pass", interrupt) // the terminal echoes again afterwards: exit looks
	assert.Equal(t, exitFailed, s.exit())
	assert.NotContains(t, s.text(), "half a pass")
}

// Without a word exam asks by menus.
func TestExamMenu(t *testing.T) {
	dir := examIn(t, "two-lamp", "--count", "2")
	s := onTerminal(t, 80, 24, []string{passphraseVariable + "=" + testPhrase}, "exam")
	s.await("What is to be done?")
	s.take(4, "see who has which fault")
	s.await("The folder of the exam:")
	s.await("> ")
	s.press(dir + "\n")
	s.await("the key. For the instructor alone.")
	assert.Equal(t, exitDone, s.exit())

	s = onTerminal(t, 80, 24, []string{passphraseVariable + "=" + testPhrase}, "exam")
	s.await("What is to be done?")
	s.take(3, "mark the answers")
	s.await("The folder of the exam:")
	s.await("> ")
	s.press(dir + "\n")
	s.await("The sheets and tables are in")
	assert.Equal(t, exitDone, s.exit())
	text, err := os.ReadFile(filepath.Join(dir, examFile))
	require.NoError(t, err)
	var e exam.Exam
	require.NoError(t, json.Unmarshal(text, &e))
	assert.Len(t, e.Class, 2)
}
