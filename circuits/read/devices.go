package read

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"deadrung/circuits"

	"gopkg.in/yaml.v3"
)

// drawn is a device while its file is read.
type drawn struct {
	*circuits.Device
	at     *yaml.Node
	given  map[string]*entry
	taken  map[string]*yaml.Node // terminals, with the place that named them
	shared map[string]bool       // terminals that several contacts may have
	pairs  map[[2]string]bool    // contacts in named positions and bridges, each way round
	has    map[string]bool       // terminals, once all are read
	// Set where some terminals or positions could not be read: then nothing is said of
	// those that the device seems not to have.
	vagueTerminals, vaguePositions bool
	throughAt                      *yaml.Node // where through first names it
}

// readDevices reads the devices. e may be nil.
func (r *reader) readDevices(e *entry) {
	if e == nil {
		r.vagueDevices = true
		return
	}
	entries, ok := r.entries(e.value, "devices",
		"designation: {type: TYPE, …}, as in F1: {type: fuse, amps: 1}")
	r.vagueDevices = !ok
	if ok && len(entries) == 0 {
		r.wrong(e.at, "designation: {type: TYPE, …}, as in F1: {type: fuse, amps: 1}", "devices is empty")
		r.vagueDevices = true
		return
	}
	source := false
	for _, e := range entries {
		d := r.readDevice(e)
		r.drawn[e.key] = d
		r.names = append(r.names, e.key)
		if d.Type == nil {
			source = true // it may have been one
			continue
		}
		source = source || d.Type.Kind == circuits.SourceKind
		r.circuit.Devices = append(r.circuit.Devices, d.Device)
	}
	for _, name := range r.names {
		r.interlock(r.drawn[name])
	}
	if ok && !source && len(entries) > 0 {
		r.wrong(e.at, "a device of type supply or control-transformer", "the circuit has no source")
	}
}

// doubt notes that a key could not be read whole.
func (d *drawn) doubt(key string) {
	switch key {
	case "terminals", "secondaries", "poles", "primary", "coil", "reset-coil", "trigger",
		"supply", "channel-1", "channel-2", "start", "trip", "line", "reset", "pins", "contacts":
		d.vagueTerminals = true
	case "positions":
		d.vaguePositions = true
	}
}

// keyOrder is the order in which the keys of a device are read: what later ones need
// to know comes first.
var keyOrder = []struct {
	key  string
	read func(*reader, *drawn, *entry)
}{
	{"place", (*reader).readPlace},
	{"at", (*reader).readAt},
	{"part", func(r *reader, d *drawn, e *entry) { d.Part, _ = r.line(e) }},
	{"note", func(r *reader, d *drawn, e *entry) { d.Note, _ = r.text(e) }},
	{"odds", func(r *reader, d *drawn, e *entry) { r.keep(&d.Odds, e) }},
	{"volts", func(r *reader, d *drawn, e *entry) { r.keep(&d.Volts, e) }},
	{"primary-volts", func(r *reader, d *drawn, e *entry) { r.keep(&d.PrimaryVolts, e) }},
	{"primary-amps", func(r *reader, d *drawn, e *entry) { r.keep(&d.PrimaryAmps, e) }},
	{"amps", func(r *reader, d *drawn, e *entry) { r.keep(&d.Amps, e) }},
	{"ohms", func(r *reader, d *drawn, e *entry) { r.keep(&d.Ohms, e) }},
	{"va", func(r *reader, d *drawn, e *entry) { r.keep(&d.VA, e) }},
	{"minutes", func(r *reader, d *drawn, e *entry) { r.keep(&d.Makes, e) }},
	{"action", func(r *reader, d *drawn, e *entry) {
		action, ok := r.oneOf(e, "momentary", "maintained")
		if ok {
			d.Momentary = action == "momentary"
		}
	}},
	{"at-will", func(r *reader, d *drawn, e *entry) {
		yes, ok := r.yes(e)
		d.NotAtWill = ok && !yes
	}},
	{"seconds", func(r *reader, d *drawn, e *entry) { r.keep(&d.Seconds, e) }},
	{"off-seconds", func(r *reader, d *drawn, e *entry) { r.keep(&d.OffSeconds, e) }},
	{"current", (*reader).readCurrent},
	{"hertz", (*reader).readHertz},
	{"phase", (*reader).readPhase},
	{"kind", func(r *reader, d *drawn, e *entry) {
		if kind, ok := r.oneOf(e, d.Type.LoadKinds()...); ok {
			d.LoadKind = kind
		}
	}},
	{"delay", func(r *reader, d *drawn, e *entry) {
		delay, ok := r.oneOf(e, "on", "off")
		d.OffDelay = ok && delay == "off"
	}},
	{"microfarads", func(r *reader, d *drawn, e *entry) { r.keep(&d.Microfarads, e) }},
	{"leakage", func(r *reader, d *drawn, e *entry) { r.keep(&d.Leakage, e) }},
	{"pull-in", func(r *reader, d *drawn, e *entry) { r.keepPercent(&d.PullIn, e) }},
	{"drop-out", func(r *reader, d *drawn, e *entry) { r.keepPercent(&d.DropOut, e) }},
	{"connection", (*reader).readConnection},
	{"positions", (*reader).readPositions},
	{"rest", (*reader).readRest},
	{"terminals", (*reader).readTerminals},
	{"secondaries", (*reader).readSecondaries},
	{"poles", (*reader).readPoles},
	{"primary", func(r *reader, d *drawn, e *entry) { r.readPair(d, e, &d.Primary) }},
	{"supply", func(r *reader, d *drawn, e *entry) { r.readInput(d, e, &d.Ends) }},
	{"channel-1", (*reader).readFurtherCoil},
	{"channel-2", (*reader).readFurtherCoil},
	{"start", (*reader).readFurtherCoil},
	{"trip", (*reader).readFurtherCoil},
	{"line", (*reader).readFurtherCoil},
	{"reset", (*reader).readFurtherCoil},
	{"coil", func(r *reader, d *drawn, e *entry) { r.readPair(d, e, &d.Ends) }},
	{"reset-coil", (*reader).readFurtherCoil},
	{"trigger", (*reader).readTrigger},
	{"interlock", func(*reader, *drawn, *entry) {}}, // once all devices are known
	{"pins", (*reader).readPins},
	{"bridges", (*reader).readBridges},
	{"contacts", (*reader).readContacts},
}

// interlock joins a contactor with the one that its file names.
func (r *reader) interlock(d *drawn) {
	e := d.given["interlock"]
	if e == nil || d.Type == nil {
		return
	}
	name, ok := r.text(e)
	if !ok {
		return
	}
	other := r.drawn[name]
	switch {
	case other == nil || other.Type == nil:
		r.wrong(e.value, r.meantDevice(name), "there is no device %s", circuits.Quote(name))
	case other == d || !slices.Contains(other.Type.Keys, "interlock"):
		r.wrong(e.value, "another contactor", "%s cannot be interlocked with %s", d.Name, name)
	case d.Interlock != nil && d.Interlock != other.Device, other.Interlock != nil && other.Interlock != d.Device:
		r.wrong(e.value, "one other contactor", "%s or %s is interlocked with another one", d.Name, name)
	default:
		d.Interlock, other.Interlock = other.Device, d.Device
	}
}

// readDevice reads one device and fills in the defaults of its type. A device whose
// type is not known has a nil Type.
func (r *reader) readDevice(e *entry) *drawn {
	d := &drawn{
		Device: &circuits.Device{Name: e.key, Place: usualPlace, Odds: 1, At: posOf(e.at)},
		at:     e.at,
		taken:  make(map[string]*yaml.Node),
		shared: make(map[string]bool),
		pairs:  make(map[[2]string]bool),
		has:    make(map[string]bool),
	}
	r.fits(e.key, deviceNames, e.at)
	entries, ok := r.entries(e.value, e.key, "{type: TYPE, …}, as in F1: {type: fuse, amps: 1}")
	if !ok {
		return d
	}
	d.Type = r.readType(d, entries)
	d.given = r.deviceKeys(d, entries)
	if t := d.Type; t != nil {
		for _, key := range t.Needs {
			if d.given[key] == nil {
				d.doubt(key)
				if !misspelt(key, entries, d.keys()) {
					r.wrong(d.at, "", "%s is %s and needs %s", d.Name, t.Article(), key)
				}
			}
		}
		d.defaults()
	}
	for _, k := range keyOrder {
		e := d.given[k.key]
		if e == nil {
			continue
		}
		before := r.mistakes
		k.read(r, d, e)
		if r.mistakes > before && k.key != "contacts" { // of which some may be right
			d.doubt(k.key)
		}
	}
	r.checkCoil(d)
	d.timing()
	d.order()
	return d
}

// readType finds the row of the table for a device, or complains and gives nil.
func (r *reader) readType(d *drawn, entries []*entry) *circuits.Type {
	i := slices.IndexFunc(entries, func(e *entry) bool { return e.key == "type" })
	if i < 0 {
		if !misspelt("type", entries, circuits.EveryKeys) {
			r.wrong(d.at, "type: and what it is, as in type: relay", "%s has no type", d.Name)
		}
		return nil
	}
	name, ok := r.text(entries[i])
	if !ok {
		return nil
	}
	if t := circuits.TypeNamed(name); t != nil {
		return t
	}
	r.wrong(entries[i].value, r.meantType(name), "unknown device type %s", circuits.Quote(name))
	return nil
}

// meantType gives the type that was probably meant: by another name of the trade, or
// misspelt. Else it gives all of them.
func (r *reader) meantType(name string) string {
	var names []string
	for _, t := range circuits.Types {
		names = append(names, t.Name)
		for _, also := range t.Also {
			if circuits.SameWord(also, name) {
				return t.Name
			}
		}
	}
	return r.near(name, names)
}

// deviceKeys sorts the keys of a device and complains of those its type does not have.
func (r *reader) deviceKeys(d *drawn, entries []*entry) map[string]*entry {
	given := make(map[string]*entry, len(entries))
	for _, e := range entries {
		switch owners := ownersOf(e.key); {
		case e.key == "type":
		case slices.Contains(circuits.EveryKeys, e.key), d.Type != nil && slices.Contains(d.Type.Keys, e.key):
			given[e.key] = e
		case d.Type == nil && len(owners) > 0:
			// Whether it belongs here is not known.
		case d.Type == nil:
			r.wrong(e.at, r.meant(e.key, allKeys()), "unknown key %s in %s%s", circuits.Quote(e.key),
				d.Name, strayKey(e, entries))
		case len(owners) > 0:
			r.wrong(e.at, "", "%s belongs to %s; %s is %s", e.key, circuits.Listed(owners), d.Name,
				d.Type.Article())
			d.doubt(e.key)
		default:
			own := d.keys()
			r.wrong(e.at, r.near(e.key, own), "unknown key %s in %s, %s%s", circuits.Quote(e.key),
				d.Name, d.Type.Article(), strayKey(e, entries))
			d.doubt(circuits.Nearest(e.key, own))
		}
	}
	return given
}

// keys gives all keys that a device of this type may have.
func (d *drawn) keys() []string { return slices.Concat(circuits.EveryKeys, d.Type.Keys) }

// ownersOf gives the names of the types that have a key of their own by that name.
func ownersOf(key string) []string {
	var owners []string
	for _, t := range circuits.Types {
		if slices.Contains(t.Keys, key) {
			owners = append(owners, t.Name)
		}
	}
	return owners
}

func allKeys() []string {
	keys := slices.Clone(circuits.EveryKeys)
	for _, t := range circuits.Types {
		keys = append(keys, t.Keys...)
	}
	return keys
}

func (r *reader) keep(to *float64, e *entry) {
	if v, ok := r.positive(e); ok {
		*to = v
	}
}

// keepPercent reads a percentage of rated volts as a fraction.
func (r *reader) keepPercent(to *float64, e *entry) {
	v, ok := r.positive(e)
	if ok && v > 100 {
		r.wrong(e.value, "percent of rated volts, at most 100", "%s is %s", e.key, e.value.Value)
		ok = false
	}
	if ok {
		*to = v / 100
	}
}

// checkCoil compares the volts at which a coil pulls in with those at which it drops
// out.
func (r *reader) checkCoil(d *drawn) {
	e := d.given["drop-out"]
	if e == nil || d.DropOut == 0 || d.given["pull-in"] != nil && d.PullIn == 0 {
		return
	}
	pullIn := d.PullIn
	if pullIn == 0 {
		pullIn, _ = d.Load().Pulls()
	}
	if d.DropOut >= pullIn {
		r.wrong(e.value, fmt.Sprintf("less than the %g of pull-in", pullIn*100), "drop-out is %s",
			e.value.Value)
	}
}

func (r *reader) readPlace(d *drawn, e *entry) {
	place, ok := r.text(e)
	if !ok {
		return
	}
	d.Place = place
	if _, known := r.circuit.Places[place]; known || r.vaguePlaces {
		return
	}
	known := r.placesKnown()
	right := r.meant(place, known)
	if right == "" {
		right = circuits.Listed(known) + ", or its minutes under places"
	}
	r.wrong(e.value, right, "unknown place %s", circuits.Quote(place))
}

// placesKnown gives the places that a device can have, in order.
func (r *reader) placesKnown() []string { return slices.Sorted(maps.Keys(r.circuit.Places)) }

func (r *reader) readCurrent(d *drawn, e *entry) {
	if current, ok := r.oneOf(e, "ac", "dc"); ok && current == "dc" {
		d.DC, d.Hertz = true, 0
		if d.given["terminals"] == nil {
			d.Ends = [2]string{"+", "-"}
		}
	}
}

// unknownPhase says that nobody knows the phase of a source, as a file without the key does.
const unknownPhase = "unknown"

func (r *reader) readPhase(d *drawn, e *entry) {
	if d.DC {
		r.wrong(e.at, "no phase, or current: ac", "%s is a dc supply and has no phase", d.Name)
		return
	}
	if n := e.value; n.Kind == yaml.ScalarNode && !isNull(n) && strings.IndexFunc(n.Value, unicode.IsLetter) == 0 {
		if n.Value != unknownPhase {
			r.wrong(n, "a number of degrees, or "+unknownPhase, "%s is %s", e.key, circuits.Quote(n.Value))
		}
		return
	}
	if v, ok := r.number(e); ok {
		d.Phase = &v
	}
}

func (r *reader) readHertz(d *drawn, e *entry) {
	if d.DC {
		r.wrong(e.at, "no hertz, or current: ac", "%s is a dc supply and has no hertz", d.Name)
		return
	}
	r.keep(&d.Hertz, e)
}

// A switch with more positions than this is not sold; common practice, no source.
const mostPositions = 64

// readPositions reads the positions of a selector switch.
func (r *reader) readPositions(d *drawn, e *entry) {
	items, ok := r.items(e.value, "positions", "[hand, off, auto]")
	if !ok {
		return
	}
	if len(items) < 2 || len(items) > mostPositions {
		r.wrong(e.value, fmt.Sprintf("2 to %d positions", mostPositions), "%s has %s", d.Name,
			circuits.Counted(len(items), "position"))
		return
	}
	for _, n := range items {
		position, ok := r.name(n, positionNames)
		switch {
		case !ok:
		case slices.Contains(d.Positions, position):
			r.wrong(n, "each position once", "position %s is given twice", circuits.Quote(position))
		default:
			d.Positions = append(d.Positions, position)
		}
	}
}

func (r *reader) readRest(d *drawn, e *entry) {
	if position, ok := r.text(e); ok {
		d.Rest = max(0, r.position(d, position, e.value))
	}
}

// position gives the index of a position of a device, or complains and gives -1.
func (r *reader) position(d *drawn, name string, at *yaml.Node) int {
	i := slices.Index(d.Positions, name)
	if i < 0 && !d.vaguePositions {
		right := circuits.Listed(d.Positions)
		if meant := r.meant(name, d.Positions); meant != "" && len(d.Positions) > 4 {
			right = meant
		}
		r.wrong(at, right, "%s has no position %s", d.Name, circuits.Quote(name))
	}
	return i
}
