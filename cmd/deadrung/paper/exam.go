package paper

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"slices"

	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
)

// sheetFunctions are what the templates of the sheets say things with.
var sheetFunctions = template.FuncMap{
	"one": func(x float64) string { return fmt.Sprintf("%.1f", x) },
	"yes": talk.YesNo,
	"add": func(a ...int) (n int) {
		for _, x := range a {
			n += x
		}
		return
	},
	"bar":            shareBar,
	"figure":         figureOf,
	"discrimination": discriminationOf,
	"share":          func(found, of int) float64 { return float64(found) / float64(max(1, of)) },
}

// figureOf tells how hard a fault was, and that few say it.
func figureOf(it exam.Item) string {
	if it.There() == 0 {
		return "nobody there"
	}
	return fewSay(it, fmt.Sprintf("%.2f", it.Difficulty))
}

// discriminationOf tells how far a fault tells the better from the weaker.
func discriminationOf(it exam.Item) string {
	if it.Discrimination == nil {
		return "none"
	}
	return fewSay(it, fmt.Sprintf("%.2f", *it.Discrimination))
}

// fewSay puts a word behind a figure that few stand behind.
func fewSay(it exam.Item, figure string) string {
	if it.Few {
		return figure + ", few"
	}
	return figure
}

// Measures of a bar, in pixels.
const (
	barWidth  = 72
	barHeight = 12
)

// shareBar draws a part of a whole.
func shareBar(part float64) template.HTML {
	part = min(1, max(0, part))
	return template.HTML(fmt.Sprintf(`<svg width="%d" height="%d" viewBox="0 0 %[1]d %[2]d" role="img" aria-label="%[3]d %%"><rect class="rest" x=".5" y=".5" width="%[4]d" height="%[5]d"/><rect class="bar" x=".5" y=".5" width="%.1[6]f" height="%[5]d"/></svg>`,
		barWidth, barHeight, int(100*part+0.5), barWidth-1, barHeight-1, part*(barWidth-1)))
}

// CandidateSheet writes the sheet of one candidate.
func CandidateSheet(w io.Writer, models []*diagnose.Model, r *exam.Result, t exam.Total) error {
	var tasks []satSheet
	for _, d := range r.Marked {
		if d.Candidate != t.Candidate {
			continue
		}
		i := slices.IndexFunc(models, func(m *diagnose.Model) bool { return m.Panel().Circuit.Title == d.Circuit })
		if i < 0 {
			continue
		}
		sat, err := satAt(models[i], d)
		if err != nil {
			return err
		}
		tasks = append(tasks, sat)
	}
	return ExamSheet(w, t.Candidate.Name+": "+r.Title,
		fmt.Sprintf("Seat %d, exam %s", t.Candidate.Number, r.Exam), CautionParagraphs, candidateBody,
		map[string]any{"Total": t, "Tasks": tasks, "Scheme": r.Scheme, "All": r.Scheme.All()})
}

// ClassSheet writes the sheet of the class.
func ClassSheet(w io.Writer, r *exam.Result) error {
	return ExamSheet(w, r.Title+": the class", "For the instructor alone. Exam "+r.Exam,
		CautionParagraphs, classBody, r)
}

var candidateBody = template.Must(template.New("candidate").Funcs(sheetFunctions).Parse(`
<div class="scroll"><table><thead><tr><th></th><th class="number">Fault</th><th class="number">Checks</th><th class="number">Safety</th><th class="number">Time</th><th class="number">Total</th></tr></thead><tbody>
{{range .Tasks}}<tr><td>Fault {{.Task}}: {{.Circuit}}</td>{{with .Points}}<td class="number">{{one .Fault}}</td><td class="number">{{one .Checks}}</td><td class="number">{{one .Safety}}</td><td class="number">{{one .Time}}</td><td class="number">{{one .Total}}</td>{{end}}</tr>
{{end}}<tr><td>To be had</td><td class="number">{{one .Scheme.Fault}}</td><td class="number">{{one .Scheme.Checks}}</td><td class="number">{{one .Scheme.Safety}}</td><td class="number">{{one .Scheme.Time}}</td><td class="number">{{one .All}}</td></tr>
</tbody></table></div>
<p><b>{{one .Total.Points.Total}} of {{one .All}} marks, {{one .Total.Percent}} %: {{if .Total.Passed}}passed{{else}}not passed{{end}}.</b> {{.Total.Found}} of {{.Total.Of}} faults found.</p>
{{range .Tasks}}<section>
<h2>Fault {{.Task}}: {{.Circuit}}</h2>
<table><tbody>
<tr><th>The fault</th><td>{{.Text}}</td></tr>
<tr><th>Named</th><td>{{if .Stated}}{{.Named}}: {{if .Right}}right{{else}}<span class="bad">wrong</span>{{end}}{{if gt .Possible 1}}; {{.Possible}} groups of faults were still possible{{end}}{{else}}none{{end}}</td></tr>
<tr><th>Time</th><td>{{one .Panel}} min at the panel, expected {{one .Expected.Minutes}} min; {{one .Clock}} min by the clock{{if .Breaks}}, {{one .Breaks}} of them breaks{{end}}{{if .Late}}; <span class="bad">{{one .Late}} min late</span>{{end}}</td></tr>
<tr><th>Checks</th><td>{{len .Checks}}, of them {{.Looks}} looks; expected {{one .Expected.Checks}}; wasted {{add .Premature .Redundant .Irrelevant}}</td></tr>
</tbody></table>
<h3>Why these marks</h3>
<div class="scroll"><table><thead><tr><th>Part</th><th class="number">Marks</th><th class="number">Of</th><th>Why</th></tr></thead><tbody>
{{range .Reasons}}<tr><td>{{.Part}}</td><td class="number">{{one .Had}}</td><td class="number">{{one .Of}}</td><td class="text">{{.Why}}</td></tr>
{{end}}</tbody></table></div>
{{with .Danger}}<ul>{{range .}}<li><b>{{.Text}}</b>: {{.Right}} <span class="soft">({{.Source}})</span></li>{{end}}</ul>{{end}}
{{with .Remarks}}<ul>{{range .}}<li>{{.}}</li>{{end}}</ul>{{end}}
{{if .Rows}}<h3>The checks</h3>
<div class="scroll"><table><thead><tr><th class="number">No.</th><th>Check</th><th>Reading</th><th class="number">Bits</th><th class="number">Best</th><th class="bars">Share of the best</th><th class="number">Groups left</th><th>Better there</th></tr></thead><tbody>
{{range $i, $r := .Rows}}<tr><td class="number">{{add $i 1}}</td><td>{{.Text}}</td><td>{{.Reading}}</td><td class="number">{{printf "%.2f" .Bits}}</td><td class="number">{{printf "%.2f" .Best}}</td><td class="bars">{{bar .Share}}</td><td class="number">{{.Left}}</td><td class="text">{{with .Waste}}<b>{{.}}</b>{{end}}{{if and .Waste .Better}}: {{end}}{{.Better}}</td></tr>
{{end}}</tbody></table></div>{{end}}
{{with .Curve}}<h3>The doubt falling</h3>
<figure>{{.}}</figure>{{end}}
{{with .Ladder}}<h3>Where the checks were made</h3>
<figure>{{.}}<figcaption>The number of the check, R its red lead, B its black one; a frame is a look.</figcaption></figure>{{end}}
{{with .Doubts}}<h3>What was in doubt after every check</h3>
{{.}}{{end}}
</section>{{end}}
<p class="soft">Bits are what a check was expected to tell; a half-split is worth one. Looking at the operation costs nothing. A premature check came too early, a redundant one told what was known, an irrelevant one could tell nothing.</p>`))

var classBody = template.Must(template.New("class").Funcs(sheetFunctions).Parse(`
<h2>Marks</h2>
<div class="scroll"><table><thead><tr><th class="number">Seat</th><th>Candidate</th><th class="number">Found</th><th class="number">Fault</th><th class="number">Checks</th><th class="number">Safety</th><th class="number">Time</th><th class="number">Total</th><th class="number">%</th><th></th></tr></thead><tbody>
{{range .Class}}<tr><td class="number">{{.Candidate.Number}}</td><td class="person">{{.Candidate.Name}}{{with .Candidate.ID}} <span class="soft">{{.}}</span>{{end}}</td><td class="number">{{.Found}} of {{.Of}}</td>{{with .Points}}<td class="number">{{one .Fault}}</td><td class="number">{{one .Checks}}</td><td class="number">{{one .Safety}}</td><td class="number">{{one .Time}}</td><td class="number">{{one .Total}}</td>{{end}}<td class="number">{{one .Percent}}</td><td>{{if .Passed}}passed{{else}}<span class="bad">not passed</span>{{end}}{{if .Missing}}, {{.Missing}} not answered{{end}}{{if .Remarks}}, see below{{end}}</td></tr>
{{end}}</tbody></table></div>
<h2>Faults, the hardest for this class first</h2>
{{template "items" .Items}}
<h2>Kinds of fault</h2>
{{template "items" .Kinds}}
<p class="soft">Who handed in nothing is absent and counts nowhere else. Few: fewer than ten were there, and the figure says little; the kinds have more. Difficulty is the share of the marks of the fault that was had: 1 is easy, 0 is hard. Discrimination, from -1 to 1, is how far those did better at it who did better at their other faults, none where they had none or all did alike; below 0.2 look at the fault, below 0 at the key (common practice, no source). Checks and minutes are means over those who named a fault, wasted checks and unsafe acts over those who made a check. Expected: what the guided search takes.</p>
<h2>To be looked at</h2>
<ul>{{range $d := .Marked}}{{range .Remarks}}<li>Seat {{$d.Candidate.Label}}, fault {{$d.Task}}: {{.}}</li>{{end}}{{end}}
{{range .Strange}}<li>{{.File}}: {{.Why}}</li>{{end}}</ul>
{{define "items"}}<div class="scroll"><table><thead><tr><th>Fault</th><th class="number">Found</th><th class="bars"></th><th class="number">Absent</th><th class="number">Difficulty</th><th class="number">Discrimination</th><th class="number">Named</th><th class="number">Checks</th><th class="number">Expected</th><th class="number">Minutes</th><th class="number">Wasted</th><th class="number">Unsafe</th></tr></thead><tbody>
{{range .}}<tr><td class="text">{{.Text}} <span class="soft">{{.Circuit}}</span>{{with .Mistaken}}<br>Named instead: {{range $i, $m := .}}{{if $i}}, {{end}}{{.Text}} ({{.Times}}){{end}}{{end}}</td><td class="number">{{.Found}} of {{.There}}</td><td class="bars">{{bar (share .Found .There)}}</td><td class="number">{{.Absent}}</td><td class="number">{{figure .}}</td><td class="number">{{discrimination .}}</td><td class="number">{{.Answer}}</td><td class="number">{{if .Answer}}{{one .Checks}}{{else}}none{{end}}</td><td class="number">{{one .Expected.Checks}}</td><td class="number">{{if .Answer}}{{one .Minutes}}{{else}}none{{end}}</td><td class="number">{{one .Wasted}}</td><td class="number">{{one .Unsafe}}</td></tr>
{{end}}</tbody></table></div>{{end}}`))

// examStyle are the rules of all sheets of an exam.
const examStyle template.CSS = `
.card { border: 1.5px solid var(--ink); padding: .5rem .9rem; margin: 1rem 0; }
.card h2 { margin-top: .25rem; }
.card h3 { font-size: 1rem; margin: .75rem 0 .25rem; }
.card ol, .card ul { margin: .25rem 0; padding-left: 1.5rem; }
.bad { font-weight: bold; }
.sign { margin: .9rem 0 .25rem; }
td svg { max-width: none; }
td.text { min-width: 13rem; }
td.person { min-width: 8rem; }
figure { margin: .5rem 0; }
figcaption { font-size: .85rem; }
svg.leads .lead, svg.leads .looked { stroke: #c00000; stroke-width: 1.6; fill: none; }
svg.leads .looked { stroke-dasharray: 4 2.5; }
svg.leads text.lead { font: bold 10px sans-serif; text-anchor: middle; fill: #c00000; stroke: none; }
svg.leads text.beside { text-anchor: end; }
@media screen and (prefers-color-scheme: dark) {
  svg.leads .lead, svg.leads .looked { stroke: #ff8a80; }
  svg.leads text.lead { fill: #ff8a80; stroke: none; }
}
.bar { fill: var(--soft); }
.rest { fill: none; stroke: var(--line); }
@media print {
  .card { break-inside: avoid; }
  .scroll { overflow: visible; }
  .scroll table { font-size: 8pt; }
  .scroll th, .scroll td { padding: .1rem .25rem; }
  td.text, td.person { min-width: 0; }
  .bars { display: none; }
}
`

// ExamSheet lays out a page of an exam.
func ExamSheet(w io.Writer, title, under string, cautions []string, body *template.Template, data any) error {
	var b bytes.Buffer
	if err := body.Execute(&b, data); err != nil {
		return err
	}
	return sheet.Page{Title: title, Under: under, Cautions: cautions, Body: template.HTML(b.String()),
		Style: examStyle + DoubtsStyle}.Write(w)
}

// CautionParagraphs are the caution as a sheet has it.
var CautionParagraphs = []string{talk.Caution.Line()}
