package network

import (
	"maps"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"deadrung/circuits/joined"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const panelVolts = 144 // the greatest voltage in play

// What is worked out against a base is what the whole, solved anew, says: the same nodes hang
// together, every voltage is the same, and what is not named as changed has not changed.
func TestLocalIsTheWhole(t *testing.T) {
	solved, tried := 0, 0
	onPanels(t, false, func(t *testing.T, r *rand.Rand, p *panelNet, live *Live) {
		base := p.net.NewBase(p.state, live, p.joins...)
		local, ok := p.net.NewLocal()
		require.True(t, ok)
		for range 4 { // the working space is used again
			c, o := p.randomChange(r)
			tried++
			whole := p.net.Live(p.state, o)
			if !local.Solve(base, c) {
				continue
			}
			solved++
			require.Empty(t, whole.Shorts(), "a short is no small change")
			holdsLocal(t, p.net, local, live, whole)
		}
	})
	assert.Greater(t, solved, tried/2, "most changes are small")
}

func holdsLocal(t *testing.T, n *Net, local *Local, base, whole *Live) {
	t.Helper()
	changed := make(map[Node]bool)
	for _, x := range local.Nodes() {
		changed[x] = true
	}
	near := func(x, y complex128) {
		t.Helper()
		require.Less(t, cmplx.Abs(x-y), lawTolerance*panelVolts)
	}
	for a := Node(1); int(a) <= n.Nodes(); a++ {
		ia, va := local.At(a)
		for b := Node(1); b < a; b++ {
			ib, vb := local.At(b)
			require.Equal(t, whole.Island(a) == whole.Island(b), ia == ib, "nodes %d and %d", a, b)
			if ia != ib {
				require.Zero(t, local.Between(a, b))
				continue
			}
			for s := range whole.Systems() {
				near(whole.Potential(a, s)-whole.Potential(b, s), va[s]-vb[s])
			}
			want, _ := whole.Between(a, b)
			require.InDelta(t, want, local.Between(a, b), lawTolerance*panelVolts)
		}
		if !changed[a] {
			require.Equal(t, base.Island(a), ia, "node %d is not named", a)
			for s := range base.Systems() {
				near(base.Potential(a, s), va[s])
			}
		}
	}
	require.True(t, slices.IsSorted(local.Loads()))
	for i := 1; i <= n.Loads(); i++ {
		x := n.Load(Load(i))
		was, _ := base.Between(x.A, x.B)
		if is, _ := whole.Between(x.A, x.B); math.Abs(is-was) > lawTolerance*panelVolts {
			require.Contains(t, local.Loads(), Load(i))
		}
	}
}

// ladder is a supply with two rungs: a contact and a coil, a contact and two lamps in series.
//
//	L ──fuse── 1 ──a── 2 ──(coil)── N
//	           1 ──b── 3 ──(lamp)── 4 ──(lamp)── N
//
// From L the rail goes on to other rungs, which are not there.
type ladder struct {
	*bench
	fuse, a, b    Conductor
	coil, up, low Load
}

func newLadder(t *testing.T) ladder {
	x := ladder{bench: onBench(t)}
	x.source("L", "N", 120, 60)
	for at, next := range map[string]string{"L": "L2", "L2": "L3", "L3": "L4", "L4": "L5"} {
		x.wire(at, next)
	}
	x.fuse, x.a, x.b = x.wire("L", "1"), x.wire("1", "2"), x.wire("1", "3")
	x.coil = x.bench.load("2", "N", 300)
	x.up, x.low = x.bench.load("3", "4", 100), x.bench.load("4", "N", 200)
	return x
}

func (x *ladder) base(open ...Conductor) *Base {
	st := x.state(open)
	return x.net.NewBase(st, x.net.Live(st, &Overlay{}))
}

func (x *ladder) local() *Local {
	l, _ := x.net.NewLocal()
	return l
}

func (x *ladder) joins(from, to string) *Change {
	return &Change{Joins: [][2]Node{{x.node(from), x.node(to)}}}
}

func TestLocalByHand(t *testing.T) {
	x := newLadder(t)
	base, l := x.base(x.a), x.local()
	volts := func(at string, want float64) {
		t.Helper()
		require.InDelta(t, want, l.Between(x.node(at), x.node("N")), 1e-9, at)
	}
	require.True(t, l.Solve(base, &Change{}))
	volts("2", 0)
	volts("4", 80)
	require.Empty(t, l.Nodes())

	require.True(t, l.Solve(base, x.joins("1", "2")), "the contact closes")
	volts("2", 120)
	require.Equal(t, []Load{x.coil}, l.Loads())
	require.True(t, l.Solve(base, &Change{Opened: []Conductor{x.b}}))
	volts("3", 0)
	volts("4", 0)
	require.True(t, l.Solve(base, x.joins("3", "4")), "a lamp is shorted")
	volts("4", 120)
	require.True(t, l.Solve(base, &Change{OpenLoads: []Load{x.low}}))
	volts("4", 120)
	require.True(t, l.Solve(base, x.joins("2", "4")), "the coil across the lower lamp")
	volts("4", 120*parallel(200, 300)/(100+parallel(200, 300)))
	require.True(t, l.Solve(base, &Change{Opened: []Conductor{x.fuse}}))
	volts("3", 0)
	volts("L", 120)
	require.True(t, l.Solve(base, &Change{Opened: []Conductor{x.b}, OpenLoads: []Load{x.up}}))
	island, _ := l.At(x.node("3"))
	other, _ := l.At(x.node("N"))
	require.NotEqual(t, other, island, "it floats")
	require.True(t, l.Solve(base, &Change{}), "nothing of what was before is left")
	volts("4", 80)

	require.Same(t, base.Live(), base.live)
	require.False(t, base.Closed(x.a))
	require.True(t, base.Closed(x.b))
	require.Equal(t, x.node("L"), base.Super(x.node("3")))
}

// A change that reaches a source itself is left to the whole.
func TestLocalLeavesSourcesToTheWhole(t *testing.T) {
	x := newLadder(t)
	at := x.node("X1")
	lead := x.net.AddConductor(at, x.node("L"))
	x.net.sources[1].Hot = at
	base, l := x.base(), x.local()
	require.False(t, l.Solve(base, x.joins("1", "N")), "a dead short")
	require.False(t, l.Solve(base,
		&Change{Opened: []Conductor{x.a, x.b, x.fuse, lead}, Joins: [][2]Node{{at, x.node("N")}}}))

	y := newLadder(t)
	y.source("P", "M", 24, 0)
	y.bench.load("P", "5", 10)
	y.bench.load("5", "M", 10)
	base, l = y.base(), y.local()
	require.False(t, l.Solve(base, y.joins("1", "P")), "the rails of two supplies meet")
	require.False(t, l.Solve(base, y.joins("4", "5")), "a rung that both supplies hold")

	y.bench.load("N", "M", 10) // two supplies with a load alone between them
	tied := y.base()
	l.Solve(base, y.joins("1", "N"))
	_, short := l.Short(y.joins("1", "N"))
	require.True(t, short)
	require.False(t, l.Solve(tied, y.joins("1", "N")))
	_, short = l.Short(y.joins("1", "N"))
	require.False(t, short, "what was told of another base is forgotten")
}

// Three frequencies are more than a local solution holds.
func TestLocalHoldsTwoFrequencies(t *testing.T) {
	b := onBench(t)
	for i, hertz := range []float64{0, 50, 60} {
		b.source("L", string(rune('a'+i)), 24, hertz)
		_, ok := b.net.NewLocal()
		require.Equal(t, i < 2, ok)
	}
}

// A short is told by the conductors that carry its current: they, the join and what is joined in
// the base, and perhaps other sources, alone tie the source's sides together.
func TestShortTellsTheWay(t *testing.T) {
	told, throughJoins, throughSources := 0, 0, 0
	onPanels(t, false, func(t *testing.T, r *rand.Rand, p *panelNet, live *Live) {
		base := p.net.NewBase(p.state, live, p.joins...)
		local, _ := p.net.NewLocal()
		for range 200 {
			c, o := &Change{}, &Overlay{Joins: slices.Clone(p.joins)}
			j := [2]Node{p.on(r), p.on(r)}
			c.Joins, o.Joins = append(c.Joins, j), append(o.Joins, j)
			if r.IntN(4) == 0 {
				if x := Conductor(1 + r.IntN(p.net.Conductors())); p.state.Closed[x] {
					c.Opened, o.Open = []Conductor{x}, []Conductor{x}
				}
			}
			if local.Solve(base, c) {
				continue
			}
			way, ok := local.Short(c)
			if !ok {
				continue
			}
			told++
			require.NotEmpty(t, p.net.Live(p.state, o).Shorts())
			carry := joined.New(p.net.Nodes() + 1)
			carry.Join(int32(j[0]), int32(j[1]))
			for _, x := range way {
				require.True(t, p.state.Closed[x])
				require.NotContains(t, c.Opened, x)
				a, b := p.net.Ends(x)
				require.NotEqual(t, carry.Of(int32(a)), carry.Of(int32(b)), "it goes in no circle")
				carry.Join(int32(a), int32(b))
			}
			shorted := func() bool {
				return slices.ContainsFunc(p.net.sources[1:], func(s SourceParts) bool {
					return carry.Of(int32(s.Hot)) == carry.Of(int32(s.Return))
				})
			}
			if !shorted() {
				throughJoins++
				for _, j := range p.joins {
					carry.Join(int32(j[0]), int32(j[1]))
				}
			}
			if !shorted() {
				throughSources++
				for _, s := range p.net.sources[1:] {
					carry.Join(int32(s.Hot), int32(s.Return)) // a circle, if one of them was tied already
				}
				ends := make(map[int32]int)
				for _, s := range p.net.sources[1:] {
					ends[carry.Of(int32(s.Hot))]++
				}
				require.Greater(t, slices.Max(slices.Collect(maps.Values(ends))), 1, "two sources meet")
			}
		}
	})
	assert.Greater(t, told, 100)
	assert.Greater(t, throughJoins, 10)
	assert.Greater(t, throughSources, 10)
}

// The current through a conductor that is the only way is what flows if it opens and its ends
// are laid together again, whatever an overlay changes beside it.
func TestThroughIsTheCurrentOfTheWay(t *testing.T) {
	told, flowing := 0, 0
	onPanels(t, false, func(t *testing.T, r *rand.Rand, p *panelNet, live *Live) {
		if len(p.joins) > 0 {
			return
		}
		overlays := []*Overlay{{}}
		for range 3 {
			overlays = append(overlays, anyOverlay(r, p.net))
		}
		for _, o := range overlays {
			live := p.net.Live(p.state, o)
			if len(live.Shorts()) > 0 {
				continue
			}
			for i := 1; i <= p.net.Conductors(); i++ {
				c := Conductor(i)
				if !o.conducts(c, p.state.Closed) {
					continue
				}
				amps, ok := live.Through(c, p.state.Closed, o)
				if !ok {
					continue
				}
				told++
				a, b := p.net.Ends(c)
				opened := *o
				opened.Open = append(slices.Clone(o.Open), c)
				opened.Closed = slices.DeleteFunc(slices.Clone(o.Closed), func(x Conductor) bool { return x == c })
				open := p.net.Live(p.state, &opened)
				if open.Joined(a, b) || open.Island(a) != open.Island(b) {
					require.InDelta(t, 0, amps, 1e-8, "there is another way, or nothing leads back")
					continue
				}
				if amps > 1e-3 {
					flowing++
				}
				require.InDelta(t, open.Current(a, b), amps, 1e-6*(1+amps))
			}
		}
	})
	assert.Greater(t, told, 1000)
	assert.Greater(t, flowing, 100)
}

// anyOverlay changes a little of everything.
func anyOverlay(r *rand.Rand, n *Net) *Overlay {
	node := func() Node { return Node(1 + r.IntN(n.Nodes())) }
	conductor := func() Conductor { return Conductor(1 + r.IntN(n.Conductors())) }
	load := func() Load { return Load(1 + r.IntN(n.Loads())) }
	o := &Overlay{Open: []Conductor{conductor()}}
	if c := conductor(); c != o.Open[0] {
		o.Closed = []Conductor{c}
	}
	if c := conductor(); !slices.Contains(o.Open, c) && !slices.Contains(o.Closed, c) {
		o.Joints = []Joint{{c, 50}}
	}
	for range r.IntN(3) {
		o.Joins = append(o.Joins, [2]Node{node(), node()})
	}
	for range r.IntN(3) {
		o.Leaks = append(o.Leaks, Leak{A: node(), B: node(), Ohms: 300})
	}
	if n.Loads() > 0 {
		switch r.IntN(3) {
		case 0:
			o.OpenLoads = []Load{load()}
		case 1:
			o.ShortedLoads = []Load{load()}
		case 2:
			o.LoadScale = []LoadScale{{load(), 0.5}}
		}
	}
	return o
}

func TestAcrossAtEachFrequency(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 60)
	b.source("P", "N", 24, 0)
	b.load("L", "1", 100)
	b.load("1", "N", 300)
	far := b.node("far")
	l := b.live(Overlay{})
	at := func(of Source) complex128 { return l.Across(b.node("1"), b.node("N"), of) }
	require.InDelta(t, 90, real(at(1)), 1e-9)
	require.InDelta(t, 0, cmplx.Abs(at(2)), 1e-9)
	require.InDelta(t, -24, real(l.Across(b.node("N"), b.node("P"), 2)), 1e-9)
	require.Zero(t, l.Across(b.node("1"), far, 1), "it floats")
}
