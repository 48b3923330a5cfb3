package paper

import (
	"bytes"
	"fmt"
	"html/template"

	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/training"
)

// DoubtsDrawn are the drawings of a replay, one after every check: its leads, the circuit in its
// step, and what was still in doubt. Of a long drawing they show the rungs around the check and
// where the likeliest faults are.
func DoubtsDrawn(m *diagnose.Model, r *training.Replay) (template.HTML, error) {
	if len(r.Checks) == 0 {
		return "", nil
	}
	d := drawing.New(m.Panel().Circuit)
	speak := talk.NewSpeaker(m)
	type figure struct {
		Number             int
		Check, Left, Found string
		More               string // of what is in doubt and not drawn
		Picture            template.HTML
	}
	var figures []figure
	for i, c := range r.Checks {
		o := diagnose.Drawn(d, c.Check)
		o.Doubts = m.Doubts(c.Left)
		var more int
		o.Rungs, more = m.Around(d, &c.Check, c.Left)
		figures = append(figures, figure{i + 1, speak.Condensed(c.Check),
			fmt.Sprintf("%s in %s", talk.Count(c.After.Faults, "fault"), talk.Count(c.After.Groups, "group")),
			speak.Answer(c.Check, c.Entry.Answer), talk.RungsNotDrawn(more), template.HTML(d.SVG(o))}) // our own drawing; every text in it is escaped
	}
	var b bytes.Buffer
	err := doubtsBody.Execute(&b, figures)
	return template.HTML(b.String()), err
}

var doubtsBody = template.Must(template.New("doubts").Parse(`<div class="doubts">
{{range .}}<figure class="whole">{{.Picture}}<figcaption><b>{{.Number}}.</b> {{.Check}}: <b>{{.Found}}</b>. Still possible: {{.Left}}.{{with .More}} {{.}}{{end}}</figcaption></figure>
{{end}}</div>`))

// DoubtsStyle are the rules of those drawings.
const DoubtsStyle template.CSS = `
.doubts { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 26rem), 1fr)); gap: 1rem; }
.doubts figure { margin: 0; border: 1px solid var(--line); padding: .5rem; }
.doubts figcaption { font-size: .85rem; }
@media print { .doubts { grid-template-columns: 1fr 1fr; gap: .5rem; } .doubts figcaption { font-size: 8pt; } }
`
