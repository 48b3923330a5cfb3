package network

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// holdsOhms holds two readings of an ohmmeter to differ by less than it shows.
func holdsOhms(t *testing.T, want, got float64, between ...any) {
	t.Helper()
	require.True(t, SameOhms(want, got), "%g ohms, and %g worked out against the base: %v", want, got, between)
}

// holdsAsWhole holds what was worked out between two nodes against the whole, of which it gives the ohms.
func holdsAsWhole(t *testing.T, whole *Off, local *LocalOff, a, b Node) float64 {
	t.Helper()
	want, firm := whole.Ohms(a, b)
	got, sure := local.Ohms(a, b)
	require.Equal(t, firm, sure, "nodes %d and %d", a, b)
	if firm {
		holdsOhms(t, want, got, a, b)
	}
	holdsOhms(t, whole.Least(a, b), local.Least(a, b), a, b)
	return want
}

// With the power off, what is worked out against a base is what the whole says, and the
// resistance between any two nodes that are not named is that of the base.
func TestLocalOffIsTheWhole(t *testing.T) {
	for _, unknown := range []bool{false, true} {
		solved, met, tried := 0, 0, 0
		onPanels(t, unknown, func(t *testing.T, r *rand.Rand, p *panelNet, _ *Live) {
			base := p.net.NewOffBase(p.state, p.joins...)
			local := p.net.NewLocalOff()
			st := p.state
			st.EMF = nil
			require.Equal(t, p.state.Closed[1], base.Closed(1))
			for range 3 {
				c, o := p.randomChange(r)
				tried++
				whole := p.net.Off(st, o)
				if !local.Solve(base, c) {
					if local.Met() {
						met++
					}
					continue
				}
				solved++
				changed := local.Nodes()
				for a := Node(1); int(a) <= p.net.Nodes(); a++ {
					for b := Node(1); b <= a; b++ {
						want := holdsAsWhole(t, whole, local, a, b)
						if !slices.Contains(changed, a) && !slices.Contains(changed, b) {
							was, _ := base.Off().Ohms(a, b)
							holdsOhms(t, was, want, a, b)
						}
					}
				}
			}
		})
		assert.Greater(t, solved, tried/8)
		assert.Greater(t, met, 30, "some join two rails")
	}
}

// From a base that others branch off nearly every change is worked out: also one that cuts a source
// off its rail or joins two rails.
func TestBranchesAreTheWhole(t *testing.T) {
	for _, unknown := range []bool{false, true} {
		solved, branched, spread, tried := 0, 0, 0, 0
		onPanels(t, unknown, func(t *testing.T, r *rand.Rand, p *panelNet, _ *Live) {
			st := p.state
			st.EMF = nil
			st.Closed = slices.Clone(st.Closed)
			root := p.net.NewOffBranch(st)
			local := p.net.NewLocalOff()
			own := make(Own)
			for i := range 4 {
				c, o := p.randomChange(r)
				c.Joins = append(c.Joins, p.joins...)
				tried++
				whole := p.net.Off(st, o)
				if i == 3 {
					own = nil // as good, and kept
				}
				at, ok := local.SolveFrom(root, c, own)
				if !ok {
					continue
				}
				solved++
				if at != root {
					branched++
				}
				if local.Spread() {
					spread++
				}
				changed := local.Nodes()
				for a := Node(1); int(a) <= p.net.Nodes(); a++ {
					for b := Node(1); b <= a; b++ {
						want := holdsAsWhole(t, whole, local, a, b)
						if !local.Spread() && !slices.Contains(changed, a) && !slices.Contains(changed, b) {
							was, _ := at.Off().Ohms(a, b)
							holdsOhms(t, was, want, a, b)
						}
					}
				}
			}
		})
		assert.Greater(t, solved, tried/5)
		assert.Greater(t, branched, tried/20)
		assert.Greater(t, spread, tried/30)
	}
}

// Between nodes that are not named as differing two solutions have the same resistance.
func TestDifferingNamesAllThatDiffers(t *testing.T) {
	told := 0
	onPanels(t, true, func(t *testing.T, r *rand.Rand, p *panelNet, _ *Live) {
		one := p.net.Off(p.state, &Overlay{Joins: p.joins})
		for range 5 {
			_, o := p.randomChange(r)
			other := p.net.Off(p.state, o)
			nodes, ok := one.Differing(other)
			if !ok {
				continue
			}
			told++
			for a := Node(1); int(a) <= p.net.Nodes(); a++ {
				for b := Node(1); b < a; b++ {
					if slices.Contains(nodes, a) || slices.Contains(nodes, b) {
						continue
					}
					x, firm := one.Ohms(a, b)
					y, sure := other.Ohms(a, b)
					require.Equal(t, firm, sure)
					if x != y {
						require.InEpsilon(t, x, y, 1e-6)
					}
				}
			}
		}
	})
	assert.Greater(t, told, 200)
}

func TestLocalOffByHand(t *testing.T) {
	x := newLadder(t)
	x.net.sources[1].WindingOhms = 2
	x.bench.load("L", "N", 500)
	st := x.state([]Conductor{x.a, x.b})
	base, l := x.net.NewOffBase(st), x.net.NewLocalOff()
	ohms := func(from, to string, want float64) {
		t.Helper()
		got, firm := l.Ohms(x.node(from), x.node(to))
		require.True(t, firm)
		if math.IsInf(want, 1) {
			require.True(t, math.IsInf(got, 1), "%s to %s reads %g", from, to, got)
			return
		}
		require.InDelta(t, want, got, shows, "%s to %s", from, to)
	}
	winding := parallel(2, 500)
	require.True(t, l.Solve(base, &Change{}))
	ohms("2", "3", 600)
	ohms("1", "2", 300+winding)
	require.Equal(t, x.node("L"), base.Super(x.node("1")))

	require.True(t, l.Solve(base, &Change{OpenLoads: []Load{x.low}}))
	ohms("3", "4", 100)
	ohms("3", "2", math.Inf(1))
	ohms("3", "N", math.Inf(1))
	require.True(t, l.Solve(base, x.joins("3", "4")))
	ohms("3", "N", 200)
	require.True(t, l.Solve(base, x.joins("2", "4")), "the coil beside the lower lamp")
	ohms("3", "N", 100+parallel(200, 300))
	ohms("2", "4", 0)
	require.True(t, l.Solve(base, x.joins("1", "2")), "a coil across the winding is less than a meter shows")
	ohms("1", "N", winding)
	require.False(t, l.Solve(base, x.joins("1", "N")))
	require.True(t, l.Met())
	require.True(t, l.Solve(base, &Change{OpenLoads: []Load{x.coil}}))
	ohms("2", "3", math.Inf(1))
	require.False(t, l.Met(), "what was met before is forgotten")

	x = newLadder(t)
	x.bench.load("1", "far", OpenOhms)
	cut := x.bench.load("far", "end", 100)
	base, l = x.net.NewOffBase(x.state(nil)), x.net.NewLocalOff()
	require.True(t, l.Solve(base, &Change{OpenLoads: []Load{cut}}))
	ohms("1", "far", math.Inf(1))
}

// A change between the rails that a meter would show is left to the whole.
func TestLocalOffLeavesRailsToTheWhole(t *testing.T) {
	x := newLadder(t)
	x.net.sources[1].WindingOhms = 400
	base, l := x.net.NewOffBase(x.state([]Conductor{x.a, x.b})), x.net.NewLocalOff()
	require.False(t, l.Solve(base, x.joins("1", "2")), "the coil now lies across 400 ohms")
	require.False(t, l.Met())
	require.False(t, l.Solve(base, x.joins("1", "3")), "both lamps do")
}

// Rings of resistances: one that hangs on nothing, one on one rail, and the usual one from
// rail to rail, by a bad joint.
func TestLocalOffSolvesRings(t *testing.T) {
	x := onBench(t)
	x.source("L", "N", 24, 60)
	x.net.sources[1].WindingOhms = 2
	cut := x.wire("1", "4")
	x.load("1", "2", 100)
	x.load("2", "3", 100)
	x.load("3", "4", 100)
	for at, next := range map[string]string{"L": "L2", "L2": "L3", "L3": "L4"} {
		x.wire(at, next) // the rail goes on
	}
	joint := x.wire("L", "5")
	x.load("5", "N", 400)
	x.wire("5", "6")
	x.load("6", "tip", 50)
	x.load("6", "N", 200)
	x.load("L", "N", 30)
	base, l := x.net.NewOffBase(x.state([]Conductor{cut})), x.net.NewLocalOff()
	reads := func(from, to string, want float64) {
		t.Helper()
		ohms, firm := l.Ohms(x.node(from), x.node(to))
		require.True(t, firm)
		holdsOhms(t, want, ohms, from, to)
	}
	require.True(t, l.Solve(base, &Change{Joins: [][2]Node{{x.node("1"), x.node("4")}}}))
	reads("1", "3", parallel(100, 200))
	reads("3", "N", math.Inf(1))

	leak := Leak{A: x.node("1"), B: x.node("L"), Ohms: 1000}
	require.True(t, l.Solve(base, &Change{Joins: [][2]Node{{x.node("1"), x.node("4")}}, Leaks: []Leak{leak}}))
	reads("3", "L", 1000+parallel(100, 200))
	reads("3", "N", 1000+parallel(100, 200)+parallel(2, 30, 400, 200))

	require.True(t, l.Solve(base,
		&Change{Opened: []Conductor{joint}, Leaks: []Leak{{A: x.node("L"), B: x.node("5"), Ohms: 60}}}))
	winding, coils := parallel(2, 30), parallel(400, 200)
	reads("L", "5", parallel(60, coils+winding))
	reads("5", "N", parallel(60+winding, coils))
	reads("5", "tip", 50)
	reads("tip", "N", 50+parallel(60+winding, coils))
	reads("L", "N", winding)
	reads("1", "5", math.Inf(1))

	require.True(t, l.Solve(base, &Change{OpenLoads: []Load{2}}))
	reads("1", "3", math.Inf(1))
}

// A meter shows two resistances as one within half of a digit and a small share.
func TestSameOhms(t *testing.T) {
	for _, c := range []struct {
		x, y float64
		same bool
	}{
		{0, 0.04, true}, {0, 0.06, false},
		{1000, 1002, true}, {1002, 1000, true}, {1000, 1003, false},
		{math.Inf(1), math.Inf(1), true}, {math.Inf(1), 1e6, false}, {5, math.Inf(1), false},
	} {
		assert.Equal(t, c.same, SameOhms(c.x, c.y), "%g and %g", c.x, c.y)
	}
}

// Where part of what ties two rails behind an unknown output goes, a meter could take what is
// left for the output itself if that is nearly nothing: this is not for a local solution. A
// little more is.
func TestNearlyNothingBetweenRails(t *testing.T) {
	for _, c := range []struct {
		ohms  float64 // of the two together
		small bool
	}{{0.08, false}, {0.12, true}} {
		n := New()
		hot, ret := n.AddNode(), n.AddNode()
		n.AddSource(SourceParts{Hot: hot, Return: ret, Volts: 24, WindingOhms: math.Inf(1), Unknown: true})
		at, far := n.next(hot), n.next(ret)
		n.AddLoad(LoadParts{A: at, B: far, Running: 1, Ohms: 2.5 * c.ohms})
		other := n.AddLoad(LoadParts{A: at, B: far, Running: 1, Ohms: c.ohms / 0.6})
		base := n.NewOffBase(n.NewState())
		assert.Equal(t, c.small, n.NewLocalOff().Solve(base, &Change{OpenLoads: []Load{other}}), "%g ohms", c.ohms)
	}
}
