package main

import (
	"bytes"
	"fmt"
	"html/template"
	"io"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// replayBody is the body of a practice's sheet: what came of it, the doubt falling, every
// check beside the best one.
var replayBody = template.Must(template.New("replay").Parse(`
<h2>What came of it</h2>
<ul>{{range .Outcome}}<li>{{.}}</li>{{end}}</ul>
<h2>The doubt falling</h2>
<figure class="whole" style="margin:0">{{.Picture}}</figure>
<h2>Checks</h2>
<div class="scroll"><table>
<thead><tr><th class="number">#</th><th>Check and answer</th><th class="number">Doubt before, bits</th><th class="number">after</th><th class="number">Minutes</th><th>What it was worth</th></tr></thead>
<tbody>{{range .Checks}}<tr><td class="number">{{.Number}}</td><td>{{.Check}}</td><td class="number">{{.Before}}</td><td class="number">{{.After}}</td><td class="number">{{.Spent}}</td><td>{{.Worth}}</td></tr>
{{else}}<tr><td colspan="6">None was made.</td></tr>{{end}}</tbody></table></div>
{{with .Doubts}}<h2>What was in doubt after every check</h2>
{{.}}{{end}}
{{with .Guided}}<h2>The guided search</h2>
<ol>{{range .}}<li>{{.}}</li>{{end}}</ol>{{end}}
`))

// writeSheet lays the replay out as one HTML file.
func (t *trainee) writeSheet(w io.Writer, r *training.Replay) error {
	type row struct{ Number, Check, Before, After, Spent, Worth string }
	data := struct {
		Outcome []string
		Picture template.HTML
		Doubts  template.HTML
		Checks  []row
		Guided  []string
	}{}
	var picture bytes.Buffer
	if err := paper.DrawReplay(&picture, t.Speak, r, t.over()); err != nil {
		return err
	}
	data.Picture = template.HTML(picture.String()) // our own drawing; every text in it is escaped
	var err error
	if data.Doubts, err = paper.DoubtsDrawn(t.Model, r); err != nil {
		return err
	}
	data.Outcome = t.Outcome(r)
	for i, c := range r.Checks {
		data.Checks = append(data.Checks,
			row{fmt.Sprint(i + 1), t.Speak.Entry(c.Entry), fmt.Sprintf("%.2f", c.Before.Bits),
				fmt.Sprintf("%.2f", c.After.Bits), fmt.Sprintf("%.1f", c.Spent), talk.Sentence(t.WorthShort(&c.Judged))})
	}
	if t.over() {
		for _, c := range r.Guided.Checks {
			data.Guided = append(data.Guided, t.Speak.Condensed(c))
		}
	}
	var body bytes.Buffer
	if err := replayBody.Execute(&body, data); err != nil {
		return err
	}
	return sheet.Page{
		Title:    "Practice: " + t.Speak.Circuit.Title,
		Under:    fmt.Sprintf("Simulated panel, seed %d. %s", t.seed, t.Now().Format("2006-01-02")),
		Cautions: []string{talk.Caution.Line()}, Body: template.HTML(body.String()), Style: paper.DoubtsStyle,
	}.Write(w)
}
