package network

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSeriesAndParallel(t *testing.T) {
	b := onBench(t)
	b.load("1", "2", 100)
	b.load("2", "3", 220)
	b.load("2", "3", 330)
	b.load("3", "4", 47)
	b.load("4", "5", 1e5)
	b.load("8", "9", 10) // apart from the rest
	f := b.off(Overlay{})
	b.ohms(f, "1", "1", 0)
	b.ohms(f, "1", "2", 100)
	b.ohms(f, "2", "3", parallel(220, 330))
	b.ohms(f, "1", "4", 100+parallel(220, 330)+47)
	b.ohms(f, "5", "1", 100+parallel(220, 330)+47+1e5)
	b.ohms(f, "1", "9", math.Inf(1))
}

// An unbalanced bridge has no series and parallel parts; turning its upper triangle into
// a star does it.
func TestBridgeByStarAndTriangle(t *testing.T) {
	for _, c := range []struct{ r1, r2, r3, r4, r5 float64 }{ // L-A, A-N, L-B, B-N, A-B
		{100, 200, 300, 400, 500},
		{100, 200, 300, 600, 500}, // balanced: the bridge carries nothing
		{1, 1e5, 2e4, 3, 0.1},
	} {
		b := onBench(t)
		b.load("L", "A", complex(c.r1, 0))
		b.load("A", "N", complex(c.r2, 0))
		b.load("L", "B", complex(c.r3, 0))
		b.load("B", "N", complex(c.r4, 0))
		b.load("A", "B", complex(c.r5, 0))
		sum := c.r1 + c.r3 + c.r5
		atL, atA, atB := c.r1*c.r3/sum, c.r1*c.r5/sum, c.r3*c.r5/sum
		b.ohms(b.off(Overlay{}), "L", "N", atL+1/(1/(atA+c.r2)+1/(atB+c.r4)))
	}
}

// The resistance across any edge of a cube of equal resistors is 7/12 of one, across a
// face 3/4, through the body 5/6: the textbook's symmetric network.
func TestCubeOfResistors(t *testing.T) {
	corner := func(i int) string { return string(rune('a' + i)) }
	b := onBench(t)
	for i := range 8 {
		for bit := 1; bit < 8; bit *= 2 {
			if i&bit == 0 {
				b.load(corner(i), corner(i|bit), 12)
			}
		}
	}
	f := b.off(Overlay{})
	b.ohms(f, "a", corner(1), 7)
	b.ohms(f, "a", corner(3), 9)
	b.ohms(f, "a", corner(7), 10)
}

func TestOverlayOnResistances(t *testing.T) {
	b := onBench(t)
	c := b.wire("1", "2")
	one := b.load("2", "3", 100)
	b.load("2", "3", 300)
	b.load("3", "4", 50)
	for _, x := range []struct {
		name    string
		overlay Overlay
		want    float64 // 1 to 4
	}{
		{"none", Overlay{}, 125},
		{"a load that is open", Overlay{OpenLoads: []Load{one}}, 350},
		{"a load that is shorted", Overlay{ShortedLoads: []Load{one}}, 50},
		{"a conductor that is open", Overlay{Open: []Conductor{c}}, math.Inf(1)},
		{"two nodes that touch", Overlay{Joins: [][2]Node{{b.node("1"), b.node("4")}}}, 0},
		{"lifted", Overlay{}.Lift(b.net, b.node("2"), []Conductor{c}), math.Inf(1)},
	} {
		t.Run(x.name, func(t *testing.T) {
			b.t = t
			b.ohms(b.off(x.overlay), "1", "4", x.want)
		})
	}
}

// The sneak path: with the power off an open contact reads its own coil and the winding
// of the transformer, not OL.
func TestSneakPathThroughTheWinding(t *testing.T) {
	b := onBench(t)
	s := b.net.AddSource(SourceParts{Hot: b.node("X1"), Return: b.node("X2"), Volts: 120, Hertz: 60,
		WindingOhms: 2})
	b.wire("X1", "1")
	contact := b.wire("1", "2")
	b.net.AddLoad(LoadParts{A: b.node("2"), B: b.node("X2"), Running: complex(2400, 4157), Ohms: 2400})
	b.ohms(b.off(Overlay{}, contact), "1", "2", 2402)
	b.ohms(b.off(Overlay{}), "1", "2", 0)
	b.ohms(b.off(Overlay{}), "X1", "X2", parallel(2, 2400))
	b.ohms(b.off(Overlay{OpenSources: []Source{s}}, contact), "1", "2", math.Inf(1))
	b.ohms(b.off(Overlay{DeadSources: []Source{s}}, contact), "1", "2", 2402)
}

// What an ohmmeter does not light reads open, and so does what is beyond its range.
func TestOpenReadings(t *testing.T) {
	b := onBench(t)
	b.net.AddLoad(LoadParts{A: b.node("1"), B: b.node("2"), Running: 14400, Ohms: math.Inf(1)})
	b.load("3", "4", OpenOhms)
	b.load("5", "6", OpenOhms*0.999)
	f := b.off(Overlay{})
	b.ohms(f, "1", "2", math.Inf(1))
	b.ohms(f, "3", "4", math.Inf(1))
	b.ohms(f, "5", "6", OpenOhms*0.999)
}

// Whatever an electronic supply's output has a part in cannot be foretold; the rest can.
func TestUnknownOutput(t *testing.T) {
	b := onBench(t)
	b.net.AddSource(SourceParts{Hot: b.node("+"), Return: b.node("-"), Volts: 24, Unknown: true,
		WindingOhms: math.Inf(1)})
	b.load("+", "1", 100)
	b.load("1", "-", 200)
	b.load("-", "2", 50)
	b.load("8", "9", 10)
	f := b.off(Overlay{})
	for _, pair := range [][2]string{{"+", "-"}, {"+", "1"}, {"1", "-"}, {"1", "2"}} {
		_, firm := f.Ohms(b.node(pair[0]), b.node(pair[1]))
		assert.False(t, firm, pair)
	}
	b.ohms(f, "-", "2", 50)
	b.ohms(f, "8", "9", 10)
	b.ohms(f, "1", "8", math.Inf(1))
	assert.Zero(t, math.Round(f.Least(b.node("+"), b.node("-"))), "the output joined")
	assert.InDelta(t, parallel(100, 200), f.Least(b.node("+"), b.node("1")), 0.01)
	assert.InDelta(t, 50+parallel(100, 200), f.Least(b.node("1"), b.node("2")), 0.01)
}

// Very small beside very large loses no digits.
func TestRangeOfResistances(t *testing.T) {
	b := onBench(t)
	b.load("1", "2", 1e-3)
	b.load("2", "3", 1e7)
	b.load("3", "4", 1e-3)
	b.load("4", "1", 1e7)
	f := b.off(Overlay{})
	r, firm := f.Ohms(b.node("1"), b.node("2"))
	require.True(t, firm)
	require.InEpsilon(t, parallel(1e-3, 2e7+1e-3), r, 1e-6)
}
