package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"deadrung/circuits"
	"deadrung/circuits/wirelist"
	"deadrung/cmd/deadrung/talk"
)

func questionIDs(d wirelist.Draft) []string {
	var ids []string
	for _, q := range d.Questions {
		ids = append(ids, q.ID)
	}
	return ids
}

// askDraft asks what the list does not tell, where there is someone to ask, until nothing
// is left. Each answer may raise further questions.
func askDraft(ctx context.Context, o importOptions, piped bool, rows []wirelist.Row, told []wirelist.Told,
	answers map[string]string, s streams) (wirelist.Draft, error) {
	guess := func() (wirelist.Draft, error) { return wirelist.Guess(o.file, slices.Clone(rows), told, answers) }
	if o.output == "" || o.output == "-" {
		s.out = s.err // the circuit file goes to standard output
	}
	asking := o.ask || !piped && terminal(s.in) && terminal(s.out)
	var ask talk.Asker
	var out *talk.Page
	if asking {
		out = talk.NewPage(s.out)
		ask = newAsker(ctx, o.plain, s, out)
	}
	for {
		draft, err := guess()
		var wrong *wirelist.AnswerError
		var problems circuits.Problems
		switch {
		case errors.As(err, &wrong):
			if _, given := answers[wrong.ID]; given {
				return draft, usagef("--answer %w", wrong)
			}
			p := draft.Where(wrong.ID)
			p.File, p.What = o.file, wrong.Err.Error()
			return draft, inputError{circuits.Problems{p}}
		case errors.As(err, &problems):
			return draft, inputError{problems}
		case err != nil:
			return draft, err
		}
		if !asking {
			return draft, nil
		}
		i := slices.IndexFunc(draft.Questions,
			func(q wirelist.Question) bool { _, done := answers[q.ID]; return !done })
		if i < 0 {
			return draft, nil
		}
		answer, err := askOne(ask, draft.Questions[i])
		switch {
		case errors.Is(err, io.EOF):
			asking = false
			out.Para("", "End of the input: what is not answered is taken as it looks.")
			continue
		case errors.Is(err, talk.ErrInterrupted):
			return draft, interrupted(answers)
		case err != nil:
			return draft, err
		}
		answers[draft.Questions[i].ID] = answer
		if _, err := guess(); errors.As(err, &wrong) {
			out.Para("  ", talk.Sentence(wrong.Err.Error()))
			delete(answers, draft.Questions[i].ID)
		}
	}
}

// interrupted gives back the answers, for the next try.
func interrupted(answers map[string]string) error {
	text := "interrupted; no circuit file was written"
	for i, id := range slices.Sorted(maps.Keys(answers)) {
		if i == 0 {
			text += "; answered so far:"
		}
		text += fmt.Sprintf(" --answer %s=%s", id, answers[id])
	}
	return errors.New(text)
}

// askOne puts one question.
func askOne(ask talk.Asker, q wirelist.Question) (string, error) {
	if len(q.Choices) > 0 {
		question := talk.Question{Text: q.Text,
			Help: "The wire list does not tell it. Take what stands on the device or on its drawing."}
		for _, c := range q.Choices {
			question.Choices = append(question.Choices, talk.Choice{Word: c, Text: strings.ReplaceAll(c, "-", " ")})
		}
		i, err := ask.Choose(question)
		if err != nil {
			return "", err
		}
		return q.Choices[i], nil
	}
	text := talk.Question{Text: q.Text, Typed: "type the answer",
		Help: "The wire list does not tell it. Take what stands on the device or on its drawing."}
	if q.Taken != "" {
		text.Choices = []talk.Choice{{Word: "taken", Text: "take " + q.Taken}}
	}
	typed, taken, err := ask.Line(text)
	if err != nil || taken < 0 {
		return typed, err
	}
	return q.Taken, nil
}
