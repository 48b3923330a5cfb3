package work

import (
	"testing"

	"deadrung/circuits"
	"deadrung/circuits/network"

	"github.com/stretchr/testify/assert"
)

// One button, one timer of a kind that is fed or started by it, and a lamp behind each side of
// its changeover contact.
func timerWith(keys string) string {
	return `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{nc: [11, 12]}]}
  H1: {type: lamp}
  H2: {type: lamp}
  T1: {` + keys + `, contacts: [{common: 15, nc: 16, no: 18}]}
`
}

const (
	fedWires = `
  L: [G1:L, PB1:13, T1:15, PB2:11]
  N: [G1:N, T1:A2, H1:2, H2:2]
  1: [PB1:14, T1:A1]
  2: [T1:18, H1:1]
  3: [T1:16, H2:1]
`
	startedWires = `
  L: [G1:L, PB1:13, T1:15, PB2:11]
  N: [G1:N, T1:A2, H1:2, H2:2]
  1: [PB1:14, T1:B1]
  2: [T1:18, H1:1]
  3: [T1:16, H2:1]
  4: [PB2:12, T1:A1]
`
)

// What the timers of the trade do, as their makers' function charts have it. Common practice, no
// source.
func TestTimersOfEveryKind(t *testing.T) {
	const rest, out = "H2", "H1 T1"
	for _, w := range []worked{
		{name: "an interval ends by itself, or with its coil", devices: timerWith("type: interval-timer, seconds: 4"),
			wires: fedWires, steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: a while, wait: 3.9}
  - {step: over, wait: 0.1}
  - {step: long after, wait: 100}
  - {step: let go, set: {PB1: released}}
  - {step: pressed again, set: {PB1: pressed}}
  - {step: let go too soon, set: {PB1: released}}
`, want: []string{rest, out, out, rest, rest, rest, out, rest}},
		{name: "a true off-delay holds with nothing fed", devices: timerWith("type: off-delay-timer, seconds: 4"),
			wires: fedWires, steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
  - {step: a while, wait: 3.9}
  - {step: over, wait: 0.1}
`, want: []string{rest, out, out, out, rest}},
		{name: "one pulse for a trigger, however long", devices: timerWith("type: one-shot, seconds: 4"),
			wires: startedWires, steps: `
  - {step: rest}
  - {step: tapped, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}, wait: 3}
  - {step: tapped meanwhile, set: {PB1: pressed}}
  - {step: over, wait: 1}
  - {step: still pressed, wait: 100}
  - {step: let go again, set: {PB1: released}}
  - {step: tapped again, set: {PB1: pressed}}
  - {step: supply taken away, set: {PB2: pressed}}
  - {step: and back, set: {PB1: released, PB2: released}}
`, want: []string{rest, out, out, out, rest, rest, rest, out, rest, rest}},
		{name: "off-delay by a trigger, with its supply on", devices: timerWith("type: triggered-timer, delay: off, seconds: 4"),
			wires: startedWires, steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}, wait: 10}
  - {step: let go, set: {PB1: released}, wait: 3.9}
  - {step: over, wait: 0.1}
  - {step: pressed again, set: {PB1: pressed}}
  - {step: let go again, set: {PB1: released}, wait: 1}
  - {step: supply taken away, set: {PB2: pressed}}
  - {step: and back, set: {PB2: released}}
`, want: []string{rest, out, out, rest, out, out, rest, rest}},
		{name: "on-delay by a trigger", devices: timerWith("type: triggered-timer, seconds: 4"),
			wires: startedWires, steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 3.9}
  - {step: out, wait: 0.1}
  - {step: let go, set: {PB1: released}}
`, want: []string{rest, out, rest}},
		{name: "a slow repeat-cycle timer is followed through its first round",
			devices: timerWith("type: repeat-cycle-timer, seconds: 20, off-seconds: 40"), wires: fedWires, steps: `
  - {step: pressed, set: {PB1: pressed}}
  - {step: on, wait: 19}
  - {step: off, wait: 1}
  - {step: still off, wait: 39}
  - {step: let go, set: {PB1: released}}
`, want: []string{out, out, rest, rest, rest}},
		{name: "an undervoltage relay lets go well before others do", devices: `
  UV1: {type: undervoltage-relay, contacts: [{no: [11, 14]}]}
  CR1: {type: relay}
  H1: {type: lamp}
`, wires: `
  L: [G1:L, UV1:A1, UV1:11, CR1:A1]
  N: [G1:N, UV1:A2, CR1:A2, H1:2]
  1: [UV1:14, H1:1]
`, steps: "  - {step: rest}\n", fault: func(*Panel) *Overlay {
			return &Overlay{Overlay: network.Overlay{Scale: []network.SourceScale{{Source: 1, Factor: 0.87}}}}
		}, want: []string{"CR1"}},
	} {
		w.run(t)
	}
}

// A flasher is on and off by turns: nobody is sure of a lamp behind it, or of a reading there, how
// long a step may have lasted makes no difference, and let go it rests.
func TestFlasher(t *testing.T) {
	p := small(t, timerWith("type: flasher, seconds: 0.5"), fedWires, `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: a while, wait: 3.3}
  - {step: let go, set: {PB1: released}}
`)
	e := ends(p, nil)
	sees := func(at int, name string) (on, firm bool) {
		return p.Look(&Overlay{}, e[at], p.Device(name))
	}
	for _, name := range []string{"H1", "H2", "T1"} {
		for _, at := range []int{1, 2} {
			_, firm := sees(at, name)
			assert.False(t, firm, name)
			assert.True(t, p.Flashes(&Overlay{}, e[at], Sight{Device: p.Device(name)}), name)
		}
		for _, at := range []int{0, 3} {
			_, firm := sees(at, name)
			assert.True(t, firm, name)
			assert.False(t, p.Flashes(&Overlay{}, e[at], Sight{Device: p.Device(name)}), name)
		}
	}
	_, firm := e[1].ReadVolts(p.Node("H1:1"), p.Node("H1:2"), 1e7)
	assert.False(t, firm)
	v, firm := e[1].ReadVolts(p.Node("T1:A1"), p.Node("T1:A2"), 1e7)
	assert.True(t, firm)
	assert.InDelta(t, 120, v, 0.1)

	for _, fault := range []struct {
		timing Timing
		on     bool
	}{{Timing{Device: p.Device("T1")}, true}, {Timing{Device: p.Device("T1"), AtOnce: true}, false}} {
		o := &Overlay{Timers: []Timing{fault.timing}}
		end := ends(p, o)[2]
		on, firm := p.Look(o, end, p.Device("H1"))
		assert.True(t, firm)
		assert.Equal(t, fault.on, on)
	}
}

// A slow repeat-cycle timer is on and off by turns too once it has gone through a whole round: its
// times have added up.
func TestRepeatCycleAddsUp(t *testing.T) {
	p := small(t, timerWith("type: repeat-cycle-timer, seconds: 20, off-seconds: 40"), fedWires, `
  - {step: pressed, set: {PB1: pressed}, wait: 59}
  - {step: round again, wait: 2}
`)
	e := ends(p, nil)
	for at, want := range []bool{true, false} {
		_, firm := p.Look(&Overlay{}, e[at], p.Device("H1"))
		assert.Equal(t, want, firm)
	}
}

func TestTimersWithoutPower(t *testing.T) {
	for _, keys := range []string{"type: interval-timer, seconds: 4", "type: off-delay-timer, seconds: 4", "type: flasher, seconds: 1"} {
		p := small(t, timerWith(keys), fedWires, "  - {step: pressed, set: {PB1: pressed}}\n")
		st := p.LockedOut(&Overlay{}, 0)
		for k, c := range p.Device("T1").Contacts {
			assert.Equal(t, c.Form == circuits.NormallyClosed, st.Closed[p.Contact(p.Device("T1"), k)], keys)
		}
	}
}

// Two contactors with a mechanical interlock are never in together, whatever their coils get: not
// where both are called, and not where one of them is stuck. Common practice, no source.
func TestMechanicalInterlock(t *testing.T) {
	const (
		devices = `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  M1: {type: contactor, interlock: M2}
  M2: {type: contactor}
`
		wires = `
  L: [G1:L, PB1:13, PB2:13]
  N: [G1:N, M1:A2, M2:A2]
  1: [PB1:14, M1:A1]
  2: [PB2:14, M2:A1]
`
		steps = `
  - {step: rest}
  - {step: first called, set: {PB1: pressed}}
  - {step: both called, set: {PB2: pressed}}
  - {step: first let go, set: {PB1: released}}
  - {step: none called, set: {PB2: released}}
  - {step: both at once, set: {PB1: pressed, PB2: pressed}}
`
	)
	for _, w := range []worked{
		{name: "good", devices: devices, wires: wires, steps: steps, want: []string{"", "M1", "M1", "M2", "", "M1"}},
		{name: "one stuck in", devices: devices, wires: wires, steps: steps, fault: func(p *Panel) *Overlay {
			return &Overlay{Stuck: []Stuck{{Device: p.Device("M1"), Position: 1}}}
		}, want: []string{"M1", "M1", "M1", "M1", "M1", "M1"}},
		{name: "one stuck out", devices: devices, wires: wires, steps: steps, fault: func(p *Panel) *Overlay {
			return &Overlay{Stuck: []Stuck{{Device: p.Device("M1")}}}
		}, want: []string{"", "", "M2", "M2", "", "M2"}},
	} {
		w.run(t)
	}
}
