package paper

import (
	"encoding/json"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/faultmodel"
)

// The machine form of a chart.
type (
	ChartsForm struct {
		Circuit string      `json:"circuit"`
		By      string      `json:"by"`
		Cut     float64     `json:"cut"`
		Charts  []chartForm `json:"charts"`
	}
	chartForm struct {
		Complaint []json.RawMessage `json:"complaint"` // in the form of the log
		Start     *ForkForm         `json:"start"`
	}
	// ForkForm is a check with its answers, or an end without any.
	ForkForm struct {
		Status diagnose.Status `json:"status,omitempty"` // none where it is cut
		Share  float64         `json:"share"`
		Check  *log.Check      `json:"check,omitempty"`
		Proof  bool            `json:"proof,omitempty"`
		// Cautions are what has to be said before the check.
		Cautions []CautionForm `json:"cautions,omitempty"`
		Minutes  float64       `json:"minutes,omitempty"`
		Answers  []answerForm  `json:"answers,omitempty"`
		Cut      bool          `json:"cut,omitempty"`
		Proved   bool          `json:"proved,omitempty"`
		Left     []leftForm    `json:"left"`
	}
	answerForm struct {
		diagnose.Answered
		Stray bool      `json:"stray,omitempty"`
		To    *ForkForm `json:"to"`
	}
	leftForm struct {
		ID          faultmodel.ID `json:"id"`
		Probability float64       `json:"probability"`
	}
)

// Machine gives the charts in their machine form.
func (b *Book) Machine() ChartsForm {
	form := ChartsForm{Circuit: b.speak.Circuit.Title, By: "minutes", Cut: b.options.Cut}
	if b.options.By == diagnose.ByChecks {
		form.By = "checks"
	}
	for _, f := range b.Flows {
		c := chartForm{Complaint: []json.RawMessage{}, Start: b.fork(f.stops[0])}
		for _, e := range f.log.Entries {
			c.Complaint = append(c.Complaint, log.MarshalWith(e.Check, *e.Answer))
		}
		form.Charts = append(form.Charts, c)
	}
	return form
}

func (b *Book) fork(s *stop) *ForkForm {
	t := &s.fork.Turn
	form := &ForkForm{Share: s.fork.Odds, Cut: s.cut, Left: []leftForm{}}
	if !s.cut {
		form.Status, form.Proved = t.Status, t.Proved
	}
	for _, c := range b.speak.Ranked(t) {
		form.Left = append(form.Left, leftForm{c.ID, c.Probability})
	}
	if len(s.exits) > 0 {
		form.Check, form.Proof, form.Minutes = &t.Next.Check, t.Next.Proof, t.Next.Minutes
		form.Cautions = Cautions(b.speak, s.fork.Log, t.Next)
	}
	for _, e := range s.exits {
		form.Answers = append(form.Answers, answerForm{e.way.Answered, e.way.Stray, b.fork(e.to)})
	}
	return form
}
