package main

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// cautionForm is what is to be said before a check, in its machine form.
type cautionForm struct {
	Kind   guide.CautionKind `json:"kind"`
	Text   string            `json:"text"`
	Source string            `json:"source"`
}

// cautionForms gives the cautions before the next check of a turn.
func cautionForms(m *diagnose.Model, history log.Log, t *diagnose.Turn) []cautionForm {
	if t.Next == nil {
		return nil
	}
	var forms []cautionForm
	speak := talk.NewSpeaker(m)
	for _, k := range guide.Cautions(m, history, t.Next.Check) {
		n := speak.Warned(k)
		forms = append(forms, cautionForm{k, n.Line(), n.Source})
	}
	return forms
}
