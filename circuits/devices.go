package circuits

import "strings"

// Kind is what a device does in the circuit.
type Kind int

const (
	SourceKind    Kind = iota + 1 // supply, control-transformer
	GroundKind                    // the bonded metalwork
	LinkKind                      // fuse, breaker
	OperatorKind                  // moved by a person, a machine or a medium
	RelayKind                     // a coil that moves contacts: relay, contactor, timer
	LoadKind                      // a load that can be seen, heard or felt working
	ConnectorKind                 // pins joined while mated
	BlockKind                     // terminal block
)

// Type is one row of the table of device types.
type Type struct {
	Name      string
	Kind      Kind
	Terminals []string // default terminals of Ends, in order
	Primary   []string // default primary terminals
	Positions []string // default positions
	Contacts  []Contact
	Keys      []string // keys of its own, beside type, place, note, odds
	Needs     []string // those of Keys that must be given
	// Running is the running volt-amperes, Ohms the ohmmeter value in ohms of a
	// part rated 120 V ac.
	Running float64
	Ohms    float64
	Source  string // of these two
	// Also are other names of the trade for it, which the format does not take.
	Also []string
}

// Positions that several types share.
var (
	asOnTheShelf = []string{"normal", "operated"}
	ofACoil      = []string{"released", "operated"}
)

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
)

// Sources of electrical values that several types share.
const (
	fromRelay = "common practice, no source; an octal-base relay's data sheet gives 2.2 VA"
	fromLamp  = "common practice, no source; ratio of cold to hot from university lecture demonstrations (24 ohm cold, 240 ohm hot, 60 W 120 V)"
)

// EveryKeys are the keys that every device has.
var EveryKeys = []string{"type", "place", "note", "odds"}

// Keys that several types share.
var (
	contactKeys  = []string{"contacts"}
	relayKeys    = []string{"coil", "contacts", "volts", "ohms", "va", "pull-in", "drop-out"}
	timerKeys    = append([]string{"delay", "seconds"}, relayKeys...)
	loadKeys     = []string{"terminals", "volts", "ohms", "va"}
	lampKeys     = append([]string{"kind"}, loadKeys...)
	linkKeys     = []string{"terminals", "amps"}
	coilEnds     = []string{"A1", "A2"}
	twoEnds      = []string{"1", "2"}
	overloadForm = []Contact{
		{A: "95", B: "96", Closed: []bool{true, false}, Form: NormallyClosed},
		{A: "97", B: "98", Closed: []bool{false, true}, Form: NormallyOpen},
	}
)

// Types is the table of device types, in the order of the format.
//
// Running and ohmmeter values are for parts rated 120 V ac, each row with its source. The
// ohms of a control transformer are those of its secondary winding. Terminal numbers are those
// of IEC 60947 (coils A1 A2, contacts by function number, overload 95 to 98) and of
// NEMA control transformers (H1 H2, X1 X2), from memory.
var Types = []*Type{
	{Name: "supply", Kind: SourceKind, Terminals: []string{"L", "N"},
		Keys: []string{"volts", "current", "hertz", "amps", "terminals"}, Needs: []string{"volts"},
		Also: []string{"source", "power-supply", "mains", "battery", "line"}},
	{Name: "control-transformer", Kind: SourceKind, Terminals: []string{"X1", "X2"}, Primary: []string{"H1", "H2"},
		Keys: []string{"volts", "primary-volts", "amps", "hertz", "ohms", "terminals", "primary"}, Needs: []string{"volts"},
		Ohms: WindingOhms, Source: NoSource, Also: []string{"transformer", "cpt"}},
	{Name: "ground", Kind: GroundKind, Terminals: []string{"1"},
		Also: []string{"earth", "pe", "bond"}},
	{Name: "fuse", Kind: LinkKind, Terminals: twoEnds, Keys: linkKeys},
	{Name: "breaker", Kind: LinkKind, Terminals: twoEnds, Keys: linkKeys,
		Also: []string{"circuit-breaker", "mcb"}},
	{Name: "push-button", Kind: OperatorKind, Positions: []string{"released", "pressed"},
		Keys: contactKeys, Needs: contactKeys, Also: []string{"button", "emergency-stop", "e-stop"}},
	{Name: "selector-switch", Kind: OperatorKind,
		Keys: []string{"positions", "rest", "contacts"}, Needs: []string{"positions", "contacts"},
		Also: []string{"selector", "switch", "key-switch", "toggle-switch"}},
	{Name: "limit-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys,
		Also: []string{"door-switch", "position-switch"}},
	{Name: "float-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys,
		Also: []string{"level-switch"}},
	{Name: "pressure-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys},
	{Name: "temperature-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys,
		Also: []string{"thermostat", "thermal-switch"}},
	{Name: "flow-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys},
	{Name: "proximity-switch", Kind: OperatorKind, Positions: asOnTheShelf, Keys: contactKeys, Needs: contactKeys,
		Also: []string{"sensor", "proximity-sensor"}},
	{Name: "overload-relay", Kind: OperatorKind, Positions: []string{"reset", "tripped"}, Contacts: overloadForm,
		Keys: contactKeys, Also: []string{"overload", "heater"}},
	{Name: "relay", Kind: RelayKind, Terminals: coilEnds, Positions: ofACoil, Keys: relayKeys,
		Running: 3, Ohms: 2400, Source: fromRelay, Also: []string{"control-relay", "coil"}},
	{Name: "contactor", Kind: RelayKind, Terminals: coilEnds, Positions: ofACoil, Keys: relayKeys,
		Running: 10, Ohms: 240, Source: NoSource, Also: []string{"starter", "motor-starter"}},
	{Name: "timer", Kind: RelayKind, Terminals: coilEnds, Positions: ofACoil, Keys: timerKeys,
		Needs: []string{"seconds"}, Running: 3, Ohms: 2400, Source: fromRelay, Also: []string{"time-delay-relay", "timing-relay"}},
	{Name: "lamp", Kind: LoadKind, Terminals: twoEnds, Keys: lampKeys,
		Running: 3, Ohms: 480, Source: fromLamp, Also: []string{"pilot-light", "light", "pilot-lamp", "beacon", "indicator"}},
	{Name: "horn", Kind: LoadKind, Terminals: twoEnds, Keys: loadKeys,
		Running: 8, Ohms: 900, Source: NoSource, Also: []string{"buzzer", "bell", "siren"}},
	{Name: "solenoid", Kind: LoadKind, Terminals: twoEnds, Keys: loadKeys,
		Running: 20, Ohms: 180, Source: NoSource, Also: []string{"valve", "solenoid-valve"}},
	{Name: "motor", Kind: LoadKind, Terminals: twoEnds, Keys: loadKeys,
		Running: 60, Ohms: 30, Source: NoSource, Also: []string{"fan", "pump"}},
	{Name: "connector", Kind: ConnectorKind, Keys: []string{"pins"}, Needs: []string{"pins"},
		Also: []string{"plug", "socket", "receptacle"}},
	{Name: "terminal-block", Kind: BlockKind, Keys: []string{"terminals", "bridges"}, Needs: []string{"terminals"},
		Also: []string{"terminals", "terminal-strip", "terminal"}},
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

// Article gives the name of the type in a sentence.
func (t *Type) Article() string {
	if strings.ContainsRune("aeiou", rune(t.Name[0])) {
		return "an " + t.Name
	}
	return "a " + t.Name
}

// PlaceMinutes are the minutes to get a meter lead onto a terminal at the places that need
// no declaration; common practice, no source.
var PlaceMinutes = map[string]float64{"panel": 0.5, "door": 0.5, "field": 4}
