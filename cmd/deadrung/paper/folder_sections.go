package paper

import (
	"slices"
	"strconv"

	"deadrung/circuits/drawing"
	"deadrung/circuits/wirelist"
	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
)

// Signed is a sheet of a folder, beside the drawings, that is there to sign as well.
type Signed struct {
	File, Title string
	Sections    func() ([]plot.Section, error)
}

// Signed gives the sheets of a folder to sign, the drawings left out, in the order of the index.
func (b *Book) Signed(checkOut func() *CheckOut, by diagnose.By) []Signed {
	p := b.Model.Panel()
	good := func(s []plot.Section) func() ([]plot.Section, error) {
		return func() ([]plot.Section, error) { return s, nil }
	}
	return []Signed{
		{"wirelist.pdf", "Wire list", good(WireSections(wirelist.Of(drawing.New(p.Circuit))))},
		{"checkout.pdf", "Check-out before first power", func() ([]plot.Section, error) { return checkOut().Sections(), nil }},
		{"operation.pdf", "Operation", good(OperationSections(p, WorkAll(p, &work.Overlay{}, nil), ""))},
		{"readings.pdf", "Expected readings", b.readingsSections},
		{"chart.pdf", "Fault-finding chart", func() ([]plot.Section, error) { return b.Sections(), nil }},
		{"testability.pdf", "Testability", func() ([]plot.Section, error) { return b.testabilitySections(by) }},
	}
}

// readingsSections are the readings of the folder's sheet.
func (b *Book) readingsSections() ([]plot.Section, error) {
	p := b.Model.Panel()
	t := b.expectedReadings()
	ohms := plot.Section{Title: "Ohms, wires lifted off the first terminal", Heads: []string{"where", "what", "should read", "read"},
		Free: []int{3}, Says: []string{talk.LockOutOf(p, talk.BeforeOhms).Line()}}
	for _, r := range t.Ohms {
		ohms.Rows = append(ohms.Rows, []string{r.What, r.Note, r.Reads[0].Text, ""})
	}
	steps := plot.Section{Title: "Steps", Heads: []string{"step", "name"}}
	for i, st := range p.Circuit.Steps {
		steps.Rows = append(steps.Rows, []string{strconv.Itoa(i + 1), st.Name})
	}
	if slices.ContainsFunc(slices.Concat(t.Loads, t.Points), func(r expectedRow) bool {
		return slices.ContainsFunc(r.Reads, func(x expectedReading) bool { return x.Text == unforetold })
	}) {
		steps.Says = append(steps.Says, "Where a "+unforetold+" stands, nobody can foretell the reading: a lead is on a wire that floats.")
	}
	sections := []plot.Section{steps}
	const columns = 14
	for from := 0; from < len(p.Circuit.Steps); from += columns {
		to := min(from+columns, len(p.Circuit.Steps))
		s := plot.Section{Title: "Volts at the end of each step", Heads: []string{"where", "what"}}
		if from > 0 {
			s.Title += ", continued"
		}
		for i := from; i < to; i++ {
			s.Heads = append(s.Heads, strconv.Itoa(i+1))
		}
		for _, r := range slices.Concat(t.Loads, t.Points) {
			row := []string{r.What, r.Note}
			for _, x := range r.Reads[from:to] {
				row = append(row, x.Text)
			}
			s.Rows = append(s.Rows, row)
		}
		sections = append(sections, s)
	}
	return append(sections, ohms), nil
}

// testabilitySections leave out what takes minutes on a large panel.
func (b *Book) testabilitySections(by diagnose.By) ([]plot.Section, error) {
	if LargePanel(b.Model) {
		return []plot.Section{{Says: []string{"How many checks the search takes is not worked out here for a panel of this " +
			"size: \"deadrung testability circuit.yaml\" does it."}}, alikeSection(b.Model)}, nil
	}
	t, err := b.Model.Testability(by, diagnose.Effort{})
	return TestabilitySections(b.Model, t, by, 0), err
}
