package talk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/network"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// Speaker puts checks, readings and verdicts into words for a technician at the panel.
// The rules of its voice: the instruction first, its reason after it; one thing a
// line; the words of the trade; every number with its unit; no sentence that needs a
// second reading.
type Speaker struct {
	Model   *diagnose.Model
	Circuit *circuits.Circuit
	Texts   map[faultmodel.ID]string
}

// NewSpeaker makes the speaker of a circuit.
func NewSpeaker(m *diagnose.Model) *Speaker {
	s := &Speaker{Model: m, Circuit: m.Panel().Circuit, Texts: make(map[faultmodel.ID]string)}
	for _, f := range m.Faults() {
		s.Texts[f.ID] = f.Text
	}
	return s
}

// Point is a line of an instruction or a verdict.
type Point struct {
	Label string // in the margin
	Mark  string // of an item of a list: "3. ", "- "
	Text  string
}

// Line is a point without its label.
func (p Point) Line() string { return p.Mark + p.Text }

// Instruction tells how to make a check from where the circuit stands, and what a good
// circuit shows.
func (s *Speaker) Instruction(c log.Check, from guide.Standing) []Point {
	var points []Point
	points = append(points, s.condition(c, from)...)
	points[0].Label = "Circuit"
	switch c.Kind() {
	case log.Look:
		points = append(points, s.senses(c))
	case log.Volts:
		points = append(points,
			Point{Label: "Meter", Text: s.Current() + " volts" + lowImpedance(c)},
			Point{Label: "Red lead", Text: s.Lead(c.Volts[0])},
			Point{Label: "Black lead", Text: s.Lead(c.Volts[1])})
	case log.Ohms:
		points = append(points, ohmsPoints(c)...)
		points = append(points,
			Point{Label: "Red lead", Text: s.Lead(c.Ohms[0])},
			Point{Label: "Black lead", Text: s.Lead(c.Ohms[1])})
	case log.Diode:
		points = append(points, ohmsPoints(c)...)
		points = append(points,
			Point{Label: "Red lead", Text: s.Lead(c.Diode[0])},
			Point{Label: "Black lead", Text: s.Lead(c.Diode[1])})
	}
	return append(points, Point{Label: "If good", Text: s.expected(c)})
}

// senses asks what a look asks: what tells itself all over the site is listened to from where the
// person stands.
func (s *Speaker) senses(c log.Check) Point {
	look := s.LookOf(c)
	if look.Heard {
		return Point{Label: "Listen to", Text: fmt.Sprintf("%s, from where you stand: %s", s.LookedAt(c), look.Question)}
	}
	return Point{Label: "Look at",
		Text: fmt.Sprintf("%s, %s: %s", s.LookedAt(c), s.Circuit.Device(c.Look).Whereabouts(), look.Question)}
}

// ohmsPoints tell what comes before the leads of an ohms check go on.
func ohmsPoints(c log.Check) []Point {
	meter := Point{Label: "Meter", Text: "ohms; read the number, not the beep"}
	if c.Kind() == log.Diode {
		meter.Text = "diode test; the red lead drives, so mind which lead goes where"
	}
	if len(c.Lifted) == 0 {
		return []Point{meter}
	}
	return []Point{{Label: "Lift", Text: fmt.Sprintf("every wire off %s; the lead goes on the terminal, not on the wires",
		Joined(c.Lifted, " and "))}, meter}
}

// lowImpedance names the mode of the meter where it matters.
func lowImpedance(c log.Check) string {
	if c.LowImpedance {
		return ", low-impedance mode"
	}
	return ""
}

// Title heads a check. Again is set where it was made already, further on a proof after
// one that has borne the verdict out.
func (s *Speaker) Title(p *diagnose.Proposal, number int, again, further bool) string {
	what := s.Brief(p.Check)
	switch p.Check.Kind() {
	case log.Volts:
		what += ", live"
	case log.Ohms, log.Diode:
		what += ", power locked off"
	}
	switch {
	case p.Proof && further:
		return fmt.Sprintf("ONE MORE PROOF before anything is replaced, check %d: %s", number, what)
	case p.Proof:
		return fmt.Sprintf("PROOF before anything is replaced, check %d: %s", number, what)
	case again:
		return fmt.Sprintf("CHECK %d, MADE AGAIN: %s", number, what)
	}
	return fmt.Sprintf("CHECK %d: %s", number, what)
}

// Current is the kind of volts that the meter is set to.
func (s *Speaker) Current() string {
	ac, dc := false, false
	for _, d := range s.Circuit.Devices {
		if d.Type.Kind == circuits.SourceKind {
			dc = dc || d.DC
			ac = ac || !d.DC
		}
	}
	switch {
	case ac && dc:
		return "ac or dc"
	case dc:
		return "dc"
	}
	return "ac"
}

// Lead tells where a lead goes: "CR1:22, relay in the panel, wire 7".
func (s *Speaker) Lead(t circuits.Terminal) string {
	p := s.Model.Panel()
	name, at := t.Split()
	d := s.Circuit.Device(name)
	what := strings.Join(strings.Fields(d.Type.Called()+" "+coilsAt(d, at)), " ")
	text := fmt.Sprintf("%s, %s %s", t, what, d.Whereabouts())
	n := p.Number(p.Node(t))
	if n < 0 {
		return text + ", no wire on it"
	}
	text += ", wire " + s.Circuit.Numbers[n].Name
	if side := s.side(n); side != "" {
		text += " (" + side + ")"
	}
	return text
}

// coilsAt names the coils or inputs of a device that a terminal belongs to: "set coil", "start, trip
// and reset inputs".
func coilsAt(d *circuits.Device, terminal string) string {
	if d.Type.Kind != circuits.RelayKind {
		return ""
	}
	var names []string
	for i, ends := range d.Coils() {
		if slices.Contains(ends[:], terminal) {
			names = append(names, d.CoilName(i))
		}
	}
	word := "coil"
	if d.Type.Electronic || d.Type.Inputs() && len(d.Coils()) > 1 {
		word = "input"
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0] + " " + word
	}
	return Joined(names, " and ") + " " + word + "s"
}

// side tells whether a wire number is the grounded side, or a return without a bond.
func (s *Speaker) side(number int) string {
	p := s.Model.Panel()
	for i := 1; i <= p.Net.Sources(); i++ {
		if p.Number(p.Net.Source(network.Source(i)).Return) != number {
			continue
		}
		for _, w := range s.Circuit.Numbers[number].Wires {
			for _, t := range []circuits.Terminal{w.From, w.To} {
				name, _ := t.Split()
				if s.Circuit.Device(name).Type.Kind == circuits.GroundKind {
					return "grounded side"
				}
			}
		}
		return "return side"
	}
	return ""
}

// Called names a device with what it is and its note: "horn B1 (mute)".
func Called(d *circuits.Device) string {
	return d.Type.Called() + " " + noted(d)
}

// LookOf is the look of a check.
func (s *Speaker) LookOf(c log.Check) circuits.Look { return LookOf(s.Circuit, c) }

// LookOf is the look of a check of a circuit.
func LookOf(circuit *circuits.Circuit, c log.Check) circuits.Look {
	t := circuit.Device(c.Look).Type
	return t.Looks[t.LookAt(c.Part)]
}

// LookedAt names what a look is at: "horn B1 (mute)", "the coil of alternating relay ALT1".
func (s *Speaker) LookedAt(c log.Check) string {
	d := s.Circuit.Device(c.Look)
	if c.Part != "" {
		return fmt.Sprintf("the %s of %s", c.Part, Called(d))
	}
	return Called(d)
}

// Showing says of a device by its first look that it is on or off: "lit", "silent", "pulled in".
func Showing(d *circuits.Device, on bool) string { return d.Type.Looks[0].Says(on) }

// expected tells what the good circuit shows.
func (s *Speaker) expected(c log.Check) string {
	r, err := s.Model.Usual(c)
	switch {
	case err != nil:
		return "unknown"
	case !r.Firm:
		return "nothing to rely on: even a good circuit leaves this reading open"
	case r.Kind == log.Ohms && !r.Known && r.Value >= 1 && !math.IsInf(r.Value, 1):
		return "above 1 ohm; the circuit file does not give how much"
	}
	return s.Shows(c, r)
}

// Shows writes a foretold reading.
func (s *Speaker) Shows(c log.Check, r log.Reading) string {
	switch {
	case r.Kind == log.Look && r.Seems != "":
		return string(r.Seems)
	case r.Kind == log.Look:
		return fmt.Sprintf("%s (%s)", work.OnOff(r.On), s.LookOf(c).Says(r.On))
	case math.IsInf(r.Value, 1):
		return "OL (open)"
	case r.Kind == log.Ohms && r.Value < 1:
		return "0 ohm (below 1 ohm with the leads)"
	case r.Kind == log.Volts && r.Value < 0.05:
		return "0 V"
	case r.Kind == log.Diode && r.Value == 0:
		return fmt.Sprintf("0 V (below %g V: shorted or closed)", diagnose.ShortMost)
	case r.Kind == log.Diode && r.Known:
		return fmt.Sprintf("%g to %g V (a good diode, forward)", diagnose.DiodeLow, diagnose.DiodeHigh)
	}
	return "about " + Amount(r.Value, r.Kind)
}

// Outcome writes an answer that a check can give.
func (s *Speaker) Outcome(c log.Check, a diagnose.Answered) string {
	switch {
	case a.Saw != "":
		return a.Saw
	case a.Read != "" && a.Low != nil:
		return Amount(*a.Low, c.Kind()) + " or more, or OL"
	case a.Read != "":
		return a.Read
	case *a.Low <= 0:
		return "below " + Amount(*a.High, c.Kind())
	}
	return QuantityOf(*a.Low, c.Kind()).To(QuantityOf(*a.High, c.Kind()))
}

// Brief tells a check in one line, without its condition.
func (s *Speaker) Brief(c log.Check) string {
	switch c.Kind() {
	case log.Look:
		return "look at " + s.LookedAt(c)
	case log.Volts:
		return fmt.Sprintf("volts %s to %s", c.Volts[0], c.Volts[1]) + lowImpedance(c)
	}
	text := fmt.Sprintf("ohms %s to %s", c.Leads()[0], c.Leads()[1])
	if c.Kind() == log.Diode {
		text = fmt.Sprintf("diode test, red on %s, black on %s", c.Diode[0], c.Diode[1])
	}
	if len(c.Lifted) > 0 {
		text += ", wires lifted off " + Joined(c.Lifted, " and ")
	}
	return text
}

// Condensed tells a check in one line with its condition.
func (s *Speaker) Condensed(c log.Check) string {
	step := c.Step
	if step == "" {
		step = s.Circuit.Steps[0].Name
	}
	if c.Kind().Off() {
		return fmt.Sprintf("%s, power locked off, held as in \"%s\"", s.Brief(c), step)
	}
	return fmt.Sprintf("%s in \"%s\"", s.Brief(c), step)
}

// Found writes what was found by eye.
func Found(s log.Seen) string { return fmt.Sprintf("seen at %s: %s", s.Where, s.Text) }

// Answer writes what was seen or read.
func (s *Speaker) Answer(c log.Check, r *log.Reading) string {
	switch {
	case r == nil:
		return "cannot be made here"
	case r.Unsure:
		sure := *r
		sure.Unsure = false
		return s.Answer(c, &sure) + ", not sure"
	case r.Kind == log.Look && r.Seems == log.Unknown:
		return "nobody could tell"
	case r.Kind == log.Look && r.Seems != "":
		return string(r.Seems)
	case r.Kind == log.Look:
		return fmt.Sprintf("%s (%s)", work.OnOff(r.On), s.LookOf(c).Says(r.On))
	case math.IsInf(r.Value, 1):
		return "OL"
	case r.Kind.Off():
		return Amount(r.Value, r.Kind)
	}
	return fmt.Sprintf("%.1f V", r.Value)
}

// Stray tells whether a reading may be that of a conductor that floats.
func (s *Speaker) Stray(p *diagnose.Proposal, r log.Reading) bool { return s.Model.MayFloat(p, r) }

// Chance writes a probability.
func Chance(p float64) string {
	if p < 0.01 {
		return "below 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// Span writes a time in minutes.
func Span(minutes float64) string {
	if minutes < 0.95 {
		return fmt.Sprintf("%.0f s", math.Max(5, math.Round(minutes*12)*5))
	}
	return fmt.Sprintf("%.0f min", minutes)
}

// Joined lists terminals, names or other words.
func Joined[S ~string](words []S, last string) string {
	names := make([]string, len(words))
	for i, w := range words {
		names[i] = string(w)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + last + names[len(names)-1]
}

// Count writes a number with its noun.
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// YesNo says whether something is so.
func YesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// Short writes a number with no more than two places.
func Short(x float64) string { return fmt.Sprintf("%g", Hundredths(x)) }

// Hundredths rounds to two places.
func Hundredths(x float64) float64 { return math.Round(x*100) / 100 }
