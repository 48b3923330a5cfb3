package paper

import (
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/exam"
)

// WiringTable writes one line for each candidate of an exam in wiring.
func WiringTable(w io.Writer, r *exam.WiringResult) error {
	c := csv.NewWriter(w)
	c.Write([]string{"seat", "name", "id", "file", "right", "whole", "conductors", "mistakes", "marks joined", "marks numbers",
		"marks landings", "marks no short", "marks total", "of", "percent", "passed", "remarks"})
	for _, m := range r.Marks {
		parts := []string{"", "", "", ""}
		for i, x := range m.Reasons {
			parts[i] = decimal(x.Had)
		}
		c.Write(append(append([]string{strconv.Itoa(m.Candidate.Number), harmless(m.Candidate.Name), harmless(m.Candidate.ID), baseName(m.File),
			talk.YesNo(m.Right), strconv.Itoa(m.Whole), strconv.Itoa(r.Conductors), strconv.Itoa(len(m.Mistakes))}, parts...),
			decimal(m.Total), decimal(r.Scheme.Wiring()), decimal(m.Percent), talk.YesNo(m.Passed), harmless(strings.Join(m.Remarks, "; "))))
	}
	c.Flush()
	return c.Error()
}

// PrintWiringMarks tells the marks of an exam in wiring.
func PrintWiringMarks(p *talk.Page, r *exam.WiringResult, dir string) {
	p.Parf("", "%s: %s, wiring of %q.", r.Title, talk.Count(len(r.Marks), "candidate"), r.Circuit)
	p.Blank()
	p.Raw(fmt.Sprintf("%4s  %s %7s %8s %7s %7s\n", "seat", talk.Padded("name", markedName), "whole", "mistakes", "%", "passed"))
	for _, m := range r.Marks {
		passed := talk.YesNo(m.Passed)
		if len(m.Remarks) > 0 {
			passed += " *"
		}
		p.Raw(fmt.Sprintf("%4d  %s %7s %8d %7s %7s\n", m.Candidate.Number, talk.Padded(talk.Cut(m.Candidate.Name, markedName), markedName),
			fmt.Sprintf("%d/%d", m.Whole, r.Conductors), len(m.Mistakes), decimal(m.Percent), passed))
	}
	p.Blank()
	p.Para("", "Conductors, by their numbers on the drawing:")
	for _, it := range r.Items {
		p.Hang(fmt.Sprintf("  wire %-5s ", it.Wire), wiringItem(it))
	}
	for _, m := range r.Marks {
		for _, remark := range m.Remarks {
			p.Hang("  * ", fmt.Sprintf("seat %s: %s", m.Candidate.Label(), remark))
		}
	}
	for _, x := range r.Strange {
		p.Hang("  * ", fmt.Sprintf("%s: %s", x.File, x.Why))
	}
	if dir != "none" {
		p.Blank()
		p.Parf("", "The sheets and tables are in %s.", dir)
	}
}

// wiringItem tells how a class did at a conductor.
func wiringItem(it exam.WiringItem) string {
	if it.There == 0 {
		return "no plan was handed in"
	}
	text := fmt.Sprintf("whole for %d of %d", it.Whole, it.There)
	if it.Discrimination != nil {
		text += fmt.Sprintf(", discrimination %.2f", *it.Discrimination)
	}
	if it.Few {
		text += " (few, which says little)"
	}
	return text
}

var wiringMarkBody = template.Must(template.New("wiring").Funcs(sheetFunctions).Parse(`
<p><b>{{one .Total}} of {{one .All}} marks, {{one .Percent}} %: {{if .Passed}}passed{{else}}not passed{{end}}.</b></p>
{{with .Reasons}}<h2>Why these marks</h2>
<div class="scroll"><table><thead><tr><th>Part</th><th class="number">Marks</th><th class="number">Of</th><th>Why</th></tr></thead><tbody>
{{range .}}<tr><td>{{.Part}}</td><td class="number">{{one .Had}}</td><td class="number">{{one .Of}}</td><td class="text">{{.Why}}</td></tr>
{{end}}</tbody></table></div>{{end}}
{{with .Remarks}}<ul>{{range .}}<li>{{.}}</li>{{end}}</ul>{{end}}
`))

// WiringSheet writes the sheet of a candidate of an exam in wiring: the marks with their reasons,
// and the plan held against the drawing.
func WiringSheet(w io.Writer, d *drawing.Drawing, r *exam.WiringResult, m *exam.WiringMark) error {
	var head strings.Builder
	if err := wiringMarkBody.Execute(&head, struct {
		*exam.WiringMark
		All float64
	}{m, r.Scheme.Wiring()}); err != nil {
		return err
	}
	data := planData{Head: template.HTML(head.String()), Heading: "The wires as planned", Drawing: template.HTML(d.SVG(drawing.Options{}))}
	if !m.Absent() {
		data.judged(Planned(d.Circuit, m.Wires))
	}
	return writePlanSheet(w, r.Title+": "+m.Candidate.Label(), "Wiring of "+d.Circuit.Title+". Exam "+r.Exam, data)
}

var wiringClassBody = template.Must(template.New("class").Funcs(sheetFunctions).Funcs(template.FuncMap{"item": wiringItem}).Parse(`
<h2>Marks</h2>
<div class="scroll"><table><thead><tr><th class="number">Seat</th><th>Candidate</th><th class="number">Whole</th><th class="number">Mistakes</th><th class="number">Total</th><th class="number">%</th><th></th></tr></thead><tbody>
{{range .Marks}}<tr><td class="number">{{.Candidate.Number}}</td><td class="person">{{.Candidate.Name}}</td><td class="number">{{.Whole}} of {{$.Conductors}}</td><td class="number">{{len .Mistakes}}</td><td class="number">{{one .Total}}</td><td class="number">{{one .Percent}}</td><td>{{if .Passed}}passed{{else}}<span class="bad">not passed</span>{{end}}{{range .Remarks}}; {{.}}{{end}}</td></tr>
{{end}}</tbody></table></div>
<h2>Conductors</h2>
<div class="scroll"><table><thead><tr><th>Wire</th><th class="number">Whole</th><th class="bars"></th><th>How the class did</th></tr></thead><tbody>
{{range .Items}}<tr><td>{{.Wire}}</td><td class="number">{{.Whole}} of {{.There}}</td><td class="bars">{{bar (share .Whole .There)}}</td><td class="text">{{item .}}</td></tr>
{{end}}</tbody></table></div>
{{with .Strange}}<h2>To be looked at</h2><ul>{{range .}}<li>{{.File}}: {{.Why}}</li>{{end}}</ul>{{end}}
<p class="soft">Discrimination, from -1 to 1, is how far those had a conductor whole who had more of the others (common practice, no source).</p>
`))

// WiringClassSheet writes the sheet of a class.
func WiringClassSheet(w io.Writer, r *exam.WiringResult) error {
	return ExamSheet(w, r.Title+": the class", "For the instructor alone. Wiring of "+r.Circuit+". Exam "+r.Exam, CautionParagraphs, wiringClassBody, r)
}
