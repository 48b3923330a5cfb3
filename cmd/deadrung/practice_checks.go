package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
)

// check has a check of a kind chosen and makes it as the panel stands.
func (t *trainee) check(kind log.Kind) error {
	rest := t.rest
	step := t.s.StepName()
	if step == "" && kind != log.Ohms && !t.s.Stand().Off {
		t.out.Para("  ", "Nothing has been worked yet, so no reading means anything: work the circuit to a step first.")
		return nil
	}
	if len(t.half.moved) > 0 || t.half.waited > 0 {
		t.out.Para("  ", "The circuit stands between two steps, where nobody knows what a good one shows: go on to the end of the step first.")
		return nil
	}
	var c *log.Check
	var err error
	if kind == log.Look {
		c, err = t.lookAt(rest)
	} else {
		c, err = t.leads(kind, rest)
	}
	if err != nil || c == nil {
		return err
	}
	if c.Step = step; step == "" {
		c.Step = t.speak.Circuit.Steps[0].Name
		if kind == log.Ohms && t.s.Stand().Off {
			if err := t.act(log.Act{Kind: log.HoldAct, Step: c.Step}, fmt.Sprintf("The operators are put as in %s.", t.speak.StepName(0))); err != nil {
				return err
			}
		}
	}
	shown, found, err := t.s.Check(*c, t.at())
	t.warn(found)
	if err != nil {
		if len(found) > 0 { // it was named, and stopped before a lead touched
			t.out.Para("  ", "The check is stopped before a lead touches. There is no reading.")
			return nil
		}
		return err
	}
	t.out.Hang("  ", fmt.Sprintf("%s: %s", t.speak.Condensed(*c), t.shown(*c, shown)))
	if len(c.Lifted) > 0 {
		t.out.Parf("  ", "The wires on %s are landed again.", talk.Joined(c.Lifted, " and "))
	}
	if t.coach == coachAlways {
		return t.lastWorth()
	}
	return nil
}

// shown tells what the meter or the eye shows.
func (t *trainee) shown(c log.Check, s training.Shown) string {
	switch {
	case s.Reading.Kind == log.Look && s.Wanders:
		return fmt.Sprintf("it chatters or glimmers; taken down as %s", t.speak.Answer(c, &s.Reading))
	case s.Reading.Kind == log.Look:
		return t.speak.Answer(c, &s.Reading)
	case s.Wanders:
		return fmt.Sprintf("%s; the figures wander between %s and %s", figures(s.Reading.Kind, s.Reading.Value), figures(s.Reading.Kind, s.Low), figures(s.Reading.Kind, s.High))
	}
	return figures(s.Reading.Kind, s.Reading.Value)
}

// figures writes a reading with the figures of the meter's range.
func figures(kind log.Kind, x float64) string {
	if math.IsInf(x, 1) {
		return "OL"
	}
	unit, scale := " "+kind.Unit(), 1.0
	if kind == log.Ohms {
		switch {
		case x >= 600e3:
			unit, scale = " Mohm", 1e6
		case x >= 600:
			unit, scale = " kohm", 1e3
		}
	}
	places := max(0, int(math.Round(-math.Log10(training.Count(kind, x)/scale))))
	return fmt.Sprintf("%.*f%s", places, x/scale, unit)
}

// lookAt has a device chosen; nil if the person returns.
func (t *trainee) lookAt(typed string) (*log.Check, error) {
	visible := t.m.Panel().Visible()
	if typed != "" {
		c, err := t.speak.ParseCheck(log.Look, typed)
		if err == nil && slices.ContainsFunc(visible, func(d *circuits.Device) bool { return d.Name == c.Look }) {
			return &c, nil
		}
		t.out.Parf("  ", "%q is nothing that can be looked at.", talk.Shortened(typed))
	}
	q := talk.Question{Text: "Look at what?", Choices: []talk.Choice{returnChoice}, Help: "Lamps, horns, motors, solenoids, relays and contactors can be seen working."}
	for _, d := range visible {
		q.Choices = append(q.Choices, talk.Choice{Also: []string{d.Name}, Text: talk.Called(d) + ", " + d.Whereabouts()})
	}
	i, err := t.ask.Choose(q)
	if err != nil || i == 0 {
		return nil, err
	}
	return &log.Check{Look: visible[i-1].Name}, nil
}

// leads has the two terminals of a check chosen, typed or out of lists; nil if the
// person returns.
func (t *trainee) leads(kind log.Kind, typed string) (*log.Check, error) {
	q := talk.Question{Text: "Red lead and black lead, two terminals.", Typed: "type the two terminals",
		Choices: []talk.Choice{returnChoice, {Word: "list", Text: "choose from lists: place, device, screw"}},
		Help:    "A terminal is a device and its screw, as CR1:A1. \"list\" shows what there is. "}
	if kind == log.Ohms {
		q.Help += "To lift the wires off a terminal, type as \"CR1:A1 CR1:A2 lifted CR1:A1\"."
	}
	for {
		if typed == "" {
			var err error
			if typed, err = t.typedOrListed(q, func() (string, error) { return t.fromLists(kind) }); err != nil || typed == "" {
				return nil, err
			}
		}
		c, err := t.speak.ParseCheck(kind, strings.TrimPrefix(talk.Fold(typed), kind.String()+" "))
		if err == nil {
			c.Step = t.speak.Circuit.Steps[0].Name // the condition is looked at later
			_, err = t.m.Book().NewEntry(c, nil)
		}
		if err == nil {
			return &c, nil
		}
		t.out.Para("  ", talk.Sentence(err.Error()))
		typed = ""
	}
}

// typedOrListed asks a question whose first choice returns and whose second goes through
// lists; empty if the person returns from either.
func (t *trainee) typedOrListed(q talk.Question, list func() (string, error)) (string, error) {
	typed, i, err := t.ask.Line(q)
	switch {
	case err != nil || i == 0:
		return "", err
	case i == 1:
		return list()
	}
	return typed, nil
}

// fromLists has the terminals chosen place by place; empty if the person returns.
func (t *trainee) fromLists(kind log.Kind) (string, error) {
	var words []string
	for _, lead := range []string{"Red", "Black"} {
		at, err := t.terminal(lead + " lead")
		if err != nil || at == "" {
			return "", err
		}
		words = append(words, string(at))
	}
	if kind == log.Ohms {
		q := talk.Question{Text: "Lift wires first?", Choices: []talk.Choice{{Word: "none", Text: "no, measure as it is wired"}},
			Help: "Lifting the wires off one terminal takes every parallel path away, and two minutes."}
		for _, w := range words {
			q.Choices = append(q.Choices, talk.Choice{Also: []string{w}, Text: "lift every wire off " + w})
		}
		i, err := t.ask.Choose(q)
		if err != nil {
			return "", err
		}
		if i > 0 {
			words = append(words, "lifted", words[i-1])
		}
	}
	return strings.Join(words, " "), nil
}

// terminal has one terminal chosen: place, device, screw. It is empty if the person
// returns.
func (t *trainee) terminal(lead string) (circuits.Terminal, error) {
	q := talk.Question{Text: lead + ": where?", Choices: []talk.Choice{returnChoice}, Help: "Choose the place that the device sits at."}
	places := t.places()
	for _, p := range places {
		q.Choices = append(q.Choices, talk.Choice{Also: []string{p}, Text: t.whereabouts(p)})
	}
	i, err := t.ask.Choose(q)
	if err != nil || i == 0 {
		return "", err
	}
	var devices []*circuits.Device
	q = talk.Question{Text: lead + ": on which device?", Choices: []talk.Choice{returnChoice}, Help: "Choose the device."}
	for _, d := range t.speak.Circuit.Devices {
		if d.Place == places[i-1] && len(t.screws(d)) > 0 {
			devices = append(devices, d)
			q.Choices = append(q.Choices, talk.Choice{Also: []string{d.Name}, Text: talk.Called(d)})
		}
	}
	if i, err = t.ask.Choose(q); err != nil || i == 0 {
		return "", err
	}
	screws := t.screws(devices[i-1])
	q = talk.Question{Text: lead + ": on which screw?", Choices: []talk.Choice{returnChoice}, Help: "Choose the screw; its wire number stands beside it."}
	for _, s := range screws {
		q.Choices = append(q.Choices, talk.Choice{Also: []string{string(s)}, Text: t.speak.Lead(s)})
	}
	if i, err = t.ask.Choose(q); err != nil || i == 0 {
		return "", err
	}
	return screws[i-1], nil
}

// screws are the terminals of a device that a lead belongs on.
func (t *trainee) screws(d *circuits.Device) []circuits.Terminal {
	var out []circuits.Terminal
	for _, name := range d.Terminals {
		if at := d.Terminal(name); t.m.Book().LeadOn(at) == nil {
			out = append(out, at)
		}
	}
	return out
}
