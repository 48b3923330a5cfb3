package main

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
)

// halfway is what was moved and waited since the last step, by hand and one at a time.
type halfway struct {
	moved  []circuits.Setting
	waited float64 // seconds
}

// left tells what of a step is still to be done.
func (h *halfway) left(s circuits.Step) []string {
	var todo []string
	for _, set := range s.Set {
		if !slices.ContainsFunc(h.moved, func(m circuits.Setting) bool { return m.Device == set.Device && m.Position == set.Position }) {
			todo = append(todo, talk.Move(set.Device, set.Position))
		}
	}
	if s.Wait > h.waited+1e-9 {
		todo = append(todo, fmt.Sprintf("wait %g s", s.Wait-h.waited))
	}
	return todo
}

var waitForm = regexp.MustCompile(`^wait\s+(\d+(?:[.,]\d+)?)\s*(?:s|sec|seconds)?$`)

// byHand moves one operator, or lets time pass. The circuit stands at the end of a step
// once all that the step does is done; what no step does leads where no reading is known.
func (t *trainee) byHand() error {
	c := t.speak.Circuit
	next := t.s.Stand().Step + 1
	if next >= len(c.Steps) {
		t.out.Para("  ", "The operation is at its end. To go on, work it from rest.")
		return nil
	}
	typed, err := t.pickMove(t.rest)
	if err != nil || typed == "" {
		return err
	}
	step := c.Steps[next]
	if seconds := waitForm.FindStringSubmatch(talk.Fold(typed)); seconds != nil {
		x, _ := strconv.ParseFloat(strings.Replace(seconds[1], ",", ".", 1), 64)
		t.half.waited = math.Min(t.half.waited+x, 1e6)
	} else {
		set, why := t.moveTyped(typed)
		switch {
		case why != "":
			t.out.Para("  ", talk.Sentence(why))
			return nil
		case !slices.ContainsFunc(step.Set, func(s circuits.Setting) bool { return s.Device == set.Device && s.Position == set.Position }):
			t.out.Parf("  ", "The operation does not do that here, so nobody knows what a good circuit would show. Next it has: %s", t.speak.StepLine(next))
			return nil
		}
		t.half.moved = append(t.half.moved, set)
		t.out.Parf("  ", "Done: %s.", talk.Move(set.Device, set.Position))
	}
	if todo := t.half.left(step); len(todo) > 0 {
		t.out.Parf("  ", "To reach %s, still to do: %s.", t.speak.StepName(next), strings.Join(todo, ", "))
		return nil
	}
	return t.act(log.Act{Kind: log.WorkAct, Step: step.Name}, fmt.Sprintf("The circuit stands at the end of %s.", t.speak.StepName(next)))
}

// moveTyped reads an operator and its position: "PB1 pressed".
func (t *trainee) moveTyped(typed string) (set circuits.Setting, why string) {
	name, to, _ := strings.Cut(strings.TrimSpace(typed), " ")
	d := t.speak.Device(name)
	if d == nil || !slices.Contains(t.m.Panel().Operators(), d) {
		var names []string
		for _, d := range t.m.Panel().Operators() {
			names = append(names, d.Name)
		}
		return set, fmt.Sprintf("%q is no operator; there are %s", talk.Shortened(name), strings.Join(names, ", "))
	}
	for i, p := range d.Positions {
		if talk.Fold(p) == talk.Fold(strings.TrimPrefix(talk.Fold(to), "to ")) {
			return circuits.Setting{Device: d, Position: i}, ""
		}
	}
	return set, fmt.Sprintf("%s has no position %q; it has %s", d.Name, talk.Shortened(to), strings.Join(d.Positions, ", "))
}

// pickMove has a move chosen where none is typed; empty if the person returns.
func (t *trainee) pickMove(typed string) (string, error) {
	if typed != "" {
		return typed, nil
	}
	q := talk.Question{Text: "Move what?", Choices: []talk.Choice{returnChoice}, Help: "Operators stay as they are put. Time passes only when you wait."}
	words := []string{""}
	for _, d := range t.m.Panel().Operators() {
		for i, p := range d.Positions {
			words = append(words, d.Name+" "+p)
			q.Choices = append(q.Choices, talk.Choice{Also: []string{d.Name + " " + p}, Text: talk.Move(d, i)})
		}
	}
	for _, seconds := range t.waits() {
		words = append(words, fmt.Sprintf("wait %g", seconds))
		q.Choices = append(q.Choices, talk.Choice{Also: []string{fmt.Sprintf("wait %g", seconds)}, Text: fmt.Sprintf("wait %g s", seconds)})
	}
	i, err := t.ask.Choose(q)
	return words[max(0, i)], err
}

// waits are the times that the operation waits, each once.
func (t *trainee) waits() []float64 {
	var out []float64
	for _, s := range t.speak.Circuit.Steps {
		if s.Wait > 0 && !slices.Contains(out, s.Wait) {
			out = append(out, s.Wait)
		}
	}
	slices.Sort(out)
	return out
}
