package work

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// holdsVolts holds a reading, and whether it is firm.
func holdsVolts(t *testing.T, p *Panel, e *End, a, b circuits.Terminal, want float64, sure bool) {
	t.Helper()
	v, firm := e.ReadVolts(p.Node(a), p.Node(b), network.MeterOhms)
	require.Equal(t, sure, firm, "%s to %s", a, b)
	if sure {
		assert.InDelta(t, want, v, 0.01, "%s to %s", a, b)
	}
}

// two gives two supplies with one return, with a lamp on each; key is the second's phase.
func two(t *testing.T, first, second string) *Panel {
	return small(t, fmt.Sprintf(`
  G1: {type: supply, volts: 120%s}
  G2: {type: supply, volts: 120%s}
  H1: {type: lamp, ohms: 400, va: 30}
  H2: {type: lamp, ohms: 100, va: 120}
  XN: {type: terminal-block, terminals: [1]}
`, first, second), `
  L1: [G1:L, H1:1]
  L2: [G2:L, H2:1]
  N: [G1:N, G2:N, XN:1]
  N2: [H1:2, H2:2]
`, "\n  - {step: a}\n")
}

// Split phase reads twice a leg between its hot sides. With the shared neutral open, loads of
// four to one lie in series: 240·Z1/(Z1+Z2) and 240·Z2/(Z1+Z2), so 192 and 48 V. Source: Ohm's
// law; the case is common practice, no source.
func TestSplitPhase(t *testing.T) {
	p := two(t, ", phase: 0", ", phase: 180")
	e := ends(p, nil)[0]
	holdsVolts(t, p, e, "G1:L", "G2:L", 240, true)
	holdsVolts(t, p, e, "G1:L", "G1:N", 120, true)
	holdsVolts(t, p, e, "G2:L", "G2:N", 120, true)
	holdsVolts(t, p, e, "G1:L", "H1:2", 192, true)
	holdsVolts(t, p, e, "G2:L", "H1:2", 48, true)
	_, local := p.Net.NewLocal()
	assert.True(t, local)

	whole := &Overlay{Overlay: network.Overlay{Joins: [][2]network.Node{{p.Node("XN:1"), p.Node("H1:2")}}}}
	e = ends(p, whole)[0]
	holdsVolts(t, p, e, "G1:L", "H1:2", 120, true)
	holdsVolts(t, p, e, "G2:L", "H1:2", 120, true)
}

// In phase the hot sides read nothing. Of unknown phase nothing between them is firm, neither
// volts nor a lamp, but each is against its own return.
func TestPhaseUnknown(t *testing.T) {
	p := two(t, ", phase: 0", ", phase: 0")
	holdsVolts(t, p, ends(p, nil)[0], "G1:L", "G2:L", 0, true)
	for _, phases := range [][2]string{{}, {", phase: 0"}, {", phase: unknown", ", phase: unknown"}, {", phase: 0", ", phase: unknown"}} {
		p = two(t, phases[0], phases[1])
		e := ends(p, nil)[0]
		holdsVolts(t, p, e, "G1:L", "G2:L", 0, false)
		holdsVolts(t, p, e, "G1:L", "H1:2", 0, false)
		holdsVolts(t, p, e, "G1:L", "G1:N", 120, true)
		holdsVolts(t, p, e, "G2:L", "G1:N", 120, true)
		_, firm := p.Look(&Overlay{}, e, p.Device("H1"))
		assert.False(t, firm)
		_, local := p.Net.NewLocal()
		assert.False(t, local)
	}
}

// Three phases of 120 V to the star point read 120·√3 V, or 208 V, between lines. Source: the
// length of the difference of two phasors a third of a turn apart.
func TestThreePhases(t *testing.T) {
	p := small(t, `
  G1: {type: supply, volts: 120, phase: 0}
  G2: {type: supply, volts: 120, phase: 120}
  G3: {type: supply, volts: 120, phase: -120}
  H1: {type: lamp}
`, "\n  L1: [G1:L, H1:1]\n  L2: [G2:L, H1:2]\n  N: [G1:N, G2:N, G3:N]\n", "\n  - {step: a}\n")
	e := ends(p, nil)[0]
	for _, pair := range [][2]circuits.Terminal{{"G1:L", "G2:L"}, {"G2:L", "G3:L"}, {"G3:L", "G1:L"}} {
		holdsVolts(t, p, e, pair[0], pair[1], 120*math.Sqrt(3), true)
	}
}
