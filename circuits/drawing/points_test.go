package drawing_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
)

// A point is where the SVG has its ring, and what is not drawn has none.
func TestPointsAreTheRings(t *testing.T) {
	for _, name := range circuits.Builtin() {
		d := drawing.New(builtin(t, name))
		points := d.Points(drawing.Options{})
		require.NotEmpty(t, points)
		for _, n := range d.Circuit.Numbers {
			for _, w := range n.Wires {
				svg := string(d.SVG(drawing.Options{Leads: []drawing.Lead{{Terminal: w.From}}}))
				at, drawn := points[w.From]
				if !drawn {
					require.NotContains(t, svg, `class="lead red"`, "%s: %s", name, w.From)
					continue
				}
				require.Contains(t, svg, fmt.Sprintf(`<circle class="lead red" cx="%s" cy="%s"`, tenth(at[0]),
					tenth(at[1])), "%s: %s", name, w.From)
			}
		}
	}
}

// tenth writes a coordinate as the SVG does.
func tenth(v float64) string { return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0") }
