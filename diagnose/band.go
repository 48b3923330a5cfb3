package diagnose

import (
	"math"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose/log"
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

// voltsBand gives the readings that agree with v volts of a supply of nominal volts, where
// nothing divides them.
func voltsBand(v, nominal float64) band {
	switch {
	case v <= AbsentBelow*nominal*0.9:
		return band{0, AbsentBelow * nominal}
	case v >= PresentFrom*nominal:
		return band{PresentFrom * nominal, math.Max(v, nominal) * SupplyHigh}
	}
	return band{v * SupplyLow, v * SupplyHigh}
}

// keptBand gives the readings that agree with volts that sensors of two wires keep for themselves while
// they conduct, or with what they leave of a supply; false where it is neither. Between nothing and what
// the standard lets each keep, nobody knows how much that is.
func (m *worked) keptBand(v, nominal float64) (band, bool) {
	if m.panel.Kept() == 0 {
		return band{}, false
	}
	most := voltsBand(nominal, nominal).high
	diodes := m.panel.Drops() - m.panel.Kept()
	for k := 1.0; k*circuits.SensorDrop <= m.panel.Kept(); k++ {
		low, high, kept := k*circuits.SensorDrop-exactly, k*circuits.SensorDrop+diodes+exactly, k*circuits.SensorDropMost+diodes
		if k == 1 {
			low = network.LeadDrop - exactly // of what feeds a meter alone a sensor is taken to keep no more
		}
		switch left := nominal - v; {
		case v > low && v < high:
			return band{0, math.Max(AbsentBelow*nominal, kept)}, true
		case left > low && left < high:
			return band{math.Min(PresentFrom*nominal, nominal-kept) * SupplyLow, most}, true
		}
	}
	return band{}, false
}

// dividedBand gives the readings that agree with v volts of a supply of nominal volts that loads
// divide, whose odds may differ by a factor. There are most volts to divide: of three phases those
// from line to line, as a line that is lost hangs between the others. What comes near to nothing
// or to the full supply may be that.
func dividedBand(v, nominal, most, bend float64) band {
	if v >= most {
		most *= 2 // two supplies in series
	}
	share := v / most
	b := band{work.Bent(share, 1/bend) * most * SupplyLow, work.Bent(share, bend) * most * SupplyHigh}
	if b.low < AbsentBelow*nominal {
		b.low = 0
	}
	if b.high > PresentFrom*nominal {
		b.high = most * SupplyHigh
	}
	return b
}

// degreeBand gives the readings that agree with a part of the supply under a fault that comes
// in degrees: less than what is there without it, more than what is left with an open.
func degreeBand(nominal float64) band { return band{PartFrom * nominal, PresentFrom * nominal} }

// PartFrom is the share of the supply from which a voltage under load is a bad joint or a
// leak. Common practice, no source.
const PartFrom = 0.05

// ohmsBand gives the readings that agree with r ohms that the file gives or that were measured.
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

// UnsureBelow is the assumed resistance, in ohms, below which nobody knows whether a meter
// shows a part or a closed contact: a winding, a big coil. Common practice, no source.
const UnsureBelow = 10.0

// bandOf gives the readings that agree with a foretold one at a check. A look has on at
// 1, off at 0, and flashing in between.
func (m *worked) bandOf(l log.Located, r log.Reading) band {
	value := r.Number()
	switch l.Kind {
	case log.Look:
		return band{value, value}
	case log.Volts:
		nominal := m.nominal(l.A, l.B)
		switch {
		case r.Degree && value > AbsentBelow*nominal*0.9 && value < PresentFrom*nominal:
			return degreeBand(nominal)
		case r.Divided && r.Span[1] > 0:
			return band{float64(r.Span[0]), float64(r.Span[1])}
		case r.Divided:
			return dividedBand(value, nominal, m.lineVolts(l.A, l.B), m.panel.Bend())
		}
		if b, ok := m.keptBand(value, nominal); ok {
			return b
		}
		return voltsBand(value, nominal)
	case log.Diode:
		return diodeBand(r)
	}
	switch {
	case r.Known || !inBetween(value):
		return ohmsBand(value)
	case value >= work.MarkFrom: // in between or open
		return band{ClosedBelow, log.OL}
	case value < UnsureBelow:
		return band{0, OpenFrom}
	}
	return band{ClosedBelow, OpenFrom}
}

// decides tells whether a foretold reading decides anything at a check: it must be one of
// those that parts which nobody knows cannot bring to another.
func (m *Model) decides(l log.Located, r log.Reading) bool {
	switch {
	case !r.Firm || r.Either:
		return false
	case l.Kind == log.Volts && r.Divided && !r.Degree:
		b, nominal := m.bandOf(l, r), m.nominal(l.A, l.B)
		absent := b.low == 0
		present := b.high > PresentFrom*nominal
		return absent && b.high < AbsentBelow*nominal || present && b.low >= PresentFrom*nominal || !absent && !present
	case l.Kind == log.Diode:
		return r.Known
	case l.Kind == log.Ohms && !r.Known && inBetween(r.Value):
		return r.Value >= UnsureBelow && r.Value < work.MarkFrom
	case l.Kind == log.Ohms && r.Value >= OpenFrom && r.Value < network.OpenOhms:
		return false // a part that may read open
	}
	return true
}

// dark tells whether a foretold reading is that of a part which may read open or not, as a lamp
// that may be an LED.
func (m *Model) dark(l log.Located, r log.Reading) bool {
	return l.Kind == log.Ohms && r.Firm && !r.Either && !r.Known && r.Value >= work.MarkFrom && r.Value < network.OpenOhms
}

// MayRead gives the readings that a foretold one stands for: none, one, or two where it depends on a
// fuse or on whether a part reads open.
func (m *Model) MayRead(l log.Located, r log.Reading) []log.Reading {
	switch {
	case !r.Firm:
		return nil
	case r.Either:
		return []log.Reading{r, r.Other()}
	case m.dark(l, r):
		part, open := r, r
		part.Value, open.Value = math.Sqrt(ClosedBelow*OpenFrom), log.OL
		return []log.Reading{part, open}
	}
	return []log.Reading{r}
}

// settles is decides where the good circuit's reading is known: if nobody knows whether that is open,
// whatever is not near zero is one outcome.
func (m *Model) settles(l log.Located, usual, r log.Reading) bool {
	return m.decides(l, r) || m.dark(l, usual) && m.dark(l, r)
}

// stray is the most that a reading which nobody can foretell comes to at a check.
func (m *Model) stray(l log.Located) float64 {
	switch l.Kind {
	case log.Volts:
		return StrayShare * m.nominal(l.A, l.B)
	case log.Ohms:
		return StrayOhms
	case log.Diode:
		return DiodeMost
	}
	return 1
}

// agree tells whether an answer agrees with what is foretold; a foretold reading that
// is not firm agrees with everything, but for the full voltage where it floats, and a closed
// contact where parts are in the way.
func (m *worked) agree(l log.Located, foretold, answer log.Reading) bool {
	x := answer.Number()
	if foretold.Floats && x >= PresentFrom*m.nominal(l.A, l.B) {
		return false // stray coupling brings half of the supply at the most
	}
	if foretold.Parts && x < ClosedBelow {
		return false
	}
	return !foretold.Firm || m.bandOf(l, foretold).holds(x) ||
		foretold.Either && m.bandOf(l, foretold.Other()).holds(x)
}
