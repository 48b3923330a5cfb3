package main

import (
	"os"
	"strconv"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// askSetting asks for all that an exam is set with.
func askSetting(ask talk.Asker, out *talk.Page) (setOptions, error) {
	o := setOptions{faults: 1, form: string(exam.Simulated), by: "minutes",
		work: exam.WorkFactor}
	for {
		name, err := chooseCircuit(ask, out)
		if err != nil {
			return o, err
		}
		o.circuits = append(o.circuits, name)
		i, err := ask.Choose(talk.Question{Text: "One more circuit?",
			Choices: []talk.Choice{{Word: "no", Text: "no more circuits"}, {Word: "yes", Text: "one more"}},
			Help:    "With several circuits each candidate gets each as often, if the number of faults allows it."})
		if err != nil {
			return o, err
		}
		if i == 0 {
			break
		}
	}
	i, err := ask.Choose(talk.Question{Text: "How is the exam sat?", Choices: []talk.Choice{
		{Word: "simulated", Text: "simulated: the packet answers the checks"},
		{Word: "bench", Text: "bench: readings come from a real trainer"},
		{Word: "served", Text: "served: the instructor's machine answers"},
		{Word: "wiring", Text: "wiring: no faults; wires are planned from the ladder of one circuit"}},
		Help: "A simulated packet can be sat anywhere; a programmer who has it can work the fault out " +
			"of its readings. On a bench and with the instructor's machine nobody can."})
	if err != nil {
		return o, err
	}
	o.form = string(exam.Forms[i])
	for o.class == "" && o.count == 0 {
		typed, _, err := ask.Line(talk.Question{Text: "How many candidates, " +
			"or the path of the class list in CSV:", Typed: "type a number or a path",
			Help: "A list has one candidate a line, in the order in which they sit."})
		if err != nil {
			return o, err
		}
		n, notNumber := strconv.Atoi(typed)
		_, missing := os.Stat(typed)
		switch {
		case notNumber == nil && n >= 1 && n <= exam.MostCandidates:
			o.count = n
		case notNumber == nil:
			out.Parf("  ", "A class has 1 to %d candidates, not %d.", exam.MostCandidates, n)
		case missing != nil:
			out.Parf("  ", "%q is not a number, and there is no such file.", talk.Shortened(typed))
		default:
			o.class = typed
		}
	}
	for o.form != string(exam.Wiring) {
		typed, _, err := ask.Line(talk.Question{Text: "How many faults for each candidate:",
			Typed: "type a number", Help: "Two or more even out how hard they are."})
		if err != nil {
			return o, err
		}
		if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= mostFaults {
			o.faults = n
			return o, nil
		}
		out.Parf("  ", "A number from 1 to %d, not %q.", mostFaults, talk.Shortened(typed))
	}
	return o, nil
}
