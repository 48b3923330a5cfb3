package paper

import (
	"fmt"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// DrillWorth says what a check of a drill was worth.
func DrillWorth(r *training.Run, c training.DrillCheck) string {
	text := fmt.Sprintf("%.2f bits; possible before %d, after %d.", c.Bits, c.Before, c.After)
	switch {
	case c.Bits == 0:
		text += " Its answer was known."
	case c.Bits < c.Best-1e-9:
		text += fmt.Sprintf(" Best: %s, %.2f bits.", r.Drill.Points[c.At].Text, c.Best)
	}
	return text
}

// PrintDrill shows how the doubt fell in a drill, and whether the unit that was named is open.
func PrintDrill(out *talk.Page, r *training.Run, named int) {
	d := r.Drill
	out.Blank()
	for i, c := range r.Made {
		out.Hang(fmt.Sprintf("%3d. ", i+1), fmt.Sprintf("%s  %s: %.1f V. %s",
			talk.Bar(float64(c.After), float64(len(d.Units))), d.Points[c.Point].Text, c.Volts, DrillWorth(r, c)))
	}
	switch {
	case !r.Right(named):
		out.Parf("", "WRONG: %s is open, not %s.", d.Units[r.Hidden()], d.Units[named])
	case len(r.Left) > 1:
		out.Parf("", "RIGHT, by luck: %s is open, and %d were still possible. It does not count as found.",
			d.Units[named], len(r.Left))
	default:
		out.Parf("", "RIGHT: %s is open.", d.Units[named])
	}
	mean, worst := d.Optimum()
	out.Parf("", "You: %s. The best for this one: %d; in the mean %s, at worst %d.",
		talk.Count(len(r.Made), "check"), r.Needed(), talk.Short(mean), worst)
}

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
		Right: s.Right, Mean: talk.Hundredths(mean), Worst: worst, Checks: []drilledCheck{}}
	for _, c := range r.Made {
		d.Checks = append(d.Checks, drilledCheck{r.Drill.Points[c.Point].Word, c.Volts,
			talk.Hundredths(c.Bits), talk.Hundredths(c.Best), c.Before, c.After})
	}
	return d
}
