package read

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Other programs look for FILE:LINE:COLUMN: at the start of a line. Each problem has it
// once; the line of the file, the carets and the hint below are set in, so that whatever
// the file holds, they never have it.
func TestOnePlaceAProblem(t *testing.T) {
	place := regexp.MustCompile(`(?m)^\S.*?:\d+:\d+: `)
	all := circuits.Problems{
		{File: "a.yaml", Pos: circuits.Pos{Line: 3, Column: 1}, What: "odd", Hint: "b.yaml:2:2: even", Source: "a.yaml:3:1: odd"},
		{File: "a.yaml", Pos: circuits.Pos{Line: 4, Column: 9}, What: "odd\na.yaml:7:7: twice", Source: "x\na.yaml:1:1: odd", Warning: true},
		{File: "a\nb.yaml", Pos: circuits.Pos{Line: 5, Column: 2}, What: "odd", Hint: "even\r\na.yaml:1:1: more", Source: "\ta.yaml:3:1: odd"},
	}
	for name, text := range files(t, "testdata/err/*.yaml") {
		_, problems := Read(name, text)
		all = append(all, problems...)
	}
	require.Greater(t, len(all), 100)
	for _, p := range all {
		first, rest, _ := strings.Cut(p.Detail(), "\n")
		assert.True(t, strings.HasPrefix(first,
			circuits.OneLine(fmt.Sprintf("%s:%d:%d: ", p.File, p.Pos.Line, p.Pos.Column))), first)
		assert.NotRegexp(t, place, rest)
		for line := range strings.Lines(rest) {
			assert.True(t, strings.HasPrefix(line, "  "), "%q", line)
		}
	}
	assert.Len(t, place.FindAllString(all.Detail(), -1), len(all))
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
	var all circuits.Problems
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
	assert.Equal(t, []circuits.Problem(problems), c.Warnings)
	assert.Equal(t, "a.yaml:5:3: warning: H2 is on no wire\n    H2: {type: lamp}\n    ^^\n", problems.Detail())
}
