package paper

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/log"
)

// PrintTestability prints how well the faults of a circuit can be told apart; the optimum was
// looked for so many seconds at the most, 0 for no limit.
func PrintTestability(to io.Writer, m *diagnose.Model, t diagnose.Testability, by diagnose.By,
	seconds float64) {
	out := talk.NewPage(to)
	out.Para("", testabilityTitle(m, t))
	out.Blank()
	for _, f := range testabilityFigures(t, seconds) {
		out.Hang(talk.Padded("  "+f.name, 13), f.value+" "+f.says)
	}
	out.Raw("\nNever told apart:\n")
	none := true
	for _, g := range m.Alike() {
		none = false
		out.Hang("  ", alikeNames(m, g))
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
	for i, c := range m.Complaints(likeliestComplaints) {
		out.Hang(fmt.Sprintf("  %2d. ", i+1), complaintWords(c))
		for _, check := range firstChecks(m, c, by) {
			out.Para("        ", check)
		}
	}
}

// TestabilitySections are the same on sheets to sign.
func TestabilitySections(m *diagnose.Model, t diagnose.Testability, by diagnose.By, seconds float64) []plot.Section {
	figures := plot.Section{Says: []string{testabilityTitle(m, t)}, Heads: []string{"figure", "", "what it is"}}
	for _, f := range testabilityFigures(t, seconds) {
		figures.Rows = append(figures.Rows, []string{f.name, strings.TrimSpace(f.value), f.says})
	}
	sections := []plot.Section{figures, alikeSection(m)}
	help := plot.Section{Title: "What would help most",
		Heads: []string{"what", "parts, of what can go wrong, from what it is alike with"}}
	for _, i := range m.Improvements() {
		help.Rows = append(help.Rows, []string{i.What, fmt.Sprintf("%.2f %%", 100*i.Gain)})
	}
	if len(help.Rows) > 0 {
		sections = append(sections, help)
	}
	complaints := plot.Section{Title: "The likeliest complaints, and the first checks after each",
		Heads: []string{"", "complaint", "first checks"}, Together: true}
	for i, c := range m.Complaints(likeliestComplaints) {
		row := []string{strconv.Itoa(i + 1), complaintWords(c), ""}
		for k, check := range firstChecks(m, c, by) {
			if k > 0 {
				row = []string{"", "", ""}
			}
			row[2] = check
			complaints.Rows = append(complaints.Rows, row)
		}
		if row[2] == "" {
			complaints.Rows = append(complaints.Rows, row)
		}
	}
	return append(sections, complaints)
}

// alikeSection is the faults that no check tells apart.
func alikeSection(m *diagnose.Model) plot.Section {
	alike := plot.Section{Title: "Never told apart", Heads: []string{"faults", "why"}}
	for _, g := range m.Alike() {
		alike.Rows = append(alike.Rows, []string{alikeNames(m, g), g.Why})
	}
	if len(alike.Rows) == 0 {
		return plot.Section{Title: alike.Title, Says: []string{"None: every fault is a group of its own."}}
	}
	return alike
}

func testabilityTitle(m *diagnose.Model, t diagnose.Testability) string {
	return fmt.Sprintf("%s: %s in %s.", m.Panel().Circuit.Title, talk.Count(t.Faults, "fault"), talk.Count(t.Groups, "group"))
}

// testabilityFigure is one figure, with what it is.
type testabilityFigure struct{ name, value, says string }

func testabilityFigures(t diagnose.Testability, seconds float64) []testabilityFigure {
	proved := "the least found"
	if seconds > 0 {
		proved += fmt.Sprintf(" in %g s at the most (--seconds)", seconds)
	}
	proved += fmt.Sprintf("; not proved to be the least possible, which is %.2f or more, up to %.0f %% less",
		t.Optimum.Lower, 100*t.Optimum.Gap())
	if t.Optimum.Exact {
		proved = "the least possible, proved"
	}
	return []testabilityFigure{
		{"detected", fmt.Sprintf("%5.1f %%", 100*t.Detected), "of what can go wrong changes at least one check"},
		{"isolated", fmt.Sprintf("%5.1f %%", 100*t.Isolated), "ends with its own group in the guided loop"},
		{"checks", fmt.Sprintf("%5.2f", t.Checks.Mean), fmt.Sprintf("on average, %.0f at worst, until one group is left", t.Checks.Worst)},
		{"minutes", fmt.Sprintf("%5.1f", t.Minutes.Mean), fmt.Sprintf("on average, %.1f at worst, at the panel", t.Minutes.Worst)},
		{"optimum", fmt.Sprintf("%5.2f", t.Optimum.Mean), "checks: " + proved},
		{"bound", fmt.Sprintf("%5.2f", t.Bound.Mean), "checks: no order of checks does better (Huffman)"},
	}
}

func alikeNames(m *diagnose.Model, g diagnose.Group) string {
	var ids []string
	for _, f := range g.Faults {
		ids = append(ids, string(m.Faults()[f].ID))
	}
	return strings.Join(ids, ", ")
}

// likeliestComplaints is how many complaints are told.
const likeliestComplaints = 10

func complaintWords(c diagnose.Complaint) string {
	return fmt.Sprintf("%s: %s %s (%.1f %%)", c.Entry.Check.Step, c.Entry.Check.Look, work.OnOff(c.Entry.Answer.On), 100*c.Share)
}

// firstChecks are the first checks after a complaint, each answered as is likeliest.
func firstChecks(m *diagnose.Model, c diagnose.Complaint, by diagnose.By) (checks []string) {
	history := log.Log{Entries: []log.Entry{c.Entry}}
	for range 3 {
		turn := m.Turn(history, diagnose.Choosing{By: by, Most: -1})
		if turn.Next == nil {
			break
		}
		checks = append(checks, talk.PlainCheck(m, turn.Next.Check))
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
	return checks
}
