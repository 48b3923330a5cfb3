package diagnose

import (
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Bands for a nominal supply V, live: 85 % V and above present; below 10 % absent;
// between, partial. Common practice, no source, where no
// source is named.
func TestVoltsBand(t *testing.T) {
	for _, test := range []struct {
		foretold float64 // share of the supply
		read     float64 // share of the supply
		agrees   bool
		why      string
	}{
		{1, 1, true, ""},
		{1, 114.0 / 120, true, "ANSI C84.1 range A: 114 to 126 V at 120 V"},
		{1, 126.0 / 120, true, "ANSI C84.1 range A: 114 to 126 V at 120 V"},
		{1, 1.05, true, "unloaded control transformers read 5 to 15 % high"},
		{1, 1.15, true, "unloaded control transformers read 5 to 15 % high"},
		{1, 0.85, true, "85 % and above is present"},
		{1, 0.84, false, "below 85 % is not"},
		{1, 0.5, false, "a partial voltage is not the supply"},
		{1, 0, false, ""},
		{1, 1.5, false, "no supply reads so high"},
		{0, 0, true, ""},
		{0, 0.099, true, "below 10 % is absent"},
		{0, 0.11, false, "10 % and above is not"},
		{0, 0.5, false, ""},
		{0, 1, false, ""},
		{0.2, 0.2, true, "another supply in the panel"},
		{0.2, 0.09, false, "partial is not absent"},
		{0.2, 0.95, false, "partial is not present"},
		{0.2, 0.5, false, ""},
	} {
		for _, supply := range []float64{12, 24, 120, 240} {
			b := voltsBand(test.foretold*supply, supply)
			assert.Equal(t, test.agrees, b.holds(test.read*supply),
				"%g V of %g V where %g V are foretold: %s", test.read*supply, supply, test.foretold*supply, test.why)
		}
	}
}

// What loads divide lies where such loads can bring it: those that the file gives within 15 %
// (relay data sheets), others within the span of their types.
func TestDividedBand(t *testing.T) {
	const given, assumed = work.GivenTolerance * work.GivenTolerance, 4.0
	for _, test := range []struct {
		foretold, bend, read float64
		agrees               bool
		why                  string
	}{
		{0.5, given, 0.5, true, "a divider of two equal loads"},
		{0.5, given, 0.43, true, "one 15 % more, the other 15 % less"},
		{0.5, given, 0.57, true, "one 15 % less, the other 15 % more"},
		{0.5, given, 0.38, false, "not with these"},
		{0.5, given, 0.09, false, "partial is not absent"},
		{0.5, given, 0.95, false, "partial is not present"},
		{0.5, assumed, 0.2, true, "twice against half: 1 to 4"},
		{0.5, assumed, 0.8, true, "half against twice: 4 to 1"},
		{0.5, assumed, 0, false, "none of the two is a short"},
		{0.5, assumed, 1, true, "it comes near to the full supply"},
		{0.1, assumed, 0, true, "it comes near to nothing"},
		{0.1, assumed, 0.3, true, ""},
		{0.1, assumed, 0.5, false, ""},
	} {
		for _, supply := range []float64{24, 120} {
			b := dividedBand(test.foretold*supply, supply, supply, test.bend)
			assert.Equal(t, test.agrees, b.holds(test.read*supply), "%g of %g V where %g are divided by %g: %s",
				test.read, supply, test.foretold, test.bend, test.why)
		}
	}
}

// A line of three phases that is lost hangs between the two others: to the neutral it may come to
// the full volts of one of them, to a line to all that is from line to line.
func TestDividedBandOfALostLine(t *testing.T) {
	const bend, neutral, lines = 25.0, 231, 400
	for _, test := range []struct {
		foretold, read float64
		agrees         bool
		why            string
	}{
		{200, 395, true, "as good as one with the other line"},
		{338, 395, true, "more than to the neutral"},
		{338, 120, true, "nearer to this line"},
		{338, 20, false, "not on this line: both are fed by loads"},
		{63, 6, true, "it comes near to nothing"},
		{450, 395, true, "what two supplies in series come to, divided"},
	} {
		b := dividedBand(test.foretold, neutral, lines, bend)
		assert.Equal(t, test.agrees, b.holds(test.read), "%g V where %g are foretold: %s", test.read, test.foretold, test.why)
	}
}

// Ohms: below 1 ohm closed, above 1 megohm as good as open (common practice, no source);
// coil ohms are within 15 % (relay data sheets); a meter reads its nominal 1 % and 3
// counts more or less (typical handheld).
func TestOhmsBand(t *testing.T) {
	for _, test := range []struct {
		foretold, read float64
		agrees         bool
		why            string
	}{
		{0, 0, true, ""},
		{0, 0.3, true, "test leads"},
		{0, 0.99, true, "below 1 ohm is closed"},
		{0, 1, false, "1 ohm and above is suspect"},
		{0, 4, false, "1 to 5 ohm is suspect"},
		{0, 40, false, "bad contact of 20 to 60 ohm is no closed contact"},
		{0, log.OL, false, ""},
		{log.OL, log.OL, true, ""},
		{log.OL, 1e6, true, "as good as open"},
		{log.OL, 5e6, true, "as good as open: what a hand on the leads reads"},
		{log.OL, 9e5, false, ""},
		{log.OL, 0.2, false, ""},
		{2400, 2400, true, ""},
		{2400, 2050, true, "15 % less"},
		{2400, 2750, true, "15 % more"},
		{2400, 1900, false, "more than tolerance and meter"},
		{2400, 2950, false, "more than tolerance and meter"},
		{2400, log.OL, false, "an open coil"},
		{2400, 0, false, "a shorted coil"},
		{2, 2, true, "a secondary winding"},
		{2, 0.4, false, "below 1 ohm it is closed"},
		{2, 2.3, true, "15 % more"},
		{2, 2.8, true, "3 counts and the leads more"},
		{480, 4800, false, "cold is not hot"},
	} {
		assert.Equal(t, test.agrees, ohmsBand(test.foretold).holds(test.read),
			"%g ohm where %g are foretold: %s", test.read, test.foretold, test.why)
	}
}

// A band holds what it is made of, and never turns round.
func TestBandsHoldTheirValue(t *testing.T) {
	for _, x := range []float64{0, 1e-9, 0.2, 0.999, 1, 1.5, 5, 11.9, 12, 60, 101.9, 102, 120, 240, 1e5, 999999, 1e6, 1e7, log.OL} {
		b := ohmsBand(x)
		assert.True(t, b.holds(x) && b.low <= b.high, "%g ohm: %v", x, b)
		if !math.IsInf(x, 1) && x <= 240 {
			b = voltsBand(x, 240)
			assert.True(t, b.holds(x) && b.low <= b.high, "%g V: %v", x, b)
		}
	}
}

// Two foretold readings are one outcome if either would agree with what the other
// foretells; the answers between two outcomes are parted in the middle.
func TestPart(t *testing.T) {
	m := bare(t)
	volts, err := m.book.Locate(log.Check{Volts: terminals("T1:X1", "T1:X2"), Step: "store warm"})
	require.NoError(t, err)
	ohms, err := m.book.Locate(log.Check{Ohms: terminals("F1:1", "F1:2")})
	require.NoError(t, err)
	look, err := m.book.Locate(log.Check{Look: "H1", Step: "store warm"})
	require.NoError(t, err)
	for _, test := range []struct {
		at     log.Located
		values []float64
		want   [][2]float64 // the foretold ends of each outcome
	}{
		{volts, nil, nil},
		{volts, []float64{120, 0, 120, 0}, [][2]float64{{0, 0}, {120, 120}}},
		{volts, []float64{0, 60, 65, 120}, [][2]float64{{0, 0}, {60, 65}, {120, 120}}},
		{ohms, []float64{log.OL, 0, 2}, [][2]float64{{0, 0}, {2, 2}, {log.OL, log.OL}}},
		{ohms, []float64{0, 0.5}, [][2]float64{{0, 0.5}}},
		{ohms, []float64{315, 390, 480}, [][2]float64{{315, 315}, {390, 390}, {480, 480}}},
		{ohms, []float64{315, 340}, [][2]float64{{315, 340}}},
		{look, []float64{1, 0}, [][2]float64{{0, 0}, {1, 1}}},
	} {
		var foretold []log.Reading
		for _, v := range test.values {
			foretold = append(foretold, log.Reading{Kind: test.at.Kind, Value: v, On: v == 1, Firm: true, Known: true})
		}
		parts := m.part(test.at, foretold)
		var got [][2]float64
		for i, p := range parts {
			got = append(got, [2]float64{p.least, p.most})
			assert.True(t, p.low <= p.least && p.most <= p.high, "%v", p)
			if i > 0 {
				assert.LessOrEqual(t, parts[i-1].high, p.low)
			}
		}
		assert.Equal(t, test.want, got, "%v", test.values)
	}
}

// What is not firmly foretold agrees with whatever is read and so decides nothing.
func TestAgree(t *testing.T) {
	m := bare(t)
	volts, err := m.book.Locate(log.Check{Volts: terminals("T1:X1", "T1:X2"), Step: "store warm"})
	require.NoError(t, err)
	ohms, err := m.book.Locate(log.Check{Ohms: terminals("F1:1", "F1:2")})
	require.NoError(t, err)
	look, err := m.book.Locate(log.Check{Look: "H1", Step: "store warm"})
	require.NoError(t, err)
	for _, test := range []struct {
		what     string
		at       log.Located
		foretold log.Reading
		answer   log.Reading
		agrees   bool
	}{
		{"not firm", volts, log.Reading{Kind: log.Volts, Value: 0}, log.Reading{Kind: log.Volts, Value: 47}, true},
		{"firm", volts, log.Reading{Kind: log.Volts, Value: 0, Firm: true}, log.Reading{Kind: log.Volts, Value: 47}, false},
		{"a look", look, log.Reading{Kind: log.Look, On: true, Firm: true}, log.Reading{Kind: log.Look}, false},
		{"a look in doubt", look, log.Reading{Kind: log.Look, On: true}, log.Reading{Kind: log.Look}, true},
		{"whole or blown: whole", ohms, log.Reading{Kind: log.Ohms, Firm: true, Else: log.OL, Either: true}, log.Reading{Kind: log.Ohms, Value: 0.2}, true},
		{"whole or blown: blown", ohms, log.Reading{Kind: log.Ohms, Firm: true, Else: log.OL, Either: true}, log.Reading{Kind: log.Ohms, Value: log.OL}, true},
		{"whole or blown: neither", ohms, log.Reading{Kind: log.Ohms, Firm: true, Else: log.OL, Either: true}, log.Reading{Kind: log.Ohms, Value: 300}, false},
		{"whole", ohms, log.Reading{Kind: log.Ohms, Firm: true, Else: log.OL}, log.Reading{Kind: log.Ohms, Value: log.OL}, false},
	} {
		assert.Equal(t, test.agrees, m.agree(test.at, test.foretold, test.answer), test.what)
	}
}

// The supply that a reading is held against is that of the leads' part of the circuit.
func TestNominal(t *testing.T) {
	m := fromText(t, "two.yaml", `circuit: Two supplies
devices:
  G1: {type: supply, volts: 240}
  G2: {type: supply, volts: 24, current: dc}
  H1: {type: lamp}
  H2: {type: lamp}
wires:
  L: [G1:L, H1:1]
  N: [G1:N, H1:2]
  +24: [G2:+, H2:1]
  0V: [G2:-, H2:2]
operation: [{step: a, expect: {H1: on, H2: on}}]
`)
	for _, test := range []struct {
		a, b string
		want float64
	}{{"H1:1", "G1:N", 240}, {"H2:1", "G2:-", 24}} {
		l, err := m.book.Locate(log.Check{Volts: terminals(test.a, test.b), Step: "a"})
		require.NoError(t, err)
		assert.Equal(t, test.want, m.nominal(l.A, l.B), fmt.Sprint(test))
	}
}
