package main

import (
	"io"
	"strconv"
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
	t := &dialogue.Drill{Run: d.Start(o.seed), Ask: ask, Out: out, Coach: o.coaching(), Optimum: d.Optimum}
	t.Greet(o.seed)
	err := t.Hold()
	if err != nil && failed(err) {
		return err
	}
	if err != nil {
		out.Para("", "The drill is not over: no score is kept.")
		return closing(err, "", nil)
	}
	score := t.Score(o.now().Format(time.RFC3339), o.seed)
	book.keep(score, s)
	earlier(out, book, d.Name)
	if o.picture != "" {
		if err := s.files.Write(o.picture, func(w io.Writer) error {
			mean, _ := d.Optimum()
			return paper.DrawDrill(w, t.Run, mean)
		}); err != nil {
			return saved(err, o.picture)
		}
		out.Parf("", "The picture is in %s.", o.picture)
	}
	if o.json {
		return output(o.output, s, func(w io.Writer) error { return printJSON(w, paper.DrillMachine(t.Run, score)) })
	}
	return nil
}

// earlier shows the scores of the same drill so far.
func earlier(out *talk.Page, book *scoreBook, name string) {
	var same scoreBook
	for _, s := range book.scores {
		if s.Drill == name {
			same.scores = append(same.scores, s)
		}
	}
	const most = 10
	if n := len(same.scores); n > 1 {
		out.Blank()
		same.scores = same.scores[max(0, n-most):]
		printScores(out, &same)
	}
}
