package paper

import (
	"html/template"
	"strings"

	"deadrung/circuits/connections"
	"deadrung/cmd/deadrung/paper/sheet"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/checkout"
)

var checkOutSheet = template.Must(template.New("check-out").Funcs(template.FuncMap{"where": Where,
	"agreeing": Agreeing, "rung": rungTitle}).Parse(
	`{{range .Summary}}<p>{{.}}</p>
{{end}}{{with .Unseen}}<ul>{{range .}}<li>{{.}}</li>{{end}}</ul>
{{end}}<ul class="rules">{{range .Rules}}<li>{{.}}</li>{{end}}</ul>
{{range .Parts}}<h2>{{.Title}}</h2>
<p>{{.How}}</p>
{{range .Holds}}<table class="checks">
<caption>{{.Held}}</caption>
<thead><tr><th></th><th class="number">No.</th><th>Rung</th><th>Ohms</th><th>Good</th><th>Read</th></tr></thead>
<tbody>
{{range .Checks}}<tr><td><span class="tick"></span></td><td class="number">{{.Number}}</td><td class="number">{{with .Rung}}{{.}}{{end}}</td><td>{{where .Check}}{{with .Screws}}<details class="screws"><summary>On the real thing</summary>{{.}}</details>{{end}}</td><td>{{agreeing .Check}}</td><td></td></tr>
{{end}}</tbody>
</table>
{{end}}{{end}}<h2 class="energise">First energising</h2>
<p class="soft">Common practice. Live: a qualified person, covers on where nothing is measured.</p>
<table class="energise"><tbody>
{{range .Energising}}<tr><td><span class="tick"></span></td><td>{{.}}</td></tr>
{{end}}</tbody></table>
<table class="steps">
<thead><tr><th></th><th class="number">No.</th><th>Do</th><th>Must happen</th></tr></thead>
<tbody>
{{range .Steps}}<tr><td><span class="tick"></span></td><td class="number">{{.Number}}</td><td>{{.Do}}</td><td>{{.Must}}</td></tr>
{{end}}</tbody></table>`))

const checkOutStyle = `table { table-layout: fixed; }
td { overflow-wrap: anywhere; }
th:first-child, td:first-child { width: 2rem; }
.energise td:first-child { width: 2rem; }
.checks th:nth-child(2), .steps th:nth-child(2) { width: 3rem; }
.checks th:nth-child(3) { width: 3.9rem; }
.checks th:nth-child(5) { width: 24%; }
.checks th:nth-child(6) { width: 16%; }
h2, caption { break-after: avoid; }
h2.energise { break-before: page; }
@media print { .screws { display: none; } }
@media screen and (max-width: 40rem) {
  .checks thead, .steps thead { display: none; }
  .checks tr, .steps tr { display: block; border: 1px solid var(--line); padding: .3rem; }
  .checks td, .steps td { display: block; border: 0; padding: .1rem .2rem; text-align: left; }
  .checks td:nth-child(-n+3), .steps td:nth-child(-n+2) { display: inline-block; width: auto; font-weight: bold; }
  .checks td:nth-child(3)::before { content: "rung "; }
  .checks td:nth-child(5)::before { content: "good: "; }
  .checks td:nth-child(6)::before { content: "read: ________"; }
  .steps td:nth-child(4)::before { content: "must happen: "; }
}
`

// mostScrews is how many checks at most have a picture of the real thing each: more make a file that a
// telephone does not open.
const mostScrews = 120

// Page lays the check-out out as a sheet to print.
func (r *CheckOut) Page() (sheet.Page, error) {
	type check struct {
		checkout.Check
		Number int
		Screws template.HTML // where the leads go on the real thing
	}
	type hold struct {
		Held   string
		Checks []check
	}
	type part struct {
		Title, How string
		Holds      []hold
	}
	type step struct {
		Number   int
		Do, Must string
	}
	screws := func(checkout.Check) template.HTML { return "" }
	if len(r.Plan.Checks()) <= mostScrews {
		wired := connections.New(r.Speak.Circuit)
		screws = func(c checkout.Check) template.HTML { return OnTheScrews(wired, c.Check) }
	}
	var parts []part
	n := 0
	for _, p := range r.Plan.Rounds {
		words := partWords[p.Sort]
		one := part{Title: words.title, How: words.how}
		for _, c := range p.Checks {
			n++
			held := r.holding(c.Check) + " " + r.at(c) + "."
			if k := len(one.Holds); k == 0 || one.Holds[k-1].Held != held {
				one.Holds = append(one.Holds, hold{Held: held})
			}
			last := &one.Holds[len(one.Holds)-1]
			last.Checks = append(last.Checks, check{c, n, screws(c)})
		}
		parts = append(parts, one)
	}
	var steps []step
	do, must := r.StepLines()
	for i := range do {
		steps = append(steps, step{i + 1, do[i], must[i]})
	}
	var body strings.Builder
	err := checkOutSheet.Execute(&body, struct {
		Summary, Unseen, Rules []string
		Parts                  []part
		Energising             []string
		Steps                  []step
	}{r.Summary(), r.Unseen(), append(r.Rules(), r.afterWrong()), parts, r.Energising(), steps})
	if err != nil {
		return sheet.Page{}, err
	}
	return sheet.Page{Title: r.Speak.Circuit.Title, Under: "Check-out before first power",
		Cautions: []string{talk.CautionOf(r.Speak.Model.Panel()).Line(),
			talk.LockOutOf(r.Speak.Model.Panel(), talk.BeforeOhms).Line()},
		Body: template.HTML(body.String()), Style: checkOutStyle}, nil
}
