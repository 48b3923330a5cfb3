package faultmodel

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
)

// Every form of an effect of what wears or comes in degrees, with the weight of its row.
func TestEffectsOfDegree(t *testing.T) {
	faults := list(t, everyKind+"  - step: limit\n    set: {LS1: operated}\n", Options{Worn: true})
	for _, test := range []struct {
		effect string
		id     ID
		weight float64
	}{
		{`{"resistive-wire":{"wire":"4","from":"PB1:12","to":"OL1:95"}}`, "resistive-PB1:12-OL1:95", 0.5},
		{`{"resistive-wire":{"wire":"8","from":"LS1:14","to":"TB1:1"}}`, "resistive-LS1:14-TB1:1", 2 * 0.5},
		{`{"resistive-contact":["PB1:11","PB1:12"]}`, "resistive-PB1:11-12", 1},
		{`{"resistive-contact":["LS1:13","LS1:14"]}`, "resistive-LS1:13-14", 2},
		{`{"resistive-link":"F1"}`, "resistive-F1", 0.4},
		{`{"resistive-link":"X1:1"}`, "resistive-X1:1", 0.4},
		{`{"resistive-link":"TB1:1-2"}`, "resistive-TB1:1-2", 0.4},
		{`{"low-source":"G1"}`, "low-G1", 1.5},
		{`{"low-source":"T1"}`, "low-T1", 0.5},
		{`{"shorted-source":"T1"}`, "shorted-T1", 0.7},
		{`{"leak-to-ground":"13"}`, "leak-13", 0.1},
		{`{"leaky-contact":["LS1:13","LS1:14"]}`, "leaky-LS1:13-14", 0.3},
		{`{"shorted-turns":"CR1"}`, "turns-CR1", 0.3},
		{`{"shorted-turns":"Y1"}`, "turns-Y1", 0.3},
		{`{"wrong-coil":"CR1"}`, "wrong-coil-CR1", 0.1},
		{`{"chatters":"CR1"}`, "chatters-CR1", 0.7},
		{`{"chatters":"1M"}`, "chatters-1M", 2 * 0.7},
		{`{"stuck":"Y1","position":"released"}`, "stuck-Y1-released", 1},
		{`{"position":"late","wrong-setting":"TR1"}`, "late-TR1", 1},
		{`{"position":"early","wrong-setting":"TR1"}`, "early-TR1", 1},
		{`{"position":"early","wrong-setting":"OL1"}`, "early-OL1", 1},
	} {
		f := byEffect(t, faults, test.effect)
		if assert.NotNil(t, f, "%s is not listed", test.effect) {
			assert.Equal(t, test.id, f.ID)
			assert.InDelta(t, test.weight, f.Weight, 1e-12, test.effect)
		}
	}
	for _, f := range faults {
		assert.Contains(t, Kinds, f.Effect.Kind(), f.ID)
	}
	for _, none := range []string{
		`{"resistive-wire":{"wire":"2","from":"T1:X2","to":"PE:1"}}`, // the bond carries nothing
		`{"leak-to-ground":"4"}`,                                     // it stays in panel and door
		`{"leaky-contact":["PB1:11","PB1:12"]}`,                      // on the door
		`{"chatters":"TR1"}`,                                         // electronic
		`{"shorted-turns":"H1"}`,                                     // a lamp
		`{"position":"late","wrong-setting":"TR2"}`,                  // no timed contact is wired
	} {
		assert.Nil(t, byEffect(t, faults, none), none)
	}
	for _, f := range list(t, everyKind, Options{}) {
		assert.False(t, f.Degree, f.ID)
	}
}

const oneLamp = `circuit: Lamps
devices:
  G1: {type: supply, volts: 120}
  PE: {type: ground}
  F1: {type: fuse, amps: 3}
  PB1: {type: push-button, place: field, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp, place: field}
wires:
  1: [G1:L, F1:1]
  2: [F1:2, PB1:13, CR1:13]
  3: [PB1:14, CR1:14, CR1:A1, H1:1]
  N:
    - [G1:N, CR1:A2]
    - [CR1:A2, H1:2]
    - [G1:N, PE:1]
operation:
  - step: rest
  - step: pressed
    set: {PB1: pressed}
  - step: let go
    set: {PB1: released}
`

func pressed(t *testing.T, p *work.Panel, id string) func(a, b string) float64 {
	t.Helper()
	faults := List(p, Options{Worn: true})
	i, err := Find(faults, id)
	require.NoError(t, err)
	var end *work.End
	p.Work(&faults[i].Overlay, func(step int, e *work.End) bool {
		if step == 1 {
			end = e
		}
		return true
	})
	return func(a, b string) float64 {
		v, firm := end.ReadVolts(p.Node(circuits.Terminal(a)), p.Node(circuits.Terminal(b)), network.MeterOhms)
		require.True(t, firm)
		return v
	}
}

// A bad joint leaves half of the volts to what it feeds, a lamp alone or a lamp and a coil,
// and a low supply gives six tenths.
func TestHalfOfTheVoltsAreLeft(t *testing.T) {
	p := panel(t, oneLamp)
	lamp := pressed(t, p, "resistive-CR1:A1-H1:1")
	assert.InDelta(t, 60, lamp("H1:1", "G1:N"), 0.5)
	assert.InDelta(t, 120, lamp("CR1:A1", "G1:N"), 0.5)
	fuse := pressed(t, p, "resistive-F1")
	assert.InDelta(t, 60, fuse("F1:2", "G1:N"), 0.5)
	assert.InDelta(t, 60, fuse("H1:1", "G1:N"), 0.5)
	button := pressed(t, p, "resistive-PB1:13-14")
	assert.InDelta(t, 120, button("PB1:13", "G1:N"), 0.5)
	assert.InDelta(t, 60, button("PB1:14", "G1:N"), 0.5, "the seal never closes")
	low := pressed(t, p, "low-G1")
	assert.InDelta(t, 72, low("H1:1", "G1:N"), 0.5)
	leaky := pressed(t, p, "leaky-PB1:13-14")
	assert.InDelta(t, 120, leaky("H1:1", "G1:N"), 0.5)
}
