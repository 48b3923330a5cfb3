package main

import (
	"encoding/json"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// practised is the machine form of a practice. Until it is over the fault is not named.
type practised struct {
	Circuit    string                 `json:"circuit"`
	Source     string                 `json:"source,omitempty"`
	Seed       uint64                 `json:"seed"`
	Ended      training.Ending        `json:"ended"`
	Fault      faultmodel.ID          `json:"fault,omitempty"`
	Text       string                 `json:"text,omitempty"`
	Second     faultmodel.ID          `json:"second,omitempty"` // where two were hidden
	Difficulty *practisedDifficulty   `json:"difficulty,omitempty"`
	Named      faultmodel.ID          `json:"named"`
	Right      *bool                  `json:"right,omitempty"`
	Repaired   *bool                  `json:"repaired,omitempty"`
	Proved     *bool                  `json:"proved,omitempty"`
	Repairs    int                    `json:"repairs"`
	Start      training.Doubt         `json:"start"`
	Checks     []practisedCheck       `json:"checks"`
	Minutes    float64                `json:"minutes"`
	AllMinutes float64                `json:"all-minutes"`
	Guided     *guided                `json:"guided,omitempty"`
	Wasted     map[training.Waste]int `json:"wasted"`
	Unsafe     []training.Unsafe      `json:"unsafe"`
	Hints      []int                  `json:"hints"`
}

type practisedDifficulty struct {
	Checks  float64 `json:"checks"`
	Mislead float64 `json:"mislead"`
	Value   float64 `json:"value"`
}

type practisedCheck struct {
	Check  json.RawMessage `json:"check"`
	Before training.Doubt  `json:"before"`
	After  training.Doubt  `json:"after"`
	Bits   float64         `json:"bits"`
	Told   float64         `json:"told"`
	Best   *log.Check      `json:"best,omitempty"`
	Most   float64         `json:"most"` // bits of the best
	Waste  training.Waste  `json:"waste,omitempty"`
	Proof  bool            `json:"proof,omitempty"`
	Spent  float64         `json:"spent"` // minutes until after it
}

type guided struct {
	Checks  []log.Check `json:"checks"`
	Bits    []float64   `json:"bits"` // doubt after each
	Spent   []float64   `json:"spent"`
	Minutes float64     `json:"minutes"`
}

// result is the machine form.
func (t *trainee) result(r *training.Replay) practised {
	p := practised{Circuit: t.Speak.Circuit.Title, Seed: t.seed, Ended: t.sitting().Ended(),
		Named: r.Stated, Repairs: r.Repairs, Start: rounded(r.Start),
		Checks: []practisedCheck{}, Minutes: talk.Hundredths(r.Minutes), AllMinutes: talk.Hundredths(r.All),
		Wasted: r.Wasted, Unsafe: []training.Unsafe{}, Hints: []int{}}
	p.Unsafe = append(p.Unsafe, r.Unsafe...)
	p.Hints = append(p.Hints, r.Hints...)
	if t.origin != nil {
		p.Source = t.origin.source
	}
	if t.over() {
		hidden := t.sitting().Hidden()
		f := t.Model.Faults()[hidden[0]]
		if len(hidden) > 1 {
			p.Second = t.Model.Faults()[hidden[1]].ID
		}
		p.Fault, p.Text, p.Right, p.Repaired, p.Proved = f.ID, f.Text, &r.Right, &r.Repaired, &r.Proved
		if d := t.Difficulty(); d != nil {
			p.Difficulty = &practisedDifficulty{talk.Hundredths(d.Checks), talk.Hundredths(d.Mislead),
				talk.Hundredths(d.Value)}
		}
		g := guided{Checks: []log.Check{}, Bits: []float64{}, Spent: []float64{},
			Minutes: talk.Hundredths(r.Guided.Minutes)}
		for i, c := range r.Guided.Checks {
			g.Checks, g.Bits, g.Spent = append(g.Checks, c), append(g.Bits,
				talk.Hundredths(r.Guided.Doubts[i].Bits)), append(g.Spent, talk.Hundredths(r.Guided.Spent[i]))
		}
		p.Guided = &g
	}
	for _, c := range r.Checks {
		out := practisedCheck{Check: log.MarshalWith(c.Entry.Check, *c.Entry.Answer),
			Before: rounded(c.Before), After: rounded(c.After),
			Bits: talk.Hundredths(c.Bits), Told: talk.Hundredths(c.Told), Most: talk.Hundredths(c.Most),
			Waste: c.Waste, Proof: c.Proof, Spent: talk.Hundredths(c.Spent)}
		if c.Best != nil {
			out.Best = &c.Best.Check
		}
		p.Checks = append(p.Checks, out)
	}
	return p
}

func rounded(d training.Doubt) training.Doubt {
	d.Bits = talk.Hundredths(d.Bits)
	return d
}

// score is what is kept of a practice that is over.
func (t *trainee) score(r *training.Replay) training.Score {
	lesson := ""
	if t.lesson != nil {
		lesson = t.lesson.Name
	}
	return t.Score(r, lesson)
}
