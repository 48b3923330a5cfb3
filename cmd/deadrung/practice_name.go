package main

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// name has the fault named.
func (t *trainee) name() error {
	f, err := t.pickFault("What is the fault?", t.rest)
	if err != nil || f < 0 {
		return err
	}
	fault := t.m.Faults()[f]
	if err := t.act(log.Act{Kind: log.StateAct, Fault: fault.ID}, fmt.Sprintf("Noted: you say that %s.", fault.Text)); err != nil {
		return err
	}
	t.named = f
	if t.coach == coachAlways {
		t.judgeNamed(f)
	}
	t.out.Para("  ", "Now put it right and prove the operation.")
	return nil
}

// judgeNamed says how a named fault stands against the readings; it does not say whether
// it is the hidden one.
func (t *trainee) judgeNamed(f int) {
	log := t.s.Log()
	wrong := 0
	for i, e := range log.Entries {
		if i >= log.Since() && !t.m.Fits(f, e) {
			wrong++
		}
	}
	left := t.m.Left(log)
	switch {
	case wrong > 0:
		t.out.Parf("  ", "Coach: %s it.", strings.Replace(talk.Disagree(wrong), "disagrees with", "speaks against", 1))
	case t.m.Groups(left) > 1:
		t.out.Parf("  ", "Coach: every reading fits it, and %s besides fit as well: %s are left.", talk.Count(len(left)-1, "fault"), talk.Count(t.m.Groups(left), "group"))
	default:
		t.out.Para("  ", "Coach: every reading fits it, and no other group of faults is left.")
	}
}

// repair has something put right.
func (t *trainee) repair() error {
	f := -1
	if t.named != diagnose.Good && t.rest == "" {
		q := talk.Question{Text: "Put what right?", Choices: []talk.Choice{returnChoice,
			{Word: "named", Text: "what was named: " + t.m.Faults()[t.named].Text},
			{Word: "other", Text: "something else"}},
			Help: "A repair replaces or mends one part. The wrong one changes nothing and costs as much."}
		i, err := t.ask.Choose(q)
		if err != nil || i == 0 {
			return err
		}
		if i == 1 {
			f = t.named
		}
	}
	if f < 0 {
		var err error
		if f, err = t.pickFault("Put right what?", t.rest); err != nil || f < 0 {
			return err
		}
	}
	fault := t.m.Faults()[f]
	say := fmt.Sprintf("Put right: %s. %s Whether that was it, the operation tells: bring the power back and prove it.", fault.Text, t.speak.RepairOf(f))
	return t.act(log.Act{Kind: log.RepairAct, Fault: fault.ID}, say)
}

// pickFault has a fault chosen by what is typed: its ID, a device, a terminal or a wire
// number; -1 if the person returns.
func (t *trainee) pickFault(text, typed string) (int, error) {
	q := talk.Question{Text: text + " Type a device, a terminal, a wire number or the fault's ID.", Typed: "type where it is",
		Choices: []talk.Choice{returnChoice, {Word: "list", Text: "choose from the devices and wires"}},
		Help:    "As CR1, CR1:22, 7 or open-CR1. What can be wrong there is then listed."}
	for {
		if typed == "" {
			var err error
			if typed, err = t.typedOrListed(q, t.pickWhere); err != nil || typed == "" {
				return -1, err
			}
		}
		found := t.faultsAt(typed)
		switch len(found) {
		case 0:
			t.out.Parf("  ", "No fault is known at %q: it is no device, terminal, wire number or ID of this circuit, or nothing can go wrong there.", talk.Shortened(typed))
			typed = ""
			continue
		case 1:
			return found[0], nil
		}
		list := talk.Question{Text: "Which?", Choices: []talk.Choice{returnChoice}, Help: "Take what you think is wrong."}
		for _, f := range found {
			list.Choices = append(list.Choices, talk.Choice{Also: []string{string(t.m.Faults()[f].ID)}, Text: t.m.Faults()[f].Text})
		}
		i, err := t.ask.Choose(list)
		if err != nil || i == 0 {
			return -1, err
		}
		return found[i-1], nil
	}
}

// pickWhere has a device or a wire number chosen.
func (t *trainee) pickWhere() (string, error) {
	q := talk.Question{Text: "Where?", Choices: []talk.Choice{returnChoice}, Help: "Choose the device or the wire number."}
	where := []string{""}
	add := func(word, text string) {
		if len(t.faultsAt(word)) > 0 {
			where = append(where, word)
			q.Choices = append(q.Choices, talk.Choice{Also: []string{word}, Text: text})
		}
	}
	for _, d := range t.speak.Circuit.Devices {
		add(d.Name, talk.Called(d))
	}
	for _, n := range t.speak.Circuit.Numbers {
		add(n.Name, "wire "+n.Name)
	}
	i, err := t.ask.Choose(q)
	return where[max(0, i)], err
}

// faultsAt lists the faults that a typed word means.
func (t *trainee) faultsAt(typed string) []int {
	faults := t.m.Faults()
	if i, err := faultmodel.Find(faults, typed); err == nil {
		return []int{i}
	}
	word := strings.ToUpper(strings.TrimPrefix(talk.Fold(typed), "wire "))
	is := func(s string) bool { return strings.ToUpper(s) == word }
	if i := strings.Index(word, ":"); i >= 0 {
		is = func(s string) bool { return strings.EqualFold(s, word) }
	}
	var found []int
	for i, f := range faults {
		e := f.Effect
		var names []string
		for _, ts := range [][]circuits.Terminal{e.OpenContact, e.ClosedContact, e.Exchanged} {
			for _, at := range ts {
				names = append(names, string(at))
			}
		}
		if w := e.OpenWire; w != nil {
			names = append(names, w.Wire, string(w.From), string(w.To))
		} else if len(f.Devices) == 1 {
			names = append(names, f.Devices[0])
		}
		if w := e.Miswired; w != nil {
			names = append(names, w.Wire, string(w.End), string(w.Lands))
		}
		names = append(names, e.Short...)
		names = append(names, e.Ground)
		if slices.ContainsFunc(names, func(s string) bool { return s != "" && is(s) }) {
			found = append(found, i)
		}
	}
	return found
}
