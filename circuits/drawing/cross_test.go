package drawing

import (
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

// No conductor crosses another in any built-in or published circuit.
func TestNoCrossings(t *testing.T) {
	for _, c := range every(t)[:60] {
		require.Zero(t, crossed(New(c)), c.File)
	}
}

func TestCrossingsOfGeneratedPanels(t *testing.T) {
	total := 0
	for seed := range uint64(40) {
		n := crossed(New(read(t, "panel", generate.Panel(seed, generate.Options{Rungs: 30}))))
		total += n
	}
	t.Log("crossings in 40 panels of 30 rungs:", total)
	require.Less(t, total, 80)
}

func BenchmarkNew(b *testing.B) {
	c := read(b, "100 rungs", generate.Rungs(100))
	for b.Loop() {
		New(c)
	}
}

func BenchmarkSVG(b *testing.B) {
	d := New(read(b, "100 rungs", generate.Rungs(100)))
	for b.Loop() {
		d.SVG(Options{})
	}
}

func BenchmarkText(b *testing.B) {
	d := New(read(b, "100 rungs", generate.Rungs(100)))
	for b.Loop() {
		d.Text(Options{})
	}
}
