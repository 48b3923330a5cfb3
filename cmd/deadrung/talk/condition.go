package talk

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/work"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// condition tells how to bring the circuit into the condition of a check from where it
// stands: points to do.
func (s *Speaker) condition(c log.Check, from guide.Standing) []Point {
	step := max(0, s.Circuit.Step(c.Step))
	if c.Kind().Off() {
		return s.Holding(step, from)
	}
	return s.Working(step, from)
}

// Working tells how to work the circuit to the end of a step, power on.
func (s *Speaker) Working(step int, from guide.Standing) []Point {
	if from.Step == step {
		return []Point{{Text: fmt.Sprintf("Leave the circuit as it stands: %s.", s.StepName(step))}}
	}
	var todo []Point
	first := from.Step + 1
	if from.Step >= 0 && from.Step < step {
		todo = append(todo, Point{Text: fmt.Sprintf("From where it stands, %s:", s.StepName(from.Step))})
	} else {
		first = 0
		todo = append(todo, Point{Text: s.FromRest()})
	}
	for i := first; i <= step; i++ {
		todo = append(todo, Point{Mark: s.Step(i).Mark(), Text: s.Step(i).Work()})
	}
	return todo
}

// FromRest tells how to begin the operation: with the power off, so that nothing seals in
// and no timer has begun.
func (s *Speaker) FromRest() string {
	return "Start from rest: control power off, " + s.Rest() + "; then switch on."
}

// Holding tells how to hold the operators as in a step, power locked off.
func (s *Speaker) Holding(step int, from guide.Standing) []Point {
	at, was := s.hands(step), map[*circuits.Device]int{}
	if from.Locked && from.Held >= 0 {
		was = s.hands(from.Held)
	}
	var held, stand, back []string
	for _, d := range s.Model.Panel().Operators() {
		if d.Type.Electronic {
			continue // it does not conduct with the power off
		}
		pos, ok := at[d]
		if ok && pos != d.Rest {
			if at := fmt.Sprintf("%s %s", d.Name, d.Positions[pos]); d.Momentary || d.Type.Moved == circuits.ByHand {
				held = append(held, at)
			} else {
				stand = append(stand, at)
			}
		} else if p, ok := was[d]; ok && p != d.Rest {
			back = append(back, fmt.Sprintf("%s %s", d.Name, d.Positions[d.Rest]))
		}
	}
	line := "Power locked off, relays released"
	if kept := s.kept(step); kept != "" {
		line += " but " + kept + ", as that step leaves it"
	}
	if len(held) > 0 {
		line += "; hold " + strings.Join(held, ", ")
	}
	if len(stand) > 0 {
		line += "; keep " + strings.Join(stand, ", ")
	}
	if len(held)+len(stand) == 0 {
		line += ", every operator at rest"
	}
	if len(back) > 0 {
		line += "; back to rest: " + strings.Join(back, ", ")
	}
	hold := Point{Text: line + "."}
	if s.Model.Panel().Keeps() && from.Step != step &&
		!(from.Locked && (from.Held == step || from.Held < 0)) {
		return append(s.Working(step, guide.Standing{Step: from.Step, Held: -1}), hold) // so that they stand there
	}
	return []Point{hold}
}

// kept tells how the relays stand that keep their position with the power off, in the good
// circuit locked off at the end of a step: "LR1 set".
func (s *Speaker) kept(step int) string {
	p := s.Model.Panel()
	if !p.Keeps() {
		return ""
	}
	var at []string
	for i, position := range p.Released(&work.Overlay{}, step) {
		if d := p.Relays()[i]; d.Type.Armature.Keeps() {
			at = append(at, d.Name+" "+d.Positions[position])
		}
	}
	return strings.Join(at, ", ")
}

// hands gives the positions of the operators that the steps up to one have set.
func (s *Speaker) hands(step int) map[*circuits.Device]int {
	at := make(map[*circuits.Device]int)
	for i := 0; i <= step; i++ {
		for _, set := range s.Circuit.Steps[i].Set {
			at[set.Device] = set.Position
		}
	}
	return at
}

// restNamed is up to how many operators the start from rest names each.
const restNamed = 6

// Rest tells the positions of the operators at rest.
func (s *Speaker) Rest() string {
	operators := s.Model.Panel().Operators()
	var at []string
	if len(operators) == 0 || len(operators) > restNamed {
		at, operators = []string{"every operator at rest"}, nil
	}
	for _, d := range slices.Concat(operators, s.Model.Panel().Relays()) {
		if d.Type.Kind == circuits.OperatorKind || d.Type.Armature.Keeps() {
			at = append(at, d.Name+" "+d.Positions[d.Rest])
		}
	}
	return strings.Join(at, ", ")
}

// StepName names a step for a sentence.
func (s *Speaker) StepName(i int) string {
	return fmt.Sprintf("step %d, \"%s\"", i+1, s.Circuit.Steps[i].Name)
}

// Move tells how to put an operator into a position.
func Move(d *circuits.Device, position int) string { return d.Type.Hands.Put(d, position) }

// noted names a device with its note: "PB1 (mute)".
func noted(d *circuits.Device) string {
	if d.Note == "" {
		return d.Name
	}
	return d.Name + " (" + d.Note + ")"
}
