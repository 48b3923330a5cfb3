package work

import (
	"strings"
	"testing"

	"deadrung/circuits/read"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// started is a small starter; a case replaces a line of it.
const started = `circuit: Starter
devices:
  G1: {type: supply, volts: 120}
  F1: {type: fuse, amps: 1}
  PB1: {type: push-button, contacts: [{nc: [11, 12]}]}
  PB2: {type: push-button, contacts: [{no: [13, 14]}]}
  SS1: {type: selector-switch, positions: [off, hand], contacts: [{no: [3, 4]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}, {no: [23, 24]}, {nc: [31, 32]}]}
  TR1: {type: timer, seconds: 10, contacts: [{no: [17, 18], timed: true}]}
  H1: {type: lamp}
  H2: {type: lamp}
  H3: {type: lamp}
wires:
  L: [G1:L, F1:1]
  1: [F1:2, PB1:11, CR1:23, CR1:31, SS1:3]
  2: [PB1:12, PB2:13, CR1:13]
  3: [PB2:14, CR1:14, CR1:A1]
  4: [CR1:24, TR1:A1, TR1:17]
  5: [TR1:18, H1:1]
  6: [CR1:32, H2:1]
  7: [SS1:4, H3:1]
  N: [G1:N, CR1:A2, TR1:A2, H1:2, H2:2, H3:2]
operation:
  - step: rest
    expect: {CR1: off, H2: on}
  - step: start pressed
    set: {PB2: pressed}
    expect: {CR1: on, TR1: on, H1: off, H2: off}
  - step: timed out
    set: {PB2: released}
    wait: 10
    expect: {CR1: on, H1: on, H3: off}
`

// Where expect disagrees with what the described circuit does, the file is wrong: an
// error that names the step, the device, both values and why.
func TestVerify(t *testing.T) {
	for _, test := range []struct {
		name     string
		old, new string
		want     []string // whole problems, without the file
	}{
		{name: "all holds"},
		{
			name: "a button that is not pressed and a relay that did not pull in",
			old:  "expect: {CR1: off, H2: on}", new: "expect: {CR1: on, H2: on, H1: on}",
			want: []string{
				`25:14: in step "rest" CR1 is expected on, but the circuit as described has it off: ` +
					`on the way to CR1 PB2:13-14 is open (PB2 is released)`,
				`25:31: in step "rest" H1 is expected on, but the circuit as described has it off: ` +
					`on the way to H1 CR1:23-24 is open (CR1 did not pull in), TR1:17-18 is open (TR1 did not pull in, timed out: no)`,
			},
		},
		{
			name: "a timer that has not timed out",
			old:  "wait: 10", new: "wait: 9",
			want: []string{
				`32:23: in step "timed out" H1 is expected on, but the circuit as described has it off: ` +
					`on the way to H1 TR1:17-18 is open (TR1 is pulled in, timed out: no)`,
			},
		},
		{
			name: "a relay that opens its NC contact",
			old:  "H1: off, H2: off}", new: "H1: off, H2: on}",
			want: []string{
				`28:41: in step "start pressed" H2 is expected on, but the circuit as described has it off: ` +
					`on the way to H2 CR1:31-32 is open (CR1 is pulled in)`,
			},
		},
		{
			name: "one that is on names the contacts that feed it",
			old:  "H1: on, H3: off}", new: "H1: off, H3: off}",
			want: []string{
				`32:23: in step "timed out" H1 is expected off, but the circuit as described has it on: ` +
					`H1 is fed through F1, CR1:23-24, TR1:17-18`,
			},
		},
		{
			name: "a selector in its position",
			old:  "H1: on, H3: off}", new: "H1: on, H3: on}",
			want: []string{
				`32:31: in step "timed out" H3 is expected on, but the circuit as described has it off: ` +
					`on the way to H3 SS1:3-4 is open (SS1 is off)`,
			},
		},
		{
			name: "the seal of a circuit that was drawn without one",
			old:  "  2: [PB1:12, PB2:13, CR1:13]", new: "  2: [PB1:12, PB2:13]",
			want: []string{
				`32:14: in step "timed out" CR1 is expected on, but the circuit as described has it off: ` +
					`on the way to CR1 PB2:13-14 is open (PB2 is released)`,
				`32:23: in step "timed out" H1 is expected on, but the circuit as described has it off: ` +
					`on the way to H1 CR1:23-24 is open (CR1 did not pull in), TR1:17-18 is open (TR1 did not pull in, timed out: no)`,
			},
		},
		{
			name: "a coil that does not get its volts",
			old:  "TR1: {type: timer,", new: "TR1: {type: timer, volts: 240,",
			want: []string{
				`28:23: in step "start pressed" TR1 is expected on, but the circuit as described has it off: ` +
					`TR1 does not get the volts that it needs`,
				`32:23: in step "timed out" H1 is expected on, but the circuit as described has it off: ` +
					`on the way to H1 TR1:17-18 is open (TR1 did not pull in, timed out: no)`,
			},
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			text := strings.Replace(started, test.old, test.new, 1)
			require.True(t, test.old == "" || text != started)
			c, problems := read.Read("a.yaml", []byte(text))
			require.NoError(t, problems.Err())
			var got []string
			for _, p := range Assemble(c).Verify([]byte(text)) {
				got = append(got, strings.TrimPrefix(p.String(), "a.yaml:"))
				assert.Equal(t, strings.Split(text, "\n")[p.Pos.Line-1], p.Source, "the line for the caret")
			}
			assert.Equal(t, test.want, got)
		})
	}
}

// What is wrong with a circuit without any expectation that fails: it blows its fuse,
// pulls its supply down, finds no rest. Told once, at the step.
func TestVerifyUnsoundCircuit(t *testing.T) {
	for _, test := range []struct {
		name    string
		devices string
		wires   string
		steps   string
		want    []string // parts of each problem, in order
	}{
		{
			name: "a load that the wires bridge blows the fuse, told once",
			devices: "\n  F1: {type: fuse, amps: 1}\n  PB1: {type: push-button, contacts: [{no: [13, " +
				"14]}]}\n  H1: {type: lamp}\n",
			wires: "\n  L: [G1:L, F1:1]\n  1: [F1:2, PB1:13, H1:1]\n  N: [G1:N, H1:2, PB1:14]\n",
			steps: "\n  - step: rest\n  - step: pressed\n    set: {PB1: pressed}\n  - step: let go\n    " +
				"set: {PB1: released}\n    expect: {H1: on}\n",
			want: []string{
				`13:11: in step "pressed" F1 opens: a dead short; right: a good circuit blows no fuse`,
			},
		},
		{
			name: "each fuse at the step that blows it",
			devices: "\n  F1: {type: fuse, amps: 2}\n  F2: {type: fuse, amps: 1}\n  H1: {type: lamp}\n" +
				"  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  PB2: {type: push-button, contacts: [{no: [13, 14]}]}\n",
			wires: "\n  L: [G1:L, F1:1, F2:1, H1:1]\n  1: [F1:2, PB1:13]\n  2: [F2:2, PB2:13]\n  N: [G1:N, " +
				"H1:2, PB1:14, PB2:14]\n",
			steps: "\n  - step: a\n    set: {PB2: pressed}\n  - step: b\n    set: {PB1: pressed}\n",
			want:  []string{`in step "a" F2 opens`, `in step "b" F1 opens`},
		},
		{
			name:    "too many loads on a fuse",
			devices: "\n  F1: {type: fuse, amps: 1}\n  M1: {type: motor, va: 180}\n",
			wires:   "\n  L: [G1:L, F1:1]\n  1: [F1:2, M1:1]\n  N: [G1:N, M1:2]\n",
			steps:   "\n  - step: rest\n",
			want:    []string{`in step "rest" F1 opens: it is rated 1 A and carries 1.5 A; right: more amps for F1`},
		},
		{
			name:    "a motor as motors are taken, on a small fuse: one cause, one problem that names it",
			devices: "\n  F1: {type: fuse, amps: 0.2}\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  M1: {type: motor}\n",
			wires:   "\n  L: [G1:L, F1:1]\n  1: [F1:2, PB1:13]\n  2: [PB1:14, M1:1]\n  N: [G1:N, M1:2]\n",
			steps: "\n  - step: on\n    set: {PB1: pressed}\n    expect: {M1: on}\n  - step: off\n    set: {PB1: released}\n" +
				"  - step: again\n    set: {PB1: pressed}\n    expect: {M1: on}\n",
			want: []string{`in step "on" F1 opens: it is rated 0.2 A and carries 0.5 A; right: more amps for F1, or the va of M1: where the file gives none, a motor is taken to draw 0.5 A at 120 V`},
		},
		{
			name:    "a short with nothing to protect it",
			devices: "\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n",
			wires:   "\n  L: [G1:L, PB1:13, H1:1]\n  N: [G1:N, H1:2, PB1:14]\n",
			steps:   "\n  - step: pressed\n    set: {PB1: pressed}\n",
			want:    []string{`in step "pressed" supply G1 is shorted with nothing to protect it; right: look for a load that the wires bridge`},
		},
		{
			name:    "a relay that opens its own way",
			devices: "\n  CR1: {type: relay, contacts: [{nc: [11, 12]}]}\n",
			wires:   "\n  L: [G1:L, CR1:11]\n  1: [CR1:12, CR1:A1]\n  N: [G1:N, CR1:A2]\n",
			steps:   "\n  - step: rest\n    expect: {CR1: on}\n",
			want:    []string{`in step "rest" CR1 chatters: it finds no rest; right: a relay must not open the way to its own coil`},
		},
		{
			name:    "no wires lead there",
			devices: "\n  H1: {type: lamp}\n  H2: {type: lamp}\n  H3: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1]\n  N: [G1:N, H1:2]\n  1: [H2:1, H3:1]\n  2: [H2:2, H3:2]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on, H2: on}\n",
			want:    []string{`in step "rest" H2 is expected on, but the circuit as described has it off: no wires and contacts lead from G1:L to H2`},
		},
		{
			name:    "a terminal of the load without a wire",
			devices: "\n  H1: {type: lamp}\n  H2: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1, H2:1]\n  N: [G1:N, H1:2]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on, H2: on}\n",
			want:    []string{`H2 is expected on, but the circuit as described has it off: no wire lands on H2:2`},
		},
		{
			name:    "a load without any wire",
			devices: "\n  H1: {type: lamp}\n  H2: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1]\n  N: [G1:N, H1:2]\n",
			steps:   "\n  - step: rest\n    expect: {H2: on}\n",
			want:    []string{`no wire lands on H2:1 or H2:2`},
		},
		{
			name:    "a terminal of the source without a wire",
			devices: "\n  H1: {type: lamp}\n  H2: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1]\n  N: [H1:2, H2:1]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on}\n",
			want:    []string{`no wire lands on G1:N`},
		},
		{
			name:    "a fuse without a wire behind it",
			devices: "\n  F1: {type: fuse, amps: 1}\n  H1: {type: lamp}\n  H2: {type: lamp}\n",
			wires:   "\n  L: [G1:L, F1:1]\n  1: [H1:1, H2:1]\n  N: [G1:N, H1:2, H2:2]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on}\n",
			want:    []string{`no wires and contacts lead from G1:L to H1; no wire lands on F1:2`},
		},
		{
			name: "a contact without a wire behind it; the unused side of a changeover is none",
			devices: "\n  CR1: {type: relay, contacts: [{common: 11, nc: 12, no: 14}, {no: [23, 24]}]}\n  " +
				"PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n  H2: {type: lamp}\n",
			wires: "\n  L: [G1:L, CR1:A1, CR1:11, CR1:23]\n  1: [CR1:14, H1:1]\n  N: [G1:N, CR1:A2, " +
				"H1:2, H2:2]\n  2: [H2:1, PB1:13]\n",
			steps: "\n  - step: rest\n    expect: {H1: on, H2: on}\n",
			want:  []string{`no wires and contacts lead from G1:L to H2; no wire lands on CR1:24 or PB1:14`},
		},
		{
			name: "the way back ends",
			devices: "\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n  H2: " +
				"{type: lamp}\n",
			wires: "\n  L: [G1:L, H1:1, H2:1]\n  1: [H1:2, PB1:13]\n  N: [G1:N, H2:2]\n",
			steps: "\n  - step: rest\n    expect: {H1: on}\n",
			want:  []string{`no wires and contacts lead from G1:N to H1; no wire lands on PB1:14`},
		},
		{
			name:    "a load wired the other way round",
			devices: "\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n",
			wires:   "\n  L: [G1:L, PB1:13]\n  1: [PB1:14, H1:2]\n  N: [G1:N, H1:1]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on}\n",
			want:    []string{`on the way to H1 PB1:13-14 is open (PB1 is released)`},
		},
		{
			name:    "a switch on the grounded side",
			devices: "\n  PB1: {type: push-button, contacts: [{no: [13, 14]}]}\n  H1: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1]\n  1: [H1:2, PB1:13]\n  N: [G1:N, PB1:14]\n",
			steps:   "\n  - step: rest\n    expect: {H1: on}\n",
			want:    []string{`on the way to H1 PB1:13-14 is open (PB1 is released)`},
		},
		{
			name:    "on with no contact in between",
			devices: "\n  H1: {type: lamp}\n",
			wires:   "\n  L: [G1:L, H1:1]\n  N: [G1:N, H1:2]\n",
			steps:   "\n  - step: rest\n    expect: {H1: off}\n",
			want:    []string{`H1 is expected off, but the circuit as described has it on: H1 is fed with no contact in between`},
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := small(t, test.devices, test.wires, test.steps)
			problems := p.Verify(nil)
			for i, want := range test.want {
				if assert.Greater(t, len(problems), i) {
					assert.Contains(t, problems[i].String(), want)
					assert.Empty(t, problems[i].Source, "no text was given")
				}
			}
			assert.Len(t, problems, len(test.want), "%s", problems)
		})
	}
}
