package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// runDrill runs one drill.
func runDrill(o practiceOptions, s streams, out *talk.Page, ask talk.Asker, book *scoreBook) error {
	var d training.Drill
	if o.drill == "line" || o.drill == training.TwoWireLine().Name {
		d = training.TwoWireLine()
	} else {
		n, err := strconv.Atoi(o.drill)
		if err != nil {
			return usagef("--drill is a number of contacts, or line, not %q", o.drill)
		}
		if d, err = training.ContactString(n); err != nil {
			return usageError{err}
		}
	}
	out.Notice(talk.Caution)
	r := d.Start(o.seed)
	t := &driller{r: r, ask: ask, out: out, coach: o.coach}
	out.Parf("", "DRILL: %s. Seed %d.", d.Title, o.seed)
	out.Para("  ", d.About)
	out.Parf("  ", "Source: %s.", d.Source)
	mean, worst := d.Optimum()
	out.Parf("  ", "The best takes %s checks in the mean and %d at worst.", talk.Short(mean), worst)
	out.Blank()
	err := t.run()
	if err != nil && failed(err) {
		return err
	}
	if err != nil {
		out.Para("", "The drill is not over: no score is kept.")
		return closing(err, "", nil)
	}
	t.replay(mean, worst)
	found := t.right && len(r.Left) == 1 // luck is no score
	score := training.Score{At: o.now().Format(time.RFC3339), Drill: d.Name, Seed: o.seed, Checks: len(r.Made), Needed: float64(r.Needed()), Right: found, Proved: found}
	for _, c := range r.Made {
		if c.Bits == 0 {
			score.Wasted++
		}
	}
	book.keep(score, s)
	t.earlier(book, d.Name)
	if o.picture != "" {
		if err := s.files.Write(o.picture, func(w io.Writer) error { return paper.DrawDrill(w, r, mean) }); err != nil {
			return saved(err, o.picture)
		}
		out.Parf("", "The picture is in %s.", o.picture)
	}
	if o.json {
		return output(o.output, s, func(w io.Writer) error { return printJSON(w, drilledOf(r, score, mean, worst)) })
	}
	return nil
}

// driller is one go at a drill.
type driller struct {
	r     *training.Run
	ask   talk.Asker
	out   *talk.Page
	coach string
	named int
	right bool
}

// run takes checks until the open unit is named.
func (t *driller) run() error {
	d := t.r.Drill
	choices := []talk.Choice{stopChoice}
	if t.coach != coachAfter {
		choices = append(choices, talk.Choice{Word: "coach", Text: "what was the last check worth?"})
	}
	q := talk.Question{Text: "Where do the leads go? Or what is open, as open " + d.Units[0] + ".", Typed: "type a point, or open and what is open",
		Choices: choices,
		Help:    "Points are named as " + d.Points[0].Word + " to " + d.Points[len(d.Points)-1].Word + "; what can be open is " + strings.Join(d.Units, ", ") + "."}
	for {
		typed, i, err := t.ask.Line(q)
		if err != nil {
			return err
		}
		switch {
		case i == 0:
			return errStopped
		case i == 1 && len(t.r.Made) == 0:
			t.out.Para("  ", "Coach: no check has been made yet.")
			continue
		case i == 1:
			t.out.Hang("  Coach: ", t.worth(t.r.Made[len(t.r.Made)-1]))
			continue
		}
		word := strings.Join(strings.FieldsFunc(talk.Fold(typed), func(r rune) bool { return r == ' ' || r == ',' || r == '/' }), " ")
		if unit, ok := strings.CutPrefix(word, "open "); ok {
			if at := slices.Index(d.Units, unit); at >= 0 {
				t.named, t.right = at, t.r.Right(at)
				return nil
			}
			t.out.Parf("  ", "There is no %q; what can be open is %s.", talk.Shortened(unit), strings.Join(d.Units, ", "))
			continue
		}
		word = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(word, "point "), "volts "))
		at := slices.IndexFunc(d.Points, func(p training.DrillPoint) bool { return p.Word == word })
		if at < 0 {
			t.out.Parf("  ", "There is no point %q; points are named as %s to %s.", talk.Shortened(word), d.Points[0].Word, d.Points[len(d.Points)-1].Word)
			continue
		}
		c := t.r.Check(at)
		t.out.Parf("  ", "%s: %.1f V", d.Points[at].Text, c.Volts)
		if t.coach == coachAlways {
			t.out.Hang("  Coach: ", t.worth(c))
		}
	}
}

// worth says what a check of a drill was worth.
func (t *driller) worth(c training.DrillCheck) string {
	text := fmt.Sprintf("%.2f bits; possible before %d, after %d.", c.Bits, c.Before, c.After)
	switch {
	case c.Bits == 0:
		text += " Its answer was known."
	case c.Bits < c.Best-1e-9:
		text += fmt.Sprintf(" Best: %s, %.2f bits.", t.r.Drill.Points[c.At].Text, c.Best)
	}
	return text
}

// replay shows how the doubt fell.
func (t *driller) replay(mean float64, worst int) {
	units := float64(len(t.r.Drill.Units))
	t.out.Blank()
	for i, c := range t.r.Made {
		t.out.Hang(fmt.Sprintf("%3d. ", i+1), fmt.Sprintf("%s  %s: %.1f V. %s", bar(float64(c.After), units), t.r.Drill.Points[c.Point].Text, c.Volts, t.worth(c)))
	}
	d := t.r.Drill
	switch {
	case t.right && len(t.r.Left) > 1:
		t.out.Parf("", "RIGHT, by luck: %s is open, and %d were still possible. It does not count as found.", d.Units[t.named], len(t.r.Left))
	case t.right:
		t.out.Parf("", "RIGHT: %s is open.", d.Units[t.named])
	default:
		t.out.Parf("", "WRONG: %s is open, not %s.", d.Units[t.r.Hidden()], d.Units[t.named])
	}
	t.out.Parf("", "You: %s. The best for this one: %d; in the mean %s, at worst %d.", talk.Count(len(t.r.Made), "check"), t.r.Needed(), talk.Short(mean), worst)
}

// earlier shows the scores of the same drill so far.
func (t *driller) earlier(book *scoreBook, name string) {
	var same scoreBook
	for _, s := range book.scores {
		if s.Drill == name {
			same.scores = append(same.scores, s)
		}
	}
	const most = 10
	if n := len(same.scores); n > 1 {
		t.out.Blank()
		same.scores = same.scores[max(0, n-most):]
		printScores(t.out, &same)
	}
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

func drilledOf(r *training.Run, s training.Score, mean float64, worst int) drilled {
	d := drilled{Drill: s.Drill, Source: r.Drill.Source, Seed: s.Seed, Open: r.Drill.Units[r.Hidden()], Right: s.Right, Mean: talk.Hundredths(mean), Worst: worst, Checks: []drilledCheck{}}
	for _, c := range r.Made {
		d.Checks = append(d.Checks, drilledCheck{r.Drill.Points[c.Point].Word, c.Volts, talk.Hundredths(c.Bits), talk.Hundredths(c.Best), c.Before, c.After})
	}
	return d
}
