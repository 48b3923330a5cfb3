package paper

import (
	"strconv"

	"deadrung/circuits/work"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
)

// OperationSections are the steps of an operation on sheets to sign: what is done, what every output
// then does, and what goes wrong. Fault is what is broken; empty for the good circuit.
func OperationSections(p *work.Panel, steps []worked, fault string) []plot.Section {
	const columns = 8
	head := plot.Section{Title: "What is done", Heads: []string{"", "step", "name", "do"}, Boxes: []int{0}}
	if fault != "" {
		head.Says = []string{"With a fault: " + fault + "."}
	}
	for i, w := range steps {
		do := "Nothing"
		if w.do() != "" {
			do = talk.SentenceStart(w.do())
		}
		head.Rows = append(head.Rows, []string{"", strconv.Itoa(i + 1), w.Step, do})
	}
	sections := []plot.Section{head}
	marks := false
	visible := p.Visible()
	for from := 0; from < len(visible); from += columns {
		part := visible[from:min(from+columns, len(visible))]
		s := plot.Section{Title: "What is then to be seen", Heads: []string{"step"}}
		if from > 0 {
			s.Title += ", continued"
		}
		for _, d := range part {
			s.Heads = append(s.Heads, d.Name)
		}
		for i, w := range steps {
			row := []string{strconv.Itoa(i + 1)}
			for _, d := range part {
				text := w.Outputs[d.Name].String()
				marks = marks || text != w.Outputs[d.Name].Saw
				row = append(row, text)
			}
			s.Rows = append(s.Rows, row)
		}
		sections = append(sections, s)
	}
	wrong := plot.Section{Says: mishaps(steps)}
	if marks {
		wrong.Says = append(wrong.Says, operationMarks...)
	}
	return append(sections, wrong)
}
