package dialogue

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/diagnose/training"
)

// A drawn drill has a mark at every unit that may be open, none elsewhere, and the leads at their
// points; a long string is broken at the width of the screen.
func TestDrillDrawn(t *testing.T) {
	d, err := training.ContactString(24)
	require.NoError(t, err)
	for _, drill := range []training.Drill{d, training.TwoWireLine()} {
		r := drill.Start(3)
		drawn := func() string { return strings.Join(drillDrawn(r, 60, true), "\n") }
		assert.Equal(t, len(drill.Units), strings.Count(drawn(), "?"), drawn())
		assert.NotContains(t, drawn(), "^")
		for _, point := range []int{len(drill.Points) / 2, len(drill.Points) - 1, 0} {
			r.Check(point)
			text := drawn()
			assert.Equal(t, len(r.Left), strings.Count(text, "?"), text)
			assert.Equal(t, 1, strings.Count(text, "^RED"), text)
			for line := range strings.Lines(text) {
				assert.LessOrEqual(t, len(strings.TrimSpace(line)), 60)
			}
		}
	}
	r := d.Start(3)
	r.Check(4)
	lines := drillDrawn(r, 80, false)
	assert.NotContains(t, lines[0], "?", "the coach speaks after the end")
	assert.Equal(t, strings.Index(lines[0], "-5-")+1, strings.Index(lines[1], "^RED"))
}
