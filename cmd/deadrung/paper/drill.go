package paper

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// DrillWorth says what a check of a drill, counted from none, was worth; the better point, and why
// it is that, where it is to be named.
func DrillWorth(r *training.Run, check int, better bool) string {
	c := r.Made[check]
	var text string
	switch left := unitWords(r.Drill, c.Left); {
	case c.Bits == 0:
		text = "It told nothing: what may be open lies all on one side of the leads. " +
			fmt.Sprintf("Still possible: %s.", left)
	case c.Full:
		text = fmt.Sprintf("Full volts: all from the supply to the leads is good, so the open is beyond them: %s.", left)
	default:
		text = fmt.Sprintf("No volts: the open is between the supply and the leads: %s.", left)
	}
	switch {
	case c.Bits > 0 && !c.Better():
		text += " No point would have told more."
	case c.Better() && better:
		text += " Better: " + DrillPointWhy(r.Drill, c.At, r.Before(check))
	}
	return text
}

// DrillPointWhy names a point of a drill, and says why it is a good one while some units are
// possible.
func DrillPointWhy(d training.Drill, point int, of []int) string {
	full, none := d.Parted(point, of)
	return fmt.Sprintf("%s. Of the %d that may be open it has %d beyond it and %d before it: "+
		"either answer leaves no more than %d.", d.Points[point].Text, len(of), full, none, max(full, none))
}

// unitWords name units of a drill, those in a row by the first and the last: "2, 5 to 9".
func unitWords(d training.Drill, units []int) string {
	kind := func(u int) string { return strings.TrimRight(d.Units[u], "0123456789") }
	var words []string
	for i := 0; i < len(units); {
		end := i
		for end+1 < len(units) && units[end+1] == units[end]+1 && kind(units[end+1]) == kind(units[i]) {
			end++
		}
		switch name := d.Units[units[i]]; {
		case end > i+1:
			words = append(words, name+" to "+d.Units[units[end]])
		case end > i:
			words = append(words, name, d.Units[units[end]])
		default:
			words = append(words, name)
		}
		i = end + 1
	}
	if n := len(words); n > 1 {
		words = append(words[:n-2:n-2], words[n-2]+" or "+words[n-1])
	}
	return strings.Join(words, ", ")
}

// PrintDrill shows how the doubt fell in a drill, and whether the unit that was named is open.
func PrintDrill(out *talk.Page, r *training.Run, named int) {
	d := r.Drill
	out.Blank()
	for i, c := range r.Made {
		out.Hang(fmt.Sprintf("%3d. ", i+1), fmt.Sprintf("%s  %s: %.1f V. %s",
			talk.Bar(float64(c.After), float64(len(d.Units))), d.Points[c.Point].Text, c.Volts, DrillWorth(r, i, true)))
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
	made := talk.Count(len(r.Made), "check")
	if r.Hints > 0 {
		made += fmt.Sprintf(" and %s, which %s as %d more", talk.Count(r.Hints, "hint"), talk.Verb(r.Hints, "counts", "count"),
			r.Hints*training.DrillHint)
	}
	out.Parf("", "You: %s. The best for this one: %d; in the mean %s, at worst %d.", made, r.Needed(), talk.Short(mean), worst)
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
