package paper

import (
	"strconv"

	"deadrung/circuits/connections"
	"deadrung/circuits/lists"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// ListSections are the tables of a list on sheets to sign.
func ListSections(t lists.Table) []plot.Section {
	sections := []plot.Section{{Says: []string{t.About}}}
	for _, g := range t.Groups {
		sections = append(sections, plot.Section{Title: g.Name, Heads: t.Heads, Rows: g.Rows})
	}
	return sections
}

// WireSections are the tables of a wire list on sheets to sign.
func WireSections(l wirelist.List) []plot.Section {
	sections := []plot.Section{{Says: append([]string{wireTitle(l)}, sheetCautions()[1:]...)}}
	rung := -1
	for i, w := range l.Lines {
		if w.Rung != rung {
			rung = w.Rung
			sections = append(sections, plot.Section{Title: rungTitle(rung),
				Heads: []string{"no.", "wire", "", "from", "", "to"}, Boxes: []int{2, 4}})
		}
		last := &sections[len(sections)-1]
		last.Rows = append(last.Rows, []string{strconv.Itoa(i + 1), numberText(w), "", endText(w.From), "",
			endText(w.To)})
	}
	return sections
}

// Sections are the tables of the check-out on sheets to sign.
func (r *CheckOut) Sections() []plot.Section {
	says := []string{talk.LockOutOf(r.Speak.Model.Panel(), talk.BeforeOhms).Line()}
	for _, lines := range [][]string{r.Summary(), r.Unseen(), r.Rules(), {r.afterWrong()}} {
		says = append(says, lines...)
	}
	sections := []plot.Section{{Says: says}}
	n := 0
	for _, p := range r.Plan.Rounds {
		words := partWords[p.Sort]
		sections = append(sections, plot.Section{Title: words.title, Says: []string{words.how}})
		held := ""
		for i, c := range p.Checks {
			n++
			if h := r.holding(c.Check) + " " + r.at(c) + "."; i == 0 || h != held {
				held = h
				sections = append(sections, plot.Section{Says: []string{held},
					Heads: []string{"", "no.", "rung", "ohms", "good", "read"}, Boxes: []int{0}, Free: []int{5}})
			}
			rung := ""
			if c.Rung > 0 {
				rung = strconv.Itoa(c.Rung)
			}
			last := &sections[len(sections)-1]
			last.Rows = append(last.Rows, []string{"", strconv.Itoa(n), rung, Where(c), Agreeing(c), ""})
		}
	}
	first := plot.Section{Title: "First energising", Heads: []string{"", "do"}, Boxes: []int{0}, New: true,
		Says: []string{"Common practice. Live from here on: qualified persons only; covers stay on where nothing is measured."}}
	for _, e := range r.Energising() {
		first.Rows = append(first.Rows, []string{"", e})
	}
	steps := plot.Section{Heads: []string{"", "no.", "do", "must happen"}, Boxes: []int{0}}
	do, must := r.StepLines()
	for i := range do {
		steps.Rows = append(steps.Rows, []string{"", strconv.Itoa(i + 1), do[i], must[i]})
	}
	wired := plot.Section{Title: "Connection diagram: where the leads go on the real thing", New: true,
		Wired: &plot.Wired{Diagram: connections.New(r.Speak.Circuit)}}
	return append(sections, first, steps, wired)
}
