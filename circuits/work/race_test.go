package work

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits/network"
)

// Two relays that lock each other out race when both are called at once. Which wins is not
// known: they, their lamp and the voltages there are not firm, all else is; and once the button
// is let go all is firm again.
func TestWhoWinsARaceIsNotFirm(t *testing.T) {
	p := small(t, `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{nc: [11, 12]}, {no: [23, 24]}]}
  CR2: {type: relay, contacts: [{nc: [11, 12]}]}
  H1: {type: lamp}
  H2: {type: lamp}
`, `
  L: [G1:L, PB1:13, CR1:23, H2:1]
  N: [G1:N, CR1:A2, CR2:A2, H1:2, H2:2]
  1: [PB1:14, CR1:11, CR2:11]
  2: [CR2:12, CR1:A1]
  3: [CR1:12, CR2:A1]
  4: [CR1:24, H1:1]
`, `
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`)
	all := ends(p, nil)
	look := func(e *End, device string) (on, firm bool) { return p.Look(&Overlay{}, e, p.Device(device)) }
	firm := func(e *End, device string) bool {
		_, firm := look(e, device)
		return firm
	}
	reads := func(e *End, a, b network.Node) bool {
		_, firm := e.ReadVolts(a, b, network.MeterOhms)
		return firm
	}
	e := all[0]
	require.Equal(t, p.Relays(), e.Racing)
	require.Empty(t, e.Chatter)
	for device, want := range map[string]bool{"CR1": false, "CR2": false, "H1": false, "H2": true} {
		assert.Equal(t, want, firm(e, device), device)
	}
	ret := p.Node("G1:N")
	assert.False(t, reads(e, p.Node("CR1:A1"), ret))
	assert.False(t, reads(e, p.Node("H1:1"), ret))
	assert.True(t, reads(e, p.Node("PB1:14"), ret))
	assert.True(t, reads(e, p.Node("H2:1"), ret))

	e = all[1]
	assert.Empty(t, e.Racing)
	for _, device := range []string{"CR1", "CR2", "H1", "H2"} {
		assert.True(t, firm(e, device), device)
	}
	assert.True(t, reads(e, p.Node("H1:1"), ret))
}
