package work

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
)

// worked is a small circuit and what it does at the end of each step.
type worked struct {
	name    string
	devices string // of the circuit file, G1 beside them
	wires   string
	steps   string
	fault   func(*Panel) *Overlay // nil: the good circuit
	want    []string              // by step, see shown
}

// ac120 is the source that a circuit has if its devices name no other.
const ac120 = "  G1: {type: supply, volts: 120}\n"

// small reads a small circuit. The parts are indented as in a circuit file, without the
// first line end.
func small(t testing.TB, devices, wires, steps string) *Panel {
	t.Helper()
	if !strings.Contains(devices, "volts:") ||
		!strings.Contains(devices, "type: supply") && !strings.Contains(devices, "control-transformer") {
		devices = ac120 + strings.TrimPrefix(devices, "\n")
	}
	text := "circuit: Small\ndevices:\n" + strings.TrimPrefix(devices, "\n") +
		"wires:\n" + strings.TrimPrefix(wires, "\n") + "operation:\n" + strings.TrimPrefix(steps, "\n")
	c, problems := read.Read("small.yaml", []byte(text))
	require.NoError(t, problems.Err(), text)
	return Assemble(c)
}

// ends works a panel and gives the end of every step.
func ends(p *Panel, o *Overlay) []*End {
	if o == nil {
		o = &Overlay{}
	}
	var all []*End
	p.Work(o, func(_ int, e *End) bool {
		all = append(all, e)
		return true
	})
	return all
}

// shown writes the end of a step: the devices that are on, those in doubt with a
// question mark whether on or not, then what is blown, collapsed and chatters.
func shown(p *Panel, o *Overlay, e *End) string {
	if o == nil {
		o = &Overlay{}
	}
	var words []string
	for _, d := range p.Visible() {
		switch on, firm := p.Look(o, e, d); {
		case !firm:
			words = append(words, d.Name+"?")
		case on:
			words = append(words, d.Name)
		}
	}
	for _, d := range e.Blown {
		words = append(words, "blown:"+d.Name)
	}
	for _, s := range e.Collapsed {
		words = append(words, "collapsed:"+p.SourceDevice(s).Name)
	}
	for _, d := range e.Chatter {
		words = append(words, "chatter:"+d.Name)
	}
	return strings.Join(words, " ")
}

func (w worked) run(t *testing.T) {
	t.Run(w.name, func(t *testing.T) {
		p := small(t, w.devices, w.wires, w.steps)
		o := &Overlay{}
		if w.fault != nil {
			o = w.fault(p)
		}
		var got []string
		for _, e := range ends(p, o) {
			got = append(got, shown(p, o, e))
		}
		assert.Equal(t, w.want, got)
	})
}

// Faults, as faultmodel makes them.

func shorted(device string) func(*Panel) *Overlay {
	return func(p *Panel) *Overlay {
		return &Overlay{Overlay: network.Overlay{ShortedLoads: []network.Load{p.Load(p.Circuit.Device(device))}}}
	}
}

func openLoad(device string) func(*Panel) *Overlay {
	return func(p *Panel) *Overlay {
		return &Overlay{Overlay: network.Overlay{OpenLoads: []network.Load{p.Load(p.Circuit.Device(device))}}}
	}
}

func touching(a, b circuits.Terminal) func(*Panel) *Overlay {
	return func(p *Panel) *Overlay {
		return &Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{p.Node(a), p.Node(b)}}}}
	}
}

func stuck(device string, position int) func(*Panel) *Overlay {
	return func(p *Panel) *Overlay {
		return &Overlay{Stuck: []Stuck{{Device: p.Circuit.Device(device), Position: position}}}
	}
}

func mistimed(device string, atOnce bool) func(*Panel) *Overlay {
	return func(p *Panel) *Overlay {
		return &Overlay{Timers: []Timing{{Device: p.Circuit.Device(device), AtOnce: atOnce}}}
	}
}

// Each step starts where the one before left the circuit, sealed-in relays included.
func TestSealIn(t *testing.T) {
	const devices = `
  PB1: {type: push-button, contacts: [{nc: [11, 12]}], note: stop}
  PB2: {type: push-button, contacts: [{no: [13, 14]}], note: start}
  CR1: {type: relay, contacts: [{no: [13, 14]}, {nc: [21, 22]}]}
  H1: {type: lamp, note: stopped}
`
	const wires = `
  L: [G1:L, PB1:11, CR1:21]
  N: [G1:N, CR1:A2, H1:2]
  1: [PB1:12, PB2:13, CR1:13]
  2: [PB2:14, CR1:14, CR1:A1]
  3: [CR1:22, H1:1]
`
	const steps = `
  - {step: rest}
  - {step: start, set: {PB2: pressed}}
  - {step: start let go, set: {PB2: released}}
  - {step: nothing}
  - {step: stop, set: {PB1: pressed}}
  - {step: stop let go, set: {PB1: released}}
  - {step: start and stop, set: {PB1: pressed, PB2: pressed}}
  - {step: stop let go first, set: {PB1: released}}
  - {step: both let go, set: {PB2: released}}
`
	for _, w := range []worked{
		{name: "good", want: []string{"H1", "CR1", "CR1", "CR1", "H1", "H1", "H1", "CR1", "CR1"}},
		{name: "start button stuck pressed", fault: stuck("PB2", 1),
			want: []string{"CR1", "CR1", "CR1", "CR1", "H1", "CR1", "H1", "CR1", "CR1"}},
		{name: "armature stuck released", fault: stuck("CR1", 0),
			want: []string{"H1", "H1", "H1", "H1", "H1", "H1", "H1", "H1", "H1"}},
		{name: "armature stuck operated", fault: stuck("CR1", 1),
			want: []string{"CR1", "CR1", "CR1", "CR1", "CR1", "CR1", "CR1", "CR1", "CR1"}},
		{name: "coil open", fault: openLoad("CR1"),
			want: []string{"H1", "H1", "H1", "H1", "H1", "H1", "H1", "H1", "H1"}},
	} {
		w.devices, w.wires, w.steps = devices, wires, steps
		w.run(t)
	}
}

// Changeover contacts break before make; all contacts of one relay move together.
func TestBreakBeforeMake(t *testing.T) {
	for _, w := range []worked{
		{
			// The two halves of the jog button lie side by side over the seal. Pressed or
			// let go, the one that opens does so before the other closes.
			name: "jog button does not seal in",
			devices: `
  PB1: {type: push-button, contacts: [{nc: [11, 12]}], note: stop}
  PB2: {type: push-button, contacts: [{no: [13, 14]}], note: start}
  PB3: {type: push-button, contacts: [{no: [13, 14]}, {nc: [21, 22]}], note: jog}
  M1: {type: contactor, contacts: [{no: [13, 14]}]}
`,
			wires: `
  L: [G1:L, PB1:11]
  N: [G1:N, M1:A2]
  1: [PB1:12, PB2:13, PB3:13, PB3:21]
  2: [PB3:22, M1:13]
  3: [PB2:14, PB3:14, M1:14, M1:A1]
`,
			steps: `
  - {step: jog, set: {PB3: pressed}}
  - {step: jog let go, set: {PB3: released}}
  - {step: start, set: {PB2: pressed}}
  - {step: start let go, set: {PB2: released}}
  - {step: jog while it runs, set: {PB3: pressed}}
  - {step: jog let go again, set: {PB3: released}}
`,
			want: []string{"M1", "", "M1", "M1", "M1", ""},
		},
		{
			name: "jog button written as a changeover",
			devices: `
  PB3: {type: push-button, contacts: [{common: 11, nc: 12, no: 14}], note: jog}
  M1: {type: contactor, contacts: [{no: [13, 14]}]}
`,
			wires: `
  L: [G1:L, PB3:11]
  N: [G1:N, M1:A2]
  2: [PB3:12, M1:13]
  3: [PB3:14, M1:14, M1:A1]
`,
			steps: `
  - {step: jog, set: {PB3: pressed}}
  - {step: jog let go, set: {PB3: released}}
`,
			want: []string{"M1", ""},
		},
		{
			// Were 12 and 14 joined for an instant, CR2 would pull in and seal.
			name: "a relay's NC and NO are never closed together",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{common: 11, nc: 12, no: 14}]}
  CR2: {type: relay, contacts: [{no: [13, 14]}]}
  H1: {type: lamp}
`,
			wires: `
  L: [G1:L, PB1:13, CR1:12, CR2:13]
  N: [G1:N, CR1:A2, CR2:A2, H1:2]
  1: [PB1:14, CR1:A1]
  2: [CR1:11, H1:1]
  3: [CR1:14, CR2:14, CR2:A1]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`,
			want: []string{"H1", "CR1", "H1"},
		},
		{
			// Turned from hand to auto, the switch passes a moment with neither closed.
			name: "a selector breaks one way before it makes the other",
			devices: `
  SS1: {type: selector-switch, positions: [hand, auto], contacts: [{terminals: [1, 2], closed: [hand]}, {terminals: [3, 4], closed: [auto]}]}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
`,
			wires: `
  L: [G1:L, SS1:1, SS1:3]
  N: [G1:N, CR1:A2]
  1: [SS1:2, SS1:4, PB1:13, CR1:13]
  2: [PB1:14, CR1:14, CR1:A1]
`,
			steps: `
  - {step: start, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
  - {step: turned, set: {SS1: auto}}
`,
			want: []string{"CR1", "CR1", ""},
		},
		{
			// A contact that is closed in both positions does not open on the way.
			name: "a contact closed in both positions stays closed",
			devices: `
  SS1: {type: selector-switch, positions: [off, hand, auto], contacts: [{terminals: [1, 2], closed: [hand, auto]}]}
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
`,
			wires: `
  L: [G1:L, SS1:1]
  N: [G1:N, CR1:A2]
  1: [SS1:2, PB1:13, CR1:13]
  2: [PB1:14, CR1:14, CR1:A1]
`,
			steps: `
  - {step: start, set: {SS1: hand, PB1: pressed}}
  - {step: let go, set: {PB1: released}}
  - {step: turned, set: {SS1: auto}}
  - {step: off, set: {SS1: off}}
  - {step: hand, set: {SS1: hand}}
`,
			want: []string{"CR1", "CR1", "CR1", "", ""},
		},
	} {
		w.run(t)
	}
}

// Where no stable state exists, the relay chatters, and a look at it is not a firm
// reading; what merely races comes to rest.
func TestChatterAndRaces(t *testing.T) {
	for _, w := range []worked{
		{
			name: "through its own NC contact",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{nc: [11, 12]}, {no: [23, 24]}]}
  CR2: {type: relay}
  H1: {type: lamp, note: on the NO of the relay that chatters}
  H2: {type: lamp, note: apart from it}
`,
			wires: `
  L: [G1:L, PB1:13, CR1:23, CR2:A1, H2:1]
  N: [G1:N, CR1:A2, CR2:A2, H1:2, H2:2]
  1: [PB1:14, CR1:11]
  2: [CR1:12, CR1:A1]
  3: [CR1:24, H1:1]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`,
			want: []string{"CR2 H2", "CR1? CR2 H1? H2 chatter:CR1", "CR2 H2"},
		},
		{
			// CR1 pulls CR2 in, CR2 lets CR1 go, CR1 lets CR2 go.
			name: "two that chase each other",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{no: [13, 14]}]}
  CR2: {type: relay, contacts: [{nc: [11, 12]}]}
`,
			wires: `
  L: [G1:L, PB1:13]
  N: [G1:N, CR1:A2, CR2:A2]
  1: [PB1:14, CR1:13, CR2:11]
  2: [CR2:12, CR1:A1]
  3: [CR1:14, CR2:A1]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
`,
			want: []string{"", "CR1? CR2? chatter:CR1 chatter:CR2"},
		},
		{
			// Judged together both would pull in and both let go, for ever: one of them
			// is quicker, the first of the file.
			name: "two interlocked relays energised at once",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
  CR1: {type: relay, contacts: [{nc: [11, 12]}]}
  CR2: {type: relay, contacts: [{nc: [11, 12]}]}
`,
			wires: `
  L: [G1:L, PB1:13]
  N: [G1:N, CR1:A2, CR2:A2]
  1: [PB1:14, CR1:11, CR2:11]
  2: [CR2:12, CR1:A1]
  3: [CR1:12, CR2:A1]
`,
			steps: `
  - {step: rest}
  - {step: pressed, set: {PB1: pressed}}
  - {step: nothing}
  - {step: let go, set: {PB1: released}}
`,
			want: []string{"", "CR1? CR2?", "CR1? CR2?", ""},
		},
		{
			name: "a long chain of relays comes to rest",
			devices: `
  PB1: {type: push-button, contacts: [{no: [13, 14]}]}
` + repeated("  CR#: {type: relay, contacts: [{no: [13, 14]}]}\n", 12),
			wires: `
  L: [G1:L, PB1:13, CR1:13, CR2:13, CR3:13, CR4:13, CR5:13, CR6:13, CR7:13, CR8:13, CR9:13, CR10:13, CR11:13]
  N: [G1:N, CR1:A2, CR2:A2, CR3:A2, CR4:A2, CR5:A2, CR6:A2, CR7:A2, CR8:A2, CR9:A2, CR10:A2, CR11:A2, CR12:A2]
  1: [PB1:14, CR1:A1]
  2: [CR1:14, CR2:A1]
  3: [CR2:14, CR3:A1]
  4: [CR3:14, CR4:A1]
  5: [CR4:14, CR5:A1]
  6: [CR5:14, CR6:A1]
  7: [CR6:14, CR7:A1]
  8: [CR7:14, CR8:A1]
  9: [CR8:14, CR9:A1]
  10: [CR9:14, CR10:A1]
  11: [CR10:14, CR11:A1]
  12: [CR11:14, CR12:A1]
`,
			steps: `
  - {step: pressed, set: {PB1: pressed}}
  - {step: let go, set: {PB1: released}}
`,
			want: []string{"CR1 CR2 CR3 CR4 CR5 CR6 CR7 CR8 CR9 CR10 CR11 CR12", ""},
		},
	} {
		w.run(t)
	}
}

// A relay that chatters leaves readings at its contacts in doubt, and those elsewhere
// firm.
func TestReadingsWhileItChatters(t *testing.T) {
	p := small(t, `
  CR1: {type: relay, contacts: [{nc: [11, 12]}]}
  H1: {type: lamp}
`, `
  L: [G1:L, CR1:11, H1:1]
  N: [G1:N, CR1:A2, H1:2]
  2: [CR1:12, CR1:A1]
`, `
  - {step: only one}
`)
	e := ends(p, nil)[0]
	require.Len(t, e.Phases, 2)
	_, firm := e.ReadVolts(p.Node("CR1:A1"), p.Node("G1:N"), network.MeterOhms)
	assert.False(t, firm, "the coil of a relay that chatters")
	v, firm := e.ReadVolts(p.Node("H1:1"), p.Node("G1:N"), network.MeterOhms)
	assert.True(t, firm)
	assert.InDelta(t, 120, v, 1e-9)
}

// Work stops when it is told to.
func TestWorkStops(t *testing.T) {
	p := small(t, "  H1: {type: lamp}\n", "  L: [G1:L, H1:1]\n  N: [G1:N, H1:2]\n",
		"  - {step: a}\n  - {step: b}\n  - {step: c}\n")
	seen := 0
	p.Work(&Overlay{}, func(step int, _ *End) bool {
		assert.Equal(t, seen, step)
		seen++
		return step < 1
	})
	assert.Equal(t, 2, seen)
}

// repeated writes a line so many times, with its number for each #.
func repeated(line string, times int) string {
	var b strings.Builder
	for i := range times {
		b.WriteString(strings.ReplaceAll(line, "#", strconv.Itoa(i+1)))
	}
	return b.String()
}
