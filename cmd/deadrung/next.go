package main

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"deadrung/cmd/deadrung/paper"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/log"
)

type nextOptions struct {
	circuit string
	log     string
	by      string
	json    bool
	drop    []int // lines of the log

	complaints []string

	dropChanged bool
	why         why
	given
	output string
}

func newNext(s streams) *cobra.Command {
	var o nextOptions
	c := &cobra.Command{
		Use:   "next CIRCUIT --log FILE",
		Short: "One turn of fault finding: what a log leaves possible, and the best next check",
		Args:  oneCircuit,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.circuit = args[0]
			return runNext(cmd.Context(), o, s)
		},
	}
	c.Flags().StringVar(&o.log, "log", "", "the log of the checks made so far; - for standard input, none for an empty one")
	c.Flags().StringVar(&o.by, "by", "minutes", "what to keep small: minutes or checks")
	c.Flags().BoolVar(&o.json, "json", false, "the result in its machine form")
	c.Flags().IntSliceVar(&o.drop, "drop", nil, "leave the reading on this line of the log out; may be given more than once")
	complaintsFlag(c.Flags(), &o.complaints)
	dropChangedFlag(c.Flags(), &o.dropChanged)
	o.why.flags(c.Flags())
	o.faultFlags(c.Flags())
	o.meterFlags(c.Flags())
	outputFlag(c.Flags(), &o.output, resultUsage)
	return c
}

// parseBy reads the value of --by.
func parseBy(word string) (diagnose.By, error) {
	switch word {
	case "minutes":
		return diagnose.ByMinutes, nil
	case "checks":
		return diagnose.ByChecks, nil
	}
	return 0, usagef("--by is minutes or checks, not %q", word)
}

func runNext(ctx context.Context, o nextOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil {
		return err
	}
	var text []byte
	switch o.log {
	case "":
	case "-":
		text, err = io.ReadAll(s.in)
	default:
		text, err = s.files.Read(o.log)
	}
	if err != nil {
		return fmt.Errorf("cannot read the log: %w", err)
	}
	history, problems := m.Book().ReadLog(o.log, text)
	if problems.Err() != nil && len(o.drop) > 0 { // what cannot be read may be among it
		text, o.drop = withoutWrong(text, problems, o.drop)
		history, problems = m.Book().ReadLog(o.log, text)
	}
	if problems.Err() != nil {
		return inputError{problems}
	}
	printProblems(s, problems)
	if err := tellChanges(o.log, history, o.dropChanged, s); err != nil {
		return err
	}
	if history, err = withoutLines(history, o.drop); err != nil {
		return err
	}
	known, err := complaintsOf(m, o.complaints)
	if err != nil {
		return err
	}
	history.Entries = append(history.Entries, known...)
	var turn diagnose.Turn
	talk.Patiently(s.err, func() {
		turn = m.Turn(history, diagnose.Choosing{By: by})
		turn.KnownGood = m.KnownGood(&turn)
	})
	again := turn.Next != nil && guide.MadeBefore(m, history, turn.Next.Check)
	explanation, err := o.why.explain(m, history, turn)
	if err != nil {
		return err
	}
	return output(o.output, s, func(out io.Writer) error {
		if o.json {
			return printJSON(out, explained{turn, paper.Cautions(talk.NewSpeaker(m), history, turn.Next),
				askedAbout(m, history), explanation})
		}
		printTurn(out, m, turn, history, again)
		explanation.print(out, talk.NewSpeaker(m), history)
		return nil
	})
}

// printTurn prints a turn for people. Again is set where the next check was made already.
func printTurn(out io.Writer, m *diagnose.Model, t diagnose.Turn, history log.Log, again bool) {
	fmt.Fprintf(out, "%s: %s.\n", t.Circuit, talk.TurnWords(&t))
	speak, page := talk.NewSpeaker(m), talk.NewPage(out)
	talk.PrintDoubts(page, speak, &t)
	for _, a := range askedAbout(m, history) {
		page.Hang(fmt.Sprintf("  line %d: ", a.Line), a.Text)
	}
	for _, s := range t.Seen {
		page.Hang("  ", talk.Found(s)+".")
	}
	if t.Works {
		page.Blank()
		for _, p := range speak.ComesAndGoes(t.Watch, guide.AsFound) {
			page.Point(p)
		}
	}
	if t.Next != nil {
		word := "Next check"
		switch {
		case t.Works:
			word = "Next check, once it fails again"
		case t.Next.Proof:
			word = "To prove it before anything is replaced"
		case again:
			word = "Next check, made again"
		case guide.SecondLook(&t):
			word = "To look again before it is called good"
		}
		for _, k := range guide.Cautions(m, history, t.Next) {
			page.Blank()
			page.Below(speak.Warned(k))
		}
		page.Blank()
		page.Hang("", fmt.Sprintf("%s: %s", word, talk.PlainCheck(m, t.Next.Check)))
		for _, a := range t.Next.Outcomes {
			mark := ""
			if a.Good {
				mark = ", as a good circuit"
			}
			fmt.Fprintf(out, "  %-20s %3.0f %%, leaves %s%s\n", talk.AnswerWords(t.Next.Check, a), 100*a.Probability, talk.Count(len(a.Candidates), "fault"), mark)
		}
		if n := talk.Staying(t.Next); n > 0 && !t.Next.Proof {
			fmt.Fprintf(out, "  %s %s either way\n", talk.Count(n, "fault"), talk.Verb(n, "stays", "stay"))
		}
		if again {
			fmt.Fprintf(out, "  Why: %s.\n", talk.AskedAgain(&t))
		}
	}
	fmt.Fprintf(out, "\nStill possible: %s\n", talk.Remaining(&t))
	if known := talk.KnownGood(t.KnownGood); known != "" {
		fmt.Fprintln(out, known)
	}
	printCandidates(page, &t)
	talk.PrintBeyond(page, speak, &t)
}

// printCandidates lists the faults by their chance: first those that are still possible, then those
// that more readings speak against.
func printCandidates(page *talk.Page, t *diagnose.Turn) {
	const most, least = 12, 0.0005
	doubted := false
	for i, c := range t.Candidates {
		if !doubted && !slices.Contains(t.Left, c.Index) {
			doubted = true
			one := "a"
			if t.Wrong > 0 {
				one = "one more"
			}
			page.Para("", fmt.Sprintf("Besides, if %s reading is wrong:", one))
		}
		if i == most || c.Probability < least {
			page.Para("  ", fmt.Sprintf("and %d less likely", len(t.Candidates)-i))
			break
		}
		page.Hang(fmt.Sprintf("  %5.1f %%  ", 100*c.Probability), c.Text)
	}
}
