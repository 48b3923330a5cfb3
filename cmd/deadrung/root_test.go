package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
)

// Whatever a flag is given that it does not take is refused in our words, not in those of
// the functions that read numbers.
func TestFlagMistakes(t *testing.T) {
	root := newRoot(streams{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
	tried := 0
	var visit func(c *cobra.Command)
	visit = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			err := c.Flags().Parse([]string{"--" + f.Name + "=~"})
			if err == nil {
				return // it takes any text
			}
			tried++
			assert.Regexp(t, "^--"+f.Name+` is (a|true) [a-z 0-9]+, not "~"$`, flagMistake(err), "%s --%s",
				c.Name(), f.Name)
		})
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(root)
	assert.Greater(t, tried, 10)
}
