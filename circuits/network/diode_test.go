package network

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dcNet is a net with a dc source of so many volts between two of its nodes.
func dcNet(nodes int, volts float64) (*Net, []Node) {
	n := New()
	at := make([]Node, nodes)
	for i := range at {
		at[i] = n.AddNode()
	}
	n.AddSource(SourceParts{Hot: at[0], Return: at[1], Volts: volts})
	return n, at
}

func (n *Net) resistor(a, b Node, ohms float64) Load {
	return n.AddLoad(LoadParts{A: a, B: b, Running: complex(ohms, 0), Ohms: ohms})
}

// conducted settles the diodes and solves.
func conducted(t *testing.T, n *Net, o *Overlay) (State, *Live) {
	t.Helper()
	st := n.NewState()
	require.True(t, n.Conduct(st, o, Rising))
	return st, n.Live(st, o)
}

func reads(t *testing.T, l *Live, a, b Node, want float64) {
	t.Helper()
	volts, firm := l.Between(a, b)
	assert.True(t, firm)
	assert.InDelta(t, want, volts, 1e-6)
}

func TestADiodeConductsForward(t *testing.T) {
	n, at := dcNet(3, 24)
	n.AddDiode(at[0], at[2], 0.7)
	n.resistor(at[2], at[1], 100)
	_, l := conducted(t, n, &Overlay{})
	reads(t, l, at[2], at[1], 23.3)
}

func TestADiodeBlocksBackward(t *testing.T) {
	n, at := dcNet(3, 24)
	n.AddDiode(at[2], at[0], 0.7)
	n.resistor(at[2], at[1], 100)
	_, l := conducted(t, n, &Overlay{})
	reads(t, l, at[2], at[1], 0)
}

// A diode across the supply is a dead short one way round, and nothing the other way.
func TestADiodeAcrossASource(t *testing.T) {
	for _, forward := range []bool{false, true} {
		n, at := dcNet(2, 24)
		from, to := at[1], at[0]
		if forward {
			from, to = to, from
		}
		n.AddDiode(from, to, 0.7)
		_, l := conducted(t, n, &Overlay{})
		assert.Equal(t, forward, len(l.Shorts()) > 0)
	}
}

// What hangs behind a diode on no load at all has the voltage before it, as a meter shows.
func TestADiodeLeadsToWhatWouldFloat(t *testing.T) {
	n, at := dcNet(4, 24)
	n.AddDiode(at[0], at[2], 0.7) // its lamp is out
	n.AddDiode(at[2], at[3], 0.7) // another one behind it
	_, l := conducted(t, n, &Overlay{})
	reads(t, l, at[2], at[1], 23.8)
	reads(t, l, at[3], at[1], 23.6)
}

// Between a diode from the one side and a diode to the other anything may stand.
func TestWhatDiodesLeaveOpenFloats(t *testing.T) {
	n, at := dcNet(3, 24)
	n.AddDiode(at[1], at[2], 0.7)
	n.AddDiode(at[2], at[0], 0.7)
	_, l := conducted(t, n, &Overlay{})
	_, firm := l.Between(at[2], at[1])
	assert.False(t, firm)
}

// Two sources of nearly one voltage that feed a point through diodes do not short each other.
func TestTwoSourcesOverDiodes(t *testing.T) {
	n, at := dcNet(4, 24)
	n.AddSource(SourceParts{Hot: at[3], Return: at[1], Volts: 23.99})
	n.AddDiode(at[0], at[2], 0.7)
	n.AddDiode(at[3], at[2], 0.7)
	n.resistor(at[2], at[1], 10)
	_, l := conducted(t, n, &Overlay{})
	assert.Empty(t, l.Shorts())
	volts, _ := l.Between(at[2], at[1])
	assert.InDelta(t, 23.3, volts, 0.05)
}

func TestDiodesUnderAFault(t *testing.T) {
	n, at := dcNet(3, 24)
	d := n.AddDiode(at[0], at[2], 0.7)
	n.resistor(at[2], at[1], 100)
	_, open := conducted(t, n, &Overlay{Open: []Conductor{d}})
	reads(t, open, at[2], at[1], 0)
	_, shorted := conducted(t, n, &Overlay{Closed: []Conductor{d}})
	reads(t, shorted, at[2], at[1], 24)
}

// In the two halves of a cycle a diode does one and the other.
func TestADiodeInBothHalves(t *testing.T) {
	n := New()
	a, b, k := n.AddNode(), n.AddNode(), n.AddNode()
	n.AddSource(SourceParts{Hot: a, Return: b, Volts: 24, Hertz: 60})
	d := n.AddDiode(a, k, 0.7)
	n.resistor(k, b, 100)
	st := n.NewState()
	require.True(t, n.Conduct(st, &Overlay{}, Rising))
	assert.True(t, st.Closed[d])
	require.True(t, n.Conduct(st, &Overlay{}, Falling))
	assert.False(t, st.Closed[d])
}

// Random networks settle, and in the solution every diode that conducts carries a current
// forward, and every one that blocks has less than its drop.
func TestDiodesSettle(t *testing.T) {
	const seeds, many = 3000, 24
	turned := 0
	for seed := uint64(1); seed <= seeds; seed++ {
		r := rand.New(rand.NewPCG(seed, 1))
		n, at := dcNet(4+r.IntN(9), 24)
		any2 := func() (a, b Node) {
			for a == b {
				a, b = at[r.IntN(len(at))], at[r.IntN(len(at))]
			}
			return a, b
		}
		for _, x := range at[2:] { // so that nothing floats and no current is without limit
			n.resistor(x, at[r.IntN(2)], float64(100+r.IntN(10000)))
		}
		for range r.IntN(8) {
			a, b := any2()
			n.resistor(a, b, float64(100+r.IntN(10000)))
		}
		var diodes []Conductor
		var ends [][2]Node
		for range 1 + r.IntN(many) {
			a, b := any2()
			if a == at[0] && b == at[1] {
				a, b = b, a
			}
			// A resistor before each keeps currents in parallel diodes apart.
			mid := n.AddNode()
			n.resistor(a, mid, 10)
			diodes, ends = append(diodes, n.AddDiode(mid, b, 0.7)), append(ends, [2]Node{a, mid})
		}
		st := n.NewState()
		require.True(t, n.Conduct(st, &Overlay{}, Rising), "seed %d", seed)
		l := n.Live(st, &Overlay{})
		require.Empty(t, l.Shorts(), "seed %d", seed)
		for i, d := range diodes {
			mid, to := n.Ends(d)
			if st.Closed[d] {
				turned++
				forward := real(l.Potential(ends[i][0], 0) - l.Potential(mid, 0))
				require.GreaterOrEqual(t, forward, -1e-2, "seed %d: a current backward", seed)
				continue
			}
			require.LessOrEqual(t, real(l.Potential(mid, 0)-l.Potential(to, 0)), 0.7+0.2, "seed %d", seed)
		}
	}
	assert.Greater(t, turned, seeds)
}
