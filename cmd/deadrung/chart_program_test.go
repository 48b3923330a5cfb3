package main

import (
	"io"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper/sheet/browser"
)

// Where a chart does not go on, the program in the same file does, with the answers so far.
func TestChartGoesOnWithTheProgram(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("no Go tool is there, and the program for the page is built with it")
	}
	file := t.TempDir() + "/chart.html"
	o := chartOptions{circuit: "two-lamp", by: "minutes", html: true, program: true, output: file}
	require.NoError(t, runChart(t.Context(), o, streams{out: io.Discard, err: io.Discard}))
	b := browser.Open(t, browser.Options{Width: 390, Height: 800})
	b.Go(file)
	until := func(what string) {
		t.Helper()
		for begun := time.Now(); ; time.Sleep(50 * time.Millisecond) {
			var is bool
			if b.Evaluate("!!("+what+")", &is); is {
				return
			}
			require.Less(t, time.Since(begun), 2*time.Minute, "never came: %s", what)
		}
	}
	b.Evaluate(`document.querySelector("#start .answers a").click()`, nil)
	until(`document.querySelector(".stop:target .answers a")`)
	b.Evaluate(`document.querySelector(".stop:target .answers a").click()`, nil)
	until(`document.querySelector(".stop:target [data-log]")`)
	b.Evaluate(`document.querySelector(".stop:target [data-log]").click()`, nil)
	until(`document.getElementById("ask") && !document.getElementById("ask").hidden`)
	assert.Contains(t, b.Text("#told"), "Going on with what was kept: 1 answer.")
}
