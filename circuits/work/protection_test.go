package work

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// A hard short opens the protective device with the least amps in its path and it
// stays open for the steps after. With no protective device in the path the supply
// collapses.
func TestDeadShort(t *testing.T) {
	for _, w := range []worked{
		{
			name: "the least amps in series, nearest the source",
			devices: `
  F1: {type: fuse, amps: 1}
  F2: {type: fuse, amps: 2}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1]\n  1: [F1:2, F2:1]\n  2: [F2:2, H1:1]\n  N: [G1:N, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:F1"},
		},
		{
			name: "the least amps in series, nearest the load",
			devices: `
  F1: {type: fuse, amps: 2}
  Q1: {type: breaker, amps: 1}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1]\n  1: [F1:2, Q1:1]\n  2: [Q1:2, H1:1]\n  N: [G1:N, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:Q1"},
		},
		{
			name: "one that does not say its amps opens after those that do",
			devices: `
  F1: {type: fuse}
  F2: {type: fuse, amps: 20}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1]\n  1: [F1:2, F2:1]\n  2: [F2:2, H1:1]\n  N: [G1:N, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:F2"},
		},
		{
			name: "one that does not say its amps opens all the same",
			devices: `
  F1: {type: fuse}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1]\n  2: [F1:2, H1:1]\n  N: [G1:N, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:F1"},
		},
		{
			name: "a fuse in the return",
			devices: `
  F1: {type: fuse, amps: 2}
  F2: {type: fuse, amps: 1}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1]\n  1: [F1:2, H1:1]\n  2: [H1:2, F2:1]\n  N: [G1:N, F2:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:F2"},
		},
		{
			name: "two fused paths side by side both blow",
			devices: `
  F1: {type: fuse, amps: 2}
  F2: {type: fuse, amps: 1}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1, F2:1]\n  1: [F1:2, F2:2, H1:1]\n  N: [G1:N, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"blown:F1 blown:F2"},
		},
		{
			name: "in a branch only, and it stays open",
			devices: `
  F1: {type: fuse, amps: 3}
  F2: {type: fuse, amps: 1}
  F3: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
  H2: {type: lamp}
  H3: {type: lamp, note: on the branch of H1}
`,
			wires: `
  L: [G1:L, F1:1]
  1: [F1:2, F2:1, F3:1]
  2: [F2:2, PB1:13, H3:1]
  3: [F3:2, H2:1]
  4: [PB1:14, H1:1]
  N: [G1:N, H1:2, H2:2, H3:2]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
  - {step: pressed again, set: {PB1: pressed}}
`,
			fault: shorted("H1"),
			want:  []string{"H2 H3", "H2 blown:F2", "H2 blown:F2", "H2 blown:F2"},
		},
		{
			// The short lies behind a relay that it lets go: the fuse is gone all the same.
			name: "a relay that the short lets go",
			devices: `
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
`,
			wires: `
  L: [G1:L, F1:1]
  1: [F1:2, PB1:13, CR1:13]
  2: [PB1:14, CR1:A1]
  3: [CR1:14, H1:1]
  N: [G1:N, CR1:A2, H1:2]
`,
			steps: "\n  - {step: rest}\n  - {step: pressed, set: {PB1: pressed}}\n",
			fault: shorted("H1"),
			want:  []string{"", "blown:F1"},
		},
		{
			name: "nothing protects it: the supply collapses, and comes back with the short gone",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay}
  H1: {type: lamp}
`,
			wires: `
  L: [G1:L, PB1:13, CR1:A1]
  3: [PB1:14, H1:1]
  N: [G1:N, CR1:A2, H1:2]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: held}
  - {step: let go, set: {PB1: released}}
`,
			fault: shorted("H1"),
			want:  []string{"CR1", "collapsed:G1", "collapsed:G1", "CR1"},
		},
		{
			name: "a fuse beside the path does not blow",
			devices: `
  F1: {type: fuse, amps: 1}
  CR1: {type: relay}
  H1: {type: lamp}
`,
			wires: "\n  L: [G1:L, F1:1, H1:1]\n  1: [F1:2, CR1:A1]\n  N: [G1:N, CR1:A2, H1:2]\n",
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"collapsed:G1"},
		},
		{
			name: "a collapsed supply leaves another alone",
			devices: `
  G1: {type: supply, volts: 120}
  G2: {type: supply, volts: 24, current: dc}
  H1: {type: lamp}
  H2: {type: lamp}
`,
			wires: `
  L: [G1:L, H1:1]
  N: [G1:N, H1:2]
  +24: [G2:+, H2:1]
  0V: [G2:-, H2:2]
`,
			steps: "\n  - {step: a}\n",
			fault: shorted("H1"),
			want:  []string{"H2 collapsed:G1"},
		},
		{
			// 120 V ac against 24 V dc with nothing in between: nobody can say which wins.
			name: "two supplies that touch with nothing to protect either",
			devices: `
  G1: {type: supply, volts: 120}
  G2: {type: supply, volts: 24, current: dc}
  H1: {type: lamp}
  H2: {type: lamp}
`,
			wires: `
  L: [G1:L, H1:1]
  +24: [G2:+, H2:1]
  N: [G1:N, H1:2, G2:-, H2:2]
`,
			steps: "\n  - {step: a}\n",
			fault: touching("H1:1", "H2:1"),
			want:  []string{"collapsed:G2 collapsed:G1"},
		},
		{
			name: "two supplies that touch, one with a fuse",
			devices: `
  G1: {type: supply, volts: 120}
  G2: {type: supply, volts: 24, current: dc}
  F1: {type: fuse, amps: 5}
  H1: {type: lamp, note: "on 24 V now: it glimmers"}
  H2: {type: lamp}
`,
			wires: `
  L: [G1:L, F1:1]
  1: [F1:2, H1:1]
  +24: [G2:+, H2:1]
  N: [G1:N, H1:2, G2:-, H2:2]
`,
			steps: "\n  - {step: a}\n",
			fault: touching("H1:1", "H2:1"),
			want:  []string{"H1? H2 blown:F1"},
		},
		{
			// One short that nothing clears must not keep the fuse of another from blowing.
			name: "one supply collapses, the fuse of another blows",
			devices: `
  G1: {type: supply, volts: 120}
  G2: {type: supply, volts: 24, current: dc}
  F2: {type: fuse, amps: 1}
  H1: {type: lamp}
  H2: {type: lamp}
`,
			wires: `
  L: [G1:L, H1:1]
  N: [G1:N, H1:2]
  +24: [G2:+, F2:1]
  1: [F2:2, H2:1]
  0V: [G2:-, H2:2]
`,
			steps: "\n  - {step: a}\n",
			fault: func(p *Panel) *Overlay {
				o := shorted("H1")(p)
				o.ShortedLoads = append(o.ShortedLoads, p.Load(p.Circuit.Device("H2")))
				return o
			},
			want: []string{"blown:F2 collapsed:G1"},
		},
	} {
		w.run(t)
	}
}

// A fuse or breaker opens when its current exceeds its amps.
// A small motor of 60 VA at 120 V draws half an ampere; six draw three.
func TestOverload(t *testing.T) {
	const motors = `
  M1: {type: motor, va: 60}
  M2: {type: motor, va: 60}
  M3: {type: motor, va: 60}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
`
	const toMotors = `
  N: [G1:N, M1:2, M2:2, M3:2]
  7: [PB1:14, M3:1]
`
	for _, w := range []worked{
		{
			name:    "exactly its amps it carries, more it does not",
			devices: motors + "  F1: {type: fuse, amps: 1}\n",
			wires:   toMotors + "  L: [G1:L, F1:1]\n  1: [F1:2, M1:1, M2:1, PB1:13]\n",
			steps: "\n  - {step: two}\n  - {step: three, set: {PB1: pressed}}\n  - {step: two again, " +
				"set: {PB1: released}}\n",
			want: []string{"M1 M2", "blown:F1", "blown:F1"},
		},
		{
			name:    "one that does not say its amps carries any load",
			devices: motors + "  F1: {type: fuse}\n",
			wires:   toMotors + "  L: [G1:L, F1:1]\n  1: [F1:2, M1:1, M2:1, PB1:13]\n",
			steps:   "\n  - {step: three, set: {PB1: pressed}}\n",
			want:    []string{"M1 M2 M3"},
		},
		{
			// 1.5 A in a 1.2 A main fuse and a 1 A branch fuse: the branch is the most
			// overloaded, and with it open the main carries nothing.
			name:    "of two in series the least rated",
			devices: motors + "  F1: {type: fuse, amps: 1.2}\n  F2: {type: fuse, amps: 1}\n",
			wires:   toMotors + "  L: [G1:L, F1:1]\n  1: [F1:2, F2:1]\n  2: [F2:2, M1:1, M2:1, PB1:13]\n",
			steps:   "\n  - {step: two}\n  - {step: three, set: {PB1: pressed}}\n",
			want:    []string{"M1 M2", "blown:F2"},
		},
		{
			name:    "the branch that is overloaded, not its neighbour",
			devices: motors + "  F1: {type: fuse, amps: 1}\n  F2: {type: fuse, amps: 0.4}\n",
			wires:   toMotors + "  L: [G1:L, F1:1, F2:1]\n  1: [F1:2, M1:1, M2:1]\n  2: [F2:2, PB1:13]\n",
			steps:   "\n  - {step: two}\n  - {step: three, set: {PB1: pressed}}\n",
			want:    []string{"M1 M2", "M1 M2 blown:F2"},
		},
		{
			name: "a main that two branches overload together",
			devices: motors +
				"  F1: {type: fuse, amps: 1.2}\n  F2: {type: fuse, amps: 1}\n  F3: {type: fuse, amps: 1}\n",
			wires: toMotors +
				"  L: [G1:L, F1:1]\n  1: [F1:2, F2:1, F3:1]\n  2: [F2:2, M1:1, M2:1]\n  3: [F3:2, PB1:13]\n",
			steps: "\n  - {step: two}\n  - {step: three, set: {PB1: pressed}}\n",
			want:  []string{"M1 M2", "blown:F1"},
		},
		{
			name:    "an overload while a relay pulls in",
			devices: motors + "  F1: {type: fuse, amps: 1.2}\n  CR1: {type: relay, contacts: [{no: [13, 14]}]}\n",
			wires: `
  N: [G1:N, M1:2, M2:2, M3:2, CR1:A2]
  L: [G1:L, F1:1]
  1: [F1:2, M1:1, M2:1, PB1:13, CR1:13]
  7: [PB1:14, CR1:A1]
  8: [CR1:14, M3:1]
`,
			steps: "\n  - {step: rest}\n  - {step: pressed, set: {PB1: pressed}}\n  - {step: let go, set: " +
				"{PB1: released}}\n",
			want: []string{"M1 M2", "blown:F1", "blown:F1"},
		},
	} {
		w.run(t)
	}
}

// fed is a control transformer with its primary wired: 240 V to 120 V, a switch and a
// fuse in the primary, a fuse in the secondary where the case adds one.
const fed = `
  G1: {type: supply, volts: 240}
  S1: {type: selector-switch, positions: [off, on], contacts: [{no: [1, 2]}]}
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  H1: {type: lamp, volts: 240, note: on the primary}
  H2: {type: lamp, volts: 120}
  H3: {type: lamp, volts: 120}
`

// If the primary terminals are wired, the secondary is live only while the primary has
// its voltage.
func TestWiredPrimary(t *testing.T) {
	const unfused = `
  1L: [G1:L, S1:1]
  2L: [S1:2, H1:1, F1:1]
  3L: [F1:2, T1:H1]
  N: [G1:N, T1:H2, H1:2]
  1: [T1:X1, H2:1, H3:1]
  2: [T1:X2, H2:2, H3:2]
`
	const fused = `
  1L: [G1:L, S1:1]
  2L: [S1:2, H1:1, F1:1]
  3L: [F1:2, T1:H1]
  N: [G1:N, T1:H2, H1:2]
  1: [T1:X1, F2:1]
  3: [F2:2, H2:1, H3:1]
  2: [T1:X2, H2:2, H3:2]
`
	const steps = "\n  - {step: off}\n  - {step: on, set: {S1: on}}\n  - {step: off again, set: {S1: off}}\n"
	for _, w := range []worked{
		{
			name: "the secondary follows the primary", devices: fed + "  F1: {type: fuse, amps: 2}\n", wires: unfused,
			want: []string{"", "H1 H2 H3", ""},
		},
		{
			name:    "a secondary short with nothing to protect it there blows the primary fuse",
			devices: fed + "  F1: {type: fuse, amps: 2}\n", wires: unfused, fault: shorted("H3"),
			want: []string{"", "H1 blown:F1", "blown:F1"},
		},
		{
			name: "a shorted secondary with no fuse anywhere collapses, its feed does not", devices: fed,
			wires: "\n  1L: [G1:L, S1:1]\n  2L: [S1:2, H1:1, T1:H1]\n  N: [G1:N, T1:H2, H1:2]\n" +
				"  1: [T1:X1, H2:1, H3:1]\n  2: [T1:X2, H2:2, H3:2]\n",
			fault: shorted("H3"),
			want:  []string{"", "H1 collapsed:T1", ""},
		},
		{
			// 2 A at 240 V are 4 A at 120 V.
			name:    "the secondary fuse first, with fewer amps than the primary's are on its side",
			devices: fed + "  F1: {type: fuse, amps: 2}\n  F2: {type: fuse, amps: 3}\n", wires: fused,
			fault: shorted("H3"),
			want:  []string{"", "H1 blown:F2", "blown:F2"},
		},
		{
			// 0.4 A at 240 V are 0.8 A at 120 V.
			name:    "the primary fuse first, with fewer amps on the secondary's side",
			devices: fed + "  F1: {type: fuse, amps: 0.4}\n  F2: {type: fuse, amps: 1}\n", wires: fused,
			fault: shorted("H3"),
			want:  []string{"", "H1 blown:F1", "blown:F1"},
		},
		{
			name:    "a short in the primary leaves the secondary fuse alone",
			devices: fed + "  F1: {type: fuse, amps: 2}\n  F2: {type: fuse, amps: 1}\n", wires: fused,
			fault: touching("T1:H1", "T1:H2"),
			want:  []string{"", "H1 blown:F1", "blown:F1"},
		},
		{
			name:    "an open primary winding",
			devices: fed + "  F1: {type: fuse, amps: 2}\n", wires: unfused,
			fault: func(p *Panel) *Overlay {
				t1 := p.Circuit.Device("T1")
				return &Overlay{Overlay: network.Overlay{
					DeadSources: []network.Source{p.Source(t1)}, OpenLoads: []network.Load{p.Load(t1)}}}
			},
			want: []string{"", "H1", ""},
		},
	} {
		w.steps = steps
		w.run(t)
	}
}

// Half the primary's volts are half the secondary's.
func TestSecondaryFollowsTheRatio(t *testing.T) {
	p := small(t, `
  G1: {type: supply, volts: 120}
  T1: {type: control-transformer, volts: 120, primary-volts: 240}
  CR1: {type: relay, volts: 120}
`, "\n  L: [G1:L, T1:H1]\n  N: [G1:N, T1:H2]\n  1: [T1:X1, CR1:A1]\n  2: [T1:X2, CR1:A2]\n", "\n  - {step: a}\n")
	e := ends(p, nil)[0]
	v, firm := e.ReadVolts(p.Node("T1:X1"), p.Node("T1:X2"), network.MeterOhms)
	assert.True(t, firm)
	assert.InDelta(t, 60, v, 1e-6)
	assert.Equal(t, "", shown(p, nil, e), "60 V do not pull a 120 V relay in")
}

// Between two points on a collapsed supply a meter reads nothing, and firmly; between it and
// another nothing is firm; on the one beside it all is, unless they share a conductor.
func TestReadingsOnACollapsedSupply(t *testing.T) {
	const devices = `
  G1: {type: supply, volts: 120}
  G2: {type: supply, volts: 24, current: dc}
  H1: {type: lamp}
  H2: {type: lamp}
`
	p := small(t, devices, "\n  L: [G1:L, H1:1]\n  N: [G1:N, H1:2]\n  +24: [G2:+, H2:1]\n  0V: "+
		"[G2:-, H2:2]\n", "\n  - {step: a}\n")
	e := ends(p, shorted("H1")(p))[0]
	v, firm := e.ReadVolts(p.Node("H1:1"), p.Node("G1:N"), network.MeterOhms)
	assert.True(t, firm)
	assert.Zero(t, v)
	for _, meter := range []float64{network.MeterOhms, network.LowImpedanceOhms} {
		_, firm = e.ReadVolts(p.Node("H1:1"), p.Node("G2:-"), meter)
		assert.False(t, firm)
	}
	v, firm = e.ReadVolts(p.Node("H2:1"), p.Node("G2:-"), network.MeterOhms)
	assert.True(t, firm)
	assert.InDelta(t, 24, v, 1e-9)

	p = small(t, devices, "\n  L: [G1:L, H1:1]\n  N: [G1:N, H1:2, G2:-, H2:2]\n  +24: [G2:+, H2:1]\n",
		"\n  - {step: a}\n")
	e = ends(p, shorted("H1")(p))[0]
	_, firm = e.ReadVolts(p.Node("H1:1"), p.Node("H2:1"), network.MeterOhms)
	assert.False(t, firm)
}

// A first ground: on a grounded supply the hot side blows its fuse; on an ungrounded
// one nothing happens, and only the readings to ground tell.
func TestFirstGround(t *testing.T) {
	const devices = `
  T1: {type: control-transformer, volts: 120}
  PE: {type: ground}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}], note: on the grounded side}
  CR1: {type: relay}
  CR2: {type: relay}
`
	const wires = `
  1: [T1:X1, F1:1]
  3: [F1:2, PB1:13, CR2:A1]
  4: [PB1:14, CR1:A1]
  5: [CR2:A2, PB2:13]
`
	const grounded = wires + "  2:\n    - [T1:X2, CR1:A2, PB2:14]\n    - [T1:X2, PE:1]\n"
	const floating = wires + "  2: [T1:X2, CR1:A2, PB2:14]\n"
	const steps = "\n  - {step: rest}\n  - {step: pressed, set: {PB1: pressed}}\n  - {step: let go, " +
		"set: {PB1: released}}\n"
	for _, w := range []worked{
		{name: "grounded, hot side", wires: grounded, fault: touching("F1:2", "PE:1"),
			want: []string{"blown:F1", "blown:F1", "blown:F1"}},
		{name: "grounded, ahead of the fuse", wires: grounded, fault: touching("T1:X1", "PE:1"),
			want: []string{"collapsed:T1", "collapsed:T1", "collapsed:T1"}},
		{name: "grounded, behind a button", wires: grounded, fault: touching("PB1:14", "PE:1"),
			want: []string{"", "blown:F1", "blown:F1"}},
		{name: "grounded, between a coil and its button on the grounded side: it starts by itself", wires: grounded,
			fault: touching("CR2:A2", "PE:1"), want: []string{"CR2", "CR1 CR2", "CR2"}},
		{name: "ungrounded, hot side", wires: floating, fault: touching("F1:2", "PE:1"), want: []string{"", "CR1", ""}},
		{name: "ungrounded, behind a button", wires: floating, fault: touching("PB1:14", "PE:1"), want: []string{"", "CR1", ""}},
	} {
		w.devices, w.steps = devices, steps
		w.run(t)
	}

	p := small(t, devices, floating, steps)
	to := func(o *Overlay, at circuits.Terminal) (float64, bool) {
		return ends(p, o)[0].ReadVolts(p.Node(at), p.Node("PE:1"), network.MeterOhms)
	}
	_, firm := to(&Overlay{}, "T1:X1")
	assert.False(t, firm, "an ungrounded supply floats against ground")
	v, firm := to(touching("T1:X2", "PE:1")(p), "T1:X1")
	assert.True(t, firm)
	assert.InDelta(t, 120, v, 1e-3, "the other side of a first ground")
	v, firm = to(touching("T1:X2", "PE:1")(p), "T1:X2")
	assert.True(t, firm)
	assert.Zero(t, v)
}

// A fault opens one protective device and still shorts what is dead behind it; later a contact
// feeds that part from elsewhere. For that the least rated device on the whole way opens, also
// on what leads through the dead part to the fault, whether the fault is worked in full or
// followed along a course.
func TestShortThroughWhatIsDead(t *testing.T) {
	p := small(t, `
  F1: {type: fuse, amps: 10}
  F2: {type: fuse, amps: 6}
  F3: {type: fuse, amps: 1}
  H1: {type: lamp}
  H2: {type: lamp}
  H3: {type: lamp}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
`, `
  L: [G1:L, F1:1, F2:1]
  1: [F1:2, F3:1, H1:1]
  2: [F2:2, H2:1, PB1:13]
  3: [PB1:14, PB2:13]
  4: [F3:2, H3:1, PB2:14]
  N: [G1:N, H1:2, H2:2, H3:2]
`, "\n  - {step: a}\n  - {step: b, set: {PB2: pressed}}\n")
	o := touching("H1:1", "H1:2")(p)
	o.Stuck = []Stuck{{Device: p.Circuit.Device("PB1"), Position: 1}}
	full := ends(p, o)
	assert.Equal(t, "H2 blown:F1", shown(p, o, full[0]))
	assert.Equal(t, "H2 H3 blown:F1 blown:F3", shown(p, o, full[1]))

	var followed [][]*circuits.Device
	p.Course().Follower().Work(o, func(step int, d *Departure) {
		followed = append(followed, d.From().Blown)
	}, func(int, *End, *End) { assert.Fail(t, "it can be followed") })
	assert.Equal(t, [][]*circuits.Device{full[0].Blown, full[1].Blown}, followed)
}
