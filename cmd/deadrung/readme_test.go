package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every console example of the README is run, and what it shows must be what comes
// out. A line of one … stands for any number of lines.
func TestReadmeExamples(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	t.Chdir("../..")
	examples := 0
	for _, block := range strings.Split(string(text), "```console\n")[1:] {
		block, _, ended := strings.Cut(block, "```")
		require.True(t, ended)
		command, want, _ := strings.Cut(block, "\n")
		args, isOurs := strings.CutPrefix(command, "$ deadrung ")
		require.True(t, isOurs, command)
		examples++
		t.Run(args, func(t *testing.T) {
			var out, errs bytes.Buffer
			status := run(arguments(args), streams{in: strings.NewReader(""), out: &out, err: &errs})
			assert.Zero(t, status, errs.String())
			assert.True(t, shows(strings.Split(out.String(), "\n"), strings.Split(want, "\n")),
				"the README shows\n%s\nand the program\n%s", want, out.String())
		})
	}
	require.Greater(t, examples, 3)
}

// arguments splits a command line at spaces outside of single quotes.
func arguments(line string) []string {
	var out []string
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

// shows tells whether lines are the wanted ones.
func shows(lines, want []string) bool {
	if len(want) == 0 {
		return len(lines) == 0
	}
	if want[0] == "…" {
		for i := 0; i <= len(lines); i++ {
			if shows(lines[i:], want[1:]) {
				return true
			}
		}
		return false
	}
	return len(lines) > 0 && lines[0] == want[0] && shows(lines[1:], want[1:])
}
