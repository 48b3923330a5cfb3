package network

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Laws that every linear network obeys, tried on random ones. They need no figure from
// elsewhere: Kirchhoff's laws together with the sources' voltages have one solution.

const (
	randomNets = 1000
	// lawTolerance is the greatest error as a share of the greatest figure in play:
	// random loads lie four decades apart, which costs that many digits.
	lawTolerance = 1e-8
)

// onRandomNets runs a test on random nets of one frequency. They have up to sources
// sources, no two of which can work against each other.
func onRandomNets(t *testing.T, sources int, hertz float64, test func(t *testing.T, r *rand.Rand, b *bench)) {
	t.Helper()
	for seed := range uint64(randomNets) {
		r := rand.New(rand.NewPCG(seed, uint64(sources)))
		b := onBench(t)
		nodes := 3 + r.IntN(10)
		for i := range nodes {
			b.node(fmt.Sprint(i))
		}
		any := func() Node { return Node(1 + r.IntN(nodes)) }
		for range r.IntN(2 * nodes) {
			if x, y := any(), any(); x != y {
				b.net.AddConductor(x, y)
			}
		}
		for range 1 + r.IntN(3*nodes) {
			if x, y := any(), any(); x != y {
				z := complex(math.Pow(10, 4*r.Float64()), 0)
				p := LoadParts{A: x, B: y, Running: z, Ohms: real(z)}
				if hertz > 0 {
					p.Running += complex(0, real(z)*4*(r.Float64()-0.5))
				}
				b.net.AddLoad(p)
			}
		}
		for range sources {
			if x, y := any(), any(); x != y {
				b.net.AddSource(SourceParts{Hot: x, Return: y, Volts: 1 + 200*r.Float64(), Hertz: hertz,
					WindingOhms: math.Inf(1)})
			}
		}
		test(t, r, b)
	}
}

// randomState opens most conductors. It gives no state in which a source is shorted.
func randomState(r *rand.Rand, b *bench) (State, bool) {
	st := b.net.NewState()
	for i := range st.Closed {
		st.Closed[i] = r.IntN(3) == 0
	}
	return st, b.net.Sources() > 0 && len(b.net.Live(st, &Overlay{}).Shorts()) == 0
}

func greatest(n *Net) float64 {
	var v float64
	for i := 1; i <= n.Sources(); i++ {
		v += n.Source(Source(i)).Volts
	}
	return v
}

// Currents into a node add up to nothing, but where a source adds its own; every source
// holds its voltage; conductors join.
func TestKirchhoff(t *testing.T) {
	tried := 0
	for _, hertz := range []float64{0, 60} {
		onRandomNets(t, 3, hertz, func(t *testing.T, r *rand.Rand, b *bench) {
			st, ok := randomState(r, b)
			if !ok {
				return
			}
			tried++
			n := b.net
			l := n.Live(st, &Overlay{})
			held := make(map[Node]bool)
			for i := 1; i <= n.Sources(); i++ {
				s := n.Source(Source(i))
				held[l.Super(s.Hot)], held[l.Super(s.Return)] = true, true
				require.Equal(t, l.Island(s.Hot), l.Island(s.Return))
				v := l.Potential(s.Hot, 0) - l.Potential(s.Return, 0)
				require.Less(t, cmplx.Abs(v-complex(s.Volts, 0)), lawTolerance*greatest(n))
			}
			for i := 1; i <= n.Conductors(); i++ {
				if x, y := n.Ends(Conductor(i)); st.Closed[i] {
					require.True(t, l.Joined(x, y))
					require.Equal(t, l.Potential(x, 0), l.Potential(y, 0))
				}
			}
			into := make(map[Node]complex128)
			share := make(map[Node]float64) // of the currents that add up
			for i := 1; i <= n.Loads(); i++ {
				p := n.Load(Load(i))
				require.Equal(t, l.Island(p.A), l.Island(p.B))
				current := (l.Potential(p.A, 0) - l.Potential(p.B, 0)) / p.Running
				into[l.Super(p.A)] -= current
				into[l.Super(p.B)] += current
				share[l.Super(p.A)] += greatest(n) / cmplx.Abs(p.Running)
				share[l.Super(p.B)] += greatest(n) / cmplx.Abs(p.Running)
			}
			for at, current := range into {
				if !held[at] {
					require.Less(t, cmplx.Abs(current), lawTolerance*share[at])
				}
			}
		})
	}
	assert.Greater(t, tried, randomNets/2)
}

// The effect of all sources is the sum of the effects of each with the others at rest.
func TestSuperposition(t *testing.T) {
	tried := 0
	for _, hertz := range []float64{0, 60} {
		onRandomNets(t, 3, hertz, func(t *testing.T, r *rand.Rand, b *bench) {
			st, ok := randomState(r, b)
			if !ok || b.net.Sources() < 2 {
				return
			}
			tried++
			n := b.net
			all := n.Live(st, &Overlay{})
			sum := make([]complex128, n.Nodes()+1)
			for i := 1; i <= n.Sources(); i++ {
				one := State{Closed: st.Closed, EMF: make([]complex128, len(st.EMF))}
				one.EMF[i] = st.EMF[i]
				l := n.Live(one, &Overlay{})
				for x := Node(1); int(x) <= n.Nodes(); x++ {
					require.Equal(t, all.Island(x), l.Island(x))
					sum[x] += l.Potential(x, 0)
				}
			}
			for x := Node(1); int(x) <= n.Nodes(); x++ {
				require.Less(t, cmplx.Abs(all.Potential(x, 0)-sum[x]), lawTolerance*greatest(n))
			}
		})
	}
	assert.Greater(t, tried, randomNets/4)
}

// A source here and a short there carries the same current as the source there and the
// short here.
func TestReciprocity(t *testing.T) {
	tried := 0
	for _, hertz := range []float64{0, 60} {
		onRandomNets(t, 0, hertz, func(t *testing.T, r *rand.Rand, b *bench) {
			st, _ := randomState(r, b)
			nodes := b.net.Nodes()
			any := func() Node { return Node(1 + r.IntN(nodes)) }
			w, x, y, z := any(), any(), any(), any()
			rest := b.net.Live(st, &Overlay{})
			if rest.Joined(w, x) || rest.Joined(y, z) {
				return
			}
			tried++
			// transfer is the current through a short from c to d for a volt from one node to
			// another.
			transfer := func(from, to, c, d Node) float64 {
				n := passive(b.net)
				n.AddSource(SourceParts{Hot: from, Return: to, Volts: 1, Hertz: hertz})
				s := State{Closed: st.Closed, EMF: []complex128{0, 1}}
				return n.Live(s, &Overlay{}).Current(c, d)
			}
			there, back := transfer(w, x, y, z), transfer(y, z, w, x)
			if math.IsInf(there, 1) || math.IsInf(back, 1) {
				require.Equal(t, there, back)
				return
			}
			require.InDelta(t, there, back, lawTolerance*(1+there))
		})
	}
	assert.Greater(t, tried, randomNets/2)
}

// passive copies a net without its sources.
func passive(from *Net) *Net {
	n := New()
	for range from.Nodes() {
		n.AddNode()
	}
	for i := 1; i <= from.Conductors(); i++ {
		n.AddConductor(from.Ends(Conductor(i)))
	}
	for i := 1; i <= from.Loads(); i++ {
		n.AddLoad(from.Load(Load(i)))
	}
	return n
}

// The meter as a branch is a load between the leads and nothing else; the voltage and the
// current between two points are those of the same Thevenin's source.
func TestMeterIsALoad(t *testing.T) {
	for _, hertz := range []float64{0, 60} {
		onRandomNets(t, 2, hertz, func(t *testing.T, r *rand.Rand, b *bench) {
			st, ok := randomState(r, b)
			if !ok {
				return
			}
			x, y := Node(1+r.IntN(b.net.Nodes())), Node(1+r.IntN(b.net.Nodes()))
			const ohms = 500
			l := b.net.Live(st, &Overlay{})
			got, firm := l.Meter(x, y, ohms)
			require.Equal(t, l.Island(x) == l.Island(y), firm)
			back, _ := l.Meter(y, x, ohms)
			require.Equal(t, got, back)
			if !firm {
				return
			}
			current := l.Current(x, y)
			open, _ := l.Between(x, y)
			if x != y {
				b.net.AddLoad(LoadParts{A: x, B: y, Running: ohms, Ohms: ohms})
			}
			want, _ := b.net.Live(st, &Overlay{}).Between(x, y)
			require.InDelta(t, want, got, lawTolerance*greatest(b.net))
			if hertz == 0 && !l.Joined(x, y) && !math.IsInf(current, 1) && current > 1e-6 {
				require.InDelta(t, open*ohms/(ohms+open/current), got, lawTolerance*greatest(b.net))
			}
		})
	}
}

// Foster: over all resistors of a network in one piece, what the network between the ends
// of each is of it alone adds up to the number of its nodes less one.
func TestFoster(t *testing.T) {
	onRandomNets(t, 0, 0, func(t *testing.T, r *rand.Rand, b *bench) {
		st, _ := randomState(r, b)
		n := b.net
		f, l := n.Off(st, &Overlay{}), n.Live(st, &Overlay{})
		supers, islands := make(map[Node]bool), make(map[Node]bool)
		for x := Node(1); int(x) <= n.Nodes(); x++ {
			supers[l.Super(x)], islands[l.Island(x)] = true, true
		}
		var sum float64
		for i := 1; i <= n.Loads(); i++ {
			p := n.Load(Load(i))
			ohms, firm := f.Ohms(p.A, p.B)
			require.True(t, firm)
			require.LessOrEqual(t, ohms, p.Ohms*(1+lawTolerance))
			sum += ohms / p.Ohms
		}
		require.InDelta(t, len(supers)-len(islands), sum, 1e-6)
	})
}

// Resistance between points is a distance: none to itself, the same both ways, no shorter
// by way of a third. And it is what a known source and a known resistor find live.
func TestOhmsAreADistance(t *testing.T) {
	onRandomNets(t, 0, 0, func(t *testing.T, r *rand.Rand, b *bench) {
		st, _ := randomState(r, b)
		n := b.net
		f := n.Off(st, &Overlay{})
		ohms := func(x, y Node) float64 {
			v, firm := f.Ohms(x, y)
			require.True(t, firm)
			return v
		}
		any := func() Node { return Node(1 + r.IntN(n.Nodes())) }
		for range 20 {
			x, y, z := any(), any(), any()
			require.Zero(t, ohms(x, x))
			if way, back := ohms(x, y), ohms(y, x); way != back { // not so where both are +Inf
				require.InDelta(t, way, back, lawTolerance*(1+way))
			}
			if by := ohms(x, z) + ohms(z, y); !math.IsInf(by, 1) {
				require.LessOrEqual(t, ohms(x, y), by+lawTolerance*(1+by))
			}
		}
		x, y := any(), any()
		if x == y {
			return
		}
		const known = 1000
		through := n.AddNode()
		n.AddLoad(LoadParts{A: through, B: x, Running: known, Ohms: known})
		n.AddSource(SourceParts{Hot: through, Return: y, Volts: 1, WindingOhms: math.Inf(1)})
		st.EMF = []complex128{0, 1}
		v, firm := n.Live(st, &Overlay{}).Between(x, y)
		require.True(t, firm)
		if want := ohms(x, y); math.IsInf(want, 1) {
			require.InDelta(t, 1, v, lawTolerance)
		} else {
			require.InDelta(t, want/(want+known), v, lawTolerance)
		}
	})
}

// Rayleigh: what opens never lowers a resistance, what closes never raises one.
func TestOpeningNeverLowersOhms(t *testing.T) {
	onRandomNets(t, 1, 0, func(t *testing.T, r *rand.Rand, b *bench) {
		st, _ := randomState(r, b)
		n := b.net
		for i := 1; i <= n.Sources(); i++ {
			n.sources[i].WindingOhms = 2
		}
		before := n.Off(st, &Overlay{})
		node := func() Node { return Node(1 + r.IntN(n.Nodes())) }
		var opens, closes Overlay
		for i := 1; i <= n.Conductors(); i++ {
			switch c := Conductor(i); r.IntN(4) {
			case 0:
				opens.Open = append(opens.Open, c)
			case 1:
				closes.Closed = append(closes.Closed, c)
			}
		}
		for i := 1; i <= n.Loads(); i++ {
			switch x := Load(i); r.IntN(6) {
			case 0:
				opens.OpenLoads = append(opens.OpenLoads, x)
			case 1:
				closes.ShortedLoads = append(closes.ShortedLoads, x)
			}
		}
		if r.IntN(2) == 0 && n.Sources() > 0 {
			opens.OpenSources = []Source{1}
		}
		closes.Joins = [][2]Node{{node(), node()}}
		at := node()
		var wires []Conductor
		for i := 1; i <= n.Conductors(); i++ {
			if x, y := n.Ends(Conductor(i)); (x == at || y == at) && r.IntN(2) == 0 {
				wires = append(wires, Conductor(i))
			}
		}
		lifted := opens.Lift(n, at, wires)
		for _, c := range []struct {
			name    string
			overlay Overlay
			raises  bool
		}{
			{"opened", opens, true},
			{"opened and lifted", lifted, true},
			{"lifted", Overlay{}.Lift(n, at, wires), true},
			{"closed", closes, false},
		} {
			after := n.Off(st, &c.overlay)
			for range 10 {
				x, y := node(), node()
				was, _ := before.Ohms(x, y)
				is, _ := after.Ohms(x, y)
				less, more := was, is
				if !c.raises {
					less, more = is, was
				}
				require.LessOrEqual(t, less, more+lawTolerance*(1+more), c.name)
			}
		}
	})
}

// Solving does not change the net, and gives the same answers again.
func TestSolvingAgain(t *testing.T) {
	onRandomNets(t, 2, 60, func(t *testing.T, r *rand.Rand, b *bench) {
		st, ok := randomState(r, b)
		if !ok {
			return
		}
		was := State{Closed: slices.Clone(st.Closed), EMF: slices.Clone(st.EMF)}
		one, two := b.net.Live(st, &Overlay{}), b.net.Live(st, &Overlay{})
		off, off2 := b.net.Off(st, &Overlay{}), b.net.Off(st, &Overlay{})
		require.Equal(t, was, st)
		for x := Node(1); int(x) <= b.net.Nodes(); x++ {
			require.Equal(t, one.Potential(x, 0), two.Potential(x, 0))
			r, _ := off.Ohms(1, x)
			r2, _ := off2.Ohms(1, x)
			require.Equal(t, r, r2)
		}
	})
}
