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
	CoilOpen          Key = "coil-open"
	CoilShorted       Key = "coil-shorted"
	CurrentShorted    Key = "current-coil-shorted"
	ArmatureStuck     Key = "armature-stuck"
	OperatorStuck     Key = "operator-stuck"
	TimerNever        Key = "timer-never"
	TimerAtOnce       Key = "timer-at-once"
	OverloadTripped   Key = "overload-tripped"
	OverloadOpen      Key = "overload-open"
	OverloadClosed    Key = "overload-closed"
	LinkOpen          Key = "link-open"
	BreakerOpen       Key = "breaker-open"
	SecondaryOpen     Key = "secondary-open"
	PrimaryOpen       Key = "primary-open"
	SupplyDead        Key = "supply-dead"
	FilamentOpen      Key = "filament-open"
	LEDOpen           Key = "led-open"
	HornOpen          Key = "horn-open"
	SolenoidOpen      Key = "solenoid-open"
	MotorOpen         Key = "motor-open"
	HeaterOpen        Key = "heater-open"
	BeaconOpen        Key = "beacon-open"
	LoadShorted       Key = "load-shorted"
	PinOpen           Key = "pin-open"
	BridgeOpen        Key = "bridge-open"
	GroundOutside     Key = "ground-outside"
	GroundInside      Key = "ground-inside"
	WiresTouch        Key = "wires-touch"
	MiswiredEnd       Key = "miswired-end"
	WiresExchanged    Key = "wires-exchanged"
	FieldWiringFactor Key = "field-wiring-factor"
)

const (
	judgement = "common practice, no source"
	kuphaldt  = "common practice; opens lead and shorts are a tenth: T. R. Kuphaldt, Lessons in Electric Circuits, chapter on troubleshooting"
	connect   = "common practice; MIL-HDBK-338B (from memory): connections fail open in 0.61 of cases"
	button    = "common practice; MIL-HDBK-338B (from memory): push button 0.60 open, 0.20 sticking, 0.20 short"
	limit     = "common practice; MIL-HDBK-338B (from memory): limit switch 0.63 open, 0.27 sticking, 0.10 short"
	relay     = "common practice; MIL-HDBK-338B (from memory): relay 0.55 fails to operate, 0.26 operates by itself, 0.19 short"
	wash      = "common practice; WASH-1400 appendix III (from memory): wire circuits open to short to ground 10 : 1"
	washPower = "common practice; WASH-1400 appendix III (from memory): wire circuits open to short to power 300 : 1"
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
	{OperatorStuck, "button, selector or switch: the mechanism does not move, each position", 0.5, judgement + "; the share of sticking in MIL-HDBK-338B (from memory) spread over what its contacts already count", 0, 0},
	{RelayNOOpen, "relay, contactor, timer: an NO contact stays open", 3, relay, 0.5, 2},
	{RelayNCOpen, "relay, contactor, timer: an NC contact stays open", 2, relay, 0.5, 2},
	{RelayWelded, "relay, contactor, timer: a contact is welded", 0.7, relay, 0.5, 2},
	{CoilOpen, "relay, contactor, timer: the coil is open", 2, relay, 0.5, 1.5},
	{CoilShorted, "relay, contactor, timer: the coil is shorted", 0.7, relay, 0.5, 1.5},
	{CurrentShorted, "current relay: the coil is shorted", 0.7, relay, 0.5, 1.5},
	{ArmatureStuck, "relay or contactor: the armature is stuck, each position", 1, judgement, 0, 0},
	{TimerNever, "timer: never times out", 3, judgement, 1, 2},
	{TimerAtOnce, "timer: times out at once", 1, judgement, 0, 0},
	{OverloadTripped, "overload relay: tripped", 5, judgement, 0, 0},
	{OverloadOpen, "overload relay: a contact stays open though reset", 1, judgement, 0, 0},
	{OverloadClosed, "overload relay: a contact stays closed, or it never trips", 0.3, judgement, 0, 0},
	{LinkOpen, "fuse blown, as a fault of its own", 4, judgement, 0, 0},
	{BreakerOpen, "breaker tripped or open, as a fault of its own", 4, judgement + "; as a fuse", 0, 0},
	{SecondaryOpen, "control transformer: the secondary winding is open", 0.7, "common practice; MIL-HDBK-338B (from memory): transformer 0.42 open", 0, 0},
	{PrimaryOpen, "control transformer: the primary or its feed is open", 3, judgement, 0, 0},
	{SupplyDead, "supply: dead, or its feed is open", 3, judgement + "; as a transformer's feed", 0, 0},
	{FilamentOpen, "filament lamp: open", 8, "common practice; MIL-HDBK-338B (from memory): lamp 1.0 out", 0.5, 1},
	{LEDOpen, "LED lamp: open", 1, judgement, 0, 0},
	{HornOpen, "horn: open", 2, judgement, 0, 0},
	{SolenoidOpen, "solenoid: open", 2, judgement, 0, 0},
	{MotorOpen, "small motor: open", 2, judgement + "; as a solenoid", 0, 0},
	{HeaterOpen, "strip heater: open", 2, judgement + "; as a solenoid", 0.5, 2},
	{BeaconOpen, "beacon with a flash tube: out", 4, judgement + "; between a filament and an LED", 0.5, 1.5},
	{LoadShorted, "lamp, horn, solenoid, motor: shorted", 0.3, kuphaldt, 0, 0},
	{PinOpen, "connector: a pin is open", 1, connect, 1, 2},
	{BridgeOpen, "terminal block: a bridge is open", 1, connect, 0, 0},
	{GroundOutside, "a wire number touches ground, for each of its wires that leaves the panel", 0.3, wash, 0.5, 2},
	{GroundInside, "a wire number touches ground, for each of its wires inside the panel", 0.03, wash, 0.5, 2},
	{WiresTouch, "two wire numbers touch where both land on one device or terminal block", 0.05, washPower, 2, 2},
	{MiswiredEnd, "new build: a wire end sits on another terminal of its device", 1.3, judgement + "; as an open wire", 0, 0},
	{WiresExchanged, "new build: the wires of two terminals of a device are exchanged", 1.3, judgement + "; as an open wire", 0, 0},
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
