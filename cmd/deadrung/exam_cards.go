package main

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/faultmodel"
)

type cardsOptions struct {
	dir       string
	candidate int
	html      bool
	json      bool
	output    string
	secret    secret
}

func newExamCards(s streams) *cobra.Command {
	var o cardsOptions
	c := &cobra.Command{
		Use:   "cards DIR",
		Short: "What the instructor does to put each fault into a trainer, and to take it out",
		Long: `Cards prints, for an exam on benches, one card for each candidate and fault: what is
done on the trainer with the power locked off to put the fault in, the check that tells
that it is in, how it is taken out, and the check that tells that it is out.

The cards name the faults, so they need the passphrase.

` + caution,
		Args: oneFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamCards(o, s)
		},
	}
	f := c.Flags()
	f.IntVar(&o.candidate, "candidate", 0, "the cards of the candidate in this seat alone")
	f.BoolVar(&o.html, "html", false, "as a sheet to print, in HTML")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	f.StringVarP(&o.output, "output", "o", "", "write the result to this file")
	return c
}

// oneFolder asks for the folder of an exam and nothing else.
func oneFolder(_ *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return fmt.Errorf("name the folder of the exam")
	}
	return fmt.Errorf("one exam at a time; %q is too much", args[1])
}

// card is what the instructor does for one fault of one candidate.
type card struct {
	Candidate exam.Candidate `json:"candidate"`
	Task      int            `json:"task"`
	Circuit   string         `json:"circuit"`
	exam.Insert
	CheckText string `json:"check-text"`
	In        string `json:"in"`  // what the check reads with the fault in
	Out       string `json:"out"` // and with it out
	Live      bool   `json:"live"`
}

func runExamCards(o cardsOptions, s streams) error {
	if o.html && o.json {
		return usagef("--html and --json are two forms: give one")
	}
	f, key, err := openKey(o.dir, o.secret, s)
	if err != nil {
		return err
	}
	if key.Form != exam.Bench {
		return usagef("this exam is %s: there is nothing to put into a trainer", key.Form)
	}
	if o.candidate != 0 && key.Of(o.candidate) == nil {
		return usagef("the exam has no seat %d; the seats go from 1 to %d", o.candidate, len(key.Keys))
	}
	var cards []card
	waiting(s.err, new(stage).text, func() { cards, err = f.cards(key, o.candidate) })
	if err != nil {
		return err
	}
	if o.html {
		return output(o.output, s, func(w io.Writer) error {
			return htmlSheet(w, key.Title+": cards for the benches", "For the instructor alone. Exam "+key.Exam,
				benchCautions, cardsBody, map[string]any{"Cards": cards, "LockOut": noticeLines(lockOut), "BackToPower": noticeLines(trainerPower)})
		})
	}
	return outputOf(o.output, o.json, cards, s, func(p *page) { printCards(p, key, cards) })
}

// openKey opens the folder of an exam and its key.
func openKey(dir string, k secret, s streams) (*examFolder, *exam.Key, error) {
	f, err := openExam(dir, s)
	if err != nil {
		return nil, nil, err
	}
	passphrase, err := k.get(false, s)
	if err != nil {
		return nil, nil, err
	}
	key, err := f.open(passphrase)
	return f, key, err
}

// cards makes the cards of one candidate, or of all where it is 0.
func (f *examFolder) cards(key *exam.Key, candidate int) ([]card, error) {
	cards := []card{}
	for _, k := range key.Keys {
		if candidate != 0 && k.Number != candidate {
			continue
		}
		for i, t := range k.Tasks {
			m := f.models[t.Circuit]
			fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
			if err != nil {
				return nil, fmt.Errorf("the key does not belong to these circuits: %w", err)
			}
			in, err := exam.OnBench(m, fault, true)
			if err != nil {
				return nil, fmt.Errorf("%s cannot be put into a trainer: %w", in.Text, err)
			}
			cards = append(cards, card{Candidate: k.Candidate, Task: i + 1, Circuit: m.Panel().Circuit.Title, Insert: in,
				CheckText: plainCheck(m, in.Check), In: foretold(m, in.Check, in.In), Out: foretold(m, in.Check, in.Out), Live: in.Check.Kind() != diagnose.Ohms})
		}
	}
	return cards, nil
}

// foretold words a reading that is foretold, as a real trainer shows it: no meter reads 0.0
// through its leads, and coils differ.
func foretold(m *diagnose.Model, c diagnose.Check, r diagnose.Reading) string {
	switch {
	case r.Kind == diagnose.Look:
		return showing(m.Panel().Circuit.Device(c.Look), r.On)
	case r.Kind == diagnose.Ohms && r.Value < diagnose.ClosedBelow:
		return fmt.Sprintf("below %g ohm", diagnose.ClosedBelow)
	case math.IsInf(r.Value, 1):
		return figure(r)
	}
	return "about " + figure(r)
}

// benchCautions head the sheet of the cards.
var benchCautions = slices.Concat(cautionParagraphs, []string{
	"Put faults in and take them out with the power locked off, tried and proved dead. Nothing is bridged, jumped or grounded: every fault on these cards is an open or a dial.",
	"Do the check at the end of each half. A trainer goes back to the class only when its last check and its whole operation are right.",
})

// trainerPower comes before the power goes back on a trainer.
const trainerPower = `BACK TO POWER:
  1. Take the leads off, land every lifted wire, put the covers back.
  2. See that all people are clear, and tell them.
  3. Take off locks and tags, each by the person who put it there. Switch on.
`

func printCards(p *page, key *exam.Key, cards []card) {
	p.notice(caution)
	p.parf("", "%s: cards for the benches. For the instructor alone.", key.Title)
	p.para("", "Put faults in and take them out with the power locked off, tried and proved dead. Nothing is bridged, jumped or grounded.")
	p.blank()
	p.notice(lockOut)
	p.notice(trainerPower)
	for _, c := range cards {
		p.para("", fmt.Sprintf("SEAT %s, fault %d: %s", c.Candidate.Label(), c.Task, c.Circuit))
		p.point(point{"Fault", sentence(c.Text)})
		if c.Ready != "" {
			p.point(point{"Ready", sentence(c.Ready)})
		}
		for i, line := range c.Put {
			p.point(point{onlyFirst(i, "Put in"), line})
		}
		p.point(point{"Is it in?", sentence(c.CheckText + ": must be " + c.In)})
		if len(c.Moves) > 0 {
			p.point(point{"Beware", movesOn(c.Moves)})
		}
		for i, line := range c.Take {
			p.point(point{onlyFirst(i, "Take out"), line})
		}
		p.point(point{"Is it out?", sentence(c.CheckText + ": must be " + c.Out)})
		p.point(point{"Then", "Work the whole operation: every step right. Signed: ____________"})
		p.blank()
	}
}

// movesOn warns of what a fault has moving that should not.
func movesOn(moves []string) string {
	return "With the fault in, this is on where it should be off: " + strings.Join(moves, ", ") + ". Keep people clear of what it moves."
}

func onlyFirst(i int, label string) string {
	if i == 0 {
		return label
	}
	return ""
}

var cardsBody = template.Must(template.New("cards").Funcs(template.FuncMap{"movesOn": movesOn, "begin": sentenceStart}).Parse(`
<section class="whole"><h2>Before each card</h2><ol>{{range .LockOut}}<li>{{.}}</li>{{end}}</ol>
<h2>Before power comes back</h2><ol>{{range .BackToPower}}<li>{{.}}</li>{{end}}</ol></section>
{{range .Cards}}<section class="card">
<h2>Seat {{.Candidate.Label}}, fault {{.Task}}</h2>
<p>{{.Circuit}}: <b>{{.Text}}</b></p>
{{with .Ready}}<p>Ready: {{.}}.</p>{{end}}
<h3><span class="tick"></span> Put in, power locked off</h3>
<ol>{{range .Put}}<li>{{.}}</li>{{end}}</ol>
<p><span class="tick"></span> Is it in? {{begin .CheckText}}: must be <b>{{.In}}</b>.</p>
{{with .Moves}}<p><b>Beware.</b> {{movesOn .}}</p>{{end}}
<h3><span class="tick"></span> Take out, power locked off again</h3>
<ol>{{range .Take}}<li>{{.}}</li>{{end}}</ol>
<p><span class="tick"></span> Is it out? {{begin .CheckText}}: must be <b>{{.Out}}</b>.</p>
<p><span class="tick"></span> The whole operation worked, every step right.</p>
<p class="sign">Put in by ________________ &nbsp; Taken out and proved by ________________</p>
</section>{{end}}`))
