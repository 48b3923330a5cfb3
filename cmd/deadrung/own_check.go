package main

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// other has another check chosen: one of the next best, or one of the person's own.
// It gives nil if the person returns without.
func (d *dialogue) other() (*diagnose.Proposal, error) {
	q := talk.Question{
		Text:    "Which check?",
		Choices: []talk.Choice{returnChoice},
		Help:    "The checks with a time are the next best. A check of your own is a look, volts or ohms anywhere in the circuit, at any step.",
	}
	for _, p := range d.turn.Others {
		q.Choices = append(q.Choices, talk.Choice{Text: fmt.Sprintf("%s (%s)", d.speak.Condensed(p.Check), talk.Span(p.Minutes))})
	}
	q.Choices = append(q.Choices,
		talk.Choice{Word: "look", Text: "a look of your own"},
		talk.Choice{Word: "volts", Text: "volts of your own, live"},
		talk.Choice{Word: "ohms", Text: "ohms of your own, power locked off"})
	i, err := d.ask.Choose(q)
	if err != nil || i == 0 {
		return nil, err
	}
	if i <= len(d.turn.Others) {
		return &d.turn.Others[i-1], nil
	}
	kind := log.Kind(i - len(d.turn.Others))
	var c log.Check
	if c.Step, err = d.ownStep(kind); err != nil || c.Step == "" {
		return nil, err
	}
	return d.ownCheck(kind, c.Step)
}

// ownStep asks for the step of a check; none if the person returns.
func (d *dialogue) ownStep(kind log.Kind) (string, error) {
	q := talk.Question{
		Text:    "At the end of which step?",
		Choices: []talk.Choice{returnChoice},
		Help:    "The circuit is worked up to that step and held there while the check is made.",
	}
	if kind == log.Ohms {
		q.Text = "Power locked off, operators held as in which step?"
		q.Help = "Relays are all released then; only the operators are held as they are in that step."
	}
	for _, st := range d.speak.Circuit.Steps {
		q.Choices = append(q.Choices, talk.Choice{Also: []string{st.Name}, Text: st.Name})
	}
	i, err := d.ask.Choose(q)
	if err != nil || i == 0 {
		return "", err
	}
	return d.speak.Circuit.Steps[i-1].Name, nil
}

// ownCheck asks for the device or the terminals of a check, until they are right or
// the person returns.
func (d *dialogue) ownCheck(kind log.Kind, step string) (*diagnose.Proposal, error) {
	q := talk.Question{Choices: []talk.Choice{returnChoice}}
	switch kind {
	case log.Look:
		var names []string
		for _, v := range d.m.Panel().Visible() {
			names = append(names, v.Name)
		}
		q.Text, q.Typed = "Which device? As "+names[0]+".", "type the device"
		q.Help = "There are " + strings.Join(names, ", ") + "."
	case log.Volts:
		q.Text, q.Typed = "Red lead and black lead, as "+d.example()+".", "type the two terminals"
		q.Help = "A terminal is a device and its screw. The black lead mostly stays on the grounded side."
	case log.Ohms:
		q.Text = "The two terminals, as " + d.example() + "; with wires lifted: " + d.example() + " lifted " + strings.Fields(d.example())[0] + "."
		q.Typed = "type the two terminals"
		q.Help = "Lifting the wires off one terminal takes every parallel path away. The lead then touches the terminal, not the wires."
	}
	for {
		typed, i, err := d.ask.Line(q)
		if err != nil || i >= 0 {
			return nil, err
		}
		c, err := d.speak.ParseCheck(kind, typed)
		if err == nil {
			c.Step = step
			if _, err = d.m.Book().NewEntry(c, nil); err == nil {
				return &diagnose.Proposal{Check: c}, nil
			}
		}
		d.out.Para("  ", talk.Sentence(err.Error()))
	}
}

// example is two terminals of the circuit: those of its first coil or load.
func (d *dialogue) example() string {
	v := d.m.Panel().Visible()
	if len(v) == 0 {
		return "CR1:A1 CR1:A2"
	}
	return string(v[0].Terminal(v[0].Ends[0]) + " " + v[0].Terminal(v[0].Ends[1]))
}
