package diagnose

import (
	"deadrung/diagnose/log"
	"math"
)

// Bands of readings: how far a good meter on a real panel may be from the computed
// figure.
const (
	// PresentFrom and AbsentBelow are fractions of the nominal supply.
	// Common practice, no source.
	PresentFrom = 0.85
	AbsentBelow = 0.10
	// SupplyHigh: unloaded control transformers read 5 to 15 % high.
	// Common practice, no source. ANSI C84.1 range A allows 114 to 126 V at 120 V.
	SupplyHigh = 1.15
	SupplyLow  = 0.95
	// CoilTolerance of the ohms of a coil. Source: relay data sheets, ±15 %.
	CoilTolerance = 0.15
	// MeterTolerance and MeterCounts: a meter reads its nominal ±1 % + 3 counts.
	// Source: typical handheld meter manuals. A count is 0.1 ohm on the low range.
	MeterTolerance = 0.01
	MeterCounts    = 0.3
	// LeadOhms is what test leads and their contact add.
	// Common practice, no source: 0.2 to 0.5 ohm.
	LeadOhms = 0.5
	// ClosedBelow is the resistance below which a contact or wire counts as closed, in
	// ohms; OpenFrom is the one that is as good as open.
	// Common practice, no source.
	ClosedBelow = 1.0
	OpenFrom    = 1e6
	// StrayShare is up to which share of the supply a floating conductor reads.
	// Source: meter makers' notes on ghost voltage.
	StrayShare = 0.5
	// StrayOhms is up to what an ohms reading that nobody can foretell may be, in ohms.
	// Common practice, no source.
	StrayOhms = 100e3
	// RightToWrong is how many readings are right for one that is wrong altogether (wrong
	// screw, slipped lead, misread): one in fifty is. Common practice, no source.
	RightToWrong = 49.0
)

// band is the range in which readings agree with a foretold one.
type band struct{ low, high float64 }

func (b band) holds(x float64) bool { return x >= b.low && x <= b.high }

// voltsBand gives the readings that agree with v volts where the supply is nominal
// volts. A partial voltage is a divider of coils, each off by its tolerance.
func voltsBand(v, nominal float64) band {
	switch {
	case v <= AbsentBelow*nominal*0.9:
		return band{0, AbsentBelow * nominal}
	case v >= PresentFrom*nominal:
		return band{PresentFrom * nominal, math.Max(v, nominal) * SupplyHigh}
	}
	slack := 2 * CoilTolerance * (1 - v/nominal)
	return band{v * (SupplyLow - slack), v * (SupplyHigh + slack)}
}

// ohmsBand gives the readings that agree with r ohms.
func ohmsBand(r float64) band {
	low := r*(1-CoilTolerance-MeterTolerance) - MeterCounts - LeadOhms
	high := r*(1+CoilTolerance+MeterTolerance) + MeterCounts + LeadOhms
	switch {
	case r >= OpenFrom:
		return band{OpenFrom, log.OL}
	case r < ClosedBelow:
		return band{0, math.Max(high, math.Nextafter(ClosedBelow, 0))}
	}
	return band{math.Max(low, ClosedBelow), high}
}

// bandOf gives the readings that agree with a foretold one at a check. A look has on at
// 1 and off at 0.
func (m *Model) bandOf(l log.Located, value float64) band {
	switch l.Kind {
	case log.Look:
		return band{value, value}
	case log.Volts:
		return voltsBand(value, m.nominal(l.A, l.B))
	}
	return ohmsBand(value)
}

// stray is the most that a reading which nobody can foretell comes to at a check.
func (m *Model) stray(l log.Located) float64 {
	switch l.Kind {
	case log.Volts:
		return StrayShare * m.nominal(l.A, l.B)
	case log.Ohms:
		return StrayOhms
	}
	return 1
}

// agree tells whether an answer agrees with what is foretold; a foretold reading that
// is not firm agrees with everything.
func (m *Model) agree(l log.Located, foretold, answer log.Reading) bool {
	x := answer.Number()
	if foretold.Floats && x >= PresentFrom*m.nominal(l.A, l.B) {
		return false // stray coupling brings half of the supply at the most
	}
	return !foretold.Firm || m.bandOf(l, foretold.Number()).holds(x) ||
		foretold.Either && m.bandOf(l, foretold.Else).holds(x)
}
