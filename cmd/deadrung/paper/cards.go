package paper

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"deadrung/circuits/connections"
	"deadrung/circuits/drawing"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
)

// Card is what the instructor does for one fault of one candidate.
type Card struct {
	Candidate exam.Candidate `json:"candidate"`
	Task      int            `json:"task"`
	Circuit   string         `json:"circuit"`
	exam.Insert
	CheckText string `json:"check-text"`
	In        string `json:"in"`  // what the check reads with the fault in
	Out       string `json:"out"` // and with it out
	Live      bool   `json:"live"`

	Wired *connections.Diagram `json:"-"` // of its circuit
}

// Picture shows where the leads of the check go on the real thing; empty for a look.
func (c *Card) Picture() template.HTML { return OnTheScrews(c.Wired, c.Check) }

// OnTheScrews draws the devices that the leads of a check are on, with their wires, from the
// connection diagram; nothing for a look.
func OnTheScrews(d *connections.Diagram, check log.Check) template.HTML {
	o := ledOn(check)
	if len(o.Only) == 0 {
		return ""
	}
	return template.HTML(d.SVG(o)) // our own drawing; every text in it is escaped
}

// ledOn are the options of a connection diagram of the devices that the leads of a check are on.
func ledOn(check log.Check) (o connections.Options) {
	for i, t := range check.Leads() {
		device, _ := t.Split()
		o.Only = append(o.Only, device)
		o.Leads = append(o.Leads, drawing.Lead{Terminal: t, Black: i == 1})
	}
	return o
}

// Foretold words a reading that is foretold, as a real trainer shows it: no meter reads 0.0
// through its leads, and coils differ.
func Foretold(m *diagnose.Model, c log.Check, r log.Reading) string {
	switch {
	case r.Kind == log.Look:
		return talk.LookOf(m.Panel().Circuit, c).Says(r.On)
	case r.Kind == log.Ohms && r.Value < diagnose.ClosedBelow:
		return fmt.Sprintf("below %g ohm", diagnose.ClosedBelow)
	case math.IsInf(r.Value, 1):
		return talk.Figure(r)
	}
	return "about " + talk.Figure(r)
}

// BenchCautions head the sheet of the cards.
var BenchCautions = slices.Concat(CautionParagraphs, []string{
	"Put faults in and take them out with the power locked off, tried and proved dead. " +
		"Nothing is bridged, jumped or grounded: every fault on these cards is an open or a dial.",
	"Do the check at the end of each half. A trainer goes back to the class only when its last check " +
		"and its whole operation are right.",
})

// PrintCards prints the cards as text.
func PrintCards(p *talk.Page, key *exam.Key, cards []Card) {
	p.Notice(talk.Caution)
	p.Parf("", "%s: cards for the benches. For the instructor alone.", key.Title)
	p.Para("", "Put faults in and take them out with the power locked off, tried and proved dead. "+
		"Nothing is bridged, jumped or grounded.")
	p.Blank()
	p.Notice(talk.LockOut(talk.BeforeCheck))
	p.Notice(talk.BackToPowerAtOnce())
	for _, c := range cards {
		p.Para("", fmt.Sprintf("SEAT %s, fault %d: %s", c.Candidate.Label(), c.Task, c.Circuit))
		p.Point(talk.Point{Label: "Fault", Text: talk.Sentence(c.Text)})
		if c.Ready != "" {
			p.Point(talk.Point{Label: "Ready", Text: talk.Sentence(c.Ready)})
		}
		for i, line := range c.Put {
			p.Point(talk.Point{Label: onlyFirst(i, "Put in"), Text: line})
		}
		p.Point(talk.Point{Label: "Is it in?", Text: talk.Sentence(c.CheckText + ": must be " + c.In)})
		if len(c.Moves) > 0 {
			p.Point(talk.Point{Label: "Beware", Text: movesOn(c.Moves)})
		}
		for i, line := range c.Take {
			p.Point(talk.Point{Label: onlyFirst(i, "Take out"), Text: line})
		}
		p.Point(talk.Point{Label: "Is it out?", Text: talk.Sentence(c.CheckText + ": must be " + c.Out)})
		p.Point(talk.Point{Label: "Then", Text: "Work the whole operation: every step right. Signed: ____________"})
		p.Blank()
	}
}

// movesOn warns of what a fault has moving that should not.
func movesOn(moves []string) string {
	return "With the fault in, this is on where it should be off: " + strings.Join(moves,
		", ") + ". Keep people clear of what it moves."
}

func onlyFirst(i int, label string) string {
	if i == 0 {
		return label
	}
	return ""
}

// CardsBody is the body of the sheet of cards.
var CardsBody = template.Must(template.New("cards").Funcs(template.FuncMap{"movesOn": movesOn, "begin": talk.SentenceStart}).Parse(`
<section class="whole"><h2>Before each card</h2><ol>{{range .LockOut}}<li>{{.}}</li>{{end}}</ol>
<h2>Before power comes back</h2><ol>{{range .BackToPower}}<li>{{.}}</li>{{end}}</ol></section>
{{range .Cards}}<section class="card">
<h2>Seat {{.Candidate.Label}}, fault {{.Task}}</h2>
<p>{{.Circuit}}: <b>{{.Text}}</b></p>
{{with .Ready}}<p>Ready: {{.}}.</p>{{end}}
<h3><span class="tick"></span> Put in, power locked off</h3>
<ol>{{range .Put}}<li>{{.}}</li>{{end}}</ol>
<p><span class="tick"></span> Is it in? {{begin .CheckText}}: must be <b>{{.In}}</b>.</p>
{{with .Picture}}<div class="screws" style="max-width: 34rem">{{.}}</div>{{end}}
{{with .Moves}}<p><b>Beware.</b> {{movesOn .}}</p>{{end}}
<h3><span class="tick"></span> Take out, power locked off again</h3>
<ol>{{range .Take}}<li>{{.}}</li>{{end}}</ol>
<p><span class="tick"></span> Is it out? {{begin .CheckText}}: must be <b>{{.Out}}</b>.</p>
<p><span class="tick"></span> The whole operation worked, every step right.</p>
<p class="sign">Put in by ________________ &nbsp; Taken out and proved by ________________</p>
</section>{{end}}`))
