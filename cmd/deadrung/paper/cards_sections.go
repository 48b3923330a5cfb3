package paper

import (
	"fmt"
	"slices"

	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// CardSections are the cards for the benches on sheets to sign, one card a sheet.
func CardSections(cards []Card) []plot.Section {
	ticks := func(title string, lines []string, says ...string) plot.Section {
		s := plot.Section{Title: title, Says: says, Heads: []string{"", "do"}, Boxes: []int{0}}
		for _, line := range lines {
			s.Rows = append(s.Rows, []string{"", line})
		}
		return s
	}
	sections := []plot.Section{{Title: "Before each card", Says: BenchCautions},
		ticks("Lock out", talk.LockOut(talk.BeforeCheck).Points),
		ticks("Before power comes back", talk.BackToPowerAtOnce().Points)}
	for i := range cards {
		c := &cards[i]
		head := plot.Section{Title: fmt.Sprintf("Seat %s, fault %d: %s", c.Candidate.Label(), c.Task, c.Circuit),
			Says: []string{talk.Sentence(c.Text)}, New: true}
		if c.Ready != "" {
			head.Says = append(head.Says, "Ready: "+talk.Sentence(c.Ready))
		}
		if len(c.Moves) > 0 {
			head.Says = append(head.Says, "Beware. "+movesOn(c.Moves))
		}
		check := talk.SentenceStart(c.CheckText) + ": must be "
		put := ticks("Put in, power locked off", slices.Concat(c.Put, []string{"Is it in? " + check + c.In + "."}))
		take := ticks("Take out, power locked off again", slices.Concat(c.Take, []string{
			"Is it out? " + check + c.Out + ".", "The whole operation worked, every step right."}))
		signed := plot.Section{Heads: []string{"put in by", "taken out and proved by"},
			Rows: [][]string{{"", ""}}, Free: []int{0, 1}}
		sections = append(sections, head, put, take, signed)
		if o := ledOn(c.Check); len(o.Only) > 0 {
			sections = append(sections, plot.Section{Title: "Where the leads go",
				Wired: &plot.Wired{Diagram: c.Wired, Options: o}})
		}
	}
	return sections
}
