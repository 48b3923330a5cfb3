package generate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every shape can be drawn large, reads without mistakes and does what its steps expect.
func TestShapesReadAndVerify(t *testing.T) {
	for _, s := range Shapes {
		t.Run(s.Name, func(t *testing.T) {
			t.Parallel()
			for _, n := range []int{10, 100} {
				text := s.Panel(1, n)
				require.Equal(t, text, s.Panel(1, n))
				p := assemble(t, text)
				assert.GreaterOrEqual(t, len(p.Visible()), n)
				assert.GreaterOrEqual(t, len(p.Circuit.Steps), 10, "steps")
				assert.LessOrEqual(t, len(p.Circuit.Steps), 18, "steps")
			}
		})
	}
}
