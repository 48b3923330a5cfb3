package network

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestVoltageDivider(t *testing.T) {
	for _, c := range []struct{ volts, upper, lower float64 }{
		{120, 200, 300},
		{24, 1, 1},
		{9, 1e-3, 1e6},
		{230, 5e6, 10},
	} {
		b := onBench(t)
		b.source("L", "N", c.volts, 0)
		b.load("L", "M", complex(c.upper, 0))
		b.load("M", "N", complex(c.lower, 0))
		l := b.live(Overlay{})
		b.volts(l, "L", "N", c.volts)
		b.volts(l, "L", "M", c.volts*c.upper/(c.upper+c.lower))
		b.volts(l, "M", "N", c.volts*c.lower/(c.upper+c.lower))
	}
}

// A known network. Source of the figures: hand formula and a general circuit simulator,
// agreeing to the digits that are given.
func TestKnownNodeVoltages(t *testing.T) {
	const digits = 5e-9
	t.Run("120 V dc, 0.01 ohm, 200 ohm, 300 ohm", func(t *testing.T) {
		b := onBench(t)
		b.source("L", "N", 120, 0)
		b.load("L", "1", 0.01)
		b.load("1", "2", 200)
		b.load("2", "N", 300)
		l := b.live(Overlay{})
		for at, want := range map[string]float64{"1": 119.99760005, "2": 71.99856003} {
			v, firm := l.Between(b.node(at), b.node("N"))
			assert.True(t, firm)
			assert.InDelta(t, want, v, digits)
		}
	})
	t.Run("120 V 60 Hz, 0.01 ohm, 200 ohm + 1.5 H, 300 ohm", func(t *testing.T) {
		b := onBench(t)
		b.source("L", "N", 120, 60)
		b.load("L", "1", 0.01)
		b.load("1", "2", complex(200, 2*math.Pi*60*1.5))
		b.load("2", "N", 300)
		v, firm := b.live(Overlay{}).Between(b.node("2"), b.node("N"))
		assert.True(t, firm)
		assert.InDelta(t, 47.69215263, v, digits)
	})
}

// The same voltages where conductors join the parts instead of 0.01 ohm.
func TestConductorsHaveNoResistance(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 0)
	fuse, contact := b.wire("L", "1"), b.wire("1", "2")
	b.load("2", "3", 200)
	b.load("3", "4", 300)
	ret := b.wire("4", "N")
	l := b.live(Overlay{})
	b.volts(l, "L", "2", 0)
	b.volts(l, "2", "3", 48)
	b.volts(l, "3", "N", 72)
	b.volts(l, "4", "N", 0)

	// An open one has the whole supply across it and nothing anywhere else.
	l = b.live(Overlay{}, contact)
	b.volts(l, "1", "2", 120)
	b.volts(l, "2", "N", 0)
	b.volts(l, "L", "1", 0)
	l = b.live(Overlay{}, ret)
	b.volts(l, "4", "N", 120)
	b.volts(l, "2", "4", 0)

	// Two open: what is between them floats.
	l = b.live(Overlay{}, fuse, ret)
	b.floats(l, "2", "N")
	b.floats(l, "2", "L")
	b.volts(l, "2", "4", 0)
	b.volts(l, "L", "N", 120)
}

func TestWheatstoneBridge(t *testing.T) {
	for _, c := range []struct {
		name           string
		r1, r2, r3, r4 float64 // L-A, A-N, L-B, B-N
	}{
		{"balanced", 100, 200, 300, 600},
		{"unbalanced", 100, 200, 300, 400},
		{"steep", 1, 1e5, 2e4, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			const volts, across = 24, 500.0
			b := onBench(t)
			b.source("L", "N", volts, 0)
			b.load("L", "A", complex(c.r1, 0))
			b.load("A", "N", complex(c.r2, 0))
			b.load("L", "B", complex(c.r3, 0))
			b.load("B", "N", complex(c.r4, 0))
			// Open at the detector: the difference of two dividers.
			open := volts * math.Abs(c.r2/(c.r1+c.r2)-c.r4/(c.r3+c.r4))
			b.volts(b.live(Overlay{}), "A", "B", open)
			// With a detector: Thevenin's source behind the two dividers' resistance.
			thevenin := parallel(c.r1, c.r2) + parallel(c.r3, c.r4)
			b.load("A", "B", across)
			b.volts(b.live(Overlay{}), "A", "B", open*across/(across+thevenin))
		})
	}
}

func TestSourcesInSeries(t *testing.T) {
	for _, c := range []struct {
		name          string
		hot, ret      string // of the second source, on the first one's hot side
		first, second float64
	}{
		{"aiding", "P", "L", 120, 24},
		{"opposing", "L", "P", 120, 24},
		{"opposing, the greater second", "L", "P", 24, 120},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := onBench(t)
			b.source("L", "N", c.first, 0)
			b.source(c.hot, c.ret, c.second, 0)
			b.load("P", "M", 100)
			b.load("M", "N", 300)
			l := b.live(Overlay{})
			require.Empty(t, l.Shorts())
			want := math.Abs(c.first + c.second)
			if c.hot == "L" {
				want = math.Abs(c.first - c.second)
			}
			b.volts(l, "P", "N", want)
			b.volts(l, "M", "N", want*0.75)
			b.volts(l, "L", "N", c.first)
			b.volts(l, "P", "L", c.second)
		})
	}
}

// Two frequencies do not add: a meter set to one kind of current reads that.
func TestTwoFrequencies(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 60)
	b.source("+", "N", 24, 0)
	b.load("L", "M", 100)
	b.load("+", "M", 100)
	b.load("M", "N", 100)
	l := b.live(Overlay{})
	require.Equal(t, 2, l.Systems())
	b.volts(l, "L", "N", 120)
	b.volts(l, "+", "N", 24)
	b.volts(l, "L", "+", 120)
	b.volts(l, "M", "N", 40) // a third of 120, beside a third of 24
}

// A coil has no reactance on dc.
func TestInductanceOnDirectCurrent(t *testing.T) {
	b := onBench(t)
	b.source("+", "-", 24, 0)
	b.load("+", "M", complex(300, 400))
	b.load("M", "-", 100)
	b.volts(b.live(Overlay{}), "M", "-", 6)
}

func TestIslands(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 60)
	b.load("L", "A", 100)
	b.load("A", "N", 100)
	b.source("P", "Q", 24, 60)
	b.load("P", "Q", 50)
	b.load("X", "Y", 10) // hangs on nothing
	join := b.wire("N", "Q")
	l := b.live(Overlay{}, join)
	for _, pair := range [][2]string{{"L", "P"}, {"A", "Q"}, {"X", "N"}, {"Y", "Q"}} {
		b.floats(l, pair[0], pair[1])
		assert.NotEqual(t, l.Island(b.node(pair[0])), l.Island(b.node(pair[1])))
	}
	b.volts(l, "X", "Y", 0)
	b.volts(l, "P", "Q", 24)
	// An island goes by the return of its first source, else by its least node.
	assert.Equal(t, b.node("N"), l.Island(b.node("A")))
	assert.Equal(t, b.node("Q"), l.Island(b.node("P")))
	assert.Equal(t, b.node("X"), l.Island(b.node("Y")))
	// Tied at one point: the difference between them is known everywhere.
	l = b.live(Overlay{})
	b.volts(l, "L", "P", 96)
	b.volts(l, "A", "Q", 60)
}

func TestShorts(t *testing.T) {
	b := onBench(t)
	one := b.source("L", "N", 120, 60)
	two := b.source("P", "N", 24, 60)
	b.source("R", "N", 120, 60)
	load := b.load("L", "N", 100)
	join := func(x, y string) Overlay { return Overlay{Joins: [][2]Node{{b.node(x), b.node(y)}}} }
	with := func(o Overlay, change func(*Overlay)) Overlay { change(&o); return o }
	for _, c := range []struct {
		name    string
		overlay Overlay
		want    []Source
	}{
		{"good", Overlay{}, nil},
		{"side to side", join("L", "N"), []Source{one}},
		{"a shorted load", Overlay{ShortedLoads: []Load{load}}, []Source{one}},
		{"against another voltage", join("L", "P"), []Source{two}},
		{"side by side with the same voltage", join("L", "R"), nil},
		{"an open winding", with(join("L", "N"), func(o *Overlay) { o.OpenSources = []Source{one} }), nil},
		{"a dead one shorted", with(join("L", "N"), func(o *Overlay) { o.DeadSources = []Source{one} }), nil},
		{"a live one through a dead one", with(join("L", "P"), func(o *Overlay) { o.DeadSources = []Source{two} }), []Source{two}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, b.live(c.overlay).Shorts())
		})
	}
}

// The meter is a branch: what it reads is Thevenin's source divided between the meter and
// what is behind its leads.
func TestMeterLoading(t *testing.T) {
	for _, c := range []struct {
		name         string
		volts, hertz float64
		upper, lower complex128
		meter        float64
	}{
		{"a relay rung does not feel it", 120, 60, 0.5, complex(2400, 4160), MeterOhms},
		{"a megohm divider does", 120, 0, 1e6, 1e6, MeterOhms},
		{"ac, with a coil above", 120, 60, complex(2e5, 1e6), 3e5, MeterOhms},
		{"low impedance on a relay rung", 120, 60, complex(2400, 4160), 1e9, LowImpedanceOhms},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := onBench(t)
			b.source("L", "N", c.volts, c.hertz)
			b.load("L", "M", c.upper)
			b.load("M", "N", c.lower)
			open := complex(c.volts, 0) * c.lower / (c.upper + c.lower)
			behind := c.upper * c.lower / (c.upper + c.lower)
			meter := complex(c.meter, 0)
			want := cmplx.Abs(open * meter / (meter + behind))
			got, firm := b.live(Overlay{}).Meter(b.node("M"), b.node("N"), c.meter)
			assert.True(t, firm)
			assert.InDelta(t, want, got, tolerance*c.volts)
		})
	}
	// 60 V behind half a megohm, by hand.
	b := onBench(t)
	b.source("L", "N", 120, 0)
	b.load("L", "M", 1e6)
	b.load("M", "N", 1e6)
	got, _ := b.live(Overlay{}).Meter(b.node("M"), b.node("N"), MeterOhms)
	assert.InDelta(t, 57.142857142857, got, 1e-9)
}

// Across the only open point of a rung a meter reads the whole supply less what it drives
// through the coil itself; in low-impedance mode that is a good part.
func TestMeterAcrossTheOpenPoint(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 60)
	contact := b.wire("L", "1")
	coil := complex(2400, 4157) // 3 VA at 120 V
	b.load("1", "N", coil)
	l := b.live(Overlay{}, contact)
	for _, ohms := range []float64{MeterOhms, LowImpedanceOhms} {
		got, firm := l.Meter(b.node("L"), b.node("1"), ohms)
		assert.True(t, firm)
		assert.InDelta(t, 120*ohms/cmplx.Abs(complex(ohms, 0)+coil), got, 1e-9)
	}
}

// The current through a conductor laid between two nodes is Norton's.
func TestCurrent(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 0)
	fuse := b.wire("L", "1")
	b.load("1", "N", 200)
	b.load("1", "N", 300)
	l := b.live(Overlay{}, fuse)
	assert.InDelta(t, 1.0, l.Current(b.node("L"), b.node("1")), tolerance)
	assert.True(t, math.IsInf(b.live(Overlay{}).Current(b.node("L"), b.node("N")), 1))
	assert.Zero(t, b.live(Overlay{}).Current(b.node("L"), b.node("1")))
}

// A grounded side that three loads share: broken, they feed back through one another.
func TestBrokenReturnFeedsBack(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 60)
	contact := b.wire("L", "2")
	b.load("1", "R", 100)
	b.wire("L", "1")
	b.load("2", "R", 200)
	b.load("3", "R", 300) // its contact is not even drawn
	ret := b.wire("R", "N")
	l := b.live(Overlay{}, contact, ret)
	// No way back at all: everything behind the load that is fed reads hot.
	for _, at := range []string{"1", "R", "2", "3"} {
		b.volts(l, at, "N", 120)
	}
	// With a lamp from the second load's hot end to the grounded side it glimmers.
	b.load("2", "N", 600)
	l = b.live(Overlay{}, contact, ret)
	b.volts(l, "2", "N", 120*600/900.0)
	b.volts(l, "1", "R", 120*100/900.0)
	b.volts(l, "3", "R", 0)
}

func TestOverlayOnElements(t *testing.T) {
	b := onBench(t)
	s := b.source("L", "N", 120, 0)
	c := b.wire("L", "1")
	upper := b.load("1", "2", 100)
	b.load("2", "N", 300)
	b.node("9") // another terminal
	for _, x := range []struct {
		name    string
		overlay Overlay
		want    float64 // volts from 2 to N
	}{
		{"none", Overlay{}, 90},
		{"a conductor that is open", Overlay{Open: []Conductor{c}}, 0},
		{"a load that is open", Overlay{OpenLoads: []Load{upper}}, 0},
		{"a load that is shorted", Overlay{ShortedLoads: []Load{upper}}, 120},
		{"two nodes that touch", Overlay{Joins: [][2]Node{{b.node("1"), b.node("2")}}}, 120},
		{"a dead source", Overlay{DeadSources: []Source{s}}, 0},
		{"a wire on another terminal", Overlay{Landings: []Landing{{c, b.node("1"), b.node("2")}}}, 120},
		{"a wire on a terminal with nothing", Overlay{Landings: []Landing{{c, b.node("1"), b.node("9")}}}, 0},
		{"moved and moved back", Overlay{Landings: []Landing{{c, b.node("1"), b.node("9")}, {c, b.node("9"), b.node("1")}}}, 90},
		{"open, though it is moved", Overlay{Open: []Conductor{c}, Landings: []Landing{{c, b.node("1"), b.node("2")}}}, 0},
	} {
		t.Run(x.name, func(t *testing.T) {
			b.t = t
			b.volts(b.live(x.overlay), "2", "N", x.want)
		})
	}
	b.t = t
	b.volts(b.live(Overlay{Closed: []Conductor{c}}, c), "2", "N", 90) // though the state has it open
	// A broken winding is no path: with the loads open as well its two sides part.
	b.volts(b.live(Overlay{OpenSources: []Source{s}}), "L", "N", 0)
	b.volts(b.live(Overlay{DeadSources: []Source{s}, OpenLoads: []Load{upper}}), "L", "N", 0)
	b.floats(b.live(Overlay{OpenSources: []Source{s}, OpenLoads: []Load{upper}}), "L", "N")
}

// A lifted wire takes with it what touches it and nothing else.
func TestLift(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 0)
	feed := b.wire("L", "1")
	on := b.wire("1", "2")
	b.load("1", "N", 100)
	b.load("2", "N", 100)
	whole := b.live(Overlay{})
	b.volts(whole, "1", "N", 120)
	// Both wires off terminal 1: they stay joined, so the second load is still fed.
	l := b.live(Overlay{}.Lift(b.net, b.node("1"), []Conductor{feed, on}))
	b.volts(l, "1", "N", 0)
	b.volts(l, "2", "N", 120)
	// Only the feed off: the second load hangs on with the first.
	l = b.live(Overlay{}.Lift(b.net, b.node("1"), []Conductor{feed}))
	b.volts(l, "1", "N", 0)
	b.volts(l, "2", "N", 0)
	// A stray touch on the wire comes off with it.
	touch := Overlay{Joins: [][2]Node{{b.node("1"), b.node("X")}}}
	b.volts(b.live(touch), "X", "N", 120)
	b.volts(b.live(touch.Lift(b.net, b.node("1"), []Conductor{feed, on})), "X", "N", 120)
	assert.Equal(t, 0, touch.Extra, "lifting leaves the overlay itself alone")
	assert.Equal(t, b.node("1"), touch.Joins[0][0])
}

// A handheld voltmeter loads a source of 3 kilohm by next to nothing; in its low-impedance mode
// it halves the reading.
func TestMetersLoadWhatTheyMeasure(t *testing.T) {
	b := onBench(t)
	b.source("L", "N", 120, 0)
	b.load("L", "1", 3000)
	far := b.node("1")
	b.load("1", "2", 1)
	l := b.live(Overlay{})
	high, _ := l.Meter(far, b.node("N"), MeterOhms)
	require.InDelta(t, 120*10e6/(10e6+3e3), high, 1e-9)
	low, _ := l.Meter(far, b.node("N"), LowImpedanceOhms)
	require.InDelta(t, 60, low, 1e-9)
}

// At direct current a pure inductance is its winding, and any other load its resistance.
func TestInductanceAtDirectCurrent(t *testing.T) {
	b := onBench(t)
	b.source("P", "M", 24, 0)
	b.net.AddLoad(LoadParts{A: b.node("P"), B: b.node("1"), Running: complex(0, 900), Ohms: 50})
	b.net.AddLoad(LoadParts{A: b.node("1"), B: b.node("M"), Running: complex(150, 900), Ohms: 999})
	b.volts(b.live(Overlay{}), "1", "M", 18)
}

// Two sources side by side work against each other as soon as their voltages differ.
func TestSourcesSideBySide(t *testing.T) {
	for _, c := range []struct {
		volts  float64
		shorts int
	}{{24, 0}, {24.01, 1}} {
		b := onBench(t)
		b.source("P", "M", 24, 0)
		b.source("P", "M", c.volts, 0)
		require.Len(t, b.live(Overlay{}).Shorts(), c.shorts, "%g V", c.volts)
	}
}
