package drawing

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/read"
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
			if first < math.MaxInt && !r.Feed && r.OnHot { // one that begins at another is drawn there
				top = append(top, first)
			}
		}
		assert.IsIncreasing(t, top, name)
	}
	assert.Greater(t, drawn, 3)
}

// What is wired from rungs is drawn as they are: the same lines in the same order, with the same
// numbers, titles and notes.
func TestWiredIsDrawnAsItsRungs(t *testing.T) {
	texts := map[string]string{"last first": strings.Replace(lastFirst, "- [S1:1-2, wire 3, H1]",
		"- {rung: [S1:1-2, wire 3, H1], title: second lamp, note: once red}", 1)}
	paths, err := filepath.Glob("../read/testdata/ok/*.yaml")
	require.NoError(t, err)
	more, err := filepath.Glob("../*.yaml")
	require.NoError(t, err)
	for _, path := range append(paths, more...) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		texts[filepath.Base(path)] = string(text)
	}
	tried := 0
	for name, text := range texts {
		c := readText(t, name, text)
		if len(c.Rungs) == 0 {
			continue
		}
		tried++
		want := New(c)
		wired := string(read.Wired([]byte(text), c, want.OfItem))
		got := New(readText(t, name, wired))
		assert.Equal(t, want.Text(Options{Columns: 200}), got.Text(Options{Columns: 200}), name)
		assert.Equal(t, want.Notes(), got.Notes(), name)
		for _, it := range c.Choices() {
			assert.Contains(t, strings.Join(strings.Fields(wired), " "),
				fmt.Sprintf("%s is %s", it.Written, it.Text()), name)
			assert.Equal(t, want.OfItem(it), got.OfContact(got.Circuit.Device(it.Device.Name), it.Contact), name)
			assert.Contains(t, wired, fmt.Sprintf("rung %d:", want.OfItem(it)), name)
		}
	}
	assert.Greater(t, tried, 5)
	c := readText(t, "last first", texts["last first"])
	d := New(c)
	assert.Equal(t, []string{"second lamp"}, d.Rungs[d.Of("H1:1")-1].Titles)
	assert.Contains(t, d.Text(Options{Columns: 120}), "second lamp")
	assert.Contains(t, string(d.SVG(Options{})), ">once red<")
	assert.Contains(t, d.Notes(), fmt.Sprintf("Rung %d: second lamp; once red", d.Of("H1:1")))
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
