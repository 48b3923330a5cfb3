package work

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A timer times out in the step in whose wait its time runs out, and in no other.
func TestTimedOut(t *testing.T) {
	p := small(t, onDelay, timedWires, `
  - {step: rest, wait: 60}
  - {step: pressed, set: {PB1: pressed}}
  - {step: waited, wait: 10}
  - {step: longer, wait: 10}
  - {step: let go, set: {PB1: released}}
`)
	c := p.Course()
	for step, want := range [][]string{nil, nil, {"TR1"}, nil, nil} {
		var names []string
		for _, d := range c.TimedOut(step) {
			names = append(names, d.Name)
		}
		assert.Equal(t, want, names, "step %d", step+1)
	}
}

// All and nothing of a supply stay what they are, whatever the loads; what is divided is bent by
// its odds.
func TestBent(t *testing.T) {
	for _, test := range []struct{ share, factor, want float64 }{
		{0, 3, 0}, {1, 3, 1}, {wholly / 2, 3, wholly / 2}, {1 - wholly/2, 3, 1 - wholly/2},
		{0.5, 1, 0.5}, {0.5, 3, 0.75}, {0.5, 1. / 3, 0.25}, {0.8, 2, 8. / 9},
	} {
		assert.InDelta(t, test.want, Bent(test.share, test.factor), 1e-12, "%v bent by %v", test.share, test.factor)
	}
	assert.NotEqual(t, wholly, Bent(wholly, 2), "the bound itself is divided")
	assert.NotEqual(t, 1-wholly, Bent(1-wholly, 2), "the bound itself is divided")
}
