package drawing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The width of a letter is the mean of digits and capitals, rounded up to a hundredth of the
// size. Widths of a common sans-serif type in thousandths of its size, from memory: each digit
// 556, capitals from A to Z as below.
func TestLetterWidth(t *testing.T) {
	capitals := []float64{
		667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
		722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611,
	}
	sum := 0.0
	for _, w := range capitals {
		sum += w
	}
	mean := (556 + sum/float64(len(capitals))) / 2
	assert.InDelta(t, math.Ceil(mean/10)/100, letterWidth, 1e-12)
	assert.InDelta(t, 10*10*letterWidth, textWidth("CR12-NO-14", 10), 1e-9)
}
