package dialogue

import (
	"fmt"
	"strings"

	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/training"
)

// TellReplay shows how it went: each check, what was known before and after it, the best
// check there, and the doubt as a bar.
func (d *Dialogue) TellReplay(r *training.Replay) {
	d.Out.Blank()
	d.Out.Para("", "REPLAY. A bar is the doubt in bits: half as many faults, one bit less.")
	most := r.MostDoubt()
	d.Out.Hang("     ", fmt.Sprintf("%s  at the start: %s", talk.Bar(r.Start.Bits, most), doubtWords(r.Start)))
	for i, c := range r.Checks {
		if c.Entry.Repaired {
			d.Out.Hang("     ", fmt.Sprintf("%s  a repair was made and did not put the panel right; "+
				"what was read before it no longer counts: %s", talk.Bar(c.Before.Bits, most), doubtWords(c.Before)))
		}
		d.Out.Hang(fmt.Sprintf("%3d. ", i+1), d.Speak.Entry(c.Entry))
		d.Out.Hang("     ",
			fmt.Sprintf("%s  %s after %s", talk.Bar(c.After.Bits, most), doubtWords(c.After), talk.Span(c.Spent)))
		d.Out.Hang("     ", talk.Sentence(d.WorthShort(&c.Judged)))
	}
	d.Out.Blank()
	for _, line := range d.Outcome(r) {
		d.Out.Para("", line)
	}
}

// Outcome says what came of a practice, a sentence or two a line. The hidden fault is
// named once it is over.
func (d *Dialogue) Outcome(r *training.Replay) []string {
	lines := []string{d.compared(r), wasted(r)}
	lines = append(lines, unsafeWords(r.Unsafe)...)
	if len(r.Hints) > 0 {
		lines = append(lines, fmt.Sprintf("Hints: %d.", len(r.Hints)))
	}
	if !d.Guide.Over() {
		return append(lines, "The practice is not over.")
	}
	var hidden []string
	for _, h := range d.Guide.Sitting().Hidden() {
		f := d.Model.Faults()[h]
		hidden = append(hidden, fmt.Sprintf("%s (%s)", f.Text, f.ID))
	}
	lines = append(lines, fmt.Sprintf("THE HIDDEN %s: %s.", talk.Verb(len(hidden), "FAULT", "FAULTS"), strings.Join(hidden, "; ")))
	if hard := d.Difficulty(); hard != nil {
		lines = append(lines, fmt.Sprintf("Difficulty %s: %s checks expected, "+
			"first looks misleading by %s.", talk.Short(hard.Value), talk.Short(hard.Checks), talk.Short(hard.Mislead)))
	}
	if d.Case != "" {
		lines = append(lines, d.Case)
	}
	return append(lines, d.verdicts(r)...)
}

// WorthShort is what a check was worth, without what is left.
func (d *Dialogue) WorthShort(j *training.Judged) string { return d.worth(j) + d.best(j) }

// compared holds the checks and minutes against what the guided search needs.
func (d *Dialogue) compared(r *training.Replay) string {
	if !d.Guide.Over() {
		return fmt.Sprintf("You: %s, %s so far.", talk.Count(len(r.Checks), "check"), talk.Span(r.Minutes))
	}
	until := " until the fault was named"
	if r.Stated == "" {
		until = ""
	}
	return fmt.Sprintf("You: %s, %s%s. The guided search: %s, %s.",
		talk.Count(r.Searched(), "check"), talk.Span(r.Minutes), until,
		talk.Count(len(r.Guided.Checks), "check"), talk.Span(r.Guided.Minutes))
}

// wasted counts the wasted checks.
func wasted(r *training.Replay) string {
	var parts []string
	for _, w := range []training.Waste{training.Premature, training.Redundant, training.Irrelevant} {
		if n := r.Wasted[w]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, w))
		}
	}
	if len(parts) == 0 {
		return "No check was wasted."
	}
	return "Wasted checks: " + strings.Join(parts, ", ") + "."
}

// unsafeWords list the unsafe acts, equal ones once.
func unsafeWords(all []training.Unsafe) []string {
	var lines []string
	for _, d := range training.Dangers {
		n := 0
		for _, u := range all {
			if u.Kind == d.Kind {
				n++
			}
		}
		switch {
		case n == 1:
			lines = append(lines, fmt.Sprintf("UNSAFE: %s. %s", d.Text, talk.Sentence(d.Right)))
		case n > 1:
			lines = append(lines, fmt.Sprintf("UNSAFE, %d times: %s. %s", n, d.Text, talk.Sentence(d.Right)))
		}
	}
	return lines
}

// verdicts say whether the fault was named, put right and proved.
func (d *Dialogue) verdicts(r *training.Replay) []string {
	var lines []string
	hidden := d.Guide.Sitting().Hidden()
	switch {
	case len(hidden) > 1 && r.Right:
		lines = append(lines, "You named both: right.")
	case len(hidden) > 1:
		lines = append(lines, "You did not name both.")
	case r.Stated == "":
		lines = append(lines, "You did not name it.")
	case r.Right && r.Stated != d.Model.Faults()[hidden[0]].ID:
		lines = append(lines,
			fmt.Sprintf("You named %s: that is right, for no check or no repair tells the two apart.", r.Stated))
	case r.Right:
		lines = append(lines, "You named it: right.")
	default:
		lines = append(lines, fmt.Sprintf("You named %s: wrong.", r.Stated))
	}
	switch {
	case r.Proved && r.Repairs > 1:
		lines = append(lines, fmt.Sprintf("The panel was put right with %s, and the operation proved.",
			talk.Count(r.Repairs, "repair")))
	case r.Proved:
		lines = append(lines, "The panel was put right, and the operation proved.")
	case r.Repaired:
		lines = append(lines, "The panel was put right; the operation was not proved.")
	case d.Guide.Sitting().Ended() == training.Proved:
		lines = append(lines,
			"The panel was NOT put right: the operation was called right, and the fault is still there.")
	default:
		lines = append(lines, "The panel was not put right.")
	}
	return lines
}

// Difficulty is that of the hidden fault, worked out once; nil if no check shows it, and of two.
func (d *Dialogue) Difficulty() *training.Difficulty {
	if !d.rated {
		d.rated = true
		if hidden := d.Guide.Sitting().Hidden(); len(hidden) == 1 {
			if hard, err := training.DifficultyOf(d.Model, hidden[0]); err == nil {
				d.rating = &hard
			}
		}
	}
	return d.rating
}

// doubtWords tell what is not known, as the bars do.
func doubtWords(d training.Doubt) string {
	return fmt.Sprintf("%s in %s, %.1f bits", talk.Count(d.Faults, "fault"),
		talk.Count(d.Groups, "group"), d.Bits)
}
