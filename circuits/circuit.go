package circuits

import "strings"

// Pos is a place in the file of something that was read, for messages.
type Pos struct {
	Line, Column int
}

// Terminal is one screw or pin, written as IEC 81346 writes it: device, colon,
// terminal name, as in CR1:A1.
type Terminal string

// Circuit is one control circuit as its file describes it. Everything in it has
// been checked by the reader: names resolve, numbers are positive, wire numbers
// are each one node.
type Circuit struct {
	File    string // where it was read, for messages
	Title   string
	About   string
	Block   TitleBlock
	Devices []*Device // in file order
	Numbers []Number  // wire numbers in file order
	Rungs   []Rung    // as drawn, where the file has rungs; Numbers are worked out from them
	Ladder  []Rung    // as drawn before the file had wires; they say how it is drawn, and no more
	Steps   []Step    // the operation, in order
	Cables  []Cable
	// Places gives the minutes to get a meter lead onto a terminal there.
	Places map[string]float64
	// Joins gives the place that another one counts as one with, for the leads of a meter.
	Joins map[string]string
	// Warnings do not stop the circuit from being used.
	Warnings []Problem
}

// TitleBlock is what the title block of the drawing holds beside its title. What is empty was
// not given.
type TitleBlock struct {
	Project, Number, Revision string
	Date                      string // as written
	Drawn, Checked            string // by whom
}

// Device is one thing in the panel with its defaults filled in.
type Device struct {
	Name  string
	Type  *Type
	Place string
	// Row and Column are where it sits at its place, from the top left; 0: not given.
	Row, Column int
	Note        string
	Part        string  // what it is ordered as
	Odds        float64 // multiplies the weight of its faults; 1 when not given
	At          Pos

	// Terminals are all terminal names of the device, in the order of the table
	// in the format, each once.
	Terminals []string
	// Ends are the two terminals of a coil, load, source (hot, return), fuse or
	// breaker; empty for others.
	Ends [2]string
	// More are the two terminals of each further coil, as in Type.Coils.
	More [][2]string
	// Secondaries are the windings of a control transformer beside that between Ends. One that
	// shares a terminal with another is a part of the same winding, tapped there.
	Secondaries []Winding
	// Primary are the primary terminals of a control transformer, and where a rectifier is fed.
	Primary [2]string

	Volts        float64  // rated volts; 0: not given, the circuit's
	PrimaryVolts float64  // 0: not given
	DC           bool     // a supply with current: dc
	Hertz        float64  // of a source
	Phase        *float64 // of an ac source, degrees; nil: not given
	Amps         float64  // 0: not given
	PrimaryAmps  float64  // of a current transformer, at which its secondary has Amps
	Ohms         float64  // ohmmeter value in ohms; 0: not given
	VA           float64  // running volt-amperes; 0: not given
	Microfarads  float64  // 0: not given
	LoadKind     string   // which of the loads of its type it is, by kind; empty: the first
	Leakage      float64  // milliamperes through an open contact; 0: not given
	PullIn       float64  // coil: fraction of rated volts; 0: not given
	DropOut      float64  // coil: fraction of rated volts; 0: not given

	// Positions of an operator (push button, switch, overload relay), or
	// released, operated for anything with a coil.
	Positions []string
	Rest      int // index of the position at rest
	Contacts  []Contact
	Momentary bool    // an operator that springs back when it is let go
	Makes     float64 // operator: minutes to bring about what moves it; 0 where a hand does
	NotAtWill bool    // operator: nobody can bring about what moves it

	// Interlock is the contactor that it is interlocked with mechanically, and that with it: while
	// either is pulled in the other cannot be.
	Interlock *Device

	OffDelay   bool    // timer with delay: off
	Seconds    float64 // timer; of one that repeats, how long it is on
	OffSeconds float64 // of a timer that repeats, how long it is off

	Poles  [][2]string // breaker of several poles; overload relay with the heaters in the file
	Joined Connection  // of three-phase windings

	Pins    []string    // connector
	Bridges [][2]string // terminal block, each pair one bridge
}

// Winding is one of several secondaries: its first terminal is in phase with the first of the
// primary.
type Winding struct {
	Ends  [2]string
	Volts float64
}

// Connection is how three windings are joined.
type Connection string

const (
	Star    Connection = "star"
	Delta   Connection = "delta"
	HighLeg Connection = "high-leg" // a delta with the neutral in the middle of one winding
)

// Contact is one pair of terminals that closes or opens with the position of its
// device. A changeover contact is two of them that share the common terminal.
type Contact struct {
	A, B   string // terminal names; A is the common one of a changeover
	Closed []bool // by position
	Form   Form
	Timed  bool // follows the delay of a timer, or is of a fault relay
	At     Pos
}

// ClosedIn tells whether a contact is closed with its device in a position, and the timed
// contacts of a timer in another.
func (c *Contact) ClosedIn(position, timed int) bool {
	if c.Timed {
		return c.Closed[timed]
	}
	return c.Closed[position]
}

// Form says how a contact was written in the file.
type Form int

const (
	NormallyOpen   Form = iota + 1 // no: closed when the device is operated
	NormallyClosed                 // nc: closed at rest
	InPositions                    // closed in named positions
)

// Number is one wire number and the physical wires that make it.
type Number struct {
	Name  string
	Wires []Wire // in the order of the file
	At    Pos
}

// Wire is one physical wire between two landings.
type Wire struct {
	From, To Terminal
	Conductor
	At Pos
}

// Step is one condition in the operation of the circuit.
type Step struct {
	Name   string
	Set    []Setting // in file order
	Wait   float64   // seconds
	Expect []Expectation
	Note   string
	At     Pos
}

// Setting moves one operator to a position.
type Setting struct {
	Device   *Device
	Position int // index into Device.Positions
	At       Pos
}

// Expectation is what the file says a device of a good circuit does.
type Expectation struct {
	Device   *Device
	On       bool
	Flashing bool // on and off by turns
	At       Pos
}

// Device gives the device of that name, or nil.
func (c *Circuit) Device(name string) *Device {
	for _, d := range c.Devices {
		if d.Name == name {
			return d
		}
	}
	return nil
}

// Step gives the index of the step of that name, or -1.
func (c *Circuit) Step(name string) int {
	for i, s := range c.Steps {
		if s.Name == name {
			return i
		}
	}
	return -1
}

// Called names a device with what it is, as in "horn B1".
func (d *Device) Called() string {
	return d.Type.Called() + " " + d.Name
}

// Whereabouts tells in words where a device sits: "in the panel".
func (d *Device) Whereabouts() string {
	switch d.Place {
	case "panel":
		return "in the panel"
	case "door":
		return "on the door"
	case "field":
		return "in the field"
	}
	return "at " + d.Place
}

// Area names the place that stands for all that count as one with a place.
func (c *Circuit) Area(place string) string {
	for range len(c.Joins) { // as many as a chain can be long
		to, ok := c.Joins[place]
		if !ok {
			break
		}
		place = to
	}
	return place
}

// Terminal writes a terminal of the device.
func (d *Device) Terminal(name string) Terminal { return Terminal(d.Name + ":" + name) }

// Split gives the device's and the terminal's name.
func (t Terminal) Split() (device, name string) {
	device, name, _ = strings.Cut(string(t), ":")
	return device, name
}

// HasPrimary reports whether the device has a side that another one feeds: a control
// transformer, a rectifier or a current transformer.
func (d *Device) HasPrimary() bool { return d.Primary != [2]string{} }

// Transformer reports whether the device is a control transformer.
func (d *Device) Transformer() bool { return d.HasPrimary() && !d.DC && d.Type.Kind == SourceKind }

// Measures reports whether the device is a current transformer.
func (d *Device) Measures() bool {
	return d.Type.Kind == PassiveKind && d.Load().Curve == MeasuringCurve
}

// Rectifier reports whether the device makes dc of the ac at its primary.
func (d *Device) Rectifier() bool { return d.HasPrimary() && d.DC }

// Diodes gives the terminals of each diode of a rectifier of four, anode first.
func (d *Device) Diodes() [][2]string {
	if !d.Rectifier() {
		return nil
	}
	var diodes [][2]string
	for _, in := range d.Primary {
		diodes = append(diodes, [2]string{in, d.Ends[0]}, [2]string{d.Ends[1], in})
	}
	return diodes
}

// OneWay reports whether it lets current through one way only, from its first terminal.
func (d *Device) OneWay() bool { return d.Type.Kind == PassiveKind && d.Load().Curve == DiodeCurve }

// Timer reports whether the device is a timer.
func (d *Device) Timer() bool { return d.Type.Delays }

// flashSeconds is how long on and off together may take for people to say that it flashes.
// Common practice, no source.
const flashSeconds = 6

// Flashes reports whether the device is a timer that is on and off by turns so quickly that
// nobody waits for either.
func (d *Device) Flashes() bool {
	return d.Type.Times == Repeats && d.Seconds+d.OffSeconds <= flashSeconds
}

// Fed tells whether it is an operator that has to be fed, as a sensor of three wires.
func (d *Device) Fed() bool { return d.Type.Kind == OperatorKind && d.Type.Loads != nil }

// Coils gives the terminals of each coil, of a load, of a part in the way of the current or of what
// feeds a sensor: none for what is none of these.
func (d *Device) Coils() [][2]string {
	switch d.Type.Kind {
	case RelayKind, LoadKind, PassiveKind:
		return append([][2]string{d.Ends}, d.More...)
	case OperatorKind:
		if d.Fed() {
			return [][2]string{d.Ends}
		}
	case SourceKind, GroundKind, LinkKind, ConnectorKind, BlockKind:
	}
	return nil
}

// CoilName gives the name of one of several coils: "set"; empty where there is one alone.
func (d *Device) CoilName(coil int) string {
	switch {
	case d.Type.Phases:
		ends := d.Coils()[coil]
		return ends[0] + "-" + ends[1]
	case d.Type.Coils == nil:
		return ""
	}
	return d.Type.Coils[coil].Name
}

// Sources gives the terminals of each source of a device, the hot one first. Of three phases
// they are the lines to the neutral where that is in use, else from line to line.
func (d *Device) Sources(neutral bool) [][2]string {
	switch {
	case d.Type.Kind != SourceKind:
		return nil
	case !d.Type.Phases:
		ends := [][2]string{d.Ends}
		for _, s := range d.Secondaries {
			ends = append(ends, s.Ends)
		}
		return ends
	case neutral:
		n := d.Neutral()
		return [][2]string{{d.Terminals[0], n}, {d.Terminals[1], n}, {d.Terminals[2], n}}
	}
	return append([][2]string{d.Ends}, d.More...)
}

// SourceVolts are the rated volts of one of the sources of a device.
func (d *Device) SourceVolts(source int) float64 {
	if source > 0 && source <= len(d.Secondaries) {
		return d.Secondaries[source-1].Volts
	}
	return d.Volts
}

// Neutral names the terminal of the neutral of a supply of three phases; empty where it has none.
func (d *Device) Neutral() string {
	const lines = 3
	if d.Type.Kind == SourceKind && d.Type.Phases && len(d.Terminals) > lines {
		return d.Terminals[lines]
	}
	return ""
}

// Links gives the terminals of the poles of a protective device, or of the heaters of an
// overload relay.
func (d *Device) Links() [][2]string {
	if d.Type.Kind == LinkKind && len(d.Poles) == 0 {
		return [][2]string{d.Ends}
	}
	return d.Poles
}

// Load gives the row of what its coil, or it itself, is to the circuit.
func (d *Device) Load() Load {
	for _, l := range d.Type.Loads {
		if l.Kind == d.LoadKind || d.LoadKind == "" {
			return l
		}
	}
	return Load{}
}

// ClosedAtRest tells whether a contact (an index into Contacts) is closed with nobody at the
// device and no power.
func (d *Device) ClosedAtRest(contact int) bool { return d.Contacts[contact].Closed[d.Rest] }
