package paper

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

// CautionForm is what is to be said before a check, in its machine form.
type CautionForm struct {
	Kind   guide.CautionKind `json:"kind"`
	Text   string            `json:"text"`
	Source string            `json:"source"`
}

// Cautions gives the cautions before a check that follows a log; none where there is none.
func Cautions(s *talk.Speaker, history log.Log, next *diagnose.Proposal) []CautionForm {
	if next == nil {
		return nil
	}
	var forms []CautionForm
	for _, k := range guide.Cautions(s.Model, history, next) {
		n := s.Warned(k)
		forms = append(forms, CautionForm{k, n.Line(), n.Source})
	}
	return forms
}
