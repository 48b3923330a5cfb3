package circuits

import (
	"slices"
	"strconv"
	"strings"
)

// What people see of devices. The fractions are common practice, no source.
var (
	lit      = Look{Question: "is it lit?", On: "lit", Off: "dark", From: 0.20, Dark: 0.10, Sure: 0.50}
	flashing = Look{Question: "is it flashing?", On: "flashing", Off: "dark", From: 0.50, Dark: 0.10, Sure: 0.85}
	sounding = Look{Question: "does it sound?", On: "sounding", Off: "silent", From: 0.50, Dark: 0.10, Sure: 0.85, Heard: true}
	running  = Look{Question: "does it run?", On: "running", Off: "still", From: 0.50, Dark: 0.10, Sure: 0.85}
	turning  = Look{Follows: TheTorque, Question: "does it run?", On: "running", Off: "not running", From: 0.65, Dark: 0.35, Sure: 0.85}
	humming  = Look{At: "hum", Follows: TheHum, Question: "does it hum without turning, in the few seconds that it may?", On: "humming", Off: "quiet",
		From: 0.30, Dark: 0.10, Sure: 0.45}
	fast = Look{At: "high-speed", Follows: TheFast, Question: "does it run at its high speed?", On: "at high speed", Off: "not at high speed",
		From: 0.65, Dark: 0.35, Sure: 0.85}
	deflects = Look{Question: "does its pointer stand off zero?", On: "off zero", Off: "at zero", From: 0.05, Dark: 0.02, Sure: 0.10}
	powered  = Look{Question: "is its power light lit?", On: "lit", Off: "dark", From: 0.42, Dark: 0.10, Sure: 0.60}
	watching = Look{Question: "does its light blink or burn?", On: "blinking or lit", Off: "dark", From: 0.20, Dark: 0.05, Sure: 0.25}
	hot      = Look{Question: "is it hot?", On: "hot", Off: "cold", From: 0.50, Dark: 0.10, Sure: 0.85}
	isSet    = Look{Question: "is it set?", On: "set", Off: "reset"}
	over     = Look{Question: "has it changed over?", On: "changed over", Off: "not changed over"}
	pulledIn = Look{Question: "is it pulled in?", On: "pulled in", Off: "released"}
	output   = Look{Question: "is its output pulled in?", On: "pulled in", Off: "released"}
	inputLit = Look{Question: "is the light of its input lit?", On: "lit", Off: "dark"}
	pointLit = Look{Question: "is its indicator lit?", On: "lit", Off: "dark", From: 0.40, Dark: 0.21, Sure: 0.63}
	// What its lights and its display say.
	switchedOn = Look{Question: "do its lights say that it is on?", On: "on", Off: "off"}
	drivesOn   = Look{Question: "does it run, by its display?", On: "running", Off: "stopped"}
	hasTripped = Look{At: "fault", Follows: TheTrip, Question: "does its display show a fault?", On: "fault shown", Off: "no fault shown"}
	inAlarm    = Look{Question: "does its alarm light burn?", On: "in alarm", Off: "quiet"}
	inTrouble  = Look{At: "trouble", Follows: TheTrip, Question: "does its trouble light burn?", On: "lit", Off: "dark"}
	itsCoil    = Look{At: "coil", Follows: TheCoil, Question: "has its coil pulled in?", On: "pulled in", Off: "released"}
)

// ofChannel is the light of a channel.
func ofChannel(n int) Look {
	name := "channel-" + strconv.Itoa(n)
	return Look{At: name, Follows: TheInput, Coil: n, Question: "is its light of " + name + " lit?", On: "lit", Off: "dark"}
}

// How operators are put into a position.
var (
	pressed    = Hands{Away: "press {name} and hold it", Back: "let go of {name}"}
	turned     = Hands{Away: "turn {name} to {position}", Back: "turn {name} to {position}"}
	put        = Hands{Away: "{device} to {position}{note}", Back: "{device} to {position}{note}"}
	programmed = Hands{Away: "have the program switch {name} {position}", Back: "have the program switch {name} {position}"}
	smoked     = Hands{Away: "blow test smoke into {name}, as its maker says", Back: "let {name} clear"}
	tripped    = Hands{Away: "trip {name} with its test button", Back: "reset {name}"}
)

// Minutes to bring a machine or the process to where it moves a device, the way there and the
// check not counted. Common practice, no source, all of them.
const (
	bySight = 0.5 // move the guard, the slide or the box by hand, or hold a target before it
	knocked = 0.5 // knock, or push the test lever
	filled  = 2.0 // lift the float, or let the tank run
	pumped  = 2.0 // open or shut a valve and wait for the gauge
	flowing = 2.0 // start the pump or fan, or shut it off, and wait
	smoking = 2.0 // blow test smoke in, or fan it out, and wait
	spun    = 2.0 // bring the machine up to speed, or let it run down
	heated  = 5.0 // warm the bulb, or turn the dial, and wait
)

// Jams is what there is to say of a device whose contacts stay in one position: the one at
// rest, or another. A timer has no such fault of its own; see its delays.
type Jams struct{ AtRest, Away Said }

// What goes wrong with contacts and mechanisms that several types share.
var (
	ofARelay = Faults{ContactOpen: "relay-no-open", NCContactOpen: "relay-nc-open", ContactClosed: "relay-welded",
		Stuck: stuckAs("armature-stuck", "the armature of {name} is stuck {position}")}
	ofAKeeper = Faults{ContactOpen: "relay-no-open", NCContactOpen: "relay-nc-open", ContactClosed: "relay-welded",
		Stuck: stuckAs("armature-stuck", "the armature of {name} does not move from {position}")}
	ofATimer = Faults{ContactOpen: "relay-no-open", NCContactOpen: "relay-nc-open", ContactClosed: "relay-welded",
		Never:  Said{"timer-never", "timer {name} never times out"},
		AtOnce: Said{"timer-at-once", "timer {name} times out at once"}}
	ofAFlasher = Faults{ContactOpen: "relay-no-open", NCContactOpen: "relay-nc-open", ContactClosed: "relay-welded",
		Never:  Said{"flasher-stays-on", "{name} stays on and does not change over by turns"},
		AtOnce: Said{"flasher-stays-off", "{name} stays off and does not change over by turns"}}
	ofAPulse = Faults{ContactOpen: "relay-no-open", NCContactOpen: "relay-nc-open", ContactClosed: "relay-welded",
		Never:  Said{"timer-never", "timer {name} does not end: its output stays"},
		AtOnce: Said{"timer-at-once", "timer {name} does not start: its output does not come"}}
	ofButton = Faults{ContactOpen: "button-open", NCContactOpen: "button-open", ContactClosed: "button-closed", Stuck: operatorStuck}
	ofSwitch = Faults{ContactOpen: "switch-open", NCContactOpen: "switch-open", ContactClosed: "switch-closed", Stuck: operatorStuck}
	ofSensor = Faults{ContactOpen: "sensor-output-open", NCContactOpen: "sensor-output-open", ContactClosed: "sensor-output-closed",
		Stuck: stuckAs("sensor-stuck", "{name} stays {position}, whatever is before it")}
	ofADetector = Faults{ContactOpen: "detector-open", NCContactOpen: "detector-open", ContactClosed: "detector-closed",
		Stuck: Jams{AtRest: Said{"detector-blind", "{name} does not go into alarm, whatever smoke is in it"},
			Away: Said{"detector-in-alarm", "{name} is in alarm with no smoke in it"}}}
	ofAZoneModule = Faults{ContactOpen: "inner-contact-open", NCContactOpen: "inner-contact-open", ContactClosed: "inner-contact-welded",
		Stuck: Jams{
			AtRest: Said{"zone-in-trouble", "{name} shows trouble and gives no alarm, whatever its line does"},
			Away:   Said{"zone-in-alarm", "{name} is in alarm, whatever its line does"}}}
	ofAnOutput = Faults{ContactOpen: "output-open", NCContactOpen: "output-open", ContactClosed: "output-closed",
		Stuck: stuckAs("output-stuck", "{name} stays {position}, whatever the program does")}
	ofASolid = Faults{ContactOpen: "solid-open", NCContactOpen: "solid-open", ContactClosed: "solid-shorted"}
	ofAGuard = Faults{ContactOpen: "inner-contact-open", NCContactOpen: "inner-contact-open", ContactClosed: "inner-contact-welded",
		Stuck: Jams{AtRest: Said{"guard-stays-off", "safety relay {name} stays off, whatever its channels are"}}}
	ofADrive = Faults{ContactOpen: "inner-contact-open", NCContactOpen: "inner-contact-open", ContactClosed: "inner-contact-welded",
		Stuck: Jams{
			AtRest: Said{"drive-tripped", "drive {name} is tripped and does not reset"},
			Away:   Said{"drive-runs", "drive {name} runs, whatever its inputs are"}}}
	ofRelief = Faults{PoleOpens: Said{"heater-in-pole-open", "heater {part} of overload relay {name} is burnt out"},
		ContactOpen: "overload-open", NCContactOpen: "overload-open", ContactClosed: "overload-closed", Stuck: Jams{
			AtRest: Said{"overload-closed", "overload relay {name} never trips"},
			Away:   Said{"overload-tripped", "overload relay {name} is tripped and does not reset"}}}
	ofAMotor = Faults{Stuck: Jams{AtRest: Said{"motor-jammed",
		"motor {name}, or what it drives, is jammed and does not turn"}}}
	ofABreaker = Faults{Opens: Said{"breaker-open", "breaker {name} is tripped or open"},
		PoleOpens: Said{"pole-open", "pole {part} of breaker {name} does not make"}}
	ofABridge = Faults{DiodeOpens: Said{"bridge-diode-open", "the diode from {part} of rectifier {name} is open"},
		DiodeShorts: Said{"bridge-diode-shorted", "the diode from {part} of rectifier {name} is shorted"},
		Dead:        Said{"bridge-dead", "rectifier {name} gives nothing, though it is fed"}}
	ofAPlunger    = Faults{Stuck: Jams{AtRest: Said{"solenoid-sticks", "solenoid {name} sticks and does not pull"}}}
	operatorStuck = stuckAs("operator-stuck", "{name} is stuck {position}: its contacts do not move")
)

func stuckAs(key FaultKey, text string) Jams { return Jams{Said{key, text}, Said{key, text}} }

// Put writes how a device is put into a position.
func (h Hands) Put(d *Device, position int) string {
	text, note := h.Away, ""
	if position == d.Rest {
		text = h.Back
	}
	if d.Note != "" {
		note = " (" + d.Note + ")"
	}
	return strings.NewReplacer("{name}", d.Name+note, "{device}", d.Name, "{position}", d.Positions[position], "{note}", note).Replace(text)
}

// Of writes a fault of a device. Part is its position, pin or bridge.
func (s Said) Of(d *Device, part string) string {
	return strings.NewReplacer("{name}", d.Name, "{position}", part, "{part}", part).Replace(s.Text)
}

// Sources of the letters of designations.
const (
	jic  = "JIC abbreviations, NMTBA specification EGP1-1967"
	nema = "NEMA ICS 1 and ICS 19, device designations; from memory"
	ieee = "IEEE 315, class designation letters; from memory"
	iec  = "IEC 81346-2 and IEC 60750 before it, letter codes; from memory"
)

// by gives the letters of a source; a stroke and a number behind them is their rank among
// the types that share them, as in "R/2".
func by(source string, letters ...string) []Letter {
	var out []Letter
	for _, l := range letters {
		name, rank, ranked := strings.Cut(l, "/")
		n := 1
		if ranked {
			n, _ = strconv.Atoi(rank)
		}
		out = append(out, Letter{Letters: name, Rank: n, Source: source})
	}
	return out
}

func letters(lists ...[]Letter) []Letter { return slices.Concat(lists...) }
