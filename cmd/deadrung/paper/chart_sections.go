package paper

import (
	"strconv"

	"deadrung/cmd/deadrung/paper/plot"
)

// Sections are the charts on sheets to sign: every check with its answers below each other, and
// where each leads.
func (b *Book) Sections() []plot.Section {
	var sections []plot.Section
	for i, f := range b.Flows {
		s := f.sheet()
		says := []string{s.Summary, s.How}
		if i == 0 {
			says = append(says, s.Cautions...)
			says = append(append(says, s.Rest), s.Steps...)
		}
		sections = append(sections, plot.Section{Title: s.Complaint, Says: says, New: i > 0})
		checks := plot.Section{Heads: []string{"no.", "check", "answer", "then"}, Together: true}
		for _, e := range s.Entries {
			number, check := "", e.Check
			if e.Number > 0 {
				number = strconv.Itoa(e.Number)
			}
			if e.Power != "" {
				check = e.Power + " " + check
			}
			for _, answers := range [][]sheetAnswer{e.Goes, e.Verdicts} {
				for _, a := range answers {
					checks.Rows = append(checks.Rows, []string{number, check, a.Text, a.Leads})
					number, check = "", "" // once is enough
				}
			}
		}
		sections = append(sections, checks)
	}
	return sections
}
