package work

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits/network"
)

// keepers is a circuit of a latching relay that two buttons set and reset, one of an
// alternating relay that a third works, and a relay that watches the current of a heater.
func keepers(t *testing.T) *Panel {
	return small(t, `
  G1: {type: supply, volts: 120}
  F1: {type: fuse, amps: 10}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  PB3: {type: push-button, contacts: [{no: [13, 14]}]}
  LR1: {type: latching-relay, contacts: [{no: [13, 14]}]}
  AR1: {type: alternating-relay, contacts: [{common: 11, nc: 12, no: 14}]}
  CS1: {type: current-relay, amps: 1, contacts: [{no: [13, 14]}]}
  HE1: {type: heater}
`, `
  1: [G1:L, F1:1]
  3: [F1:2, PB1:13, PB2:13, PB3:13, LR1:13, AR1:11]
  4: [PB1:14, LR1:A1]
  5: [PB2:14, LR1:B1]
  6: [PB3:14, AR1:A1]
  7: [LR1:14, CS1:A1]
  8: [CS1:A2, HE1:1]
  2: [G1:N, LR1:A2, LR1:B2, AR1:A2, HE1:2]
`, `
  - {step: rest}
  - {step: set, set: {PB1: pressed}}
  - {step: both, set: {PB2: pressed}}
  - {step: let go of both, set: {PB1: released, PB2: released}}
  - {step: reset, set: {PB2: pressed}}
  - {step: turn, set: {PB2: released, PB3: pressed}}
  - {step: turned, set: {PB3: released}}
  - {step: turn again, set: {PB3: pressed}}
  - {step: set again, set: {PB1: pressed}}
`)
}

// A relay that latches keeps its position with neither coil on and with both, one that
// alternates changes over when its coil lets go, and one that watches a current is in as long
// as what is in series with it draws enough.
func TestArmatures(t *testing.T) {
	p := keepers(t)
	shows := func(o *Overlay) []string {
		var all []string
		for _, e := range ends(p, o) {
			all = append(all, shown(p, o, e))
		}
		return all
	}
	assert.Equal(t, []string{"", "LR1 CS1 HE1", "LR1 CS1 HE1", "LR1 CS1 HE1", "", "", "AR1", "AR1",
		"LR1 AR1 CS1 HE1"}, shows(&Overlay{}))

	d := p.Circuit.Device
	set, reset, watch, heats := p.Coil(d("LR1"), 0), p.Coil(d("LR1"), 1), p.Coil(d("CS1"), 0), p.Load(d("HE1"))
	assert.Equal(t, set, p.Load(d("LR1")))
	loads := func(open, shorted []network.Load) *Overlay {
		return &Overlay{Overlay: network.Overlay{OpenLoads: open, ShortedLoads: shorted}}
	}
	assert.Equal(t, "", shows(loads([]network.Load{set}, nil))[1], "the set coil is open")
	assert.Equal(t, "LR1 CS1 HE1", shows(loads([]network.Load{reset}, nil))[4], "the reset coil is open")
	assert.Equal(t, "LR1", shows(loads([]network.Load{watch}, nil))[1],
		"what watches is in series with what it watches")
	assert.Equal(t, "LR1 HE1", shows(loads(nil, []network.Load{watch}))[1], "a shorted coil sees nothing")
	assert.Equal(t, "LR1", shows(loads([]network.Load{heats}, nil))[1], "no current, nothing seen")
}

// With the power off a relay that latches stays as it was, and one whose coil then lets go
// changes over; the others are released.
func TestKeptWithThePowerOff(t *testing.T) {
	p := keepers(t)
	assert.True(t, p.Keeps())
	var positions [][]int
	for step := range p.Circuit.Steps {
		positions = append(positions, p.Released(&Overlay{}, step))
	}
	// By relay: LR1, AR1, CS1.
	assert.Equal(t, [][]int{{0, 0, 0}, {1, 0, 0}, {1, 0, 0}, {1, 0, 0}, {0, 0, 0}, {0, 1, 0}, {0, 1, 0},
		{0, 0, 0}, {1, 0, 0}}, positions)
	contact := p.Contact(p.Circuit.Device("LR1"), 0)
	assert.False(t, p.LockedOut(&Overlay{}, 0).Closed[contact])
	assert.True(t, p.LockedOut(&Overlay{}, 3).Closed[contact])
	stuckReset := &Overlay{Stuck: []Stuck{{Device: p.Circuit.Device("LR1"), Position: 0}}}
	assert.False(t, p.LockedOut(stuckReset, 3).Closed[contact])
}
