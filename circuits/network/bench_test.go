package network

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// tolerance is the greatest difference from a figure that a formula gives, as a share of
// it: rounding and no more.
const tolerance = 1e-9

// bench is a net on the bench: nodes are made as they are named.
type bench struct {
	t     testing.TB
	net   *Net
	nodes map[string]Node
}

func onBench(t testing.TB) *bench { return &bench{t, New(), make(map[string]Node)} }

func (b *bench) node(name string) Node {
	if b.nodes[name] == 0 {
		b.nodes[name] = b.net.AddNode()
	}
	return b.nodes[name]
}

func (b *bench) wire(from, to string) Conductor { return b.net.AddConductor(b.node(from), b.node(to)) }

// load adds a load that an ohmmeter finds as great as it runs.
func (b *bench) load(from, to string, z complex128) Load {
	return b.net.AddLoad(LoadParts{A: b.node(from), B: b.node(to), Running: z, Ohms: real(z)})
}

func (b *bench) source(hot, ret string, volts, hertz float64) Source {
	return b.net.AddSource(SourceParts{Hot: b.node(hot), Return: b.node(ret), Volts: volts, Hertz: hertz,
		WindingOhms: math.Inf(1)})
}

// live solves the net with all conductors closed but some.
func (b *bench) live(o Overlay, open ...Conductor) *Live { return b.net.Live(b.state(open), &o) }

func (b *bench) off(o Overlay, open ...Conductor) *Off { return b.net.Off(b.state(open), &o) }

func (b *bench) state(open []Conductor) State {
	st := b.net.NewState()
	for _, c := range open {
		st.Closed[c] = false
	}
	return st
}

// volts holds the voltage between two nodes against a figure.
func (b *bench) volts(l *Live, from, to string, want float64) {
	b.t.Helper()
	v, firm := l.Between(b.node(from), b.node(to))
	require.True(b.t, firm, "%s to %s", from, to)
	require.InDelta(b.t, want, v, tolerance*(1+want), "%s to %s", from, to)
}

// floats holds that nothing can be foretold between two nodes.
func (b *bench) floats(l *Live, from, to string) {
	b.t.Helper()
	_, firm := l.Between(b.node(from), b.node(to))
	require.False(b.t, firm, "%s to %s", from, to)
	_, firm = l.Meter(b.node(from), b.node(to), MeterOhms)
	require.False(b.t, firm, "%s to %s", from, to)
}

// ohms holds the resistance between two nodes against a figure.
func (b *bench) ohms(f *Off, from, to string, want float64) {
	b.t.Helper()
	r, firm := f.Ohms(b.node(from), b.node(to))
	require.True(b.t, firm, "%s to %s", from, to)
	if math.IsInf(want, 1) {
		require.True(b.t, math.IsInf(r, 1), "%s to %s reads %g", from, to, r)
		return
	}
	require.InDelta(b.t, want, r, tolerance*(1+want), "%s to %s", from, to)
}

func parallel(ohms ...float64) float64 {
	var g float64
	for _, r := range ohms {
		g += 1 / r
	}
	return 1 / g
}
