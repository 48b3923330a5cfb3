package main

import (
	"fmt"
	"strings"

	"deadrung/circuits"
	"deadrung/diagnose"
)

// standing is where the circuit stands between two checks, as far as the dialogue has
// been told.
type standing struct {
	step   int  // the step at whose end it stands, power on; -1 if none
	locked bool // the power is locked off
	held   int  // with the power locked off: the step as in which operators are held; -1 if none
}

// asFound is a circuit that nobody has worked yet.
var asFound = standing{step: -1, held: -1}

// after is where the circuit stands once a check has been made.
func (s *speaker) after(c diagnose.Check) standing {
	step := max(0, s.circuit.Step(c.Step))
	if c.Kind() == diagnose.Ohms {
		return standing{step: -1, locked: true, held: step}
	}
	return standing{step: step, held: -1}
}

// condition tells how to bring the circuit into the condition of a check from where it
// stands: points to do, one a line.
func (s *speaker) condition(c diagnose.Check, from standing) []string {
	step := max(0, s.circuit.Step(c.Step))
	if c.Kind() == diagnose.Ohms {
		return s.holding(step, from)
	}
	return s.working(step, from)
}

// working tells how to work the circuit to the end of a step, power on.
func (s *speaker) working(step int, from standing) []string {
	if from.step == step {
		return []string{fmt.Sprintf("Leave the circuit as it stands: %s.", s.stepName(step))}
	}
	var todo []string
	first := from.step + 1
	if from.step >= 0 && from.step < step {
		todo = append(todo, fmt.Sprintf("From where it stands, %s:", s.stepName(from.step)))
	} else {
		first = 0
		todo = append(todo, s.fromRest())
	}
	for i := first; i <= step; i++ {
		todo = append(todo, s.stepLine(i))
	}
	return todo
}

// fromRest tells how to begin the operation: with the power off, so that nothing seals in
// and no timer has begun.
func (s *speaker) fromRest() string {
	return "Start from rest: control power off, " + s.rest() + "; then switch on."
}

// holding tells how to hold the operators as in a step, power locked off.
func (s *speaker) holding(step int, from standing) []string {
	at, was := s.hands(step), map[*circuits.Device]int{}
	if from.locked && from.held >= 0 {
		was = s.hands(from.held)
	}
	var held, back []string
	for _, d := range s.m.Panel().Operators() {
		pos, ok := at[d]
		if ok && pos != d.Rest {
			held = append(held, fmt.Sprintf("%s %s", d.Name, d.Positions[pos]))
		} else if p, ok := was[d]; ok && p != d.Rest {
			back = append(back, fmt.Sprintf("%s %s", d.Name, d.Positions[d.Rest]))
		}
	}
	line := "Power locked off, relays released"
	if len(held) > 0 {
		line += "; hold " + strings.Join(held, ", ")
	} else {
		line += ", every operator at rest"
	}
	if len(back) > 0 {
		line += "; back to rest: " + strings.Join(back, ", ")
	}
	return []string{line + "."}
}

// hands gives the positions of the operators that the steps up to one have set.
func (s *speaker) hands(step int) map[*circuits.Device]int {
	at := make(map[*circuits.Device]int)
	for i := 0; i <= step; i++ {
		for _, set := range s.circuit.Steps[i].Set {
			at[set.Device] = set.Position
		}
	}
	return at
}

// restNamed is up to how many operators the start from rest names each.
const restNamed = 6

// rest tells the positions of the operators at rest.
func (s *speaker) rest() string {
	operators := s.m.Panel().Operators()
	if len(operators) == 0 || len(operators) > restNamed {
		return "every operator at rest"
	}
	var at []string
	for _, d := range operators {
		at = append(at, d.Name+" "+d.Positions[d.Rest])
	}
	return strings.Join(at, ", ")
}

// stepName names a step for a sentence.
func (s *speaker) stepName(i int) string {
	return fmt.Sprintf("step %d, \"%s\"", i+1, s.circuit.Steps[i].Name)
}

// stepLine tells what is done in a step: "3. door left open: wait 30 s".
func (s *speaker) stepLine(i int) string {
	st := s.circuit.Steps[i]
	var do []string
	for _, set := range st.Set {
		do = append(do, move(set.Device, set.Position))
	}
	if st.Wait > 0 {
		do = append(do, fmt.Sprintf("wait %g s", st.Wait))
	}
	if len(do) == 0 {
		do = []string{"nothing to move"}
	}
	return fmt.Sprintf("%d. %s: %s.", i+1, st.Name, strings.Join(do, ", "))
}

// move tells how to put an operator into a position.
func move(d *circuits.Device, position int) string {
	to, name, note := d.Positions[position], noted(d), ""
	if d.Note != "" {
		note = " (" + d.Note + ")"
	}
	switch d.Type.Name {
	case "push-button":
		if position == d.Rest {
			return "let go of " + name
		}
		return "press " + name + " and hold it"
	case "selector-switch":
		return "turn " + name + " to " + to
	case "overload-relay":
		if position == d.Rest {
			return "reset " + name
		}
		return "trip " + name + " with its test button"
	}
	return d.Name + " to " + to + note
}

// noted names a device with its note: "PB1 (mute)".
func noted(d *circuits.Device) string {
	if d.Note == "" {
		return d.Name
	}
	return d.Name + " (" + d.Note + ")"
}
