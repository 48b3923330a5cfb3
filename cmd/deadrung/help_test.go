package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/cmd/deadrung/paper"
)

var word = regexp.MustCompile(`"[^"]*"|\S+`)

// Every command shows examples, and each of them is one that the program takes.
func TestExamplesAreCommands(t *testing.T) {
	used := make(map[string]bool)
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		_, path, _ := strings.Cut(c.CommandPath(), " ")
		if !strings.HasPrefix(path, "completion") && path != "help" {
			used[path] = true
			assert.NotEmpty(t, c.Example, "%q has no example", c.CommandPath())
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}}))
	for path, text := range examples {
		assert.True(t, used[path], "there is no command %q", path)
		for _, line := range strings.Split(text, "\n") {
			var args []string
			for _, w := range word.FindAllString(line, -1) {
				args = append(args, strings.Trim(w, `"`))
			}
			require.Equal(t, "deadrung", args[0], line)
			root := newRoot(streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
			c, rest, err := root.Find(args[1:])
			require.NoError(t, err, line)
			require.NoError(t, c.ParseFlags(rest), line)
			assert.NoError(t, c.ValidateArgs(c.Flags().Args()), line)
		}
	}
}

// The page of device types is what the rows say.
func TestDeviceTypesPage(t *testing.T) {
	var made bytes.Buffer
	paper.DeviceTypes(&made)
	page, err := os.ReadFile(filepath.FromSlash("../../docs/devices.md"))
	require.NoError(t, err)
	assert.Equal(t, made.String(), string(page), "renew it with: deadrung circuits --types -o docs/devices.md")
}
