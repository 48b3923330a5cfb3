package circuits

import (
	"slices"
	"strings"
)

// Kind is what a device does in the circuit.
type Kind int

const (
	SourceKind    Kind = iota + 1 // supply, control-transformer, bridge-rectifier
	GroundKind                    // the bonded metalwork
	LinkKind                      // fuse, breaker
	OperatorKind                  // moved by a person, a machine or a medium
	RelayKind                     // a coil that moves contacts: relay, contactor, timer
	LoadKind                      // a load that can be seen, heard or felt working
	ConnectorKind                 // pins joined while mated
	BlockKind                     // terminal block
	PassiveKind                   // in the way of the current, and nobody sees it work: resistor, diode, suppressor
)

// Mover is what moves a device.
type Mover int

const (
	Nothing   Mover = iota // it has no moving part that the circuit knows of
	ByHand                 // a person at the panel
	ByMachine              // a machine, a medium or the process
	ByCoil                 // a coil of its own
	ByCurrent              // the current of a circuit that is not in the file
	ByProgram              // the program of a controller
)

// Type is one row of the table of device types: all that the program knows of a device by
// its type alone. Which fields a row must fill follows from its kind; a test of this package
// refuses a row with a hole.
type Type struct {
	Name string
	// Word is the name in a sentence, where that is not Name without its strokes.
	Word string
	// Also are other names of the trade for it, which the format does not take.
	Also []string
	Kind Kind

	// In the circuit file.

	Terminals []string // default terminals of Ends, in order
	Primary   []string // default primary terminals
	Positions []string // default positions
	Contacts  []Contact
	Keys      []string // keys of its own, beside type, place, note, odds
	Needs     []string // those of Keys that must be given
	// Place is where it mostly is: what people work and see on the door, what a machine or
	// a medium moves in the field. Common practice, no source.
	Place string
	// Numbered are other terminals that it is sold with.
	Numbered []string

	// How it works.

	DC bool // a source that gives dc, whatever feeds it

	Moved    Mover
	Delays   bool // some of its contacts follow the coil after a time
	Times    Times
	Armature Armature
	Coils    []Coil // where it has several; the terminals of the first are Ends
	// Loads are what its coil, or it itself, is to the circuit; the first is the default. An
	// operator with a load is a sensor that has to be fed: its contacts conduct only while it is.
	Loads []Load
	// Phases: between each two of its first three terminals there is a source, a coil or a
	// winding. A fourth terminal is the neutral; six are two sets of windings in one machine.
	Phases bool
	// Poles: it can have several, which `poles` of the file names.
	Poles bool
	Moves bool // something moves while it is on
	Mains bool // it has main contacts, which are numbered as such

	// What people do with it and see of it.

	Hands Hands // how it is put into a position
	// Momentary: it springs back when it is let go, so it has to be held.
	Momentary bool
	// Makes are the minutes to bring a machine or the process to where it moves the device;
	// none where a hand does. Common practice, no source.
	Makes float64
	// Electronic: its contacts are semiconductors, which do not conduct with the power off.
	Electronic bool
	// TwoWire: it has no supply of its own but what it switches, and keeps some volts of that for itself
	// while it conducts.
	TwoWire bool
	// Leakage are the milliamperes of ac that pass through an open contact of it, as through
	// the snubber of a semiconductor; the file may give others.
	Leakage float64
	// LifeSafety: people are warned by it, so that it is not worked on like another circuit.
	LifeSafety bool
	// Charged: it keeps a charge with the power off, long enough to hurt.
	Charged  bool
	SwitchOn string // how it is put in when the panel is first energised: "Put in"
	Looks    []Look // what steps expect and most people look at is the first
	Faults   Faults
	Symbols  Symbols
	InPole   Symbols  // of what it has in a pole, where that is not the device itself
	Supply   Symbols  // of what feeds an operator, or a source that makes dc
	Letters  []Letter // of its designation
}

// Armature is what an armature does.
type Armature int

const (
	// Follows its coil, and is released with the power off.
	Follows Armature = iota
	// Latches where its first coil sets it, until the second resets it. It stays so with the
	// power off, and where both coils pull.
	Latches
	// Watches several coils: it is pulled in while each of them has its volts.
	Watches
	// Guards two channels: it comes in when both are made and it is reset, and goes out with
	// either. Where one alone has gone it stays out until both have been open. Its coils are
	// the supply, the two channels and the reset.
	Guards
	// Drives a motor: it runs while it is started, and its fault relay is in while nothing is
	// wrong. Where its trip input goes it stops, and stays tripped until it is reset. Its coils
	// are the supply, the start, the trip and the reset input.
	Drives
	// Zones watches a line with a resistor at its end by the current through it: next to none is
	// an open line, much is an alarm, all that there can be is a shorted line. It is in while there
	// is an alarm; its fault relay is in while the line is neither open nor shorted. Its coils are
	// the supply and the line.
	Zones
	// Alternates from one position to the other each time its coil lets go, and stays there
	// with the power off.
	Alternates
	// Triggered follows its second input while it has its supply at the first.
	Triggered
)

// Inputs tells whether its coils are inputs of electronics, which may share a terminal.
func (t *Type) Inputs() bool {
	return t.Kind == RelayKind && len(t.Loads) > 0 && t.Loads[0].Curve == ElectronicCurve
}

// FaultRelay tells whether there is a fault relay beside the armature, in while nothing is wrong.
func (a Armature) FaultRelay() bool { return a == Drives || a == Zones }

// Keeps tells whether an armature stays where it is with the power off.
func (a Armature) Keeps() bool { return a == Latches || a == Alternates }

// Times is what a timer does with its time.
type Times int

const (
	// ByDelay moves the timed contacts a time after the coil has, as `delay` of the file says.
	ByDelay Times = iota
	// OffDelay has them follow the coil at once as it pulls in, and a time after it has let go.
	OffDelay
	// Interval has them operated for a time from when the coil pulls in.
	Interval
	// Repeats has them operated and released by turns while the coil pulls, operated first.
	Repeats
	// Pulses has them operated for a time from when the trigger comes, however long it stays.
	Pulses
)

// Coil is one of several coils of a device.
type Coil struct {
	Key       string // of the file, for its terminals
	Name      string // "set", "reset"
	Terminals []string
	Symbols   Symbols
	Unwired   bool    // it counts as made where no wire is on it
	VA        float64 // what it draws, where that is not what the others do; 0: it is
}

// Hands are the words for putting an operator into a position: {name} is the operator with
// its note, {device} without, {position} the position, {note} the note in brackets.
type Hands struct {
	Away string // out of its position at rest
	Back string // and back
}

// Look is what one sees, hears or feels of a device that is on.
type Look struct {
	// At is what of the device one looks at, as "coil"; empty for the first look, which is at
	// the device.
	At       string
	Follows  Followed
	Coil     int    // which of several inputs, where it follows one
	Question string // "is it lit?"
	On, Off  string // "lit", "dark"
	// From which fraction of its rated volts it counts as on, and within which band nobody
	// should rely on what is seen or heard; all zero where it pulls in and lets go as a coil
	// does. Common practice, no source: a filament glows dull red at a quarter of its volts,
	// a horn or a small motor hums well below what it needs.
	From, Dark, Sure float64
	// Heard: it tells itself all over the site, wherever the person stands. Common practice, no source.
	Heard bool
}

// Followed is what of a device a look follows.
type Followed int

const (
	// TheDevice: its armature, or the volts across it.
	TheDevice Followed = iota
	// TheCoil: whether its coil pulls, wherever the contacts stand.
	TheCoil
	// TheInput: whether one of its inputs is made, whatever the others are.
	TheInput
	// TheTrip: whether it has tripped.
	TheTrip
	// TheTorque: whether what its windings get together starts it.
	TheTorque
	// TheHum: whether windings are fed that do not start it.
	TheHum
	// TheFast: whether its second three windings start it, alone.
	TheFast
)

// LookAt gives the index of the look at a part of the device; -1 where it has none. The empty
// part is the device itself.
func (t *Type) LookAt(part string) int {
	return slices.IndexFunc(t.Looks, func(l Look) bool { return l.At == part })
}

// Says gives the word for what is seen.
func (l Look) Says(on bool) string {
	if on {
		return l.On
	}
	return l.Off
}

// Pulls tells whether a device is on as a coil is: from the volts at which it pulls in, down
// to those at which it lets go.
func (l Look) Pulls() bool { return l.From == 0 }

// FaultKey names a row of the table of fault weights (package faultmodel).
type FaultKey string

// Faults are what goes wrong with a device, but for its coils and loads (see [Load]).
type Faults struct {
	ContactOpen   FaultKey // a contact stays open
	NCContactOpen FaultKey // a normally closed contact stays open
	ContactClosed FaultKey // a contact stays closed
	Stuck         Jams
	Never, AtOnce Said // a timer never times out, or has timed out at once
	Opens         Said // a link, pin or bridge is open
	PoleOpens     Said // one pole of several is open
	DiodeOpens    Said // one diode of several is open
	DiodeShorts   Said // or shorted
	Dead          Said // nothing comes out of it though it is fed
}

// Said is a fault and the words for it, with {name} for the device, and {part} for its pin
// or bridge.
type Said struct {
	Key  FaultKey
	Text string
}

// Symbols are the names of shapes in package drawing, by IEEE 315 and NEMA and by IEC 60617,
// and the form in a text drawing: what stands left and right of a name or a gap. A relay's
// contacts are drawn alike, whatever its type.
type Symbols struct {
	NEMA, IEC, Text string
}

// Letter is what a designation begins with, and where that is from. Of the types that share
// letters the one with the least rank is the likeliest.
type Letter struct {
	Letters string
	Rank    int
	Source  string
}

// TypeNamed gives the row of that name, or nil.
func TypeNamed(name string) *Type {
	for _, t := range Types {
		if t.Name == name {
			return t
		}
	}
	return nil
}

// FirstOf gives the first type of a kind: the plain one.
func FirstOf(k Kind) *Type {
	for _, t := range Types {
		if t.Kind == k {
			return t
		}
	}
	return nil
}

// closes is how what has a handle is put in.
const closes = "Close"

// SeenTimed tells whether what one sees of a timer is its output, and not its coil: all of its
// contacts follow the time.
func (t *Type) SeenTimed() bool { return t.Times != ByDelay || t.Armature == Triggered }

// Isolates tells whether it has a handle that switches off and takes a lock.
func (t *Type) Isolates() bool { return t.SwitchOn == closes }

// Called gives the name of the type in a sentence, as in "limit switch".
func (t *Type) Called() string {
	if t.Word != "" {
		return t.Word
	}
	return strings.ReplaceAll(t.Name, "-", " ")
}

// Article gives the name of the type in the file with its article.
func (t *Type) Article() string {
	if strings.ContainsRune("aeiou", rune(t.Name[0])) {
		return "an " + t.Name
	}
	return "a " + t.Name
}

// EveryKeys are the keys that every device has.
var EveryKeys = []string{"type", "place", "at", "note", "part", "odds"}

// PlaceMinutes are the minutes to get a meter lead onto a terminal at the places that need
// no declaration; common practice, no source.
var PlaceMinutes = map[string]float64{"panel": 0.5, "door": 0.5, "field": 4}

// PlaceJoins are places that count as one for a meter's two leads, which reach about a metre
// and a half: a door hangs on its panel. A circuit file can join more.
var PlaceJoins = map[string]string{"door": "panel"}
