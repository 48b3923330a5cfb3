package talk

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// What people say in words: what is wrong, what they found, and readings that are doubtful.

// ParseSight reads where something was found and what: "H1 burnt", "hot T1", "wire 7 loose at
// CR1:22".
func (s *Speaker) ParseSight(typed string) (where, what string, err error) {
	words := strings.Fields(typed)
	for len(words) > 0 && slices.Contains([]string{"seen", "found", "it"}, Fold(words[0])) {
		words = words[1:]
	}
	for i, w := range words {
		w = strings.Trim(w, ",.;")
		if s.Device(w) == nil {
			if _, err := s.terminal(w); err != nil && !(s.wire(w) && i > 0 && Fold(words[i-1]) == "wire") {
				continue
			}
		}
		what = strings.Join(slices.Concat(words[:i], words[i+1:]), " ")
		if what == "" || Fold(what) == "wire" {
			return "", "", fmt.Errorf("say as well what was seen there, as %q", w+" burnt")
		}
		if d := s.Device(w); d != nil {
			w = d.Name
		}
		return w, what, nil
	}
	return "", "", fmt.Errorf("%q names no device, terminal or wire of this circuit; type as: CR1 burnt", Shortened(typed))
}

// wire tells whether there is a wire number.
func (s *Speaker) wire(name string) bool {
	return slices.ContainsFunc(s.Circuit.Numbers, func(n circuits.Number) bool { return strings.EqualFold(n.Name, name) })
}

// Words that say of a device that it does nothing, that it does something, and that turn
// either round.
var (
	offWords  = []string{"off", "dark", "silent", "dead", "quiet", "out", "stopped", "released", "still", "nothing"}
	onWords   = []string{"on", "lit", "sounding", "sounds", "running", "runs", "lights", "works", "operated", "loud", "pulls", "starts", "start", "come"}
	stopWords = []string{"stop", "stops", "goes", "go", "drop", "drops", "release", "releases"}
	notWords  = []string{"not", "no", "never", "won't", "wont", "doesn't", "doesnt", "don't", "cannot", "can't", "isn't", "isnt", "fails"}
)

// ParseWrong reads a complaint in words: "horn silent", "lamp H1 stays dark in step 3". Where
// no step is named it is the one in which a good circuit shows otherwise. The error says what
// is missing.
func (s *Speaker) ParseWrong(typed string) (c log.Check, on bool, err error) {
	text := " " + Fold(typed) + " "
	if n := stepNumber.FindStringSubmatch(text); n != nil {
		i, _ := strconv.Atoi(n[1])
		if i < 1 || i > len(s.Circuit.Steps) {
			return c, false, fmt.Errorf("there is no step %d; the steps go from 1 to %d", i, len(s.Circuit.Steps))
		}
		c.Step, text = s.Circuit.Steps[i-1].Name, strings.Replace(text, n[0], " ", 1)
	}
	for _, st := range s.Circuit.Steps {
		if name := Fold(st.Name); strings.Contains(text, name) && len(st.Name) > len(c.Step) {
			c.Step, text = st.Name, strings.Replace(text, name, " ", 1)
		}
	}
	words := inWordsOf(text)
	d, err := s.meant(words)
	if err != nil {
		return c, false, err
	}
	c.Look = d.Name
	has := func(list []string, more ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) || slices.Contains(more, w) })
	}
	off := has(offWords, strings.Fields(Fold(d.Type.Looks[0].Off))...)
	lit := has(onWords, strings.Fields(Fold(d.Type.Looks[0].On))...)
	switch not := has(notWords); {
	case not && (off || has(stopWords)):
		on = true
	case not:
	case off:
	case lit:
		on = true
	default:
		return c, false, fmt.Errorf("say what is wrong with it, as \"%s %s\" or \"%s %s\"", d.Name, Showing(d, false),
			d.Name, Showing(d, true))
	}
	return s.wrongStep(c, on)
}

var stepNumber = regexp.MustCompile(` (?:in |at )?step (\d+) `)

// inWordsOf gives the words of a text.
func inWordsOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,.;:\"()", r) })
}

// meant finds the device that some words mean.
func (s *Speaker) meant(words []string) (*circuits.Device, error) {
	var found []*circuits.Device
	best := 0
	for _, d := range s.Model.Panel().Visible() {
		points := 0
		for _, w := range words {
			switch {
			case strings.EqualFold(w, d.Name):
				points += 10
			case slices.Contains(inWordsOf(Fold(noted(d)+" "+d.Type.Called())), w):
				points++
			}
		}
		switch {
		case points == 0 || points < best:
		case points > best:
			best, found = points, []*circuits.Device{d}
		default:
			found = append(found, d)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return nil, fmt.Errorf("that names nothing that can be seen or heard here; there are %s", called(s.Model.Panel().Visible()))
	}
	return nil, fmt.Errorf("that may be %s: say which", called(found))
}

func called(devices []*circuits.Device) string {
	var names []string
	for _, d := range devices {
		names = append(names, Called(d))
	}
	return Joined(names, " and ")
}

// InSeveral is why a complaint that names no step is not taken down: it may be meant of several.
type InSeveral struct {
	Check log.Check // without its step
	On    bool
	Steps []string
	text  string
}

func (e *InSeveral) Error() string { return e.text }

// wrongStep finds the step of a complaint that names none.
func (s *Speaker) wrongStep(c log.Check, on bool) (log.Check, bool, error) {
	d := s.Circuit.Device(c.Look)
	var steps, names []string
	for i, st := range s.Circuit.Steps {
		good, err := s.Model.Usual(log.Check{Look: c.Look, Step: st.Name})
		if err == nil && good.Firm && good.On != on && (c.Step == "" || c.Step == st.Name) {
			steps, names = append(steps, fmt.Sprintf("%d \"%s\"", i+1, st.Name)), append(names, st.Name)
		}
	}
	switch {
	case len(steps) == 0 && c.Step != "":
		return c, on, fmt.Errorf("%s at the end of \"%s\" is right: a good circuit shows the same", Called(d)+" "+Showing(d, on), c.Step)
	case len(steps) == 0:
		return c, on, fmt.Errorf("%s is right in every step: a good circuit never shows it otherwise", Called(d)+" "+Showing(d, on))
	case len(steps) > 1 && c.Step == "":
		return c, on, &InSeveral{Check: c, On: on, Steps: names, text: fmt.Sprintf("it should be %s in steps %s: "+
			"say in which it is not, as \"%s %s in step %s\"", Showing(d, !on), Joined(steps, " and "),
			d.Name, Showing(d, on), strings.Fields(steps[0])[0])}
	}
	c.Step = names[0]
	return c, on, nil
}

// standardVolts are supplies that a lead may have strayed to. Source: IEC 60038 and ANSI
// C84.1, from memory.
var standardVolts = []float64{12, 24, 48, 110, 120, 208, 230, 240, 277, 400, 415, 480, 600}

var (
	saysDC = regexp.MustCompile(`(?i)dc\s*$`)
	saysAC = regexp.MustCompile(`(?i)ac\s*$`)
)

// Doubt asks about a reading of the wrong kind or range; empty where it may well be one of
// this check.
func (s *Speaker) Doubt(c log.Check, r log.Reading, typed string) string {
	if c.Kind() != log.Volts {
		return ""
	}
	kind := s.Current()
	switch {
	case kind == "ac" && saysDC.MatchString(typed):
		return "Dc volts in an ac circuit? Set the meter to ac volts, and read it again."
	case kind == "dc" && saysAC.MatchString(typed):
		return "Ac volts in a dc circuit? Set the meter to dc volts, and read it again."
	}
	nominal := s.Model.Nominal(c)
	if nominal == 0 {
		return ""
	}
	if r.Value > nominal*diagnose.SupplyHigh*1.05 {
		return fmt.Sprintf("%.4g V in a circuit of %g V? See which range the meter is in, and where the leads are.", r.Value, nominal)
	}
	for _, v := range standardVolts {
		if math.Abs(r.Value-v) <= 0.08*v && r.Value > 0.05*nominal && r.Value < 0.8*nominal {
			return fmt.Sprintf("%.4g V in a circuit of %g V? See which range the meter is in, and where the leads are.", r.Value, nominal)
		}
	}
	return ""
}
