package wirelist

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits/drawing"
)

const twoRungs = `
circuit: Two rungs
devices:
  PWS1: {type: supply, volts: 120}
  F1: {type: fuse}
  TB1: {type: terminal-block, terminals: [1, 2], bridges: [[1, 2]]}
  PB1: {type: push-button, place: door, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: door}
wires:
  2: [PWS1:N, H1:2, CR1:A2]
  1: [PWS1:L, F1:1]
  3:
    - [F1:2, TB1:1]
    - [TB1:2, PB1:13, CR1:13]
  4: [PB1:14, CR1:A1]
  5: [CR1:14, H1:1]
operation:
  - step: rest
`

// By hand: the feed, then the rung of PB1 and CR1 from the left to the right, then that of
// CR1:13-14 and H1; a wire comes with the later of its ends.
func TestOrderOfWiring(t *testing.T) {
	var got []string
	for _, l := range Of(drawing.New(readText(t, "two rungs", []byte(twoRungs)))).Lines {
		kind := ""
		if l.Bridge {
			kind = " bridge"
		}
		got = append(got, fmt.Sprintf("%s%s %s %d/%d %s %d/%d", l.Number, kind,
			l.From.Terminal, l.From.Landing, l.From.Of, l.To.Terminal, l.To.Landing, l.To.Of))
	}
	assert.Equal(t, []string{
		"1 PWS1:L 1/1 F1:1 1/1",
		"3 F1:2 1/1 TB1:1 1/1",
		"3 bridge TB1:1 0/1 TB1:2 0/1",
		"3 TB1:2 1/1 PB1:13 1/2",
		"4 PB1:14 1/1 CR1:A1 1/1",
		"3 PB1:13 2/2 CR1:13 1/1",
		"5 CR1:14 1/1 H1:1 1/1",
		"2 PWS1:N 1/1 H1:2 1/2",
		"2 H1:2 2/2 CR1:A2 1/1",
	}, got)
}
