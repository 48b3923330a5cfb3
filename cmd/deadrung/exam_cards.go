package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/connections"
	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/paper/plot"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/faultmodel"
)

type cardsOptions struct {
	dir       string
	candidate int
	html      bool
	json      bool
	output    string
	secret    secret
	sheets
}

func newExamCards(s streams) *cobra.Command {
	var o cardsOptions
	c := &cobra.Command{
		Use:   "cards DIR",
		Short: "What the instructor does to put each fault into a trainer, and to take it out",
		Long: `Cards prints, for an exam on benches, one card for each candidate and fault: what is
done on the trainer with the power locked off to put the fault in, the check that tells
that it is in, how it is taken out, and the check that tells that it is out.

The cards name the faults, so they need the passphrase.

` + talk.Caution.Plain(),
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = args[0]
			return runExamCards(cmd.Context(), o, s)
		},
	}
	f := c.Flags()
	f.IntVar(&o.candidate, "candidate", 0, "the cards of the candidate in this seat alone")
	f.BoolVar(&o.html, "html", false, "as a sheet to print, in HTML")
	o.sheets.flags(f, "as a PDF of sheets to sign", "a4, upright")
	o.secret.flags(f)
	f.BoolVar(&o.json, "json", false, "the result in its machine form")
	outputFlag(f, &o.output, resultUsage)
	return c
}

// oneFolder asks for the folder of an exam and nothing else.
func oneFolder(_ *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return fmt.Errorf("name the folder of the exam")
	}
	return fmt.Errorf("one exam at a time; %q is too much", args[1])
}

func runExamCards(ctx context.Context, o cardsOptions, s streams) error {
	o.sheets.ask(o.output, o.html || o.json)
	if err := o.sheets.check(o.html || o.json, o.output, s); err != nil {
		return err
	}
	if o.html && o.json {
		return usagef("--html and --json are two forms: give one")
	}
	f, key, err := openKey(ctx, o.dir, o.secret, s)
	if err != nil {
		return err
	}
	if key.Form != exam.Bench {
		return usagef("this exam is %s: there is nothing to put into a trainer", key.Form)
	}
	if o.candidate != 0 && key.Of(o.candidate) == nil {
		return usagef("the exam has no seat %d; the seats go from 1 to %d", o.candidate, len(key.Keys))
	}
	var cards []paper.Card
	talk.Waiting(s.err, new(talk.Stage).Text, func() { cards, err = f.cards(key, o.candidate) })
	if err != nil {
		return err
	}
	if o.pdf {
		o.tall = o.tall || o.paper == "" // a card goes on one sheet
		save := func(write func(io.Writer) error) error { return outputSecret(o.output, s, write) }
		about := &circuits.Circuit{Title: key.Title + ": cards for the benches. For the instructor alone."}
		return o.sheets.save(save, plot.Setting{Caution: talk.Caution.Line()}, s,
			tablesOf(about, "Cards for the benches", paper.CardSections(cards)))
	}
	if o.html {
		return outputSecret(o.output, s, func(w io.Writer) error {
			return paper.ExamSheet(w, key.Title+": cards for the benches", "For the instructor alone. Exam "+key.Exam,
				paper.BenchCautions, paper.CardsBody, map[string]any{"Cards": cards,
					"LockOut": talk.LockOut(talk.BeforeCheck).Points, "BackToPower": talk.BackToPowerAtOnce().Points})
		})
	}
	return outputSecretOf(o.output, o.json, cards, s, func(p *talk.Page) { paper.PrintCards(p, key, cards) })
}

// openKey opens the folder of an exam and its key.
func openKey(ctx context.Context, dir string, k secret, s streams) (*examFolder, *exam.Key, error) {
	f, err := openExam(ctx, dir, s)
	if err != nil {
		return nil, nil, err
	}
	passphrase, err := k.get(ctx, false, s)
	if err != nil {
		return nil, nil, err
	}
	key, err := f.open(passphrase)
	return f, key, err
}

// cards makes the cards of one candidate, or of all where it is 0.
func (f *examFolder) cards(key *exam.Key, candidate int) ([]paper.Card, error) {
	cards := []paper.Card{}
	wired := make(map[*diagnose.Model]*connections.Diagram)
	for _, k := range key.Keys {
		if candidate != 0 && k.Number != candidate {
			continue
		}
		for i, t := range k.Tasks {
			m := f.models[t.Circuit]
			fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
			if err != nil {
				return nil, fmt.Errorf("the key does not belong to these circuits: %w", err)
			}
			in, err := exam.OnBench(m, fault, true)
			if err != nil {
				return nil, fmt.Errorf("%s cannot be put into a trainer: %w", in.Text, err)
			}
			if wired[m] == nil {
				wired[m] = connections.New(m.Panel().Circuit)
			}
			cards = append(cards,
				paper.Card{Candidate: k.Candidate, Task: i + 1, Circuit: m.Panel().Circuit.Title, Insert: in,
					CheckText: talk.PlainCheck(m, in.Check), In: paper.Foretold(m, in.Check, in.In),
					Out: paper.Foretold(m, in.Check, in.Out), Live: !in.Check.Kind().Off(),
					Wired: wired[m]})
		}
	}
	return cards, nil
}
