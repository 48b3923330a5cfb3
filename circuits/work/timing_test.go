package work

import (
	"testing"

	"deadrung/circuits"

	"github.com/stretchr/testify/assert"
)

// One timer with a contact of every sort: H1 timed NO, H2 timed NC, H3 and H4 not
// timed, NO and NC.
const timed = `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
  H2: {type: lamp}
  H3: {type: lamp}
  H4: {type: lamp}
`
const onDelay = timed + `  TR1: {type: timer, seconds: 10, contacts: [{common: 15, nc: 16, no: 18, timed: true}, {no: [23, 24]}, {nc: [31, 32]}]}
`
const offDelay = timed + `  TR1: {type: timer, delay: off, seconds: 10, contacts: [{common: 15, nc: 16, no: 18, timed: true}, {no: [23, 24]}, {nc: [31, 32]}]}
`
const timedWires = `
  L: [G1:L, PB1:13, TR1:15, TR1:23, TR1:31]
  N: [G1:N, TR1:A2, H1:2, H2:2, H3:2, H4:2]
  1: [PB1:14, TR1:A1]
  2: [TR1:18, H1:1]
  3: [TR1:16, H2:1]
  4: [TR1:24, H3:1]
  5: [TR1:32, H4:1]
`

// Timed contacts follow the delay, others follow the coil at once; time passes only in
// wait.
func TestOnDelay(t *testing.T) {
	const rest, timing, out = "H2 H4", "H2 H3 TR1", "H1 H3 TR1"
	for _, w := range []worked{
		{name: "one wait", steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: no time passes}
  - {step: waited, wait: 10}
  - {step: let go, set: {PB1: released}}
`, want: []string{rest, timing, timing, out, rest}},
		{name: "set comes before wait within a step", steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 10}
  - {step: let go, set: {PB1: released}, wait: 10}
`, want: []string{out, rest}},
		{name: "waits in parts add up", steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 4}
  - {step: more, wait: 5.999}
  - {step: a last bit, wait: 0.001}
  - {step: long after, wait: 1000}
`, want: []string{timing, timing, out, out}},
		{name: "a little short of the time", steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 9.999}
`, want: []string{timing}},
		{name: "no time in a wait of zero", steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 9.999}
  - {step: zero, wait: 0}
  - {step: the rest, wait: 0.001}
`, want: []string{timing, timing, out}},
		{name: "timing that is broken off begins again", steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 9}
  - {step: let go, set: {PB1: released}}
  - {step: pressed again, set: {PB1: pressed}, wait: 9}
  - {step: the tenth second, wait: 1}
`, want: []string{timing, rest, timing, out}},
		{name: "time with the coil off does not count", steps: `
  - {step: before, wait: 60}
  - {step: pressed, set: {PB1: pressed}}
  - {step: a second, wait: 1}
`, want: []string{rest, timing, timing}},
		{name: "never", fault: mistimed("TR1", false), steps: `
  - {step: pressed, set: {PB1: pressed}}
  - {step: waited, wait: 1000}
  - {step: let go, set: {PB1: released}}
`, want: []string{timing, timing, rest}},
		{name: "at once", fault: mistimed("TR1", true), steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`, want: []string{rest, out, rest}},
		{name: "coil open", fault: openLoad("TR1"), steps: `
  - {step: pressed, set: {PB1: pressed}, wait: 100}
`, want: []string{rest}},
	} {
		w.devices, w.wires = onDelay, timedWires
		w.run(t)
	}
}

func TestOffDelay(t *testing.T) {
	const rest, in, timing = "H2 H4", "H1 H3 TR1", "H1 H4"
	for _, w := range []worked{
		{name: "one wait", steps: `
  - {step: rest, wait: 100}
  - {step: pressed, set: {PB1: pressed}}
  - {step: held, wait: 100}
  - {step: let go, set: {PB1: released}}
  - {step: not yet, wait: 9}
  - {step: timed out, wait: 1}
`, want: []string{rest, in, in, timing, timing, rest}},
		{name: "timing that is broken off begins again", steps: `
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}, wait: 9}
  - {step: pressed again, set: {PB1: pressed}, wait: 9}
  - {step: let go again, set: {PB1: released}, wait: 9}
  - {step: the tenth second, wait: 1}
`, want: []string{in, timing, in, timing, rest}},
		{name: "never", fault: mistimed("TR1", false), steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}, wait: 1000}
`, want: []string{rest, in, timing}},
		{name: "at once", fault: mistimed("TR1", true), steps: `
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`, want: []string{in, rest}},
	} {
		w.devices, w.wires = offDelay, timedWires
		w.run(t)
	}
}

func TestTimersTogether(t *testing.T) {
	for _, w := range []worked{
		{
			// 5 s, then 8 s more, within one wait; and the second begins only when the
			// first is out.
			name: "one starts the next within a wait",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  TR1: {type: timer, seconds: 5, contacts: [{no: [17, 18], timed: true}]}
  TR2: {type: timer, seconds: 8, contacts: [{no: [17, 18], timed: true}]}
  H1: {type: lamp}
`,
			wires: `
  L: [G1:L, PB1:13, TR1:17, TR2:17]
  N: [G1:N, TR1:A2, TR2:A2, H1:2]
  1: [PB1:14, TR1:A1]
  2: [TR1:18, TR2:A1]
  3: [TR2:18, H1:1]
`,
			steps: `
  - {step: a moment short, set: {PB1: pressed}, wait: 12.99}
  - {step: there, wait: 0.01}
  - {step: let go, set: {PB1: released}}
`,
			want: []string{"TR1 TR2", "TR1 TR2 H1", ""},
		},
		{
			// On for 2 s, off for 3 s: the off timer's NC feeds the on timer.
			name: "a flasher goes through its periods within a wait",
			devices: `
  TR1: {type: timer, seconds: 2, contacts: [{no: [17, 18], timed: true}]}
  TR2: {type: timer, seconds: 3, contacts: [{nc: [15, 16], timed: true}]}
  H1: {type: lamp, note: lit while TR2 times}
`,
			wires: `
  L: [G1:L, TR2:15, TR1:17]
  N: [G1:N, TR1:A2, TR2:A2, H1:2]
  1: [TR2:16, TR1:A1]
  2: [TR1:18, TR2:A1, H1:1]
`,
			steps: `
  - {step: start}
  - {step: first on, wait: 2}
  - {step: still on, wait: 2.9}
  - {step: off again, wait: 0.1}
  - {step: three periods later, wait: 15}
  - {step: and on, wait: 2}
`,
			want: []string{"TR1", "TR1 TR2 H1", "TR1 TR2 H1", "TR1", "TR1", "TR1 TR2 H1"},
		},
		{
			// A loss of supply resets an on-delay timer.
			name: "a timer that loses its volts in a wait begins again",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  TR1: {type: timer, seconds: 4, contacts: [{nc: [15, 16], timed: true}]}
  TR2: {type: timer, seconds: 6, contacts: [{no: [17, 18], timed: true}]}
  H1: {type: lamp}
`,
			wires: `
  L: [G1:L, PB1:13, TR2:17]
  N: [G1:N, TR1:A2, TR2:A2, H1:2]
  1: [PB1:14, TR1:A1, TR1:15]
  2: [TR1:16, TR2:A1]
  3: [TR2:18, H1:1]
`,
			steps: `
  - {step: both time, set: {PB1: pressed}}
  - {step: the first cuts the second off, wait: 100}
`,
			want: []string{"TR1 TR2", "TR1"},
		},
	} {
		w.run(t)
	}
}

// Waits of a tenth of a second, ten times, are one second, though 0.1 is no sum of
// powers of two.
func TestTenthsMakeASecond(t *testing.T) {
	p := small(t, `
  TR1: {type: timer, seconds: 1, contacts: [{no: [17, 18], timed: true}]}
  H1: {type: lamp}
`, `
  L: [G1:L, TR1:A1, TR1:17]
  N: [G1:N, TR1:A2, H1:2]
  1: [TR1:18, H1:1]
`, repeated("  - {step: tenth #, wait: 0.1}\n", 10))
	for i, e := range ends(p, nil) {
		want := "TR1"
		if i == 9 {
			want = "TR1 H1"
		}
		assert.Equal(t, want, shown(p, nil, e), "after %d tenths", i+1)
	}
}

// With the power locked off all relays are released and timers reset; operators are
// held as in the step.
func TestLockedOut(t *testing.T) {
	p := small(t, onDelay, timedWires, `
  - {step: rest}
  - {step: timed out, set: {PB1: pressed}, wait: 10}
  - {step: let go, set: {PB1: released}}
`)
	tr1, pb1 := p.Circuit.Device("TR1"), p.Circuit.Device("PB1")
	holds := func(step int, button bool) {
		t.Helper()
		st := p.LockedOut(&Overlay{}, step)
		assert.Equal(t, button, st.Closed[p.Contact(pb1, 0)], "the button as held in step %d", step)
		for k, c := range tr1.Contacts {
			assert.Equal(t, c.Form == circuits.NormallyClosed, st.Closed[p.Contact(tr1, k)],
				"contact %s-%s of TR1, step %d", c.A, c.B, step)
		}
	}
	holds(0, false)
	holds(1, true)
	holds(2, false)
	st := p.LockedOut(stuck("PB1", 0)(p), 1)
	assert.False(t, st.Closed[p.Contact(pb1, 0)], "a button that is stuck does not close for being held")
}
