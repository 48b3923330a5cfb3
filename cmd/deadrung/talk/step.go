package talk

import (
	"fmt"
	"strings"
)

// Step is a step of the operation as a person works it.
type Step struct {
	Number int
	Name   string
	Do     []string // what is moved, and how long to wait
}

// Step gives a step by its index.
func (s *Speaker) Step(i int) Step {
	st := s.Circuit.Steps[i]
	out := Step{Number: i + 1, Name: st.Name}
	for _, set := range st.Set {
		out.Do = append(out.Do, Move(set.Device, set.Position))
	}
	if st.Wait > 0 {
		out.Do = append(out.Do, fmt.Sprintf("wait %g s", st.Wait))
	}
	if len(out.Do) == 0 {
		out.Do = []string{"nothing to move"}
	}
	return out
}

// Mark is the number before a step in a list.
func (s Step) Mark() string { return fmt.Sprintf("%d. ", s.Number) }

// Work tells what is done: "door left open: wait 30 s."
func (s Step) Work() string { return s.Name + ": " + strings.Join(s.Do, ", ") + "." }

// String tells what is done, with the number: "3. door left open: wait 30 s."
func (s Step) String() string { return s.Mark() + s.Work() }

// StepLine tells what is done in a step: "3. door left open: wait 30 s."
func (s *Speaker) StepLine(i int) string { return s.Step(i).String() }
