package paper

import (
	"fmt"
	"io"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// PrintFaults prints the faults of a circuit with their groups, and what each looks like.
func PrintFaults(to io.Writer, m *diagnose.Model) {
	out := talk.NewPage(to)
	groups := make(map[int][]int)
	for i := range m.Faults() {
		groups[m.Group(i)] = append(groups[m.Group(i)], i)
	}
	out.Parf("", "%s: %s in %s that checks can tell apart.", m.Panel().Circuit.Title,
		talk.Count(len(m.Faults()), "fault"), talk.Count(len(groups), "group"))
	out.Blank()
	widest := 0
	for _, f := range m.Faults() {
		widest = max(widest, len([]rune(f.ID)))
	}
	out.Raw("prior    group  " + talk.Padded("id", widest) + "  what it looks like\n")
	for i, f := range m.Faults() {
		out.Hang(talk.Padded(fmt.Sprintf("%.2f %%", 100*f.Prior), 9)+talk.Padded(fmt.Sprint(m.Group(i)),
			7)+talk.Padded(string(f.ID), widest)+"  ", symptom(m, i))
	}
	out.Blank()
	out.Para("", "\"deadrung operate CIRCUIT --fault ID\" works the circuit with one of them.")
}

// symptom tells the first thing that a person can see of a fault.
func symptom(m *diagnose.Model, fault int) string {
	if m.Hidden(fault) {
		return "no check shows it"
	}
	more := 0
	first := ""
	m.Unlike(fault, func(step int, s work.Sight, on bool) {
		switch {
		case s.Look > 0: // a device is listed by what it does first
		case first == "":
			first = fmt.Sprintf("%s: %s stays %s", m.Panel().Circuit.Steps[step].Name, s.Device.Name, work.OnOff(on))
		default:
			more++
		}
	})
	switch {
	case first == "":
		return "nothing to see; a meter shows it"
	case more > 0:
		return fmt.Sprintf("%s, and %d more", first, more)
	}
	return first
}
