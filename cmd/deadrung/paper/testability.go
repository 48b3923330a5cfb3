package paper

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// PrintTestability prints how well the faults of a circuit can be told apart; the optimum was
// looked for so many seconds at the most, 0 for no limit.
func PrintTestability(to io.Writer, m *diagnose.Model, t diagnose.Testability, by diagnose.By,
	seconds float64) {
	out := talk.NewPage(to)
	out.Parf("", "%s: %s in %s.", m.Panel().Circuit.Title, talk.Count(t.Faults, "fault"),
		talk.Count(t.Groups, "group"))
	out.Blank()
	figure := func(name, format string, values ...any) {
		out.Hang(talk.Padded("  "+name, 13), fmt.Sprintf(format, values...))
	}
	figure("detected", "%5.1f %% of what can go wrong changes at least one check", 100*t.Detected)
	figure("isolated", "%5.1f %% ends with its own group in the guided loop", 100*t.Isolated)
	figure("checks", "%5.2f on average, %.0f at worst, until one group is left", t.Checks.Mean,
		t.Checks.Worst)
	figure("minutes", "%5.1f on average, %.1f at worst, at the panel", t.Minutes.Mean, t.Minutes.Worst)
	proved := "the least found"
	if seconds > 0 {
		proved += fmt.Sprintf(" in %g s at the most (--seconds)", seconds)
	}
	proved += fmt.Sprintf("; not proved to be the least possible, which is %.2f or more, up to %.0f %% less",
		t.Optimum.Lower, 100*t.Optimum.Gap())
	if t.Optimum.Exact {
		proved = "the least possible, proved"
	}
	figure("optimum", "%5.2f checks: %s", t.Optimum.Mean, proved)
	figure("bound", "%5.2f checks: no order of checks does better (Huffman)", t.Bound.Mean)

	out.Raw("\nNever told apart:\n")
	none := true
	for _, g := range m.Alike() {
		none = false
		var ids []string
		for _, f := range g.Faults {
			ids = append(ids, string(m.Faults()[f].ID))
		}
		out.Hang("  ", strings.Join(ids, ", "))
		out.Para("      ", g.Why)
	}
	if none {
		out.Para("  ", "none: every fault is a group of its own")
	}
	if more := m.Improvements(); len(more) > 0 {
		out.Raw("\nWhat would help most:\n")
		for _, i := range more {
			out.Hang("  ",
				fmt.Sprintf("%s: parts %.2f %% of what can go wrong from what it is alike with", i.What, 100*i.Gain))
		}
	}
	out.Raw("\nThe likeliest complaints, and the first checks after each:\n")
	for i, c := range m.Complaints(10) {
		out.Hang(fmt.Sprintf("  %2d. ", i+1), fmt.Sprintf("%s: %s %s (%.1f %%)", c.Entry.Check.Step,
			c.Entry.Check.Look, work.OnOff(c.Entry.Answer.On), 100*c.Share))
		history := log.Log{Entries: []log.Entry{c.Entry}}
		for range 3 {
			turn := m.Turn(history, diagnose.Choosing{By: by, Most: -1})
			if turn.Next == nil {
				break
			}
			out.Para("        ", talk.PlainCheck(m, turn.Next.Check))
			likeliest := slices.MaxFunc(turn.Next.Outcomes, func(a, b diagnose.Answered) int {
				return int(math.Copysign(1, a.Probability-b.Probability))
			})
			answer := likeliest.Reading(turn.Next.Check.Kind())
			e, err := m.Book().NewEntry(turn.Next.Check, &answer)
			if err != nil {
				break
			}
			history.Entries = append(history.Entries, e)
		}
	}
}
