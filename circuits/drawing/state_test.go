package drawing_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/drawing"
	"deadrung/circuits/read"
)

// A breaker stands in a drawing of IEC 60617 as it stands in the panel: open at rest and
// locked off, closed with the power on, open again once a short has opened it.
func TestBreakerStands(t *testing.T) {
	const text = `circuit: one breaker
devices:
  G1: {type: supply, volts: 24, current: dc}
  Q1: {type: breaker, amps: 1}
  S1: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
rungs:
  - {feed: [G1, Q1]}
  - [S1, H1]
operation:
  - {step: pressed, set: {S1: pressed}, expect: {H1: on}}
`
	c, problems := read.Read("breaker.yaml", []byte(text))
	require.NoError(t, problems.Err())
	d := drawing.New(c)
	breaker := func(s *drawing.State) string {
		svg := string(d.SVG(drawing.Options{State: s, Symbols: drawing.IEC}))
		_, part, ok := strings.Cut(svg, `data-name="Q1"`)
		require.True(t, ok)
		_, part, _ = strings.Cut(part, "<path")
		part, _, _ = strings.Cut(part, "</g>")
		return part
	}
	on := d.At(0)
	blown := *on
	blown.Blown = []*circuits.Device{c.Device("Q1")}
	rest := breaker(nil)
	assert.Equal(t, rest, breaker(d.Off(0)))
	assert.NotEqual(t, rest, breaker(on))
	assert.Equal(t, rest, breaker(&blown))
}
