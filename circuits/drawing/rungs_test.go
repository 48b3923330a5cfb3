package drawing

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
)

// lastFirst is a circuit whose wire numbers and supplies run against the order of its rungs.
const lastFirst = `circuit: Numbers from below
devices:
  G2: {type: supply, volts: 24, current: dc}
  G1: {type: supply, volts: 120}
  S1: {type: selector-switch, positions: ["off", "on"], rest: "off", contacts: [{no: [1, 2]}, {no: [3, 4]}, {no: [5, 6]}]}
  H1: {type: lamp, volts: 120}
  H2: {type: lamp, volts: 120}
  H3: {type: lamp, volts: 24}
rungs:
  - feed: [G1, wire 9]
  - [S1:3-4, wire 8, H2]
  - [S1:1-2, wire 3, H1]
  - feed: [G2, wire 2]
  - [S1:5-6, wire 1, H3]
operation:
  - {step: rest}
`

// Rungs that a file draws keep their order: each begins below those before it.
func TestRungsAsWritten(t *testing.T) {
	files := map[string][]byte{"last first": []byte(lastFirst)}
	paths, err := filepath.Glob("../*.yaml")
	require.NoError(t, err)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		files[path] = text
	}
	drawn := 0
	for name, text := range files {
		c := readText(t, name, string(text))
		if len(c.Rungs) == 0 {
			continue
		}
		drawn++
		row := make(map[[2]circuits.Terminal]int) // by the two terminals of a part
		for _, r := range New(c).Rungs {
			for _, p := range r.Parts {
				row[[2]circuits.Terminal{p.Left, p.Right}] = r.Number
				row[[2]circuits.Terminal{p.Right, p.Left}] = r.Number
			}
		}
		var top []int // by rung of the file: the first row that a part of it is drawn on
		for _, r := range c.Rungs {
			first := math.MaxInt
			circuits.Items(r.Line, func(it *circuits.Item) {
				if it.Kind != circuits.PartItem {
					return
				}
				if n, drawn := row[[2]circuits.Terminal{it.Device.Terminal(it.In), it.Device.Terminal(it.Out)}]; drawn {
					first = min(first, n)
				}
			})
			if first < math.MaxInt && !r.Feed {
				top = append(top, first)
			}
		}
		assert.IsIncreasing(t, top, name)
	}
	assert.Greater(t, drawn, 3)
}

// Rungs that share wires off the rails are drawn as one, its ways in the order of the file as
// far as nothing crosses for it: the motor's line above the lamps that were written below it.
func TestRungsThatHangTogether(t *testing.T) {
	text, err := os.ReadFile("../read/testdata/ok/rungs.yaml")
	require.NoError(t, err)
	d := New(readText(t, "rungs.yaml", string(text)))
	assert.Less(t, d.Of("PB1:11"), d.Of("H1:1"))
	assert.Less(t, d.Of("H1:1"), d.Of("H2:1"))
}
