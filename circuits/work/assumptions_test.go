package work

import (
	"os"
	"strings"
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/read"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is assumed has its source beside it, and what the file gives takes its place.
func TestAssumptions(t *testing.T) {
	c, problems := read.Read("test.yaml", []byte(`circuit: Test
devices:
  T1: {type: control-transformer, volts: 120}
  F1: {type: fuse, amps: 1}
  CR1: {type: relay, contacts: [{no: [13, 14]}], va: 6, pull-in: 80}
  TR1: {type: timer, seconds: 10, contacts: [{no: [17, 18], timed: true}]}
  H1: {type: lamp, kind: led}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
wires:
  1: [T1:X1, F1:1]
  2: [T1:X2, CR1:A2, TR1:A2, H1:2]
  3: [F1:2, PB1:13, CR1:13, TR1:17]
  4: [PB1:14, CR1:A1]
  5: [CR1:14, TR1:A1]
  6: [TR1:18, H1:1]
operation:
  - step: at rest
`))
	require.NoError(t, problems.Err())
	list := Assemble(c).Assumptions()
	find := func(device, what string) Assumption {
		for _, a := range list {
			if a.Device == device && a.What == what {
				return a
			}
		}
		t.Fatalf("nothing is said of %s, %s", device, what)
		return Assumption{}
	}
	for _, a := range list {
		assert.NotEmpty(t, a.Source, "%s %s", a.Device, a.What)
		assert.NotEmpty(t, a.Value, "%s %s", a.Device, a.What)
	}
	assert.Equal(t, "6 VA, 2400 ohm", find("CR1", "running").Value)
	assert.Equal(t, fromFile, find("CR1", "running").Source)
	assert.Equal(t, "96 V", find("CR1", "pulls in at").Value)
	assert.Equal(t, fromFile, find("CR1", "pulls in at").Source)
	assert.Contains(t, find("CR1", "lets go below").Source, "IEC 60947-4-1")
	assert.Equal(t, "2400 ohm", find("TR1", "ohmmeter").Value)
	assert.True(t, strings.HasPrefix(find("TR1", "ohmmeter").Source, circuits.NoSource))
	assert.Equal(t, "OL", find("H1", "ohmmeter").Value)
	assert.Equal(t, "2 ohm", find("T1", "winding, power off").Value)
	assert.Contains(t, find("TR1", "times out after").Value, "10 s, give it 1 s more")
}

// What loads may differ by is finite, whatever stands in the panel.
func TestSpansAreFinite(t *testing.T) {
	text, err := os.ReadFile("../read/testdata/ok/every-type.yaml")
	require.NoError(t, err)
	c, problems := read.Read("every-type.yaml", text)
	require.NoError(t, problems.Err())
	bend := Assemble(c).Bend()
	assert.Greater(t, bend, 1.0)
	assert.Less(t, bend, 1000.0)
}
