package exam

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The usual weights as they are printed read as themselves.
func TestSchemeReadsItself(t *testing.T) {
	s, problems := ReadScheme("w.yaml", []byte(Usual.Text()))
	require.Empty(t, problems)
	assert.Equal(t, Usual, s)
	for _, nothing := range []string{"", "# nothing\n", "marks:\n"} {
		s, problems = ReadScheme("w.yaml", []byte(nothing))
		require.Empty(t, problems)
		assert.Equal(t, Usual, s)
	}
}

// All mistakes of a file are told in one pass, each at its place.
func TestSchemeWrong(t *testing.T) {
	_, problems := ReadScheme("w.yaml", []byte(`marks:
  falt: 50
  checks: many
  safety: -1
  time: "10"
lose: 3
time:
  clock: sundial
  full: 2
  full: 3
pass: 140
colour: red
`))
	var got []string
	for _, p := range problems {
		got = append(got, p.String())
	}
	assert.Equal(t, []string{
		`w.yaml:2:3: marks has no key "falt"; perhaps fault is meant`,
		`w.yaml:3:11: marks checks is "many" where a number is needed; right: a number from 0 to 1000`,
		`w.yaml:4:11: marks safety is -1; right: a number from 0 to 1000`,
		`w.yaml:5:9: marks time is "10" where a number is needed; right: a number from 0 to 1000`,
		`w.yaml:6:7: lose is no list of keys; right: key: value, with the keys premature, redundant, irrelevant, unsafe`,
		`w.yaml:8:10: time clock is "sundial"; right: wall or panel`,
		`w.yaml:10:3: full stands twice; right: once`,
		`w.yaml:11:7: pass is 140; right: a number from 0 to 100`,
		`w.yaml:12:1: the file has no key "colour"; there are marks, right, lose, time, wiring, pass`,
	}, got)
	_, problems = ReadScheme("w.yaml", []byte("marks: {fault: 0, checks: 0, safety: 0, time: 0}\n"))
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].What, "no marks to be had")
	_, problems = ReadScheme("w.yaml", []byte("time: {full: 3, none: 2}\n"))
	require.Len(t, problems, 1)
	_, problems = ReadScheme("w.yaml", []byte("marks: [\n"))
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].What, "this is not YAML")
	_, problems = ReadScheme("w.yaml", []byte("- 1\n"))
	require.Len(t, problems, 1)
}

func FuzzReadScheme(f *testing.F) {
	f.Add([]byte(Usual.Text()))
	f.Add([]byte("marks: {fault: .nan}"))
	f.Add([]byte("a: &a [*a]"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, problems := ReadScheme("w", text)
		if len(problems) == 0 && !(s.All() > 0 && s.None > s.Full) {
			t.Fatalf("a scheme that marks nothing: %+v", s)
		}
	})
}
