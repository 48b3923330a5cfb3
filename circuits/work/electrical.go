package work

import (
	"math"
	"math/cmplx"

	"deadrung/circuits"
	"deadrung/circuits/network"
)

// Constants of the trade that hold for every device of a kind. What a circuit file
// gives for a device comes before them.
const (
	// PrimaryVA is what the primary of an unloaded control transformer draws.
	// Common practice, no source.
	PrimaryVA = 10.0
	// ReferenceVolts is the rating that the electrical values of the device table
	// are for.
	ReferenceVolts = 120.0
	// ColdFraction of its hot resistance is what a cold filament reads.
	// Source: university lecture demonstrations, 240 ohm hot and 24 ohm cold for a
	// 60 W 120 V lamp.
	ColdFraction = 0.1
	// TimerTolerance of a timer's delay, as a fraction. It is told to people and not
	// part of the computed times. Common practice, no source.
	TimerTolerance = 0.10
)

// Electrical are the values of a coil or load that the circuit is computed with.
type Electrical struct {
	Volts   float64    // rated, RMS for ac
	DC      bool       // fed by a dc source
	Running complex128 // impedance in ohms
	Ohms    float64    // ohmmeter value in ohms, +Inf where a meter does not light it
	PullIn  float64    // volts
	DropOut float64    // volts
	Drops   float64    // volts that diodes may keep of what feeds it
	Exact   bool       // see circuits.Load
}

// share is what part of its rating some volts are. What diodes keep of it is no share that loads
// divide: nearly all is all, and next to nothing is nothing.
func (e Electrical) share(volts float64) float64 {
	switch {
	case volts < e.Volts && volts > e.Volts-e.Drops-noVolts:
		return 1
	case volts < e.Drops+noVolts && e.Drops > 0:
		return 0
	}
	return volts / e.Volts
}

// noVolts is below what counts as volts.
const noVolts = 1e-6

// electrical works out the values of a coil or load that is rated for the given
// volts and fed with dc or ac.
//
// The running impedance is V²/VA. On ac it is R + jX with the ohmmeter value as R,
// where the device is a coil; a lamp is a resistance. On dc a coil runs at its
// ohmmeter value. Ohms that are not given keep the share of the impedance that they
// have in the table of types. A device whose ohms alone are given never runs below
// them.
func electrical(d *circuits.Device, volts float64, dc bool) Electrical {
	row := d.Load()
	e := Electrical{Volts: volts, DC: dc, Exact: row.Exact}
	if row.Curve == circuits.CurrentCurve {
		return sensing(d, row, dc)
	}
	va := d.VA
	if va == 0 {
		va = row.VA
	}
	share := row.Ohms * row.VA / (ReferenceVolts * ReferenceVolts)
	given := d.Ohms
	if d.Type.Phases { // its volt-amperes are those of all three, its ohms those between two lines
		va, given = va/ring, given*ring/2
	}
	z, ohms := onCurve(row.Curve, volts*volts/va, given, d.VA == 0, share, dc)
	e.Running, e.Ohms = complex(z, 0), ohms
	if row.Curve == circuits.CoilCurve && !dc {
		e.Running = complex(ohms, math.Sqrt(math.Max(0, z*z-ohms*ohms)))
	}
	pull, drop := row.Pulls()
	if d.PullIn > 0 {
		pull = d.PullIn
	}
	if drop = math.Min(drop, pull); d.DropOut > 0 {
		drop = d.DropOut
	}
	e.PullIn, e.DropOut = pull*volts, drop*volts
	return e
}

// sensing works out the values of a coil in series with what it watches. It has the volts
// across it that its pull-in current makes.
func sensing(d *circuits.Device, row circuits.Load, dc bool) Electrical {
	z := row.VA / (d.Amps * d.Amps)
	ohms := z * row.Ohms / row.VA
	if d.Ohms > 0 {
		ohms = d.Ohms
	}
	z = math.Max(z, ohms)
	e := Electrical{DC: dc, Ohms: ohms, Running: complex(ohms, math.Sqrt(z*z-ohms*ohms))}
	if dc {
		z, e.Running = ohms, complex(ohms, 0)
	}
	drop := d.DropOut
	if drop == 0 {
		drop = circuits.DropOutFraction
	}
	e.Volts = d.Amps * z
	e.PullIn, e.DropOut = e.Volts, drop*e.Volts
	return e
}

// passive works out the values of a part that is only in the way of the current, between two points
// that a source feeds. A capacitor lets no direct current through once it is charged; a varistor
// none at all, below the volts that it is there for.
func passive(d *circuits.Device, feed *circuits.Device) Electrical {
	e := Electrical{DC: feed.DC, Running: cmplx.Inf(), Ohms: math.Inf(1)}
	switch d.Load().Curve {
	case circuits.CapacitorCurve:
		farads := d.Microfarads
		if farads == 0 {
			farads = circuits.SuppressorMicrofarads
		}
		if !feed.DC {
			e.Running = complex(0, -1/(2*math.Pi*feed.Hertz*farads*1e-6))
		}
	case circuits.ResistiveCurve:
		e.Running, e.Ohms = complex(d.Ohms, 0), d.Ohms
	case circuits.MeasuringCurve:
		e.Ohms = d.Load().Ohms
		e.Running = complex(0, circuits.OpenCircuitVolts/d.Amps)
	case circuits.VaristorCurve, circuits.DiodeCurve, circuits.CoilCurve, circuits.FilamentCurve, circuits.CurrentCurve,
		circuits.LEDCurve, circuits.ElectronicCurve:
	}
	return e
}

// onCurve gives the running impedance and the ohmmeter value of a load, both in ohms, from
// the impedance that its volt-amperes make, the ohms that the file gives (0 for none),
// whether those alone are given, and the share of its impedance that the ohms have in the
// table.
func onCurve(c circuits.Curve, z, given float64, alone bool, share float64, dc bool) (running, ohms float64) {
	switch c {
	case circuits.LEDCurve, circuits.ElectronicCurve:
		if alone && given > 0 {
			z = given
		}
		return z, math.Inf(1)
	case circuits.FilamentCurve:
		share = ColdFraction
	case circuits.ResistiveCurve:
		dc = true
	case circuits.CoilCurve, circuits.CurrentCurve, circuits.DiodeCurve, circuits.CapacitorCurve, circuits.VaristorCurve,
		circuits.MeasuringCurve:
	}
	switch {
	case given == 0 && dc && c != circuits.FilamentCurve:
		return z, z
	case given == 0:
		return z, z * share
	case !dc || c == circuits.FilamentCurve:
		return math.Max(z, given), given
	case alone:
		return given, given
	}
	return z, given
}

// holds tells whether a coil is in at a voltage: it pulls in at one and holds down to
// a lower one.
func (e Electrical) holds(volts float64, in bool) bool {
	return volts >= e.PullIn-1e-6 || in && volts >= e.DropOut-1e-6
}

// sourceOf gives the network's view of one source of a supply or control transformer.
func sourceOf(d *circuits.Device, source int, hot, ret network.Node) network.SourceParts {
	p := network.SourceParts{Hot: hot, Return: ret, Volts: d.SourceVolts(source), Hertz: d.Hertz, WindingOhms: math.Inf(1)}
	if d.Phase != nil {
		p.Phase = *d.Phase
	}
	switch {
	case d.Transformer():
		p.WindingOhms = circuits.WindingOhms
		if d.Ohms > 0 {
			p.WindingOhms = d.Ohms
		}
	case d.DC:
		p.Hertz = 0
		p.Unknown = true // electronics, or the diodes of a rectifier
	}
	return p
}
