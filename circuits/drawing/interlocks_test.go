package drawing

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A mechanical interlock is a dashed line from coil to coil in every form of the drawing, with its
// triangle by IEC 60617; what stands between the coils is not written over.
func TestInterlockIsDrawn(t *testing.T) {
	text, err := os.ReadFile("../read/testdata/ok/interlock.yaml")
	require.NoError(t, err)
	d := New(readText(t, "interlock.yaml", string(text)))
	for _, o := range ways {
		sc := d.newScene(o)
		require.Len(t, sc.locks, 1)
		way := sc.locks[0].points
		ends := 0
		for _, p := range sc.parts {
			if p.Kind != Load {
				continue
			}
			var r rect
			r.x1, r.y1, r.x2, r.y2 = p.extent()
			for _, at := range []Point{way[0], way[len(way)-1]} {
				if r.meets(between(at, at, 1)) {
					ends++
				}
			}
		}
		assert.Equal(t, 2, ends, "it ends at both coils")
		assert.Equal(t, o.Symbols == IEC, sc.locks[0].triangle != nil)

		svg := string(d.SVG(o))
		assert.Equal(t, 1, strings.Count(svg, `stroke-dasharray="5 3"`))
		assert.Equal(t, 1+b2i(o.Symbols == IEC), strings.Count(svg, `class="interlock"`))
		assert.True(t, func() bool {
			for _, l := range d.Figure(o).Lines {
				if l.Dashed {
					return true
				}
			}
			return false
		}())
	}
	without := New(readText(t, "apart.yaml", strings.NewReplacer(", interlock: M2", "", ", interlock: M1", "").Replace(string(text))))
	o := Options{}
	assert.Greater(t, strings.Count(string(d.DXF(o)), "\nLINE"), strings.Count(string(without.DXF(o)), "\nLINE"))
	assert.NotContains(t, string(without.SVG(o)), "interlock")
}

// Coils with other rungs between them have the line as well, which crosses conductors and nothing
// else.
func TestInterlockPastOtherRungs(t *testing.T) {
	for between := range 12 {
		var b strings.Builder
		b.WriteString("circuit: Gate\ndevices:\n  G1: {type: supply, volts: 120}\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n" +
			"  M1: {type: contactor, interlock: M2}\n  M2: {type: contactor}\n")
		rungs := "  - [PB1, M1]\n"
		for i := range between {
			fmt.Fprintf(&b, "  H%d: {type: lamp, note: green}\n  PB%d: {type: push-button, contacts: [{no: [13, 14]}]}\n", i, i+2)
			rungs += fmt.Sprintf("  - [PB%d, H%d]\n", i+2, i)
		}
		b.WriteString("  PB20: {type: push-button, contacts: [{no: [13, 14]}]}\nrungs:\n  - {feed: G1}\n" + rungs +
			"  - [PB20, M2]\noperation:\n  - step: at rest\n    expect: {M1: off}\n")
		d := New(readText(t, "gate.yaml", b.String()))
		for _, o := range ways {
			overlaps(t, d, o)
			assert.Len(t, d.newScene(o).locks, 1, "%d between, %+v", between, o)
		}
	}
}
