package dialogue

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// Score is what is kept of a practice that is over; the lesson is that it was of, if any.
func (d *Dialogue) Score(r *training.Replay, lesson string) training.Score {
	wasted := 0
	for _, n := range r.Wasted {
		wasted += n
	}
	var seed uint64
	for _, a := range d.Log().Acts {
		if a.Kind == log.BeginAct {
			seed = a.Seed
		}
	}
	var faults []faultmodel.ID
	for _, h := range d.Guide.Sitting().Hidden() {
		faults = append(faults, d.Model.Faults()[h].ID)
	}
	return training.Score{At: d.At(), Lesson: lesson, Circuit: d.Speak.Circuit.Title,
		Fault: training.AtOnce(faults), Seed: seed,
		Checks: r.Searched(), Needed: float64(len(r.Guided.Checks)), Minutes: talk.Hundredths(r.Minutes),
		NeededMinutes: talk.Hundredths(r.Guided.Minutes),
		Wasted:        wasted, Unsafe: len(r.Unsafe), Hints: len(r.Hints), Right: r.Right, Proved: r.Proved}
}
