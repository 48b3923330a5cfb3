package circuits

import (
	"errors"
	"fmt"
	"regexp"
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

// Other programs look for FILE:LINE:COLUMN: at the start of a line. Each problem has it
// once; the line of the file, the carets and the hint below are set in, so that whatever
// the file holds, they never have it.
func TestOnePlaceAProblem(t *testing.T) {
	place := regexp.MustCompile(`(?m)^\S.*?:\d+:\d+: `)
	all := Problems{
		{File: "a.yaml", Pos: Pos{Line: 3, Column: 1}, What: "odd", Hint: "b.yaml:2:2: even", Source: "a.yaml:3:1: odd"},
		{File: "a.yaml", Pos: Pos{Line: 4, Column: 9}, What: "odd\na.yaml:7:7: twice", Source: "x\na.yaml:1:1: odd", Warning: true},
		{File: "a\nb.yaml", Pos: Pos{Line: 5, Column: 2}, What: "odd", Hint: "even\r\na.yaml:1:1: more", Source: "\ta.yaml:3:1: odd"},
	}
	for name, text := range files(t, "testdata/err/*.yaml") {
		_, problems := Read(name, text)
		all = append(all, problems...)
	}
	require.Greater(t, len(all), 100)
	for _, p := range all {
		first, rest, _ := strings.Cut(p.Detail(), "\n")
		assert.True(t, strings.HasPrefix(first, oneLine(fmt.Sprintf("%s:%d:%d: ", p.File, p.Pos.Line, p.Pos.Column))), first)
		assert.NotRegexp(t, place, rest)
		for line := range strings.Lines(rest) {
			assert.True(t, strings.HasPrefix(line, "  "), "%q", line)
		}
	}
	assert.Len(t, place.FindAllString(all.Detail(), -1), len(all))
}

// A very long line is shown around the place.
func TestProblemInLongLine(t *testing.T) {
	p := Problem{Pos: Pos{Line: 1, Column: 501}, Width: 3, Source: strings.Repeat("a", 500) + "xyz" + strings.Repeat("b", 500)}
	lines := strings.Split(p.Detail(), "\n")
	require.Len(t, lines, 3)
	assert.Less(t, len(lines[1]), 120)
	assert.Equal(t, strings.Index(lines[1], "xyz"), strings.Index(lines[2], "^^^"))
}

func TestProblems(t *testing.T) {
	text := "circuit: Two mistakes and a warning\n" +
		"devices:\n" +
		"  G1: {type: supply, volts: 24}\n" +
		"  H1: {type: lamp}\n" +
		"wires:\n" +
		"  1: [G1:L, H1:1]\n" +
		"  2: [G1:N, H1:2]\n" +
		"  2: [G1:N, H1:2]\n" +
		"operations: []\n"
	c, problems := Read("a.yaml", []byte(text))
	assert.Nil(t, c)
	want := "a.yaml:8:3: wires has \"2\" twice, already on line 7; right: each key once\n" +
		"a.yaml:9:1: unknown key \"operations\" in a circuit file; right: operation"
	assert.EqualError(t, problems.Err(), want)
	var all Problems
	require.True(t, errors.As(problems.Err(), &all))
	assert.Len(t, all, 2)

	text = strings.Replace(text, "  2: [G1:N, H1:2]\n", "", 1)
	text = strings.Replace(text, "operations: []", "operation: [{step: a}]", 1)
	text = strings.Replace(text, "wires:", "  H2: {type: lamp}\nwires:", 1)
	c, problems = Read("a.yaml", []byte(text))
	require.NotNil(t, c)
	assert.NoError(t, problems.Err())
	assert.Empty(t, problems.Errors())
	assert.Equal(t, "a.yaml:5:3: warning: H2 is on no wire", problems.Warnings().Error())
	assert.Equal(t, []Problem(problems), c.Warnings)
	assert.Equal(t, "a.yaml:5:3: warning: H2 is on no wire\n    H2: {type: lamp}\n    ^^\n", problems.Detail())
}
