package faultmodel

import "deadrung/circuits"

// Weight is one row of the table of fault weights: how likely faults of one kind
// are against the others, per instance.
type Weight struct {
	Key    Key
	For    string  // the fault, for a reader
	Value  float64 // relative; only ratios matter
	Source string  // where it comes from, or the words that it has no source
	// New and Old multiply the weight in the first months of a panel and after some
	// fifteen years; zero means one. Common practice, no source: screws that were never
	// pulled up show early, contacts, coils and insulation wear with the years.
	New, Old float64
}

// Age of a panel.
type Age string

const (
	AgeNew  Age = "new"  // in its first months
	AgeUsed Age = "used" // in between, for which the weights are
	AgeOld  Age = "old"  // some fifteen years and more
)

// times is the factor of a row for the age of a panel.
func (w Weight) times(a Age) float64 {
	switch {
	case a == AgeNew && w.New > 0:
		return w.New
	case a == AgeOld && w.Old > 0:
		return w.Old
	}
	return 1
}

// Key names a row of the table.
type Key = circuits.FaultKey

const (
	WireOpen          Key = "wire-open"
	SwitchOpen        Key = "switch-open"
	SwitchClosed      Key = "switch-closed"
	ButtonOpen        Key = "button-open"
	ButtonClosed      Key = "button-closed"
	RelayNOOpen       Key = "relay-no-open"
	RelayNCOpen       Key = "relay-nc-open"
	RelayWelded       Key = "relay-welded"
	InnerContactOpen  Key = "inner-contact-open"
	InnerContactWeld  Key = "inner-contact-welded"
	CoilOpen          Key = "coil-open"
	CoilShorted       Key = "coil-shorted"
	CurrentShorted    Key = "current-coil-shorted"
	ArmatureStuck     Key = "armature-stuck"
	OperatorStuck     Key = "operator-stuck"
	TimerNever        Key = "timer-never"
	TimerAtOnce       Key = "timer-at-once"
	TimerInputOpen    Key = "timer-input-open"
	FlasherOn         Key = "flasher-stays-on"
	FlasherOff        Key = "flasher-stays-off"
	OverloadTripped   Key = "overload-tripped"
	OverloadOpen      Key = "overload-open"
	OverloadClosed    Key = "overload-closed"
	LinkOpen          Key = "link-open"
	BreakerOpen       Key = "breaker-open"
	SecondaryOpen     Key = "secondary-open"
	PrimaryOpen       Key = "primary-open"
	SupplyDead        Key = "supply-dead"
	PhaseLost         Key = "phase-lost"
	PhaseInputOpen    Key = "phase-input-open"
	PoleOpen          Key = "pole-open"
	HeaterInPoleOpen  Key = "heater-in-pole-open"
	MotorJammed       Key = "motor-jammed"
	FilamentOpen      Key = "filament-open"
	LEDOpen           Key = "led-open"
	HornOpen          Key = "horn-open"
	SolenoidOpen      Key = "solenoid-open"
	MotorOpen         Key = "motor-open"
	HeaterOpen        Key = "heater-open"
	BeaconOpen        Key = "beacon-open"
	SensorDead        Key = "sensor-dead"
	SensorOpen        Key = "sensor-output-open"
	SensorClosed      Key = "sensor-output-closed"
	SensorStuck       Key = "sensor-stuck"
	DetectorDead      Key = "detector-dead"
	DetectorOpen      Key = "detector-open"
	DetectorClosed    Key = "detector-closed"
	DetectorBlind     Key = "detector-blind"
	DetectorInAlarm   Key = "detector-in-alarm"
	ZoneInTrouble     Key = "zone-in-trouble"
	ZoneInAlarm       Key = "zone-in-alarm"
	OutputOpen        Key = "output-open"
	OutputClosed      Key = "output-closed"
	OutputStuck       Key = "output-stuck"
	SolidOpen         Key = "solid-open"
	SolidShorted      Key = "solid-shorted"
	InputOpen         Key = "input-open"
	GuardStaysOff     Key = "guard-stays-off"
	DriveTripped      Key = "drive-tripped"
	DriveRuns         Key = "drive-runs"
	LoadShorted       Key = "load-shorted"
	DiodeOpen         Key = "diode-open"
	DiodeShorted      Key = "diode-shorted"
	CTOpen            Key = "ct-open"
	CTShorted         Key = "ct-shorted"
	AmmeterOpen       Key = "ammeter-open"
	BridgeDiodeOpen   Key = "bridge-diode-open"
	BridgeDiodeShort  Key = "bridge-diode-shorted"
	RectifierDead     Key = "bridge-dead"
	ResistorOpen      Key = "resistor-open"
	ResistorShorted   Key = "resistor-shorted"
	CapacitorOpen     Key = "capacitor-open"
	CapacitorShorted  Key = "capacitor-shorted"
	SuppressorOpen    Key = "suppressor-open"
	SuppressorShorted Key = "suppressor-shorted"
	PinOpen           Key = "pin-open"
	BridgeOpen        Key = "bridge-open"
	GroundOutside     Key = "ground-outside"
	GroundInside      Key = "ground-inside"
	WiresTouch        Key = "wires-touch"
	MiswiredEnd       Key = "miswired-end"
	WiresExchanged    Key = "wires-exchanged"
	FieldWiringFactor Key = "field-wiring-factor"
	StarterFactor     Key = "starter-factor"
	SolenoidShorted   Key = "solenoid-shorted"
	SolenoidSticks    Key = "solenoid-sticks"
	WireResistive     Key = "wire-resistive"
	ContactResistive  Key = "contact-resistive"
	SwitchResistive   Key = "switch-resistive"
	LinkResistive     Key = "link-resistive"
	SupplyLow         Key = "supply-low"
	TransformerLow    Key = "transformer-low"
	WindingShorted    Key = "winding-shorted"
	GroundLeak        Key = "ground-leak"
	ContactLeak       Key = "contact-leak"
	TurnsShorted      Key = "turns-shorted"
	WrongCoil         Key = "wrong-coil"
	ArmatureChatters  Key = "armature-chatters"
	TimerSetting      Key = "timer-setting"
	OverloadSetting   Key = "overload-setting"
)

const (
	judgement = "common practice, no source"
	kuphaldt  = "common practice; opens lead and shorts are a tenth: T. R. Kuphaldt, Lessons in " +
		"Electric Circuits, chapter on troubleshooting"
	// The shares of failure modes that MIL-HDBK-338B lists are from memory. Where "same in a
	// public table" stands, a reliability program's open table of modes has the same figures.
	memory  = "MIL-HDBK-338B (from memory): "
	public  = "MIL-HDBK-338B (from memory, same in a public table): "
	connect = "common practice; " + public +
		"connection 0.61 open, 0.23 poor or intermittent contact, 0.16 short"
	poor     = public + "connection 0.23 poor or intermittent contact to 0.61 open; of that share of "
	button   = "common practice; " + memory + "push button 0.60 open, 0.20 sticking, 0.20 short"
	limit    = "common practice; " + memory + "limit switch 0.63 open, 0.27 sticking, 0.10 short"
	relay    = "common practice; " + public + "relay 0.55 fails to operate, 0.26 operates by itself, 0.19 short"
	winding  = "common practice; " + public + "transformer 0.42 open, 0.42 short, 0.16 change of value"
	solenoid = "common practice; " + memory +
		"solenoid 0.52 short, 0.35 slow movement, 0.13 open; here half is open, for a shorted winding burns open"
	diode     = "common practice; " + memory + "diode 0.49 short, 0.36 open, 0.15 change of value"
	ohmic     = "common practice; " + memory + "fixed resistor 0.59 open, 0.36 change of value, 0.05 short"
	condenser = "common practice; " + memory + "fixed capacitor 0.49 short, 0.29 change of value, 0.22 open"
	supply    = "common practice; " + memory + "power supply 0.52 no output, 0.48 incorrect output"
	wash      = "common practice; WASH-1400 appendix III (from memory): wire circuits open to short " +
		"to ground 10 : 1"
	washPower = "common practice; WASH-1400 appendix III (from memory): wire circuits open to short " +
		"to power 300 : 1"
	gold = "common practice; IEEE 493 (from memory): a motor starter fails some 0.014 times a " +
		"year, a cable termination 0.0001"
)

// Weights is the table. An instructor may dispute every line of it; a circuit file
// multiplies the weights of one device with `odds`.
var Weights = []Weight{
	{WireOpen, "a wire or either of its terminations is open, each", 1.3, connect, 2, 1.5},
	{FieldWiringFactor, "the same outside the panel: times", 2, judgement, 0, 0},
	{SwitchOpen, "switch that a machine or the process moves: a contact stays open", 6, limit, 0.5, 2},
	{SwitchClosed, "switch that a machine or the process moves: a contact stays closed", 1.5, limit, 0.5, 2},
	{ButtonOpen, "push button or selector: a contact stays open", 3, button, 0.5, 1.5},
	{ButtonClosed, "push button or selector: a contact stays closed", 0.7, button, 0, 0},
	{OperatorStuck, "button, selector or switch: the mechanism does not move, each position", 0.5,
		judgement + "; the share of sticking in MIL-HDBK-338B (from memory) spread over what its " +
			"contacts already count", 0, 0},
	{RelayNOOpen, "relay, contactor, timer: an NO contact stays open", 3, relay, 0.5, 2},
	{RelayNCOpen, "relay, contactor, timer: an NC contact stays open", 2, relay, 0.5, 2},
	{RelayWelded, "relay, contactor, timer: a contact is welded", 0.7, relay, 0.5, 2},
	{InnerContactOpen, "safety relay, drive, zone module: a contact of an output relay stays open", 2, relay + "; less than a relay's: it seldom switches", 0.5, 2},
	{InnerContactWeld, "safety relay, drive, zone module: a contact of an output relay is welded", 0.7, relay, 0.5, 2},
	{CoilOpen, "relay, contactor, timer: the coil is open", 2, relay, 0.5, 1.5},
	{CoilShorted, "relay, contactor, timer: the coil is shorted", 0.7, relay, 0.5, 1.5},
	{CurrentShorted, "current relay: the coil is shorted", 0.7, relay, 0.5, 1.5},
	{ArmatureStuck, "relay or contactor: the armature is stuck, each position", 1, judgement, 0, 0},
	{TimerNever, "timer: never times out", 3, judgement, 1, 2},
	{TimerAtOnce, "timer: times out at once", 1, judgement, 0, 0},
	{TimerInputOpen, "electronic timer: an input is dead, each", 2, relay + "; as a coil", 0.5, 1.5},
	{FlasherOn, "flasher, repeat-cycle timer: stays on", 1.5, judgement + "; half of a timer that never times out", 1, 1.5},
	{FlasherOff, "flasher, repeat-cycle timer: stays off", 1.5, judgement + "; half of a timer that never times out", 1, 1.5},
	{OverloadTripped, "overload relay: tripped", 5, judgement, 0, 0},
	{OverloadOpen, "overload relay: a contact stays open though reset", 1, judgement, 0, 0},
	{OverloadClosed, "overload relay: a contact stays closed, or it never trips", 0.3, judgement, 0, 0},
	{LinkOpen, "fuse blown, as a fault of its own", 4, judgement, 0, 0},
	{BreakerOpen, "breaker tripped or open, as a fault of its own", 4, judgement + "; as a fuse", 0, 0},
	{SecondaryOpen, "control transformer: the secondary winding is open", 0.7, winding, 0, 0},
	{WindingShorted, "control transformer: a winding is shorted", 0.7, winding + ": as likely as open", 0, 0},
	{TransformerLow, "control transformer: low, by a wrong tap, an overload or its feed", 0.5,
		winding + "; and its feed and taps", 2, 0},
	{PrimaryOpen, "control transformer: the primary or its feed is open", 3, judgement, 0, 0},
	{SupplyDead, "supply: dead, or its feed is open", 3, judgement + "; as a transformer's feed", 0, 0},
	{PhaseLost, "supply of three phases: a line is lost, each", 1.5,
		judgement + "; a fuse of the utility or a joint before it, half as likely as a dead feed", 0, 0},
	{PhaseInputOpen, "phase or undervoltage relay: an input is open, each", 0.7, relay + "; spread over three inputs", 0.5, 1.5},
	{PoleOpen, "breaker of several poles: one does not make, each", 1, relay + "; a third of a relay's contact: it rarely moves", 0, 1.5},
	{HeaterInPoleOpen, "overload relay: a heater is burnt out, each", 1, judgement + "; as its contact", 0, 1.5},
	{MotorJammed, "motor, or what it drives: jammed", 2, judgement + "; as its windings", 0, 1.5},
	{SupplyLow, "supply: low", 1.5, supply + "; half of the dead ones have a dead feed", 0, 1.5},
	{FilamentOpen, "filament lamp: open", 8,
		"common practice; " + public + "lamp 0.67 no light, 0.33 less light", 0.5, 1},
	{LEDOpen, "LED lamp: open", 1, judgement, 0, 0},
	{HornOpen, "horn: open", 2, judgement, 0, 0},
	{SolenoidOpen, "solenoid: open", 2, solenoid, 0, 0},
	{SolenoidShorted, "solenoid: shorted", 1, solenoid, 0, 0},
	{SolenoidSticks, "solenoid: its plunger sticks or is slow", 1, solenoid, 0, 1.5},
	{MotorOpen, "small motor: open", 2, judgement + "; as a solenoid", 0, 0},
	{HeaterOpen, "strip heater: open", 2, judgement + "; as a solenoid", 0.5, 2},
	{BeaconOpen, "beacon with a flash tube: out", 4, judgement + "; between a filament and an LED", 0.5, 1.5},
	{SensorDead, "sensor of three wires: dead, its electronics draw nothing", 2, judgement + "; as its output", 2, 1.5},
	{SensorOpen, "sensor of three wires: its output stays off", 2, limit + "; a third of a switch's: it has no mechanism", 1, 1.5},
	{SensorClosed, "sensor of three wires: its output stays on", 1.5, limit + "; as a switch's: an output that was overloaded fails shorted", 1, 1.5},
	{SensorStuck, "sensor of three wires: its output does not change, each position", 0.5,
		judgement + "; as the mechanism of a switch", 0, 0},
	{DetectorDead, "smoke detector: dead, its electronics draw nothing", 1, judgement + "; half of a sensor's", 2, 1.5},
	{DetectorOpen, "smoke detector: its output stays off", 0.5, judgement + "; a quarter of a sensor's: it hardly ever switches", 1, 1.5},
	{DetectorClosed, "smoke detector: its output stays on", 0.3, judgement, 1, 1.5},
	{DetectorBlind, "smoke detector: does not go into alarm, dirty or covered", 3, judgement + "; dirt comes with the years", 0.5, 2},
	{DetectorInAlarm, "smoke detector: in alarm without smoke, by dirt, insects or damp", 3, judgement + "; dirt comes with the years", 0.5, 2},
	{ZoneInTrouble, "zone module: in trouble by a fault of its own", 0.7, judgement + "; as an input", 0, 1.5},
	{ZoneInAlarm, "zone module: in alarm by a fault of its own", 0.3, judgement, 0, 1.5},
	{OutputOpen, "output of a controller: stays open", 2, relay + "; less than a relay's contact: nothing in it wears", 1, 1.5},
	{OutputClosed, "output of a controller: stays closed", 1.5, relay + "; an output that was overloaded fails shorted", 1, 1.5},
	{OutputStuck, "output of a controller: does not change, each position", 0.5, judgement + "; its program or its card", 2, 0},
	{SolidOpen, "solid-state relay: stays open", 1, judgement, 0, 1.5},
	{SolidShorted, "solid-state relay: shorted, conducts always", 3, judgement + "; data sheets warn that they mostly fail shorted", 0, 1.5},
	{InputOpen, "electronic input: open, each", 0.7, relay + "; spread over several inputs", 0.5, 1.5},
	{GuardStaysOff, "safety relay: stays off by a fault of its own", 1, judgement + "; as a stuck armature", 0, 1.5},
	{DriveTripped, "drive: tripped, and does not reset", 5, judgement + "; as an overload relay", 0, 0},
	{DriveRuns, "drive: runs by itself, set to its own keys or wrong in its settings", 0.3, judgement, 3, 0},
	{LoadShorted, "lamp, horn, motor, heater: shorted", 0.3, kuphaldt, 0, 0},
	{DiodeOpen, "diode: open", 0.4, diode, 0, 0},
	{DiodeShorted, "diode: shorted", 0.5, diode, 0, 0},
	{CTOpen, "current transformer: its secondary winding is open", 0.3, winding + "; less: nothing overloads it", 0, 0},
	{CTShorted, "current transformer: its secondary winding is shorted, or a shorting link left in", 0.5, winding + "; and a link left in", 2, 0},
	{AmmeterOpen, "ammeter: open", 0.5, judgement, 0, 1.5},
	{BridgeDiodeOpen, "bridge rectifier: a diode is open, each", 0.4, diode, 0, 1.5},
	{BridgeDiodeShort, "bridge rectifier: a diode is shorted, each", 0.5, diode, 0, 1.5},
	{RectifierDead, "bridge rectifier: gives nothing, two diodes or a joint within it open", 0.4,
		judgement + "; as one diode, since an overload opens two that carry it together", 0, 1.5},
	{ResistorOpen, "resistor: open", 0.5, ohmic, 0, 1.5},
	{ResistorShorted, "resistor: shorted", 0.05, ohmic, 0, 0},
	{CapacitorOpen, "capacitor: open, or dried out", 0.4, condenser, 0, 2},
	{CapacitorShorted, "capacitor: shorted", 0.7, condenser, 0, 2},
	{SuppressorOpen, "varistor or suppressor of resistor and capacitor: open", 0.3, judgement + "; less than a diode", 0, 1.5},
	{SuppressorShorted, "varistor or suppressor of resistor and capacitor: shorted", 0.3,
		judgement + "; every surge that it takes wears it", 0, 1.5},
	{StarterFactor, "contactor, which carries the current of a motor: its coil, armature and " +
		"contacts, times", 2, gold, 0, 0},
	{TurnsShorted, "coil: shorted turns", 0.3, relay + "; of the shorts, those that are not whole", 0, 1.5},
	{WrongCoil, "relay, contactor, timer: a coil for other volts was put in", 0.1, judgement, 3, 0},
	{ArmatureChatters, "relay or contactor on ac: the armature chatters", 0.7,
		judgement + "; less than a stuck one", 0.5, 2},
	{TimerSetting, "timer: set to another delay, too late and too early each", 1, judgement, 2, 0},
	{OverloadSetting, "overload relay: set too low", 1, judgement + "; a fifth of the trips", 3, 0},
	{PinOpen, "connector: a pin is open", 1, connect, 1, 2},
	{BridgeOpen, "terminal block: a bridge is open", 1, connect, 0, 0},
	{WireResistive, "a wire or either of its terminations is a bad joint, each", 0.5,
		poor + "an open wire's weight", 2, 1.5},
	{ContactResistive, "push button, selector, relay, overload: a contact closes badly, each", 1,
		poor + "an open contact's weight", 0.5, 2},
	{SwitchResistive, "switch that a machine or the process moves: a contact closes badly", 2,
		poor + "an open contact's weight", 0.5, 2},
	{LinkResistive, "fuse, breaker, pin or bridge: a bad joint in its clip or screw", 0.4,
		poor + "an open pin's weight", 1, 2},
	{GroundLeak, "a wire number leaks to ground, for each of its wires in the field", 0.1,
		wash + "; a third of the dead grounds, found before they are one", 0.5, 2},
	{ContactLeak, "contact in the field: leaks while it is open", 0.3, judgement, 0.5, 2},
	{GroundOutside, "a wire number touches ground, for each of its wires that leaves the panel", 0.3,
		wash, 0.5, 2},
	{GroundInside, "a wire number touches ground, for each of its wires inside the panel", 0.03, wash, 0.5, 2},
	{WiresTouch, "two wire numbers touch where both land on one device or terminal block", 0.05,
		washPower, 2, 2},
	{MiswiredEnd, "new build: a wire end sits on another terminal of its device", 1.3,
		judgement + "; as an open wire", 0, 0},
	{WiresExchanged, "new build: the wires of two terminals of a device are exchanged", 1.3,
		judgement + "; as an open wire", 0, 0},
}

// Of gives a row of the table; the zero row for none.
func Of(k Key) Weight {
	for _, w := range Weights {
		if w.Key == k {
			return w
		}
	}
	return Weight{}
}
