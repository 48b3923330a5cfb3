package paper

import (
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// drilled is the machine form of a drill.
type drilled struct {
	Drill  string         `json:"drill"`
	Source string         `json:"source"`
	Seed   uint64         `json:"seed"`
	Open   string         `json:"open"`
	Right  bool           `json:"right"`
	Mean   float64        `json:"optimum-mean"`
	Worst  int            `json:"optimum-worst"`
	Checks []drilledCheck `json:"checks"`
	Hints  int            `json:"hints"`
}

type drilledCheck struct {
	Point  string  `json:"point"`
	Volts  float64 `json:"read"`
	Bits   float64 `json:"bits"`
	Most   float64 `json:"most"`
	Before int     `json:"before"`
	After  int     `json:"after"`
}

// DrillMachine gives a drill that is over, and its score, in its machine form.
func DrillMachine(r *training.Run, s training.Score) any {
	mean, worst := r.Drill.Optimum()
	d := drilled{Drill: s.Drill, Source: r.Drill.Source, Seed: s.Seed, Open: r.Drill.Units[r.Hidden()],
		Right: s.Right, Mean: talk.Hundredths(mean), Worst: worst, Checks: []drilledCheck{}, Hints: r.Hints}
	for _, c := range r.Made {
		d.Checks = append(d.Checks, drilledCheck{r.Drill.Points[c.Point].Word, c.Volts,
			talk.Hundredths(c.Bits), talk.Hundredths(c.Best), c.Before, c.After})
	}
	return d
}
