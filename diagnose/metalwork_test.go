package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/diagnose/log"
)

// On a supply that is bonded on neither side each number is held against the metalwork once: also
// out in the field, and where grounds are wired together with nothing else on their number.
func TestNumbersAgainstTheMetalwork(t *testing.T) {
	m := fromText(t, "metalwork.yaml", `circuit: Metalwork
devices:
  GB1: {type: supply, volts: 48, current: dc}
  PE1: {type: ground}
  PE2: {type: ground, place: field}
  PE3: {type: ground}
  PE4: {type: ground}
  LS1: {type: limit-switch, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: field}
wires:
  P: [GB1:+, LS1:13]
  N: [GB1:-, H1:2]
  1: [LS1:14, H1:1]
  E: [PE1:1, PE2:1]
  F: [PE3:1, PE4:1]
operation:
  - step: let go
    expect: {H1: off}
  - step: operated
    set: {LS1: operated}
    expect: {H1: on}
`)
	at := make(map[log.Key]int)
	for _, l := range m.checks {
		at[m.book.Key(l)]++
	}
	for key, times := range at {
		assert.Equal(t, 1, times, "%v", key)
	}
	g, against := m.book.Ground(), 0
	for _, p := range m.toMetalwork() {
		assert.Equal(t, g, p.b)
		against++
	}
	assert.Equal(t, 3, against, "P, N and 1")
}
