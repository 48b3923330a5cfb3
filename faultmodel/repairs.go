package faultmodel

import (
	"deadrung/circuits"
	"deadrung/circuits/work"
	"strings"
)

// Repair says how a fault of a panel is put right.
func (f Fault) Repair(p *work.Panel) string {
	d := p.Device(f.Devices[0])
	if d == nil {
		return Repairs[f.Key]
	}
	text := strings.ReplaceAll(Repairs[f.Key], "{type}", d.Type.Called())
	if after := around(d.Type); after != "" && !f.Effect.OfWires() {
		text += " " + after
	}
	return text
}

// around is what a repair of some devices takes beside what is put right. Common practice, no source.
func around(t *circuits.Type) string {
	switch {
	case t.Armature == circuits.Guards:
		return "Then prove each channel by itself, the feedback and the reset, before the machine runs."
	case t.Armature == circuits.Drives:
		return "Before anything at its terminals is touched wait until its dc link has discharged, as long as its label says, and " +
			"prove it dead."
	case t.LifeSafety:
		return "Then test alarm and trouble of the whole line, and tell the building and the monitoring station that it is back."
	}
	return ""
}

// Repairs says how each kind of fault is put right; {type} is what the device is. Common
// practice, no source, all of them.
var Repairs = map[Key]string{
	WireOpen: "Tighten the screws at both ends, look for a broken strand at the ferrule and " +
		"under the insulation, pull gently. Replace the wire if in doubt.",
	SwitchOpen: "See that the switch is driven as far as it should be, then replace the " +
		"contact or the switch.",
	SwitchClosed: "See that nothing holds the switch, then replace the contact or the switch.",
	ButtonOpen:   "See that the contact block sits home on the operator, then replace the block.",
	ButtonClosed: "See that the operator comes back, then replace the contact block.",
	RelayNOOpen:  "Replace the {type} or the contact block; a filed contact does not last.",
	RelayNCOpen:  "Replace the {type} or the contact block; a filed contact does not last.",
	RelayWelded: "Replace the {type} or the contact block, and look for what welded it: a short " +
		"or an overload behind the contact.",
	InnerContactOpen: "Replace the {type} by one of the same type, set as the old one: the contacts inside of it are " +
		"not mended.",
	InnerContactWeld: "Replace the {type} by one of the same type, set as the old one: the contacts inside of it are not mended. Look for what " +
		"welded it: a short or an overload behind the contact.",
	CoilOpen: "Replace the coil or the {type}, of the same volts. See why it burned: wrong " +
		"volts, or an armature that does not seat.",
	CoilShorted: "Replace the coil or the {type}, of the same volts. The fuse ahead of it has " +
		"most likely opened too.",
	CurrentShorted: "Replace the coil or the {type}, for the same amperes. What it watches has " +
		"gone on working.",
	ArmatureStuck: "Look for dirt, a broken spring, a jammed carrier. Replace the {type}; do not " +
		"free it by hand and leave it.",
	OperatorStuck:  "Free or replace the mechanism; see that its contact block follows.",
	TimerNever:     "See that the delay is set as the drawing says, then replace the timer.",
	TimerAtOnce:    "See that the delay is set as the drawing says, then replace the timer.",
	TimerInputOpen: "Replace the {type}, of the same volts and times, and set it as the drawing says.",
	FlasherOn:      "Replace the {type}, of the same volts and times. See that what hangs on it is no more than it carries.",
	FlasherOff:     "Replace the {type}, of the same volts and times. See that what hangs on it is no more than it carries.",
	OverloadTripped: "Find what overloaded the motor before it is reset: current, single phase, a " +
		"jam. Let it cool, then reset; replace it if it does not hold.",
	OverloadOpen:   "Replace the overload relay, set as the old one.",
	OverloadClosed: "Replace the overload relay, set as the old one: the motor has no protection.",
	BreakerOpen: "Clear what opened it first, then close it; replace it by one of the same type " +
		"and rating if it does not hold.",
	LinkOpen: "Clear what opened it first. Then fit one of the same type and rating, never a " +
		"larger one and never a bridge.",
	SecondaryOpen: "Replace the transformer, of the same volts and volt-amperes.",
	PrimaryOpen: "Check the feed and its fuses ahead of this circuit, then the primary winding. " +
		"Replace the transformer if the winding is open.",
	SupplyDead: "Check the feed and its protection ahead of this circuit, then the supply itself.",
	PhaseLost: "Have the feed and its fuses seen to: one line is missing before this panel. Let no " +
		"motor run on the two that are left.",
	PhaseInputOpen:   "Replace the {type}, of the same volts.",
	PoleOpen:         "Replace the breaker by one of the same type and rating: its poles are not mended.",
	HeaterInPoleOpen: "Find what overloaded the motor, then fit a heater of the same number or replace the overload relay.",
	MotorJammed: "Lock out, and turn the shaft by hand: free the pump, the belt or the bearing, or " +
		"replace the motor. See what the jam did to its windings.",
	FilamentOpen: "Replace the lamp, of the same volts. See that the holder's contact is clean.",
	LEDOpen:      "Replace the lamp, of the same volts and kind of current.",
	HornOpen:     "Replace the horn.",
	SolenoidOpen: "Replace the coil of the solenoid. See why it burned: a plunger that does not " +
		"seat draws too much.",
	MotorOpen: "Replace the motor.",
	HeaterOpen: "Replace the heater, of the same volts and watts. See that it is clean and " +
		"that air or what it heats gets at it.",
	BeaconOpen: "Replace the flash tube or the beacon, of the same volts and kind of current. " +
		"Its capacitor holds a charge: wait as long as the maker says.",
	DiodeOpen: "Replace the diode, of the same volts and amperes or more, the way round that the drawing " +
		"has it. See what it has to carry.",
	DiodeShorted: "Replace the diode, of the same volts and amperes or more, the way round that the drawing " +
		"has it. A fuse ahead of it has perhaps opened too.",
	CTOpen: "Switch off and lock out what flows in its primary, and short S1 and S2 before a wire is taken off. Then replace the " +
		"{type}, of the same ratio and burden. It may have stood open under load: see that nothing has burnt.",
	CTShorted: "See that the shorting link or the switch at its terminals is out, once all that hangs on it is landed. Else switch off what " +
		"flows in its primary and replace the {type}, of the same ratio and burden.",
	AmmeterOpen: "Switch off and lock out what flows in the primary of its current transformer, if it hangs on one, and short S1 and S2 " +
		"first. Then replace the ammeter, of the same range.",
	BridgeDiodeOpen: "Replace the rectifier, of the same volts and amperes or more, each lead where it was. See what it " +
		"has to carry.",
	BridgeDiodeShort: "Replace the rectifier, of the same volts and amperes or more, each lead where it was. The fuse ahead " +
		"of it has most likely opened too: see first that the coil behind it is not shorted.",
	RectifierDead: "See that its leads sit tight, then replace the rectifier, of the same volts and amperes or more. See what " +
		"it has to carry.",
	ResistorOpen:    "Replace the resistor, of the same ohms and watts. See what overloaded it.",
	ResistorShorted: "Replace the resistor, of the same ohms and watts. See that nothing bridges it.",
	CapacitorOpen:   "Let it discharge, and measure that it has; then replace the capacitor, of the same microfarads and volts.",
	CapacitorShorted: "Let it discharge, and measure that it has; then replace the capacitor, of the same microfarads and " +
		"volts. A fuse ahead of it has perhaps opened too.",
	SuppressorOpen: "Replace the {type}, of the same volts: without it the contact ahead burns.",
	SuppressorShorted: "Replace the {type}, of the same volts. The fuse ahead of it has most likely opened " +
		"too. See where the surges come from.",
	SensorDead: "Measure the volts between its own supply leads first, plus at its plus lead. If they are there, replace the {type}, of the " +
		"same volts, output (pnp or npn) and reach.",
	SensorOpen: "See that its output light is lit while nothing comes out, that its target comes near enough and that its face or lens is " +
		"clean. Then replace the {type}, of the same output and reach.",
	SensorClosed: "See that nothing stands in front of it and that its load does not take more than it may give. Then replace the {type}, of " +
		"the same output and reach.",
	SensorStuck: "See that its target comes near enough and goes far enough away, and that its face or lens is clean and lined up. Then set it " +
		"anew, or replace it by one of the same output and reach.",
	DetectorDead: "Measure the volts of the line at its base, the right way round, and see that the head is turned home. Then " +
		"replace the head by one of the same type, and test it with smoke.",
	DetectorOpen: "See that the head is turned home and that the springs of its base are clean. Then replace the head by one " +
		"of the same type, and test it with smoke.",
	DetectorClosed: "Make sure that there is no fire. Then replace the head by one of the same type, and test it with smoke.",
	DetectorBlind: "Look for a dust cap or a bag left on it. Clean its chamber as its maker says, or replace the head by one of " +
		"the same type. Test it with smoke, and see the alarm come in at the panel.",
	DetectorInAlarm: "Make sure that there is no fire. Look for dust, insects, steam and damp, and keep them away. Clean its " +
		"chamber as its maker says, or replace the head by one of the same type, and test it with smoke.",
	ZoneInTrouble: "Take the field wires off the line and put its end-of-line resistor straight across the line's terminals: a good module is quiet " +
		"then. If it is not, replace it by one of the same type, set as the old one.",
	ZoneInAlarm: "Make sure that there is no fire. Take the field wires off the line and put its end-of-line resistor straight across the " +
		"line's terminals: a good module is quiet then. If it is not, replace it by one of the same type, set as the old one.",
	OutputOpen: "See that the outputs have their own supply and that its fuse is good, and that the light of this one is lit while nothing comes " +
		"out. Then replace the card, or move the wire and the program to a spare output.",
	OutputClosed: "See that the light of the output is dark while it conducts, and what overloaded it: a short, a coil without a suppressor. " +
		"Then replace the card, or move the wire and the program to a spare output.",
	OutputStuck: "See with whoever is in charge of the program whether it sets the output, is forced or has stopped. Then " +
		"replace the card; a program is not changed to get round a fault.",
	SolidOpen: "See that the light of its input is lit, and measure the volts at its input. Then replace the {type}, of the same input and output volts " +
		"and amperes, on its heat sink with new paste.",
	SolidShorted: "Replace the {type}, of the same input and output volts and amperes, on its heat sink with new paste. See what overloaded or " +
		"overheated it, and that its suppressor is whole. It fails by staying on: what must stop needs a contact as well.",
	InputOpen: "Measure the volts at the terminals of the input first. If they are there, replace the {type}, set as the old one; " +
		"of a controller the card, or move the wire and the program to a spare input.",
	GuardStaysOff: "Read its lights with its leaflet first: supply, feedback, reset, both channels made within their time. Then replace the {type} " +
		"by one of the same type, set as the old one.",
	DriveTripped: "Read and note the fault on its display before it is reset, and find what tripped it: load, cable, motor, cooling, mains. If it " +
		"does not reset with that put right, replace the drive, with the settings of the old one.",
	DriveRuns: "See on its display where it takes its start from, its terminals, its own keys or a bus, and have that set as the drawing says. " +
		"If it still runs with its start input open, replace the drive, with the settings of the old one.",
	LoadShorted: "Replace it. The fuse ahead of it has most likely opened too.",
	PinOpen:     "Look for a bent or pushed-back pin, a loose crimp. Replace the pin.",
	BridgeOpen:  "Tighten or replace the bridge.",
	GroundOutside: "Follow the wire for chafed insulation, water in a box, a pinched cable; lift " +
		"it in halves to find the stretch. Replace the stretch.",
	GroundInside: "Follow the wire for chafed insulation, a pinch under a cover. Replace it.",
	WiresTouch: "Follow both wires for a whisker at a screw, chafed insulation, a pinch. Part " +
		"and insulate or replace them.",
	WireResistive: "Tighten the screws at both ends, look for a brown or loose ferrule, a strand " +
		"or two that carries all. Make the end anew or replace the wire.",
	ContactResistive: "Replace the contact block or the {type}; a filed contact does not last. See " +
		"what burned or wetted it.",
	SwitchResistive: "See that the switch is driven as far as it should be and that it is dry, then " +
		"replace the contact or the switch.",
	LinkResistive: "Look for a brown, loose or dirty clip, screw or pin. Clean and tighten it, or " +
		"replace it.",
	SupplyLow: "Measure its feed and its load first: one too many loads pulls a good supply " +
		"down. Then set it, or replace it.",
	TransformerLow: "Measure its feed, see that the taps are linked as its plate says, and what it " +
		"has to feed. Then replace it, of the same volts and volt-amperes.",
	WindingShorted: "Replace the transformer, of the same volts and volt-amperes. See what " +
		"overloaded it; the fuse ahead of it has most likely opened too.",
	GroundLeak: "Dry and seal the box, look for chafed insulation and carbon tracks; lift the " +
		"wire in halves to find the stretch. Replace the stretch.",
	ContactLeak: "Dry and seal the switch, look for a carbon track; for a snubber or an " +
		"electronic switch see that its load takes enough. Replace the {type}.",
	TurnsShorted: "Replace the coil or the {type}, of the same volts. See why it burned: wrong " +
		"volts, or an armature that does not seat.",
	WrongCoil: "Replace the coil by one for the volts of the circuit: its plate has them.",
	ArmatureChatters: "Measure the volts at the coil first. Then clean the pole faces, see the " +
		"shading ring; replace the {type} if either is worn or broken.",
	TimerSetting:    "Set the delay as the drawing says, and time it.",
	OverloadSetting: "Set it to the current on the motor's plate, no higher; measure what the motor draws.",
	SolenoidShorted: "Replace the coil of the solenoid. The fuse ahead of it has most likely opened too.",
	SolenoidSticks: "Look for dirt, a bent plunger, a dry seal, no pressure. Free it or replace " +
		"it: a plunger that does not seat burns the coil.",
	MiswiredEnd:    "Land the wire where the drawing has it. See where the wire that belongs there went.",
	WiresExchanged: "Exchange the wires of the two terminals, as the drawing has them.",
}
