package engine

import (
	"context"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
)

// line is the name under which a page asks for the drill of the two-wire line.
const line = "line"

// Drilled is what a drill shows: where the leads may go, and what may be open.
type Drilled struct {
	Points []Choice `json:"points"` // the words to answer with
	Units  []string `json:"units"`  // in their order from the hot side
	Left   []string `json:"left"`   // of them, what is still possible
	At     string   `json:"at"`     // the point where the leads were last
}

// drill holds a drill from its beginning to its end.
func (e *Engine) drill(ctx context.Context, o Order, answers chan Order) error {
	d := training.TwoWireLine()
	if o.Drill != line {
		n, err := strconv.Atoi(o.Drill)
		if err != nil {
			return err
		}
		if d, err = training.ContactString(n); err != nil {
			return err
		}
	}
	post := e.posting(ctx, o)
	told := &teller{post: post}
	page := &talk.Page{Out: io.Discard, Columns: func() int { return 40 }, Take: told.take}
	t := &dialogue.Drill{Run: d.Start(o.Seed), Out: page, Coach: guide.CoachAsked}
	ask := &asker{ctx: ctx, answers: answers, told: told, post: post, engine: e, drill: t.Run,
		ahead: strings.FieldsFunc(o.Log, func(r rune) bool { return r == '\n' })}
	t.Ask = ask
	post(Message{Kind: Opened, Title: d.Title})
	t.Greet(o.Seed)
	if err := t.Hold(); err != nil {
		if errors.Is(err, dialogue.ErrStopped) || errors.Is(err, talk.ErrInterrupted) {
			return nil
		}
		return err
	}
	told.flush()
	return e.ended(post, t.Score(e.now().Format(time.RFC3339), o.Seed), d.Title)
}

// ended tells that a practice or a drill is over, and its score.
func (e *Engine) ended(post func(Message), s training.Score, title string) error {
	var kept strings.Builder
	if err := s.AppendTo(&kept); err != nil {
		return err
	}
	post(Message{Kind: Scored, Lines: kept.String()})
	post(Message{Kind: Over, Title: title})
	return nil
}

// drilled is how a drill stands.
func drilled(r *training.Run) *Drilled {
	out := &Drilled{Units: r.Drill.Units, Left: []string{}}
	for _, p := range r.Drill.Points {
		out.Points = append(out.Points, Choice{Word: p.Word, Text: p.Text})
	}
	for i, u := range r.Drill.Units {
		if slices.Contains(r.Left, i) {
			out.Left = append(out.Left, u)
		}
	}
	if n := len(r.Made); n > 0 {
		out.At = r.Drill.Points[r.Made[n-1].Point].Word
	}
	return out
}

// Result is one score as it is shown.
type Result struct {
	Name  string  `json:"name"`
	Words string  `json:"words"`
	At    string  `json:"at"`
	Share float64 `json:"share"` // 1 for as few checks as the best
}

// scores posts what was practised so far, the last first.
func (e *Engine) scores(o Order) {
	scores, problems := training.ReadScores("the scores", []byte(o.Log))
	if problems.Err() != nil {
		e.fail(problems.Err())
		return
	}
	m := Message{Kind: Scores, Results: []Result{}}
	for _, s := range slices.Backward(scores) {
		m.Results = append(m.Results, Result{talk.ScoreName(s), talk.ScoreWords(s), s.At, s.Share()})
	}
	e.post(m)
}
