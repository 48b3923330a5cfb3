package drawing

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// A text drawing keeps to its columns, whatever the circuit, and needs nothing but ASCII
// where that is asked for.
func TestTextKeepsItsColumns(t *testing.T) {
	for _, c := range every(t) {
		d := New(c)
		for _, columns := range []int{80, 60} {
			for line := range strings.Lines(d.Text(Options{Columns: columns})) {
				require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), columns,
					"%s at %d columns: %s", c.File, columns, line)
			}
		}
		for _, r := range d.Text(Options{ASCII: true}) {
			require.Less(t, r, rune(128), c.File)
		}
	}
}

// At 80 columns the built-in circuits leave nothing out: every name and terminal stands on
// its rung, every wire number in the drawing.
func TestTextIsWhole(t *testing.T) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		d := New(readText(t, name, string(text)))
		for _, r := range d.Rungs {
			one := d.Text(Options{Rungs: []int{r.Number}})
			words := strings.FieldsFunc(one,
				func(c rune) bool { return strings.ContainsRune(" ─│┌┐└┘├┤┬┴┼()<>{}\n", c) })
			for _, p := range r.Parts {
				if p.Kind != Bridge && p.Kind != Reference && p.Kind != Ground {
					require.True(t, slices.ContainsFunc(words, func(w string) bool {
						return w == p.Name() || strings.HasSuffix(w, ":"+p.Name()) // of several coils it says which
					}), "%s rung %d lacks %s:\n%s", name, r.Number, p.Name(), one)
				}
			}
		}
		whole := d.Text(Options{})
		words := strings.FieldsFunc(whole,
			func(c rune) bool { return strings.ContainsRune(" ─│┌┐└┘├┤┬┴┼()<>{}[]/o=\n", c) })
		for _, n := range d.Circuit.Numbers {
			if d.graph.drawn(n.Name) {
				require.True(t, slices.ContainsFunc(words, func(w string) bool {
					return w == n.Name || strings.HasPrefix(w, n.Name)
				}), "%s: wire %s is not in\n%s", name, n.Name, whole)
			}
		}
	}
}

// drawn tells whether parts hang on a wire number.
func (g *graph) drawn(name string) bool {
	return slices.ContainsFunc(g.number, func(n int) bool { return n >= 0 && g.c.Numbers[n].Name == name })
}

// A step is told by characters alone.
func TestTextOfAStep(t *testing.T) {
	text, _ := circuits.BuiltinText("start-stop")
	c := readText(t, "start-stop", string(text))
	d := New(c)
	drawn := d.Text(Options{State: d.At(c.Step("start pressed"))})
	require.Contains(t, drawn, "(M1*)")
	require.Contains(t, drawn, "═")
	require.Contains(t, drawn, "┤█├")
	off := d.Text(Options{State: d.Off(c.Step("start pressed"))})
	require.NotContains(t, off, "═")
	require.NotContains(t, off, "(M1*)")
	require.Contains(t, off, "PB2*", "the button is held")
}
