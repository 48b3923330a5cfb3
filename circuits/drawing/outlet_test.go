package drawing

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits"
)

// behind gives what wires and bridges join to a terminal without passing another one.
func behind(c *circuits.Circuit, from, without circuits.Terminal) map[circuits.Terminal]bool {
	w := newWalk(c)
	found := map[circuits.Terminal]bool{from: true}
	for list := []circuits.Terminal{from}; len(list) > 0; list = list[1:] {
		for _, t := range w.beside[list[0]] {
			if t != without && !found[t] {
				found[t] = true
				list = append(list, t)
			}
		}
	}
	return found
}

// A terminal of a block through which a device at another place is wired stands in the line: no
// way leads from that device along its wire number to the supply's side but through it.
func TestTerminalsStandInTheLine(t *testing.T) {
	stood := 0
	for _, c := range append(every(t), readText(t, "many lamps", manyLamps(9))) {
		d := New(c)
		posts := make(map[circuits.Terminal]bool)
		taps := make(map[circuits.Terminal]bool)
		for _, r := range d.Rungs {
			for _, p := range r.Parts {
				for _, at := range p.Terminals() {
					posts[at] = posts[at] || p.Kind == Post
					taps[at] = taps[at] || p.Kind == Tap
				}
			}
		}
		w := newWalk(c)
		for terminal, in := range taps {
			if !in {
				continue
			}
			fed, led := false, false // sides with a supply; sides that lead away
			for _, n := range w.beside[terminal] {
				source, away := false, false
				for x := range behind(c, n, terminal) {
					source = source || w.ends[x]
					away = away || w.away[x]
				}
				fed, led = fed || source, led || away && !source
			}
			assert.False(t, fed && led, "%s: %s is drawn beside the line", c.File, terminal)
		}
		for _, in := range posts {
			stood += b2i(in)
		}
	}
	assert.Greater(t, stood, 100)
}

// manyLamps are lamps in the field that all return over one terminal.
func manyLamps(n int) string {
	var b strings.Builder
	b.WriteString("circuit: Lamps\ndevices:\n  T1: {type: control-transformer, volts: 120}\n" +
		"  TB1: {type: terminal-block, terminals: [1, 2]}\n")
	for i := range n {
		fmt.Fprintf(&b, "  S%d: {type: selector-switch, positions: [\"off\", \"on\"], rest: \"off\", "+
			"contacts: [{no: [1, 2]}]}\n  H%d: {type: lamp, place: field}\n", i, i)
	}
	b.WriteString("wires:\n  1: [T1:X1")
	for i := range n {
		fmt.Fprintf(&b, ", S%d:1", i)
	}
	b.WriteString("]\n  2: [T1:X2, TB1:1")
	for i := range n {
		fmt.Fprintf(&b, ", H%d:2", i)
	}
	b.WriteString("]\n")
	for i := range n {
		fmt.Fprintf(&b, "  %d: [S%d:2, H%d:1]\n", i+3, i, i)
	}
	b.WriteString("operation: [{step: at rest}]\n")
	return b.String()
}

// Where every lamp returns over one terminal, every rung shows it, and it is one terminal still.
func TestManyRungsOverOneTerminal(t *testing.T) {
	c := readText(t, "many lamps", manyLamps(9))
	// As its only way to the supply the terminal stands once, before the rail.
	assert.Equal(t, 1, New(c).Of("TB1:1"))
	more := strings.Replace(manyLamps(9), "2: [T1:X2, ", "2: [T1:X2, HD:2, ", 1)
	more = strings.Replace(more, "  TB1:", "  HD: {type: lamp}\n  TB1:", 1)
	more = strings.Replace(more, "1: [T1:X1, ", "1: [T1:X1, HD:1, ", 1)
	c = readText(t, "lamps in both places", more)
	d := New(c)
	for i := range 9 {
		r := d.Rungs[d.Of(circuits.Terminal(fmt.Sprintf("H%d:1", i)))-1]
		last := r.Parts[len(r.Parts)-1]
		assert.Equal(t, circuits.Terminal("TB1:1"), last.Left, "rung %d", r.Number)
		assert.Equal(t, Post, last.Kind, "rung %d", r.Number)
	}
	isTheCircuit(t, New(c), Options{})
}
