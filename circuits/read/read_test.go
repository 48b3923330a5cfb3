package read

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func files(t testing.TB, pattern string) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob(pattern)
	require.NoError(t, err)
	require.NotEmpty(t, names, pattern)
	texts := make(map[string][]byte, len(names))
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		texts[filepath.Base(name)] = text
	}
	return texts
}

// Files in testdata/ok and the built-in circuits must be silent.
func TestReadSilently(t *testing.T) {
	for _, pattern := range []string{"testdata/ok/*.yaml", "../*.yaml"} {
		for name, text := range files(t, pattern) {
			t.Run(name, func(t *testing.T) {
				c, problems := Read(name, text)
				assert.Empty(t, problems.Error())
				require.NotNil(t, c)
				assert.NoError(t, problems.Err())
			})
		}
	}
}

// What a line of a file in testdata/err says of itself: # wrong: some words of the
// problem, or # warning: some words. More than one is separated by |.
var expected = regexp.MustCompile(`# (wrong|warning): (.*)$`)

// Files in testdata/err must complain of the lines that say so, and of no others.
func TestReadComplains(t *testing.T) {
	for name, text := range files(t, "testdata/err/*.yaml") {
		t.Run(name, func(t *testing.T) {
			c, problems := Read(name, text)
			assert.Equal(t, problems.Err() == nil, c != nil)
			left := make(map[int][]circuits.Problem)
			for _, p := range problems {
				left[p.Pos.Line] = append(left[p.Pos.Line], p)
			}
			for i, line := range splitLines(string(text)) {
				m := expected.FindStringSubmatch(line)
				if m == nil {
					continue
				}
				for _, words := range strings.Split(m[2], " | ") {
					if !take(left, i+1, words, m[1] == "warning") {
						t.Errorf("%s:%d: nothing says %q; what is said of the line: %v", name, i+1, words, left[i+1])
					}
				}
			}
			for _, ps := range left {
				for _, p := range ps {
					t.Errorf("not expected: %s", p)
				}
			}
		})
	}
}

// take removes the problem of a line that has the words.
func take(left map[int][]circuits.Problem, line int, words string, warning bool) bool {
	for i, p := range left[line] {
		if p.Warning == warning && strings.Contains(p.String(), words) {
			left[line] = append(left[line][:i:i], left[line][i+1:]...)
			return true
		}
	}
	return false
}

// repeat writes a line so many times, with its number for each #.
func repeat(line string, times int) string {
	var b strings.Builder
	for i := range times {
		b.WriteString(strings.ReplaceAll(line, "#", strconv.Itoa(i+1)))
	}
	return b.String()
}

// rungs is a circuit of so many rungs: a push button and a sealing contact, a relay,
// a lamp.
func rungs(n int) string {
	return "circuit: Many rungs\ndevices:\n" +
		"  T1: {type: control-transformer, volts: 120}\n" +
		repeat("  PB#: {type: push-button, place: door, contacts: [{no: [13, 14]}], note: starts rung #}\n"+
			"  CR#: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {no: [23, 24]}]}\n"+
			"  H#: {type: lamp, place: door}\n", n) +
		"wires:\n  L:\n" +
		repeat("    - [T1:X1, PB#:13, CR#:11, CR#:23]\n", n) +
		"  N:\n" +
		repeat("    - [T1:X2, CR#:A2, H#:2]\n", n) +
		repeat("  #A: [PB#:14, CR#:14, CR#:A1]\n  #B: [CR#:24, H#:1]\n", n) +
		"operation:\n" +
		repeat("  - step: button # pressed\n    set: {PB#: pressed}\n    expect: {CR#: on, H#: on}\n", n)
}

func BenchmarkRead(b *testing.B) {
	text := []byte(rungs(100))
	c, problems := Read("rungs.yaml", text)
	require.NoError(b, problems.Err())
	require.Len(b, c.Devices, 301)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		Read("rungs.yaml", text)
	}
}

// Whatever the bytes, reading them ends without a panic, every problem is one line at
// a place in the file, and a circuit comes out if and only if there is no error.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"testdata/ok/*.yaml", "testdata/err/*.yaml"} {
		for _, text := range files(f, pattern) {
			f.Add(text)
		}
	}
	for _, text := range []string{"", "\uFEFFa: b", "a: &a [*a]", "a: b: c", "[", "- \r\n\t- '",
		"%YAML 1.2\n---\n", "? ~\n: !x y\n---\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		c, problems := Read("x.yaml", text)
		if (c == nil) != (problems.Err() != nil) {
			t.Fatalf("circuit %v with %v", c, problems)
		}
		lines := len(splitLines(string(text)))
		for i, p := range problems {
			if p.Pos.Line < 1 || p.Pos.Line > lines || p.Pos.Column < 1 {
				t.Errorf("no such place: %s", p)
			}
			if strings.ContainsAny(p.String(), "\r\n") || len(p.Detail()) == 0 {
				t.Errorf("more than a line: %q", p)
			}
			if i > 0 && (problems[i-1].Pos.Line > p.Pos.Line) {
				t.Errorf("not sorted: %s, %s", problems[i-1], p)
			}
		}
		if c == nil {
			return
		}
		for _, d := range c.Devices {
			for _, contact := range d.Contacts {
				if len(contact.Closed) != len(d.Positions) || contact.A == contact.B {
					t.Errorf("%s: contact %+v of %v", d.Name, contact, d.Positions)
				}
			}
		}
		for _, n := range c.Numbers {
			if len(n.Wires) == 0 {
				t.Errorf("wire %s has no wires", n.Name)
			}
		}
		if c.Rungs == nil {
			return
		}
		// What the rungs give stays the same when it is written out, and when it is kept.
		again, problems := Read("x.yaml", Wired(text, c, nil))
		if problems.Err() != nil || WireLines(again.Numbers) != WireLines(c.Numbers) {
			t.Errorf("%v\n%s", problems, Wired(text, c, nil))
		}
		kept, problems := ReadKeeping("x.yaml", text, c)
		if problems.Err() != nil || WireLines(kept.Numbers) != WireLines(c.Numbers) {
			t.Errorf("%v: kept\n%snot\n%s", problems, WireLines(kept.Numbers), WireLines(c.Numbers))
		}
	})
}
