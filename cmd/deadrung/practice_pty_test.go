//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Choices of a practice by their place in the menu.
const (
	liveLook, liveVolts, liveLock, liveProve, liveName, liveCoach = 2, 3, 5, 8, 9, 12

	offMeter, offTry, offDead, offRestore, offRepair = 4, 5, 6, 7, 9
)

// TestPracticeWithMenus: by menus from the report to the proved operation, interrupted
// once in between.
func TestPracticeWithMenus(t *testing.T) {
	dir := t.TempDir()
	log := filepath.Join(dir, "p.log")
	environment := []string{"XDG_DATA_HOME=" + dir}
	s := onTerminal(t, 80, 24, environment, "practice", "cold-store-alarm", "--seed", "3", "--log", log)
	s.await("CAUTION")
	s.await("REPORTED: lamp H1 (beacon) is dark")
	s.take(liveLook, "look at a device")
	s.await("Look at what?")
	s.take(4, "horn B1")
	s.await("on (sounding)")
	s.take(liveVolts, "measure volts")
	s.await("Red lead and black lead")
	s.press("list\n")
	s.await("Red lead: where?")
	s.take(3, "on the door")
	s.take(2, "lamp H1")
	s.take(1, "H1:1")
	s.await("Black lead: where?")
	s.take(1, "in the panel")
	s.take(1, "control transformer T1")
	s.take(2, "T1:X2")
	s.await("volts H1:1 to T1:X2 in \"door left open\": 119.9 V")
	s.take(liveCoach, "what was the last check worth?")
	s.await("Coach: 120 V here: everything before it is good. It rules out")
	s.await(menuShown)
	s.press(interrupt)
	assert.Equal(t, exitFailed, s.exit())
	s.await("interrupted; the log is safe in")

	s = onTerminal(t, 80, 24, environment, "practice", "cold-store-alarm", "--log", log)
	s.await("2. volts H1:1 to T1:X2")
	s.take(liveName, "name the fault")
	s.await("What is the fault?")
	s.press("open-H1\n")
	s.await("Noted: you say that lamp H1 is open.")
	s.take(liveLock, "switch off, lock and tag")
	s.take(offTry, "try the start button")
	s.take(offMeter, "test the meter")
	s.take(offDead, "test the circuit for voltage")
	s.take(offMeter, "test the meter")
	s.take(offRepair, "put something right")
	s.take(1, "what was named: lamp H1 is open")
	s.take(offRestore, "bring the power back")
	s.take(liveProve, "prove the operation")
	for range 7 {
		s.await("Worked right?")
		s.take(1, "worked right")
	}
	s.await("REPLAY")
	s.await("You named it: right.")
	assert.Equal(t, exitDone, s.exit())
	assert.NotContains(t, s.text(), "UNSAFE")
	scores, err := os.ReadFile(filepath.Join(dir, "deadrung", "practice.jsonl"))
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(scores), "\n"))
}

// TestPracticeOnASmallScreen: 40 columns, nine rows; the long menu scrolls.
func TestPracticeOnASmallScreen(t *testing.T) {
	s := onTerminal(t, 40, 9, []string{"XDG_DATA_HOME=" + t.TempDir()}, "practice", "two-lamp", "--seed", "4")
	s.await("What do you do?")
	s.await(menuShown)
	s.press("?")
	s.await("Before ohms: lock")
	s.await(menuShown)
	s.press(strings.Repeat(down, 40), enter) // the last: stop
	s.await("The practice is not over")
	assert.Equal(t, exitDone, s.exit())
}
