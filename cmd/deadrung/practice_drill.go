package main

import (
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"deadrung/cmd/deadrung/dialogue"
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
	paper.PrintDrill(out, r, t.named)
	found := t.right && len(r.Left) == 1 // luck is no score
	score := training.Score{At: o.now().Format(time.RFC3339), Drill: d.Name, Seed: o.seed,
		Checks: r.Spent(), Needed: float64(r.Needed()), Hints: r.Hints, Right: found, Proved: found}
	for _, c := range r.Made {
		if c.Bits == 0 {
			score.Wasted++
		}
	}
	book.keep(score, s)
	t.earlier(book, d.Name)
	if o.picture != "" {
		if err := s.files.Write(o.picture,
			func(w io.Writer) error { return paper.DrawDrill(w, r, mean) }); err != nil {
			return saved(err, o.picture)
		}
		out.Parf("", "The picture is in %s.", o.picture)
	}
	if o.json {
		return output(o.output, s, func(w io.Writer) error { return printJSON(w, paper.DrillMachine(r, score)) })
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
	const (
		stop = iota
		draw
		hint
		coach
	)
	price := talk.Count(training.DrillHint, "check")
	choices := []talk.Choice{stop: dialogue.StopChoice,
		draw: {Word: "draw", Text: "draw it, with the last leads and what is in doubt"},
		hint: {Word: "hint", Text: "where do the leads go next, and why? It costs as much as " + price}}
	if t.coach != coachAfter {
		choices = append(choices, talk.Choice{Word: "coach",
			Text: "what was the last check worth? A better point is named at the price of a hint"})
	}
	q := talk.Question{Text: "Where do the leads go? Or what is open, as open " + d.Units[0] + ".",
		Typed:   "type a point, or open and what is open",
		Choices: choices,
		Help: "Points are named as " + d.Points[0].Word + " to " + d.Points[len(d.Points)-1].Word +
			"; what can be open is " + strings.Join(d.Units, ", ") + "."}
	for {
		typed, i, err := t.ask.Line(q)
		if err != nil {
			return err
		}
		switch {
		case i == stop:
			return dialogue.ErrStopped
		case i == draw:
			t.out.Raw(strings.Join(paper.DrillDrawn(t.r, t.out.Columns(), t.coach != coachAfter), "\n") + "\n")
			continue
		case i == hint:
			t.hint()
			continue
		case i == coach:
			t.worth(true)
			continue
		}
		word := strings.Join(strings.FieldsFunc(talk.Fold(typed),
			func(r rune) bool { return r == ' ' || r == ',' || r == '/' }), " ")
		if unit, ok := strings.CutPrefix(word, "open "); ok {
			if at := slices.Index(d.Units, unit); at >= 0 {
				t.named, t.right = at, t.r.Right(at)
				return nil
			}
			t.out.Parf("  ", "There is no %q; what can be open is %s.", talk.Shortened(unit),
				strings.Join(d.Units, ", "))
			continue
		}
		word = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(word, "point "), "volts "))
		at := slices.IndexFunc(d.Points, func(p training.DrillPoint) bool { return p.Word == word })
		if at < 0 {
			t.out.Parf("  ", "There is no point %q; points are named as %s to %s.", talk.Shortened(word),
				d.Points[0].Word, d.Points[len(d.Points)-1].Word)
			continue
		}
		c := t.r.Check(at)
		t.out.Parf("  ", "%s: %.1f V", d.Points[at].Text, c.Volts)
		if t.coach == coachAlways {
			t.worth(false)
		}
	}
}

// hint names the point that halves best what is left, and why it does.
func (t *driller) hint() {
	at := t.r.Hint()
	if at < 0 {
		t.out.Para("  ", "Hint: no point tells more. Say what is open.")
		return
	}
	t.out.Hang("  Hint: ", paper.DrillPointWhy(t.r.Drill, at, t.r.Left))
}

// worth says what the last check was worth. Who asks is told a better point as well, at the price
// of a hint.
func (t *driller) worth(asked bool) {
	last := len(t.r.Made) - 1
	if last < 0 {
		t.out.Para("  ", "Coach: no check has been made yet.")
		return
	}
	text := paper.DrillWorth(t.r, last, asked)
	switch {
	case asked:
		t.r.Ask()
	case t.r.Made[last].Better():
		text += " There was a better point: \"coach\" names it, at the price of a hint."
	}
	t.out.Hang("  Coach: ", text)
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
