package measure

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/generate"
	"deadrung/circuits/network"
	"deadrung/circuits/read"
	"deadrung/circuits/work"
)

func panel(t *testing.T, file string, text []byte) *work.Panel {
	t.Helper()
	c, problems := read.Read(file, text)
	require.NoError(t, problems.Err())
	return work.Assemble(c)
}

func eachPanel(t *testing.T, test func(t *testing.T, name string, text []byte)) {
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		t.Run(name, func(t *testing.T) { test(t, name+".yaml", text) })
	}
	for seed := range uint64(12) {
		text := []byte(generate.Panel(seed, generate.Options{Rungs: 3 + int(seed)}))
		t.Run(fmt.Sprintf("random panel %d", seed), func(t *testing.T) { test(t, "generated.yaml", text) })
	}
}

// A reading is that of one part alone: whatever the other parts are, it stays the same.
func TestPlanReadsOnePartAlone(t *testing.T) {
	eachPanel(t, func(t *testing.T, name string, text []byte) {
		p := panel(t, name, text)
		readings, left := Plan(p, true)
		asked := make(map[string]bool)
		st := p.LockedOut(&work.Overlay{}, 0)
		for _, r := range readings {
			d := r.Of[0]
			asked[d.Name] = true
			o, err := p.Lift(work.Overlay{}, r.Check.Lifted)
			require.NoError(t, err)
			for l := 1; l <= p.Net.Loads(); l++ {
				if p.Load(d) == network.Load(l) && d.Type.Kind != circuits.SourceKind {
					continue
				}
				o.LoadScale = append(o.LoadScale, network.LoadScale{Load: network.Load(l), Factor: 1.7})
			}
			ohms, firm := p.Net.Off(st, &o.Overlay).Ohms(p.Node(r.Check.Ohms[0]), p.Node(r.Check.Ohms[1]))
			x, _ := assumed(p, d)
			assert.True(t, firm, d.Name)
			assert.True(t, network.SameOhms(x.ohms, ohms), "%s: %g ohm where it has %g", d.Name, ohms, x.ohms)
			assert.True(t, r.Within(x.ohms) || r.Dark != "", d.Name)
		}
		for _, l := range left {
			asked[l.Device.Name] = true
		}
		for _, d := range p.Circuit.Devices {
			_, gives := assumed(p, d)
			assert.Equal(t, gives, asked[d.Name], "%s is neither measured nor left out, or for no reason", d.Name)
		}
	})
}

// What is written reads back, and nothing else of the file has changed.
func TestWriteReadsBack(t *testing.T) {
	eachPanel(t, func(t *testing.T, name string, text []byte) {
		p := panel(t, name, text)
		readings, _ := Plan(p, false)
		found := make(map[string]Found)
		for i, r := range readings {
			for _, d := range r.Of {
				found[d.Name] = r.Found(float64(100 + 7*i))
				if r.Dark != "" && i%2 == 0 {
					found[d.Name] = r.Found(math.Inf(1))
				}
			}
		}
		out, err := Write(name, text, found)
		require.NoError(t, err)
		again := panel(t, name, out)
		for _, d := range again.Circuit.Devices {
			if f, ok := found[d.Name]; ok {
				assert.Equal(t, f.Ohms, d.Ohms, d.Name)
			}
		}
		more, _ := Plan(again, false)
		assert.Empty(t, more, "what was measured is asked for again")
		old := strings.SplitAfter(string(text), "\n")
		for _, line := range strings.SplitAfter(string(out), "\n") {
			switch {
			case line == old[0] || added(line, old[0], found):
				old = old[1:]
			case !added(strings.TrimSpace(line), "", found):
				require.Fail(t, "the line is not one of the file", line)
			}
		}
		require.Empty(t, old)
	})
}

// added tells whether a line is another one with a key that was found.
func added(line, old string, found map[string]Found) bool {
	for _, f := range found {
		if line == f.key() && old == "" || line != old && strings.Replace(line, ", "+f.key(), "", 1) == old {
			return true
		}
	}
	return false
}

func TestWriteForms(t *testing.T) {
	const tail = `
  F1: {type: fuse}
  PWS1: {type: supply, volts: 24, current: dc}
wires:
  1: [PWS1:+, F1:1]
  2: [F1:2, CR1:A1]
  3: [CR1:A2, PWS1:-]
operation:
  - step: at rest
    expect: {CR1: on}
`
	for _, c := range []struct{ name, row, want string }{
		{"flow", "  CR1: {type: relay, note: x}", "  CR1: {type: relay, ohms: 250, note: x}"},
		{"quoted", `  CR1: {"type": "relay"}`, `  CR1: {"type": "relay", ohms: 250}`},
		{"broken", "  CR1: {\n    type: relay\n    }", "  CR1: {\n    type: relay, ohms: 250\n    }"},
		{"block", "  CR1:\n    type: relay # the call\n    note: x", "  CR1:\n    type: relay # the call\n    ohms: 250\n    note: x"},
		{"letters beyond ASCII", `  CR1: {note: "Größe", type: relay}`, `  CR1: {note: "Größe", type: relay, ohms: 250}`},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := Write("c.yaml", []byte("circuit: c\ndevices:\n"+c.row+tail),
				map[string]Found{"CR1": {Ohms: 250}})
			require.NoError(t, err)
			assert.Equal(t, "circuit: c\ndevices:\n"+c.want+tail, string(out))
		})
	}
	_, err := Write("c.yaml", []byte("circuit: c\nx: &r {type: relay}\ndevices:\n  CR1: *r"+tail),
		map[string]Found{"CR1": {Ohms: 250}})
	assert.ErrorContains(t, err, "c.yaml")
}

// Two relays of one kind are twins; with each they are read one by one.
func TestTwins(t *testing.T) {
	text, _ := circuits.BuiltinText("two-lamp")
	p := panel(t, "two-lamp.yaml", text)
	readings, _ := Plan(p, false)
	require.Len(t, readings, 1)
	assert.Len(t, readings[0].Of, 2)
	each, _ := Plan(p, true)
	assert.Len(t, each, 2)
}

// No part is read by lifting a wire that opens the secondary of a current transformer.
func TestPlanSparesSecondaries(t *testing.T) {
	text, err := os.ReadFile("../testdata/parts/current.yaml")
	require.NoError(t, err)
	p := panel(t, "current.yaml", text)
	readings, _ := Plan(p, true)
	require.NotEmpty(t, readings)
	for _, r := range readings {
		if len(r.Check.Lifted) > 0 {
			o, err := p.Lift(work.Overlay{}, r.Check.Lifted)
			require.NoError(t, err)
			assert.Nil(t, p.OpensSecondary(o), "%s", r.Check)
		}
	}
}
