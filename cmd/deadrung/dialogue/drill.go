package dialogue

import (
	"fmt"
	"slices"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
)

// Drill is one go at a drill, held with a person.
type Drill struct {
	Run   *training.Run
	Ask   talk.Asker
	Out   *talk.Page
	Coach guide.Coach
	Named int // the unit that was named
	// Optimum is what the best takes, on average and at worst; not told where it is nil.
	Optimum func() (mean float64, worst int)
}

// Greet says what there is and what is known.
func (t *Drill) Greet(seed uint64) {
	d := t.Run.Drill
	t.Out.Notice(talk.Caution)
	t.Out.Parf("", "DRILL: %s. Seed %d.", d.Title, seed)
	t.Out.Para("  ", d.About)
	t.Out.Parf("  ", "Source: %s.", d.Source)
	if t.Optimum != nil {
		mean, worst := t.Optimum()
		t.Out.Parf("  ", "The best takes %s checks on average and %d at worst.", talk.Short(mean), worst)
	}
	t.Out.Blank()
}

// Hold takes checks until the open unit is named, and tells what they were worth.
func (t *Drill) Hold() error {
	if err := t.checks(); err != nil {
		return err
	}
	t.result()
	return nil
}

// Score is that of a drill that is over. Luck is no score.
func (t *Drill) Score(at string, seed uint64) training.Score {
	r := t.Run
	found := r.Right(t.Named) && len(r.Left) == 1
	score := training.Score{At: at, Drill: r.Drill.Name, Seed: seed,
		Checks: r.Spent(), Needed: float64(r.Needed()), Hints: r.Hints, Right: found, Proved: found}
	for _, c := range r.Made {
		if c.Bits == 0 {
			score.Wasted++
		}
	}
	return score
}

// checks takes checks until the open unit is named.
func (t *Drill) checks() error {
	d := t.Run.Drill
	const (
		stop = iota
		draw
		hint
		coach
	)
	price := talk.Count(training.DrillHint, "check")
	choices := []talk.Choice{stop: StopChoice,
		draw: {Word: "draw", Text: "draw it, with the last leads and what is in doubt"},
		hint: {Word: "hint", Text: "where do the leads go next, and why? It costs as much as " + price}}
	if t.Coach != guide.CoachAfter {
		choices = append(choices, talk.Choice{Word: "coach",
			Text: "what was the last check worth? A better point is named at the price of a hint"})
	}
	q := talk.Question{Text: "Where do the leads go? Or what is open, as open " + d.Units[0] + ".",
		Typed:   "type a point, or open and what is open",
		Choices: choices,
		Help: "Points are named as " + d.Points[0].Word + " to " + d.Points[len(d.Points)-1].Word +
			"; what can be open is " + strings.Join(d.Units, ", ") + "."}
	for {
		typed, i, err := t.Ask.Line(q)
		if err != nil {
			return err
		}
		switch {
		case i == stop:
			return ErrStopped
		case i == draw:
			t.Out.Raw(strings.Join(drillDrawn(t.Run, t.Out.Columns(), t.Coach != guide.CoachAfter), "\n") + "\n")
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
				t.Named = at
				return nil
			}
			t.Out.Parf("  ", "There is no %q; what can be open is %s.", talk.Shortened(unit),
				strings.Join(d.Units, ", "))
			continue
		}
		word = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(word, "point "), "volts "))
		at := slices.IndexFunc(d.Points, func(p training.DrillPoint) bool { return p.Word == word })
		if at < 0 {
			t.Out.Parf("  ", "There is no point %q; points are named as %s to %s.", talk.Shortened(word),
				d.Points[0].Word, d.Points[len(d.Points)-1].Word)
			continue
		}
		c := t.Run.Check(at)
		t.Out.Parf("  ", "%s: %.1f V", d.Points[at].Text, c.Volts)
		if t.Coach == guide.CoachAlways {
			t.worth(false)
		}
	}
}

// hint names the point that halves best what is left, and why it does.
func (t *Drill) hint() {
	at := t.Run.Hint()
	if at < 0 {
		t.Out.Para("  ", "Hint: no point tells more. Say what is open.")
		return
	}
	t.Out.Hang("  Hint: ", drillPointWhy(t.Run.Drill, at, t.Run.Left))
}

// worth says what the last check was worth. Who asks is told a better point as well, at the price
// of a hint.
func (t *Drill) worth(asked bool) {
	last := len(t.Run.Made) - 1
	if last < 0 {
		t.Out.Para("  ", "Coach: no check has been made yet.")
		return
	}
	text := drillWorth(t.Run, last, asked)
	switch {
	case asked:
		t.Run.Ask()
	case t.Run.Made[last].Better():
		text += " There was a better point: \"coach\" names it, at the price of a hint."
	}
	t.Out.Hang("  Coach: ", text)
}

// drillWorth says what a check of a drill, counted from none, was worth; the better point, and why
// it is that, where it is to be named.
func drillWorth(r *training.Run, check int, better bool) string {
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
		text += " Better: " + drillPointWhy(r.Drill, c.At, r.Before(check))
	}
	return text
}

// drillPointWhy names a point of a drill, and says why it is a good one while some units are
// possible.
func drillPointWhy(d training.Drill, point int, of []int) string {
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

// result shows how the doubt fell, and whether the unit that was named is open.
func (t *Drill) result() {
	out, r, named, d := t.Out, t.Run, t.Named, t.Run.Drill
	out.Blank()
	for i, c := range r.Made {
		out.Hang(fmt.Sprintf("%3d. ", i+1), fmt.Sprintf("%s  %s: %.1f V. %s",
			talk.Bar(float64(c.After), float64(len(d.Units))), d.Points[c.Point].Text, c.Volts, drillWorth(r, i, true)))
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
	made := talk.Count(len(r.Made), "check")
	if r.Hints > 0 {
		made += fmt.Sprintf(" and %s, which %s as %d more", talk.Count(r.Hints, "hint"), talk.Verb(r.Hints, "counts", "count"),
			r.Hints*training.DrillHint)
	}
	best := fmt.Sprintf("You: %s. The best for this one: %d", made, r.Needed())
	if t.Optimum != nil {
		mean, worst := t.Optimum()
		best += fmt.Sprintf("; in the mean %s, at worst %d", talk.Short(mean), worst)
	}
	out.Para("", best+".")
}
