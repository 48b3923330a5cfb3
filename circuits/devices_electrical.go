package circuits

import "math"

// Curve is how the current of a load depends on its volts.
type Curve int

const (
	// CoilCurve is R + jX on ac, with the ohmmeter value for R; on dc it is R.
	CoilCurve Curve = iota + 1
	// FilamentCurve is a resistance that is a tenth of itself when it is cold.
	FilamentCurve
	// ResistiveCurve is one resistance, hot or cold.
	ResistiveCurve
	// CurrentCurve is a coil in series with what it watches: its volt-amperes and ohms in the
	// table are for one ampere of pull-in, and fall with the square of the amperes.
	CurrentCurve
	// LEDCurve is a resistance that a meter does not light.
	LEDCurve
	// ElectronicCurve is a resistance behind a rectifier or a circuit of its own, into which
	// a meter drives no current.
	ElectronicCurve
	// DiodeCurve lets current through one way, from its first terminal to its second.
	DiodeCurve
	// CapacitorCurve lets alternating current through, and no direct one once it is charged.
	CapacitorCurve
	// MeasuringCurve is the secondary of a current transformer: it drives a share of the current in
	// its primary through what hangs on it, whatever volts that takes.
	MeasuringCurve
	// VaristorCurve lets none through below the volts that it is there for.
	VaristorCurve
)

// Load is what a coil or another load is to the circuit, for parts rated 120 V ac.
type Load struct {
	Kind   string // what `kind` of the file takes it for; empty where the type has one alone
	Curve  Curve
	VA     float64 // running
	Ohms   float64 // what an ohmmeter reads; 0 where it reads open
	Source string  // of these two
	// Low and High are between which factors of the default real parts lie.
	Low, High  float64
	SpanSource string
	Open       FaultKey
	Shorted    FaultKey
	// Exact: it is part of a supervised line, whose resistances its maker has matched to each other.
	// What parts are like in general makes no difference to it.
	Exact bool
	// PullIn and DropOut are fractions of its rated volts, where they are not those of every coil.
	PullIn, DropOut float64
}

// Pulls gives the fractions of its rated volts at which a coil pulls in and below which it lets go.
func (l Load) Pulls() (in, out float64) {
	if l.PullIn == 0 {
		return PullInFraction, DropOutFraction
	}
	return l.PullIn, l.DropOut
}

// Dark tells whether an ohmmeter may read open across a good one.
func (l Load) Dark() bool {
	switch l.Curve {
	case LEDCurve, ElectronicCurve, DiodeCurve, CapacitorCurve, VaristorCurve:
		return true
	case CoilCurve, FilamentCurve, ResistiveCurve, CurrentCurve, MeasuringCurve:
	}
	return false
}

// LoadKinds are the words that `kind` of the file may be.
func (t *Type) LoadKinds() []string {
	var kinds []string
	for _, l := range t.Loads {
		kinds = append(kinds, l.Kind)
	}
	return kinds
}

// NoSource says that a value is common practice and that no source gives it.
const NoSource = "common practice, no source"

// Constants of the trade that hold for every device of a kind. What a circuit file gives for
// a device comes before them.
const (
	// PullInFraction of its rated volts makes a coil pull in.
	// Source: IEC 60947-4-1, must operate at 85 to 110 %.
	PullInFraction = 0.85
	// DropOutFraction of its rated volts: below it a coil that is in lets go.
	// Common practice, no source; IEC 60947-4-1 only bounds it: must not release
	// above 75 %, must have released at 20 % ac, 10 % dc.
	DropOutFraction = 0.50
	// WindingOhms is the resistance of a control transformer's secondary.
	// Common practice, no source.
	WindingOhms = 2.0
	// SecondaryAmps are those of a current transformer at the rated current of its primary.
	// Source: IEC 61869-2, 1 A or 5 A; from memory.
	SecondaryAmps = 5.0
	// OpenCircuitVolts is what the rated current of its secondary makes across it while it stands open,
	// were there no saturation: a burden of ten volt-amperes takes a hundredth of it. Common practice, no source.
	OpenCircuitVolts = 200.0
	// DiodeDrop is what a silicon diode keeps for itself while it conducts, in volts.
	// Source: T. R. Kuphaldt, Lessons in Electric Circuits, chapter on diodes and rectifiers:
	// 0.7 V at nominal current.
	DiodeDrop = 0.7
	// SensorDrop is what a sensor of two wires keeps for itself of direct current while it conducts, in
	// volts. Common practice, no source; SensorDropMost bounds it.
	SensorDrop = 3.0
	// SensorDropMost is what it keeps at the most. Source: IEC 60947-5-2, two-wire proximity switches: at
	// most 8 V dc, and 10 V ac, which is within what counts as nothing; from memory.
	SensorDropMost = 8.0
	// SensorsInSeries is how many of them a supply of 24 V bears in series. Common practice, no source.
	SensorsInSeries = 2
	// RectifiedMean is the mean of a full wave, which a meter on dc shows, as a share of its RMS
	// value. Source: the mean of a rectified sine; the US Navy's training series on electronics
	// (NEETS, module 7) has it as 0.637 of the peak, from memory.
	RectifiedMean = 2 * math.Sqrt2 / math.Pi
	// SuppressorMicrofarads is the capacitor of a suppressor of resistor and capacitor.
	// Common practice, no source: 0.1 microfarad in series with 100 ohm, which is nothing beside it
	// at the frequency of a supply.
	SuppressorMicrofarads = 0.1
)

// Sources of electrical values that several types share.
const (
	fromSensor   = "common practice, no source; data sheets of three-wire sensors give 10 to 30 V dc and 10 to 20 mA"
	fromDetector = "common practice, no source; data sheets of conventional detectors give 8.5 to 33 V dc and some 0.1 mA"
	fromSolid    = "common practice, no source; data sheets of solid-state relays give 3 to 32 V dc and 10 to 15 mA, off below 1 V"
	fromInput    = "IEC 61131-2, digital inputs of type 1: on from 15 V, off below 5 V, 2 to 15 mA; from memory"
	fromRelay    = "common practice, no source; an octal-base relay's data sheet gives 2.2 VA"
	fromLamp     = "common practice, no source; ratio of cold to hot from university lecture " +
		"demonstrations (24 ohm cold, 240 ohm hot, 60 W 120 V)"
)

// Coils and loads, and how far real ones are from the default. Half to twice is common
// practice without a source: two makers' relays for the same volts differ as much. An
// electronic part has whatever its maker chose.
var (
	smallCoil = []Load{usual(Load{Curve: CoilCurve, VA: 3, Ohms: 2400, Source: fromRelay,
		Open: "coil-open", Shorted: "coil-shorted"})}
	powerCoil = []Load{usual(Load{Curve: CoilCurve, VA: 10, Ohms: 240, Source: NoSource,
		Open: "coil-open", Shorted: "coil-shorted"})}
	currentCoil = []Load{usual(Load{Curve: CurrentCurve, VA: 1, Ohms: 0.5, Source: NoSource,
		Open: "coil-open", Shorted: "current-coil-shorted"})}
	filament = usual(Load{Kind: "filament", Curve: FilamentCurve, VA: 3, Ohms: 480, Source: fromLamp,
		Open: "filament-open", Shorted: "load-shorted"})
	led = wide(Load{Kind: "led", Curve: LEDCurve, VA: 1, Source: NoSource, Open: "led-open",
		Shorted: "load-shorted"})
	bigFilament = usual(Load{Kind: "filament", Curve: FilamentCurve, VA: 15, Ohms: 96, Source: fromLamp,
		Open: "filament-open", Shorted: "load-shorted"})
	bigLED = wide(Load{Kind: "led", Curve: LEDCurve, VA: 4, Source: NoSource, Open: "led-open",
		Shorted: "load-shorted"})
	flashTube = wide(Load{Kind: "flash-tube", Curve: ElectronicCurve, VA: 12, Source: NoSource,
		Open: "beacon-open", Shorted: "load-shorted"})
	vibrator = usual(Load{Kind: "coil", Curve: CoilCurve, VA: 8, Ohms: 900, Source: NoSource,
		Open: "horn-open", Shorted: "load-shorted"})
	sounder = wide(Load{Kind: "electronic", Curve: ElectronicCurve, VA: 2, Source: NoSource,
		Open: "horn-open", Shorted: "load-shorted"})
	movement = []Load{usual(Load{Curve: CurrentCurve, VA: 1, Ohms: 0.5, Source: NoSource,
		Open: "ammeter-open", Shorted: "current-coil-shorted"})}
	pullingCoil = []Load{usual(Load{Curve: CoilCurve, VA: 20, Ohms: 180, Source: NoSource,
		Open: "solenoid-open", Shorted: "solenoid-shorted"})}
	motorWinding = []Load{usual(Load{Curve: CoilCurve, VA: 60, Ohms: 30, Source: NoSource,
		Open: "motor-open", Shorted: "load-shorted"})}
	// What a motor of three phases draws is that of all its windings; a tenth of a horsepower
	// or ten, nobody can tell from the file.
	threeWindings = []Load{usual(Load{Curve: CoilCurve, VA: 500, Ohms: 3.6, Source: NoSource,
		Open: "motor-open", Shorted: "load-shorted"})}
	twoWindings = []Load{usual(Load{Curve: CoilCurve, VA: 120, Ohms: 15, Source: NoSource,
		Open: "motor-open", Shorted: "load-shorted"})}
	watchedPhases = []Load{wide(Load{Curve: ElectronicCurve, VA: 5, Source: NoSource,
		Open: "phase-input-open", Shorted: "load-shorted"})}
	// An undervoltage relay watches the volts of the supply that it hangs on, and has to let go
	// well before other coils do.
	watchedVolts = []Load{wide(Load{Curve: ElectronicCurve, VA: 3, Source: NoSource,
		Open: "phase-input-open", Shorted: "load-shorted", PullIn: 0.90, DropOut: 0.85})}
	// Timers without an armature of their own at the input: a rectifier and a circuit.
	timerInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 2, Source: NoSource,
		Open: "timer-input-open", Shorted: "load-shorted"})}
	// Sensors for 24 V work on 10 to 30 V.
	sensorSupply = []Load{wide(Load{Curve: ElectronicCurve, VA: 0.5, Source: fromSensor, PullIn: 0.42, DropOut: 0.3,
		Open: "sensor-dead", Shorted: "load-shorted"})}
	// Detectors for 24 V work from 8.5 V, and stay in alarm at what is then left of the line's volts. Quiet
	// they draw a tenth of a milliampere.
	detectorSupply = []Load{wide(Load{Curve: ElectronicCurve, VA: 0.0024, Source: fromDetector, Exact: true, PullIn: 0.35, DropOut: 0.10,
		Open: "detector-dead", Shorted: "load-shorted"})}
	zoneInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 1.5, Source: NoSource, Exact: true, PullIn: 0.75, DropOut: 0.5,
		Open: "input-open", Shorted: "load-shorted"})}
	guardInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 1.5, Source: NoSource,
		Open: "input-open", Shorted: "load-shorted"})}
	// Inputs for 24 V are on from 15 V and off from 5 V.
	driveInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 0.3, Source: fromInput, PullIn: 0.63, DropOut: 0.21,
		Open: "input-open", Shorted: "load-shorted"})}
	solidInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 0.3, Source: fromSolid, PullIn: 0.6, DropOut: 0.05,
		Open: "input-open", Shorted: "load-shorted"})}
	pointInput = []Load{wide(Load{Curve: ElectronicCurve, VA: 0.15, Source: fromInput,
		Open: "input-open", Shorted: "load-shorted"})}
	strip = []Load{usual(Load{Curve: ResistiveCurve, VA: 250, Ohms: 57.6, Source: NoSource,
		Open: "heater-open", Shorted: "load-shorted"})}
)

// Parts that are only in the way of the current. What they draw is told by their own keys.
var (
	silicon    = []Load{{Curve: DiodeCurve, Source: NoSource, Open: "diode-open", Shorted: "diode-shorted"}}
	resistance = []Load{{Curve: ResistiveCurve, Source: NoSource, Open: "resistor-open", Shorted: "resistor-shorted"}}
	charge     = []Load{usual(Load{Curve: CapacitorCurve, Source: NoSource, Open: "capacitor-open", Shorted: "capacitor-shorted"})}
	snubber    = []Load{usual(Load{Curve: CapacitorCurve, Source: NoSource, Open: "suppressor-open", Shorted: "suppressor-shorted"})}
	measuring  = []Load{usual(Load{Curve: MeasuringCurve, Ohms: 0.5, Source: NoSource, Open: "ct-open", Shorted: "ct-shorted"})}
	clamp      = []Load{{Curve: VaristorCurve, Source: NoSource, Open: "suppressor-open", Shorted: "suppressor-shorted"}}
)

func usual(l Load) Load {
	l.Low, l.High, l.SpanSource = 0.5, 2, NoSource
	return l
}

func wide(l Load) Load {
	l.Low, l.High, l.SpanSource = 0.2, 5, NoSource
	return l
}
