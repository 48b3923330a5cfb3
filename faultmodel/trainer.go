package faultmodel

import "slices"

// Insertion says how a kind of fault is put into a trainer, or why it is not.
type Insertion struct {
	Key   Key
	Way   Way
	Needs Needs
	Why   string // why it is not inserted; else what makes it harmless
}

// Way is how a fault is put in and taken out.
type Way int

const (
	NoWay      Way = iota
	LiftWire       // lift a wire off a screw and insulate its end
	SwapFuse       // a blown fuse in the place of the good one
	SwapLamp       // a burnt-out lamp in the place of the good one
	SetLongest     // a timer's dial at its longest time
	SetLeast       // a timer's dial at its least time
	TakeBridge     // a terminal-block bridge taken out
	TakePin        // a connector pin withdrawn, or a connector with the pin missing
	SwapPart       // a prepared part in the place of the good one
)

// Needs is what must lie ready.
type Needs int

const (
	NeedsNothing  Needs = iota // beyond a screwdriver and insulating caps
	NeedsSpare                 // a dead fuse or lamp
	NeedsPrepared              // a part that was prepared with the fault in it
)

// Insertions is the table: each kind of fault has a row. Common practice, no source, all
// of it, but for what is not bridged, jumped or grounded on a bench at all: that follows
// from the rule that no safety contact or protective device is ever bridged.
var Insertions = []Insertion{
	{WireOpen, LiftWire, NeedsNothing,
		"an open is the harmless fault, but where something then moves: see movements"},
	{LinkOpen, SwapFuse, NeedsSpare, "a dead fuse opens what it protects"},
	{BreakerOpen, NoWay, 0, "a breaker that is off is seen and switched on by the way"},
	{FilamentOpen, SwapLamp, NeedsSpare, "a dead lamp draws nothing"},
	{LEDOpen, SwapLamp, NeedsSpare, "a dead lamp draws nothing"},
	{TimerNever, SetLongest, NeedsNothing, "the dial is set, no wire is touched"},
	{TimerAtOnce, SetLeast, NeedsNothing, "the dial is set, no wire is touched"},
	{TimerInputOpen, SwapPart, NeedsPrepared, "an open: the timer does nothing"},
	{FlasherOn, NoWay, 0, "nobody prepares the electronics of a flasher for an exam"},
	{FlasherOff, SwapPart, NeedsPrepared, "an open: its output does not come"},
	{BridgeOpen, TakeBridge, NeedsNothing, "an open"},
	{PinOpen, TakePin, NeedsPrepared, "an open"},
	{RelayNOOpen, SwapPart, NeedsPrepared, "an open"},
	{RelayNCOpen, SwapPart, NeedsPrepared, "an open"},
	{InnerContactOpen, NoWay, 0, "a safety relay, a drive or a fire alarm is not opened and doctored for an exam"},
	{InnerContactWeld, NoWay, 0, "a contact may be what stops something: it is not bridged"},
	{ButtonOpen, SwapPart, NeedsPrepared, "an open"},
	{CoilOpen, SwapPart, NeedsPrepared, "an open"},
	{HornOpen, SwapPart, NeedsPrepared, "an open"},
	{SolenoidOpen, SwapPart, NeedsPrepared, "an open"},
	{MotorOpen, SwapPart, NeedsPrepared, "an open"},
	{HeaterOpen, SwapPart, NeedsPrepared, "an open"},
	{BeaconOpen, SwapPart, NeedsPrepared, "an open"},
	{DiodeOpen, SwapPart, NeedsPrepared, "an open"},
	{CTOpen, NoWay, 0, "the secondary of a current transformer is never opened"},
	{CTShorted, NoWay, 0, "what it watches for is no longer seen, and something may run on"},
	{AmmeterOpen, NoWay, 0, "it may hang on a current transformer, whose secondary is never opened"},
	{BridgeDiodeOpen, SwapPart, NeedsPrepared, "an open"},
	{RectifierDead, SwapPart, NeedsPrepared, "an open"},
	{BridgeDiodeShort, NoWay, 0, "a short burns or blows something"},
	{ResistorOpen, SwapPart, NeedsPrepared, "an open"},
	{SuppressorOpen, NoWay, 0, "without it a contact burns, and nothing on the terminals shows it"},
	{CapacitorOpen, NoWay, 0, "a capacitor holds a charge: it is no part for exercises"},
	{DiodeShorted, NoWay, 0, "a short burns or blows something"},
	{ResistorShorted, NoWay, 0, "a short burns or blows something"},
	{CapacitorShorted, NoWay, 0, "a short burns or blows something"},
	{SuppressorShorted, NoWay, 0, "a short burns or blows something"},
	{SwitchOpen, NoWay, 0, "a switch in the field is not opened and doctored for an exam"},
	{SwitchClosed, NoWay, 0, "a switch may be a safety contact: it is not bridged"},
	{ButtonClosed, NoWay, 0, "a button or selector may stop something: it is not bridged"},
	{OperatorStuck, NoWay, 0, "an operator that does not move may be the one that stops"},
	{RelayWelded, NoWay, 0, "a contact may be an interlock: it is not bridged"},
	{CoilShorted, NoWay, 0, "a short burns or blows something"},
	{CurrentShorted, NoWay, 0, "what it watches for is no longer seen, and something may run on"},
	{ArmatureStuck, NoWay, 0, "an armature is not wedged by hand: it may pull something in"},
	{OverloadTripped, NoWay, 0, "the candidate would reset it by the way"},
	{OverloadOpen, NoWay, 0, "a protective device is not tampered with"},
	{OverloadClosed, NoWay, 0, "a protective device is not bridged"},
	{SecondaryOpen, NoWay, 0, "a winding is not opened"},
	{PrimaryOpen, NoWay, 0, "the feed is at a higher voltage and outside of this lock-out"},
	{PhaseLost, NoWay, 0, "a motor that runs on two lines burns"},
	{PhaseInputOpen, SwapPart, NeedsPrepared, "an open: the relay lets go"},
	{PoleOpen, NoWay, 0, "a motor that runs on two lines burns, and a protective device is not tampered with"},
	{HeaterInPoleOpen, NoWay, 0, "a motor that runs on two lines burns, and a protective device is not tampered with"},
	{MotorJammed, NoWay, 0, "a motor that is held burns, and its drive is no place for hands"},
	{SupplyDead, NoWay, 0, "the feed is outside of this lock-out"},
	{SensorDead, SwapPart, NeedsPrepared, "an open"},
	{SensorOpen, SwapPart, NeedsPrepared, "an open"},
	{SensorClosed, NoWay, 0, "a sensor may be what stops something: it is not bridged"},
	{SensorStuck, NoWay, 0, "a sensor may be what stops something"},
	{DetectorDead, NoWay, 0, "a fire alarm is not made blind for an exam"},
	{DetectorOpen, NoWay, 0, "a fire alarm is not made blind for an exam"},
	{DetectorClosed, NoWay, 0, "a fire alarm is not set off for an exam"},
	{DetectorBlind, NoWay, 0, "a fire alarm is not made blind for an exam"},
	{DetectorInAlarm, NoWay, 0, "a fire alarm is not set off for an exam"},
	{ZoneInTrouble, NoWay, 0, "a fire alarm is not made blind for an exam"},
	{ZoneInAlarm, NoWay, 0, "a fire alarm is not set off for an exam"},
	{OutputOpen, SwapPart, NeedsPrepared, "an open"},
	{OutputClosed, NoWay, 0, "it may start something"},
	{OutputStuck, NoWay, 0, "a program is not changed for an exam"},
	{SolidOpen, SwapPart, NeedsPrepared, "an open"},
	{SolidShorted, NoWay, 0, "it starts what hangs on it"},
	{InputOpen, SwapPart, NeedsPrepared, "an open"},
	{GuardStaysOff, NoWay, 0, "a safety relay is not tampered with"},
	{DriveTripped, NoWay, 0, "the candidate would reset it by the way"},
	{DriveRuns, NoWay, 0, "it may start something"},
	{LoadShorted, NoWay, 0, "a short burns or blows something"},
	{GroundOutside, NoWay, 0, "a live conductor is not put on the metalwork"},
	{GroundInside, NoWay, 0, "a live conductor is not put on the metalwork"},
	{WiresTouch, NoWay, 0, "two conductors are not joined: it may start or blow something"},
	{WireResistive, NoWay, 0, "a resistor in a control circuit gets hot where nobody expects it"},
	{ContactResistive, NoWay, 0, "a resistor in a control circuit gets hot where nobody expects it"},
	{SwitchResistive, NoWay, 0, "a resistor in a control circuit gets hot where nobody expects it"},
	{LinkResistive, NoWay, 0, "a protective device and its clip are not tampered with"},
	{SupplyLow, NoWay, 0, "contactors that do not seat on low volts burn"},
	{TransformerLow, NoWay, 0,
		"taps are on the side of the feed, and contactors that do not seat on low volts burn"},
	{WindingShorted, NoWay, 0, "a short burns or blows something"},
	{GroundLeak, NoWay, 0, "a live conductor is not led to the metalwork"},
	{ContactLeak, NoWay, 0, "a switch may be a safety contact: nothing is put across it"},
	{TurnsShorted, NoWay, 0, "it gets hot"},
	{WrongCoil, NoWay, 0, "a coil that does not seat may burn, and the part is marked with its volts"},
	{ArmatureChatters, NoWay, 0, "its contacts burn, and what hangs on them may start at any time"},
	{TimerSetting, NoWay, 0,
		"a dial at its end is a kind of its own: a timer that never, or at once, times out"},
	{OverloadSetting, NoWay, 0, "a protective device is not tampered with"},
	{SolenoidShorted, NoWay, 0, "a short burns or blows something"},
	{SolenoidSticks, NoWay, 0, "a plunger that does not seat burns its coil"},
	{MiswiredEnd, NoWay, 0, "a wire on a wrong screw may start or blow something"},
	{WiresExchanged, NoWay, 0, "a wire on a wrong screw may start or blow something"},
}

// InsertionOf gives the row of a kind of fault.
func InsertionOf(k Key) Insertion {
	return Insertions[slices.IndexFunc(Insertions, func(row Insertion) bool { return row.Key == k })]
}
