package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// The sheets of an exam open in a browser, on a phone and without script; they carry the
// caution, nothing sticks out, and what they say is what was marked. DEADRUNG_PICTURES
// names a folder for pictures of them.
func TestExamSheets(t *testing.T) {
	pictures := os.Getenv("DEADRUNG_PICTURES")
	dir := examIn(t, "cold-store-alarm", "--count", "8", "--faults", "2")
	t.Setenv(passphraseVariable, testPhrase)
	require.NoError(t, robot([]string{"-wrong", "4", "-half", "5", "-careless", "7", "-wasteful", "8",
		filepath.Join(dir, packetsDir), filepath.Join(dir, answersDir)}))
	require.Equal(t, exitDone,
		run([]string{"exam", "mark", dir, "-o", os.DevNull}, streams{out: os.Stdout, err: os.Stderr}))
	key := filepath.Join(dir, "key.html")
	require.Equal(t, exitDone,
		run([]string{"exam", "key", dir, "--html", "-o", key}, streams{out: os.Stdout, err: os.Stderr}))
	bench := examIn(t, "cold-store-alarm", "--form", "bench", "--count", "3")
	cards := filepath.Join(dir, "cards.html")
	require.Equal(t, exitDone,
		run([]string{"exam", "cards", bench, "--html", "-o", cards}, streams{out: os.Stdout, err: os.Stderr}))
	marks := filepath.Join(dir, "marks")
	for _, o := range []browser.Options{{Width: 900, Height: 1300, NoScript: true},
		{Width: 360, Height: 740, Dark: true, NoScript: true}} {
		b := browser.Open(t, o)
		for _, c := range []struct{ file, heading, has string }{
			{filepath.Join(marks, "class.html"), "Fault-finding exam: the class", "Seat 5 candidate 5, fault 1: the candidate stopped before naming a fault"},
			{filepath.Join(marks, "001-candidate-1.html"), "candidate 1: Fault-finding exam", "2 of 2 faults found"},
			{filepath.Join(marks, "005-candidate-5.html"), "candidate 5: Fault-finding exam", "not passed"},
			{filepath.Join(marks, "007-candidate-7.html"), "candidate 7: Fault-finding exam", "power off but not locked out"},
			{filepath.Join(marks, "008-candidate-8.html"), "candidate 8: Fault-finding exam", "redundant"},
			{key, "Fault-finding exam: the key", "For the instructor alone"},
			{cards, "Fault-finding exam: cards for the benches", "Take out, power locked off again"},
		} {
			b.Go(c.file)
			assert.Equal(t, c.heading, b.Text("h1"))
			assert.Contains(t, b.Text("aside.caution"), "a control circuit has live parts at 120 V and more")
			assert.Contains(t, b.Text("body"), c.has)
			assert.Empty(t, b.SticksOut(), "%s at %d", filepath.Base(c.file), o.Width)
			if pictures != "" {
				name := filepath.Join(pictures, filepath.Base(c.file))
				b.Picture(name + map[bool]string{true: ".phone", false: ""}[o.Dark] + ".png")
				b.Print(name + ".pdf")
			}
		}
	}
}
