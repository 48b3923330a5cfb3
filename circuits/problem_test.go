package circuits

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestProblem(t *testing.T) {
	p := Problem{
		File: "a.yaml", Pos: Pos{Line: 3, Column: 13}, Width: 4,
		What: `unknown device type "fues"`, Hint: "fuse",
		Source: "  F1: {type: fues, amps: 1}",
	}
	tests := []struct {
		name   string
		change func(*Problem)
		line   string
		detail string
	}{
		{"as it is", func(p *Problem) { p.Pos.Column = 14 },
			`a.yaml:3:14: unknown device type "fues"; right: fuse`, `
a.yaml:3:14: unknown device type "fues"
    F1: {type: fues, amps: 1}
               ^^^^
  right: fuse`},
		{"without a hint", func(p *Problem) { p.Hint, p.Pos.Column, p.Width = "", 14, 0 },
			`a.yaml:3:14: unknown device type "fues"`, `
a.yaml:3:14: unknown device type "fues"
    F1: {type: fues, amps: 1}
               ^`},
		{"a warning", func(p *Problem) { p.Warning, p.Source = true, "" },
			`a.yaml:3:13: warning: unknown device type "fues"; right: fuse`, `
a.yaml:3:13: warning: unknown device type "fues"
  right: fuse`},
		{"tabs and wide letters before the place", func(p *Problem) { p.Source, p.Pos.Column = "ä\t\tö: fues", 7 },
			`a.yaml:3:7: unknown device type "fues"; right: fuse`,
			"\na.yaml:3:7: unknown device type \"fues\"\n" +
				"  ä\t\tö: fues\n" +
				"   \t\t   ^^^^\n" +
				"  right: fuse"},
		{"past the end of the line", func(p *Problem) { p.Source, p.Pos.Column = "F1:", 9 },
			`a.yaml:3:9: unknown device type "fues"; right: fuse`, `
a.yaml:3:9: unknown device type "fues"
  F1:
     ^
  right: fuse`},
		{"control characters", func(p *Problem) { p.What, p.Source, p.Pos.Column = "odd\n\x1b[31m", "a\x1b[31m", 2 },
			`a.yaml:3:2: odd  [31m; right: fuse`, `
a.yaml:3:2: odd  [31m
  a` + "\uFFFD" + `[31m
   ^^^^
  right: fuse`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			p := p
			test.change(&p)
			assert.Equal(t, test.line, p.String())
			assert.Equal(t, test.detail, "\n"+p.Detail())
		})
	}
}

// A very long line is shown around the place.
func TestProblemInLongLine(t *testing.T) {
	p := Problem{Pos: Pos{Line: 1, Column: 501}, Width: 3,
		Source: strings.Repeat("a", 500) + "xyz" + strings.Repeat("b", 500)}
	lines := strings.Split(p.Detail(), "\n")
	require.Len(t, lines, 3)
	assert.Less(t, len(lines[1]), 120)
	assert.Equal(t, strings.Index(lines[1], "xyz"), strings.Index(lines[2], "^^^"))
}
