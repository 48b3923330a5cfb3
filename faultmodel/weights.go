package faultmodel

// Weight is one row of the table of fault weights: how likely faults of one kind
// are against the others, per instance.
type Weight struct {
	Key    Key
	For    string  // the fault, for a reader
	Value  float64 // relative; only ratios matter
	Source string  // where it comes from, or the words that it has no source
}

// Key names a row of the table.
type Key string

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
	ArmatureStuck     Key = "armature-stuck"
	OperatorStuck     Key = "operator-stuck"
	TimerNever        Key = "timer-never"
	TimerAtOnce       Key = "timer-at-once"
	OverloadTripped   Key = "overload-tripped"
	OverloadOpen      Key = "overload-open"
	OverloadClosed    Key = "overload-closed"
	LinkOpen          Key = "link-open"
	SecondaryOpen     Key = "secondary-open"
	PrimaryOpen       Key = "primary-open"
	SupplyDead        Key = "supply-dead"
	FilamentOpen      Key = "filament-open"
	LEDOpen           Key = "led-open"
	HornOpen          Key = "horn-open"
	SolenoidOpen      Key = "solenoid-open"
	MotorOpen         Key = "motor-open"
	LoadShorted       Key = "load-shorted"
	PinOpen           Key = "pin-open"
	BridgeOpen        Key = "bridge-open"
	GroundOutside     Key = "ground-outside"
	GroundInside      Key = "ground-inside"
	WiresTouch        Key = "wires-touch"
	MiswiredEnd       Key = "miswired-end"
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
	{WireOpen, "a wire or either of its terminations is open, each", 1.3, connect},
	{FieldWiringFactor, "the same outside the panel: times", 2, judgement},
	{SwitchOpen, "limit, pressure, float, temperature, flow, proximity switch: a contact stays open", 6, limit},
	{SwitchClosed, "limit, pressure, float, temperature, flow, proximity switch: a contact stays closed", 1.5, limit},
	{ButtonOpen, "push button or selector: a contact stays open", 3, button},
	{ButtonClosed, "push button or selector: a contact stays closed", 0.7, button},
	{OperatorStuck, "button, selector or switch: the mechanism does not move, each position", 0.5, judgement + "; the share of sticking in MIL-HDBK-338B (from memory) spread over what its contacts already count"},
	{RelayNOOpen, "relay, contactor, timer: an NO contact stays open", 3, relay},
	{RelayNCOpen, "relay, contactor, timer: an NC contact stays open", 2, relay},
	{RelayWelded, "relay, contactor, timer: a contact is welded", 0.7, relay},
	{CoilOpen, "relay, contactor, timer: the coil is open", 2, relay},
	{CoilShorted, "relay, contactor, timer: the coil is shorted", 0.7, relay},
	{ArmatureStuck, "relay or contactor: the armature is stuck, each position", 1, judgement},
	{TimerNever, "timer: never times out", 3, judgement},
	{TimerAtOnce, "timer: times out at once", 1, judgement},
	{OverloadTripped, "overload relay: tripped", 5, judgement},
	{OverloadOpen, "overload relay: a contact stays open though reset", 1, judgement},
	{OverloadClosed, "overload relay: a contact stays closed, or it never trips", 0.3, judgement},
	{LinkOpen, "fuse blown, breaker tripped, as a fault of its own", 4, judgement},
	{SecondaryOpen, "control transformer: the secondary winding is open", 0.7, "common practice; MIL-HDBK-338B (from memory): transformer 0.42 open"},
	{PrimaryOpen, "control transformer: the primary or its feed is open", 3, judgement},
	{SupplyDead, "supply: dead, or its feed is open", 3, judgement + "; as a transformer's feed"},
	{FilamentOpen, "filament lamp: open", 8, "common practice; MIL-HDBK-338B (from memory): lamp 1.0 out"},
	{LEDOpen, "LED lamp: open", 1, judgement},
	{HornOpen, "horn: open", 2, judgement},
	{SolenoidOpen, "solenoid: open", 2, judgement},
	{MotorOpen, "small motor: open", 2, judgement + "; as a solenoid"},
	{LoadShorted, "lamp, horn, solenoid, motor: shorted", 0.3, kuphaldt},
	{PinOpen, "connector: a pin is open", 1, connect},
	{BridgeOpen, "terminal block: a bridge is open", 1, connect},
	{GroundOutside, "a wire number touches ground, for each of its wires that leaves the panel", 0.3, wash},
	{GroundInside, "a wire number touches ground, for each of its wires inside the panel", 0.03, wash},
	{WiresTouch, "two wire numbers touch where both land on one device or terminal block", 0.05, washPower},
	{MiswiredEnd, "new build: a wire end sits on another terminal of its device", 1.3, judgement + "; as an open wire"},
}

// Of gives the weight of a row.
func Of(k Key) float64 {
	for _, w := range Weights {
		if w.Key == k {
			return w.Value
		}
	}
	return 0
}
