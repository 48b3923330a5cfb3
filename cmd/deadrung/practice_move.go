package main

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
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
			todo = append(todo, move(set.Device, set.Position))
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
	c := t.speak.circuit
	next := t.s.Stand().Step + 1
	if next >= len(c.Steps) {
		t.out.para("  ", "The operation is at its end. To go on, work it from rest.")
		return nil
	}
	typed, err := t.pickMove(t.rest)
	if err != nil || typed == "" {
		return err
	}
	step := c.Steps[next]
	if seconds := waitForm.FindStringSubmatch(fold(typed)); seconds != nil {
		x, _ := strconv.ParseFloat(strings.Replace(seconds[1], ",", ".", 1), 64)
		t.half.waited = math.Min(t.half.waited+x, 1e6)
	} else {
		set, why := t.moveTyped(typed)
		switch {
		case why != "":
			t.out.para("  ", sentence(why))
			return nil
		case !slices.ContainsFunc(step.Set, func(s circuits.Setting) bool { return s.Device == set.Device && s.Position == set.Position }):
			t.out.parf("  ", "The operation does not do that here, so nobody knows what a good circuit would show. Next it has: %s", t.speak.stepLine(next))
			return nil
		}
		t.half.moved = append(t.half.moved, set)
		t.out.parf("  ", "Done: %s.", move(set.Device, set.Position))
	}
	if todo := t.half.left(step); len(todo) > 0 {
		t.out.parf("  ", "To reach %s, still to do: %s.", t.speak.stepName(next), strings.Join(todo, ", "))
		return nil
	}
	return t.act(diagnose.Act{Kind: diagnose.WorkAct, Step: step.Name}, fmt.Sprintf("The circuit stands at the end of %s.", t.speak.stepName(next)))
}

// moveTyped reads an operator and its position: "PB1 pressed".
func (t *trainee) moveTyped(typed string) (set circuits.Setting, why string) {
	name, to, _ := strings.Cut(strings.TrimSpace(typed), " ")
	d := t.speak.device(name)
	if d == nil || !slices.Contains(t.m.Panel().Operators(), d) {
		var names []string
		for _, d := range t.m.Panel().Operators() {
			names = append(names, d.Name)
		}
		return set, fmt.Sprintf("%q is no operator; there are %s", shortened(name), strings.Join(names, ", "))
	}
	for i, p := range d.Positions {
		if fold(p) == fold(strings.TrimPrefix(fold(to), "to ")) {
			return circuits.Setting{Device: d, Position: i}, ""
		}
	}
	return set, fmt.Sprintf("%s has no position %q; it has %s", d.Name, shortened(to), strings.Join(d.Positions, ", "))
}

// pickMove has a move chosen where none is typed; empty if the person returns.
func (t *trainee) pickMove(typed string) (string, error) {
	if typed != "" {
		return typed, nil
	}
	q := question{text: "Move what?", choices: []choice{returnChoice}, help: "Operators stay as they are put. Time passes only when you wait."}
	words := []string{""}
	for _, d := range t.m.Panel().Operators() {
		for i, p := range d.Positions {
			words = append(words, d.Name+" "+p)
			q.choices = append(q.choices, choice{also: []string{d.Name + " " + p}, text: move(d, i)})
		}
	}
	for _, seconds := range t.waits() {
		words = append(words, fmt.Sprintf("wait %g", seconds))
		q.choices = append(q.choices, choice{also: []string{fmt.Sprintf("wait %g", seconds)}, text: fmt.Sprintf("wait %g s", seconds)})
	}
	i, err := t.ask.choose(q)
	return words[max(0, i)], err
}

// waits are the times that the operation waits, each once.
func (t *trainee) waits() []float64 {
	var out []float64
	for _, s := range t.speak.circuit.Steps {
		if s.Wait > 0 && !slices.Contains(out, s.Wait) {
			out = append(out, s.Wait)
		}
	}
	slices.Sort(out)
	return out
}
