package main

import (
	"context"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/dialogue"
	"deadrung/cmd/deadrung/talk"
)

func newExam(s streams) *cobra.Command {
	var plain bool
	c := &cobra.Command{
		Use:   "exam",
		Short: "Set, run and mark fault-finding exams",
		Long: `Exam is for an instructor with a class: set chooses a fault for everybody and makes a
packet for each candidate, sit answers the checks of a candidate out of the packet or
takes the readings from a real trainer, mark works out the marks. What the faults are is
sealed with a passphrase: "exam cards" and "exam key" show it to whoever has that.

Without a word behind it, exam asks what to do.

` + talk.Caution.Plain(),
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noSuchCommand(cmd, args[0])
			}
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runExam(ctx, stop, plain, s)
		},
	}
	c.Flags().BoolVar(&plain, "plain", false, "ask with numbered lines, on a terminal as well")
	c.AddCommand(newExamSet(s), newExamCards(s), newExamKey(s), newExamSit(s), newExamServe(s),
		newExamExtra(s), newExamMark(s), newExamWeights(s))
	return c
}

// runExam asks what to do, and what it needs to know for it. Stop gives Ctrl-C its usual
// meaning back, for work that is not a dialogue.
func runExam(ctx context.Context, stop func(), plain bool, s streams) error {
	out := talk.NewPage(s.out)
	ask := newAsker(ctx, plain, s, out)
	out.Notice(talk.Caution)
	q := talk.Question{
		Text: "What is to be done?",
		Choices: []talk.Choice{
			{Word: "sit", Text: "sit an exam: I have a packet"},
			{Word: "set", Text: "set an exam for a class"},
			{Word: "cards", Text: "print the cards for putting faults into trainers"},
			{Word: "mark", Text: "mark the answers to an exam"},
			{Word: "key", Text: "see who has which fault"},
			{Word: "serve", Text: "answer a served exam on this machine alone"},
			dialogue.StopChoice,
		},
		Help: "A candidate sits an exam with a packet. An instructor sets it, prints the cards for the " +
			"benches, and marks the answers; all of it needs the passphrase of the exam. " +
			"A class in a network is served by the command: deadrung exam serve DIR --listen :4127.",
	}
	i, err := ask.Choose(q)
	if err != nil {
		return closing(err, "", nil)
	}
	path := func(text, help string) (string, error) {
		typed, _, err := ask.Line(talk.Question{Text: text, Typed: "type the path", Help: help})
		return typed, err
	}
	switch q.Choices[i].Word {
	case "sit":
		name, err := path("The path of your packet:", "As 007-ada-example.packet.")
		if err != nil {
			return closing(err, "", nil)
		}
		return sit(ctx, sitOptions{packet: name, answers: ".", plain: plain, now: timeNow, patience: awayMost}, s, ask, out)
	case "set":
		o, err := askSetting(ask, out)
		if err != nil {
			return closing(err, "", nil)
		}
		stop()
		return runExamSet(context.WithoutCancel(ctx), o, s)
	case "cards", "mark", "key", "serve":
		dir, err := path("The folder of the exam:", "The folder that setting the exam made.")
		if err != nil {
			return closing(err, "", nil)
		}
		if q.Choices[i].Word == "serve" {
			return runExamServe(ctx, serveOptions{dir: dir, listen: defaultListen, board: true, now: timeNow}, s)
		}
		stop()
		ctx := context.WithoutCancel(ctx)
		switch q.Choices[i].Word {
		case "cards":
			return runExamCards(ctx, cardsOptions{dir: dir}, s)
		case "key":
			return runExamKey(ctx, keyOptions{dir: dir}, s)
		}
		return runExamMark(ctx, markOptions{dir: dir}, s)
	}
	return nil
}
