package talk

import (
	"fmt"
	"math"

	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// statusWords tell a status to a person, where there is no more to it.
var statusWords = map[diagnose.Status]string{
	diagnose.Continue:      "not found yet",
	diagnose.GroupLeft:     "several are left that no check tells apart",
	diagnose.Contradiction: "every fault of the list disagrees with at least one reading",
	diagnose.Unlisted:      "the readings fit no single fault of the list",
	diagnose.Healthy:       "every reading is that of a good circuit",
}

// TurnWords tell where a search stands.
func TurnWords(t *diagnose.Turn) string {
	switch {
	case t.Status == diagnose.Found && t.Proved:
		return "found and proved"
	case t.Status == diagnose.Found && t.Next != nil:
		return "found, not proved yet"
	case t.Status == diagnose.Found && t.Unproved == diagnose.ProofMadeAtPart:
		return "found by a reading across the part itself; no further check can prove it"
	case t.Status == diagnose.Found:
		return "found, and no further check can prove it"
	case t.Status == diagnose.GroupLeft && t.Groups == 1:
		return "one group is left, and no check that is allowed makes it surer"
	case guide.SecondLook(t):
		return "every reading fits a good circuit, and a second look is due"
	}
	return statusWords[t.Status]
}

// PlainCheck tells a check in one line.
func PlainCheck(m *diagnose.Model, c log.Check) string {
	switch c.Kind() {
	case log.Look:
		called := m.Panel().Circuit.Device(c.Look).Called()
		if c.Part != "" {
			called = fmt.Sprintf("the %s of %s", c.Part, called)
		}
		return fmt.Sprintf("look at %s in step %q", called, c.Step)
	case log.Volts:
		return fmt.Sprintf("volts, red lead on %s, black lead on %s%s, in step %q", c.Volts[0],
			c.Volts[1], lowImpedance(c), c.Step)
	}
	s := fmt.Sprintf("power locked off: ohms from %s to %s, operators held as in step %q", c.Leads()[0],
		c.Leads()[1], c.Step)
	if c.Kind() == log.Diode {
		s = fmt.Sprintf("power locked off: diode test, red lead on %s, black lead on %s, operators held as in step %q", c.Diode[0],
			c.Diode[1], c.Step)
	}
	return s + Lifted(c)
}

// Lifted tells, after where the leads are, off which terminals wires are lifted; nothing where none are.
func Lifted(c log.Check) string {
	if len(c.Lifted) == 0 {
		return ""
	}
	return ", wires lifted off " + Joined(c.Lifted, ", ")
}

// AnswerWords tells an answer to a check.
func AnswerWords(c log.Check, a diagnose.Answered) string {
	switch {
	case a.Saw != "":
		return a.Saw
	case a.Read != "" && a.Low != nil:
		return Amount(*a.Low, c.Kind()) + " or more, or OL"
	case a.Read != "":
		return a.Read
	}
	low := log.Reading{Kind: c.Kind(), Value: *a.Low, Firm: true}
	high := log.Reading{Kind: c.Kind(), Value: *a.High, Firm: true}
	return Figure(low) + " to " + Figure(high)
}

// Figure writes a reading with its unit as a meter would show it.
func Figure(r log.Reading) string {
	s := ""
	switch {
	case r.Kind == log.Look:
		s = r.Saw()
	case math.IsInf(r.Value, 1):
		s = "OL"
	case r.Kind == log.Ohms && r.Value >= 1e6:
		s = fmt.Sprintf("%.3g Mohm", r.Value/1e6)
	case r.Kind == log.Ohms && r.Value >= 1e4:
		s = fmt.Sprintf("%.3g kohm", r.Value/1e3)
	case r.Kind == log.Ohms && r.Value >= 100:
		s = fmt.Sprintf("%.0f ohm", r.Value)
	case r.Kind == log.Ohms:
		s = fmt.Sprintf("%.1f ohm", r.Value)
	case r.Kind == log.Diode:
		s = fmt.Sprintf("%.2f V", r.Value)
	default:
		s = fmt.Sprintf("%.1f V", r.Value)
	}
	if !r.Firm {
		s += " (not firm: it may read anything)"
	}
	return s
}
