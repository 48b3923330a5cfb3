package paper

import (
	"testing"

	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// The labels of the two leads never run into each other, whichever check it is.
func TestLeadLabels(t *testing.T) {
	for _, name := range circuits.Builtin() {
		m := builtinModel(t, name)
		l := newLeadMarks(m.Panel().Circuit)
		require.Greater(t, l.width, viewWidth)
		require.Greater(t, l.height, viewHeight)
		for _, c := range m.Checks() {
			marks := l.marks(c)
			for _, k := range marks {
				require.True(t, k.at[0] > 0 && k.at[0] < l.width && k.at[1] > 0 && k.at[1] < l.height, "%s", c)
			}
			if len(marks) < 2 || marks[0].at == marks[1].at {
				continue
			}
			a, b := labelBox(marks[0]), labelBox(marks[1])
			require.False(t, a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3], "%s: %v %v", name, c, marks)
		}
	}
}

// labelBox is what a label takes: left, top, right, bottom. A bold capital of 11 pixels is
// no wider than 8.5 of them.
func labelBox(k mark) [4]float64 {
	width := 8.5 * float64(len(k.label))
	left := k.at[0] - width/2
	switch k.anchor {
	case "end":
		left = k.at[0] - width
	case "start":
		left = k.at[0]
	}
	return [4]float64{left, k.at[1] + 18, left + width, k.at[1] + 28}
}
