package drawing

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits/generate"
)

// crossed counts the crossings of a drawing.
func crossed(d *Drawing) int {
	n := 0
	for _, s := range d.sections {
		for _, gr := range s.groups {
			n += gr.crossings(s, gr.spans(s, gr.lines))
		}
	}
	return n
}

// threeLines are circuits with windings from line to line, which a ladder of two rails does not
// lay out without crossings.
var threeLines = map[string]int{"two-pumps": 2}

// No conductor crosses another in any other built-in or published circuit.
func TestNoCrossings(t *testing.T) {
	for _, c := range every(t) {
		if strings.HasPrefix(c.File, "panel") {
			continue
		}
		require.LessOrEqual(t, crossed(New(c)), threeLines[c.File], c.File)
	}
}

// Of forty random panels these have crossings. Whether they can be avoided has not been
// checked since the panels draw heaters, beacons and switches of the newer types.
var crossings = map[uint64]int{7: 1, 10: 1, 18: 2, 19: 4, 20: 2, 21: 2, 33: 2, 34: 8}

func TestCrossingsOfGeneratedPanels(t *testing.T) {
	for seed := range uint64(40) {
		d := New(readText(t, "panel", generate.Panel(seed, generate.Options{Rungs: 30})))
		require.LessOrEqual(t, crossed(d), crossings[seed], "panel %d", seed)
	}
}

func BenchmarkNew(b *testing.B) {
	c := readText(b, "100 rungs", generate.Rungs(100))
	for b.Loop() {
		New(c)
	}
}

func BenchmarkSVG(b *testing.B) {
	d := New(readText(b, "100 rungs", generate.Rungs(100)))
	for b.Loop() {
		d.SVG(Options{})
	}
}

func BenchmarkText(b *testing.B) {
	d := New(readText(b, "100 rungs", generate.Rungs(100)))
	for b.Loop() {
		d.Text(Options{})
	}
}
